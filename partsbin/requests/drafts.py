"""A line in the making, and what may be written into it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from partsbin.requests.measures import Value
from partsbin.requests.segment import Segment
from partsbin.requests.token import Token
from partsbin.requests.types import AskedLine, Attribute
from partsbin.requests.wordlists import listed

IGNORED = frozenset(("money", "figure"))


@dataclass(slots=True, eq=False)
class Draft:
    """A line in the making."""

    words: list[str]
    facts: dict[str, list[Value]] = field(default_factory=dict)
    quantity: int | None = 1
    unit: str = "each"
    stated: bool = False
    vague: bool = False
    figures: list[float] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    machine: str = ""
    lane: str = ""
    carried: bool = False
    excluded: list[str] = field(default_factory=list)
    families: dict[str, float] = field(default_factory=dict)
    text: str = ""
    plural: bool = False
    group: int = 0
    joined: str = ""
    noun: int = -1
    loose: int = 0
    changed: bool = False
    told: bool = False


def finished(draft: Draft, before: Draft | None = None) -> AskedLine:
    """The line a draft has become, and the draft before it."""
    quantity: int | None = draft.quantity
    if not draft.stated and draft.plural and draft.unit == "each":
        quantity = None
    attributes = tuple(
        Attribute(kind, value) for kind, values in draft.facts.items() for value in values if kind not in IGNORED
    )
    return AskedLine(
        draft.text.strip(" ,;:-"),
        quantity,
        draft.unit,
        attributes,
        draft.machine,
        draft.lane.removeprefix("lane ").strip(),
        tuple(draft.words),
        tuple(dict.fromkeys(draft.figures)),
        tuple(dict.fromkeys(draft.codes)),
        tuple(draft.excluded),
        draft.stated,
        draft.vague,
        draft.carried,
        draft.loose,
        tuple(before.words) if before else (),
        draft.told,
    )


def count(draft: Draft, segment: Segment) -> None:
    """Take a segment's count unless one was stated already."""
    if segment.vague and not draft.stated:
        draft.quantity, draft.vague, draft.stated = None, True, True
    elif segment.quantity is not None and (draft.vague or not draft.stated):
        draft.quantity, draft.unit, draft.stated, draft.vague = (
            int(segment.quantity.count),
            segment.quantity.unit,
            not segment.quantity.weak,
            False,
        )


def count_each(draft: Draft, each: Token) -> None:
    """Take the count said for each of several things."""
    draft.quantity, draft.unit, draft.stated, draft.vague = int(each.count), each.unit, True, False


def state(draft: Draft, segment: Segment) -> None:
    """Take a segment's attribute values."""
    for kind, value, _ in segment.facts:
        if kind not in IGNORED and value not in draft.facts.setdefault(kind, []):
            draft.facts[kind].append(value)


def clash(facts: dict[str, list[Value]], segment: Segment) -> bool:
    """Whether a segment gives another value to something already stated."""
    return any(
        kind in facts and value not in facts[kind] and not is_length_beside(kind, value, facts[kind])
        for kind, value, _ in segment.facts
        if kind in _SPLITS
    )


def is_length_beside(kind: str, value: Value, stated: list[Value]) -> bool:
    """Whether a value is a length of metres beside a bore or width: "hose 10 mm, 6 m"."""
    across = [one for one in stated if isinstance(one, float)]
    return kind == "mm" and isinstance(value, float) and value >= _LONG and max(across, default=_LONG) < _LONG / 2


_LONG = 1000.0  # mm


# Kinds whose second value makes a second line; others may hold several values (115/230 V, 12 x 60 mm).
_SPLITS = listed(
    """
    hand rotation volts mm count revision container amps position blow thread ml form colour
    """
)


def copied(draft: Draft) -> Draft:
    """A draft like this one, to be varied."""
    return replace(
        draft,
        words=list(draft.words),
        facts={kind: list(values) for kind, values in draft.facts.items()},
        figures=list(draft.figures),
        codes=list(draft.codes),
        excluded=list(draft.excluded),
    )


def alike(draft: Draft, last: Draft) -> bool:
    """Whether two drafts name the same thing."""
    shared = last.noun >= 0 and draft.noun == last.noun
    return draft is last or shared or (draft.words == last.words and draft.codes == last.codes)


def likeliest(found: dict[str, float]) -> list[str]:
    """The families that are not merely possible."""
    best = max(found.values(), default=0.0)
    return [code for code, share in found.items() if share >= best * 0.5]
