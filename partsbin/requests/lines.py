"""Segments written up as lines: qualifiers joined to what they qualify, variants split, changes and cancellations honoured."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from partsbin.requests.describe import families
from partsbin.requests.index import Index
from partsbin.requests.measures import Value
from partsbin.requests.segments import Segment, usual_of
from partsbin.requests.types import AskedLine, Attribute
from partsbin.requests.words import Words

_IGNORED = frozenset(("money", "degrees", "figure"))
_EVERYTHING = frozenset(("everything", "all", "lot", "both"))
_LAST = frozenset(("that", "it", "those", "them", "last", "one", "these", "this"))


@dataclass(slots=True)
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


class Book:
    """The lines of one message as they are read."""

    def __init__(self, words: Words, index: Index | None) -> None:
        self.words = words
        self.index = index
        self.drafts: list[Draft] = []
        self.cancelled: list[AskedLine] = []
        self.unread: list[str] = []
        self.intents: list[tuple[str, str]] = []
        self.machine = ""
        self._current_machine = ""
        self._group = 0
        self._each = 0.0
        self._header: Draft | None = None
        self._pending: list[Segment] = []

    def lines(self) -> list[AskedLine]:
        """The finished lines."""
        return [_line(draft) for draft in self.drafts]

    def note_machine(self, segments: list[Segment]) -> None:
        """Remember a machine that was only talked about."""
        for segment in segments:
            if segment.machine:
                self._say_machine(segment.machine)

    def _say_machine(self, name: str) -> None:
        self._current_machine = name
        self.machine = self.machine or name

    def read(self, segments: list[Segment], text: str) -> None:
        """Write up one sentence."""
        self._group += 1
        self._each = 0.0
        self._header = None
        self._pending = []
        first = len(self.drafts)
        for position, segment in enumerate(segments):
            segment_text = _cut(text, segment, segments)
            self._segment(segment, segment_text, segments[position + 1 :])
        for segment in self._pending:
            self._headless(segment, _cut(text, segment, segments), [])
        self._machine_behind(first, segments)

    def take(self, segment: Segment, text: str) -> None:
        """Write up one segment as a line whatever it holds."""
        self._say(self._draft(segment, text))

    def _machine_behind(self, first: int, segments: list[Segment]) -> None:
        """A machine named at a sentence's end holds for its earlier lines too."""
        named = next((segment.machine for segment in reversed(segments) if segment.machine), "")
        if not named:
            return
        for draft in self.drafts[first:]:
            if not draft.machine or draft.carried:
                draft.machine, draft.carried = named, True

    def _segment(self, segment: Segment, text: str, later: list[Segment]) -> None:
        if segment.negated and self._take_back(segment, text):
            return
        if segment.amends and self._amend(segment, text):
            return
        if segment.each and not segment.head:
            self._each_of(segment)
            return
        if segment.machine and not segment.head and not segment.quantity:
            self._say_machine(segment.machine)
            if self.drafts and self.drafts[-1].group == self._group and not self.drafts[-1].machine:
                self.drafts[-1].machine = segment.machine
        if segment.head:
            self._headed(segment, text, later)
        else:
            self._headless(segment, text, later)

    # Lines with a thing in them

    def _headed(self, segment: Segment, text: str, later: list[Segment]) -> None:
        last = self._last_in_group()
        if last is not None and self._same_thing(last, segment):
            self._merge(last, segment, text)
            return
        draft = self._draft(segment, text)
        self._resolve_pending(draft)
        if segment.each:
            draft.quantity, draft.stated = int(segment.each), True
            self._each = segment.each
        elif self._each and not draft.stated:
            draft.quantity, draft.stated = int(self._each), True
        self._split_hands(draft, segment)

    def _split_hands(self, draft: Draft, segment: Segment) -> None:
        """Both hands in one breath ("left right spacers") are two lines, and so are both rotations."""
        for kind in ("hand", "rotation"):
            values = draft.facts.get(kind, [])
            if len(values) == 2 and not draft.excluded:
                self._say(draft)
                paired = draft.unit == "pair"
                other = _copy(draft)
                draft.facts[kind], other.facts[kind] = values[:1], values[1:]
                draft.plural = other.plural = False
                if paired:
                    draft.unit = other.unit = "each"
                self._say(other)
                return
        del segment
        self._say(draft)

    def _say(self, draft: Draft) -> None:
        if draft not in self.drafts:
            self.drafts.append(draft)

    def _last_in_group(self) -> Draft | None:
        return self.drafts[-1] if self.drafts and self.drafts[-1].group == self._group else None

    def _same_thing(self, last: Draft, segment: Segment) -> bool:
        """Whether a segment says again, or more closely, what the last line is."""
        if (
            (segment.quantity and last.stated)
            or segment.vague
            or segment.joined in ("and", "plus", "also", "+", "&", "then", "run")
        ):
            return False
        if last.codes and not segment.codes and not segment.quantity:
            return self._code_is(last.codes, segment)
        if segment.codes and not last.codes and not last.stated:
            return self._code_is(segment.codes, segment, last)
        if segment.codes or last.codes:
            return False
        if _clash(last.facts, segment):
            return False
        shared = set(last.families) & set(segment.families)
        new = [word for word in self._usual(segment.words) if word in self.words.family_words]
        old = self._usual(last.words)
        if shared and segment.quantity is None and set(new) != set(old):
            return True
        both = families(self.words, [*old, *new])
        pattern_grew = bool(both) and not (set(both) <= set(last.families) | set(segment.families))
        return pattern_grew and segment.quantity is None and len(new) == 1 and segment.joined in (",", "(", "-")

    def _code_is(self, codes: list[str], segment: Segment, last: Draft | None = None) -> bool:
        named = set(last.families if last else segment.families)
        if self.index is None or not named:
            return not named
        hit = self.index.numbers.find(codes[0])
        if hit is None:
            return False
        return any(
            set(self.index.view(self.index.slot(one)).families) & named for one in hit.item_ids if one in self.index
        )

    def _usual(self, said: list[str]) -> list[str]:
        return usual_of(self.words, *said)

    def _merge(self, draft: Draft, segment: Segment, text: str) -> None:
        draft.words += [word for word in segment.words if word not in draft.words]
        draft.codes += segment.codes
        draft.figures += segment.figures
        _state(draft, segment)
        _count(draft, segment)
        draft.families = draft.families or segment.families
        draft.machine = segment.machine or draft.machine
        draft.lane = segment.lane or draft.lane
        draft.text = f"{draft.text}, {text}" if text and text not in draft.text else draft.text

    def _draft(self, segment: Segment, text: str) -> Draft:
        draft = Draft(
            list(segment.words),
            group=self._group,
            text=text,
            families=segment.families,
            plural=segment.plural,
            joined=segment.joined,
        )
        draft.codes = list(segment.codes)
        draft.figures = list(segment.figures)
        draft.lane = segment.lane
        _state(draft, segment)
        _count(draft, segment)
        if segment.machine:
            draft.machine = segment.machine
            self._say_machine(segment.machine)
        elif self._current_machine:
            draft.machine, draft.carried = self._current_machine, True
        return draft

    # Stretches that name nothing themselves

    def _headless(self, segment: Segment, text: str, later: list[Segment]) -> None:
        last = self._last_in_group()
        heads_later = any(one.head for one in later)
        facts = [fact for fact in segment.facts if fact[0] not in _IGNORED]
        counted = segment.quantity is not None or segment.vague
        if counted and segment.unknown and not self._is_qualifier(segment):
            self._say(self._draft(segment, text))
        elif last is None and heads_later and (facts or counted or segment.figures):
            self._pending.append(segment)
        elif last is not None and self._is_variant(last, segment, heads_later):
            self._vary(last, segment, text)
        elif last is not None and (facts or counted or segment.figures or segment.lane or segment.unknown):
            self._qualify(last, segment, text, heads_later)
        elif last is None and counted and facts and self.drafts and self.drafts[-1].words:
            self._vary(self.drafts[-1], segment, text)
        elif last is None and counted and self.drafts and not self.drafts[-1].stated and segment not in self._pending:
            _count(self.drafts[-1], segment)
        elif (facts or segment.figures) and last is None and self.drafts and not segment.unknown:
            self._qualify(self.drafts[-1], segment, text, heads_later=False)
        elif segment.unknown or (counted and not heads_later):
            self.unread.append(text)

    def _is_qualifier(self, segment: Segment) -> bool:
        return all(word not in segment.unknown for word in segment.words)

    def _is_variant(self, last: Draft, segment: Segment, heads_later: bool) -> bool:
        """Same thing, other value: "and 2 right", "1 rh", "4 of the 6"."""
        if last.codes and not last.words:
            return False
        clash = _clash(last.facts, segment)
        counted = segment.quantity is not None
        if clash and (counted or segment.joined in ("and", "plus", "&", "+", "also", "/", "run", ",")):
            return True
        if counted and last.stated and (segment.figures or segment.facts) and not heads_later:
            return True
        if counted and segment.facts and not last.stated and last is self._header:
            return True
        return bool(counted and segment.facts and any(kind == "hand" for kind, _, _ in segment.facts))

    def _vary(self, last: Draft, segment: Segment, text: str) -> None:
        kinds = {kind for kind, _, _ in segment.facts}
        first_variant = (
            not (set(last.facts) & kinds) and not last.figures and (not last.stated or self._totals(last, segment))
        )
        if first_variant:
            # "Spacers: 3 left 3 right": the noun stood alone until now.
            last.stated = False
            _state(last, segment)
            _count(last, segment)
            last.figures += segment.figures
            self._header = last
            return
        other = _copy(last)
        for kind in kinds:
            other.facts.pop(kind, None)
        other.figures = list(segment.figures) or other.figures
        for kind, rival in (("sides", "hand"), ("hand", "sides")):
            if kind in kinds:
                other.facts.pop(rival, None)
        if segment.figures and not kinds & {"mm", "count"}:
            other.facts.pop("mm", None)
            other.facts.pop("count", None)
        _state(other, segment)
        if segment.quantity is None and not segment.vague and last.unit == "pair":
            last.unit = other.unit = "each"
        other.stated = False if segment.quantity or segment.vague else other.stated
        _count(other, segment)
        other.text = text
        other.lane = segment.lane or other.lane
        self._say(other)

    def _totals(self, last: Draft, segment: Segment) -> bool:
        """ "4 spacers, 2 left 2 right": the first figure is the sum of those behind it."""
        return segment.quantity is not None and last.quantity is not None and segment.quantity.count < last.quantity

    def _qualify(self, last: Draft, segment: Segment, text: str, heads_later: bool) -> None:
        del heads_later
        targets = [draft for draft in self.drafts if draft.group == last.group and _alike(draft, last)] or [last]
        for draft in targets:
            for kind, value, _ in segment.facts:
                if kind not in _IGNORED and kind not in draft.facts:
                    draft.facts[kind] = [value]
            if draft is last or len(targets) > 1:
                draft.figures += segment.figures
        last.words += [word for word in segment.words if word not in last.words]
        last.lane = segment.lane or last.lane
        if segment.quantity is not None or segment.vague:
            if not last.stated:
                _count(last, segment)
            elif (
                segment.quantity is not None
                and segment.quantity.count != last.quantity
                and segment.figures == []
                and not segment.facts
            ):
                last.figures.append(segment.quantity.count)
        if text and text not in last.text:
            last.text = f"{last.text}, {text}" if last.text else text

    def _resolve_pending(self, draft: Draft) -> None:
        """Counts and values said before their noun: "2 lh and 2 rh spacers", "left and right coils"."""
        waiting, self._pending = self._pending, []
        for segment in waiting:
            if _clash(draft.facts, segment) or (segment.quantity is not None and draft.stated and segment.facts):
                other = _copy(draft)
                for kind, _, _ in segment.facts:
                    other.facts.pop(kind, None)
                draft.plural = other.plural = False
                _state(other, segment)
                if segment.quantity is not None or segment.vague:
                    other.stated = False
                    _count(other, segment)
                    if not draft.stated:
                        draft.quantity = other.quantity
                    if other.unit == "pair":
                        other.unit, draft.unit, other.quantity, draft.quantity = "each", "each", 1, 1
                other.text = " ".join(token.text for token in segment.tokens) + " " + draft.text
                self._say(other)
            else:
                _state(draft, segment)
                draft.figures += segment.figures
                draft.lane = draft.lane or segment.lane
                if not draft.stated:
                    _count(draft, segment)

    def _each_of(self, segment: Segment) -> None:
        here = [draft for draft in self.drafts if draft.group == self._group]
        if not here:
            self._each = segment.each
        for draft in here:
            draft.quantity, draft.stated, draft.unit, draft.vague = int(segment.each), True, "each", False
            _state(draft, segment)

    # Taking back and changing

    def _take_back(self, segment: Segment, text: str) -> bool:
        words = set(segment.words)
        if segment.head:
            for draft in self._matching(segment):
                self._cancel(draft)
                return True
            if not any(one in ("keep", "fine", "ok") for one in words):
                self.cancelled.append(replace(_line(self._draft(segment, text)), text=text))
                self.intents.append(("cancel", text))
            return True
        if segment.facts or segment.figures:
            return self._exclude(segment)
        if words & _EVERYTHING:
            for draft in list(self.drafts):
                self._cancel(draft)
            return True
        if words & _LAST and self.drafts and not segment.amends:
            self._cancel(self.drafts[-1])
            return True
        return segment.quantity is not None

    def _exclude(self, segment: Segment) -> bool:
        """ "lh not rh", "not the 115": a value that is not meant."""
        last = self.drafts[-1] if self.drafts else None
        if last is None:
            self._pending.append(segment)
            self._pending.pop()
            return True
        for kind, value, _ in segment.facts:
            if value in last.facts.get(kind, []) and len(last.facts[kind]) > 1:
                last.facts[kind].remove(value)
            last.excluded.append(value if isinstance(value, str) else f"{value:g}")
        return True

    def _cancel(self, draft: Draft) -> None:
        self.drafts = [one for one in self.drafts if one is not draft]
        self.cancelled.append(_line(draft))

    def _matching(self, segment: Segment) -> list[Draft]:
        """Earlier lines a segment speaks of again, the latest first."""
        found = []
        for draft in reversed(self.drafts):
            same_code = bool(set(segment.codes) & set(draft.codes))
            same_family = bool(set(_likeliest(segment.families)) & set(_likeliest(draft.families)))
            if same_code or (same_family and not _clash(draft.facts, segment)):
                found.append(draft)
        return found

    def _amend(self, segment: Segment, text: str) -> bool:
        if not self.drafts:
            return False
        if (
            not segment.head
            and not segment.quantity
            and not segment.facts
            and not segment.vague
            and not segment.figures
        ):
            return True
        matching = self._matching(segment) if segment.head else self.drafts[-1:]
        if matching:
            self._change(matching[0], segment)
            return True
        opening = " ".join(token.text for token in segment.tokens[:6])
        if segment.head and any(
            phrase in opening for phrase in ("make that", "make it", "change that", "change it", "i mean", "meant")
        ):
            old = self.drafts[-1]
            new = self._draft(segment, text)
            if not new.stated:
                new.quantity, new.unit, new.stated = old.quantity, old.unit, old.stated
            self._cancel(old)
            self._say(new)
            return True
        return False

    def _change(self, draft: Draft, segment: Segment) -> None:
        for kind, value, _ in segment.facts:
            if kind not in _IGNORED:
                draft.facts[kind] = [value]
        draft.figures = list(segment.figures) or draft.figures
        if segment.quantity is not None or segment.vague:
            draft.stated = False
            _count(draft, segment)
        draft.words += [word for word in segment.words if word not in draft.words and segment.head]


def _line(draft: Draft) -> AskedLine:
    quantity: int | None = draft.quantity
    if not draft.stated and draft.plural:
        quantity = None
    attributes = tuple(
        Attribute(kind, value) for kind, values in draft.facts.items() for value in values if kind not in _IGNORED
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
    )


def _count(draft: Draft, segment: Segment) -> None:
    if segment.vague and not draft.stated:
        draft.quantity, draft.vague, draft.stated = None, True, True
    elif segment.quantity is not None and not draft.stated:
        draft.quantity, draft.unit, draft.stated, draft.vague = (
            int(segment.quantity.count),
            segment.quantity.unit,
            True,
            False,
        )


def _state(draft: Draft, segment: Segment) -> None:
    for kind, value, _ in segment.facts:
        if kind not in _IGNORED and value not in draft.facts.setdefault(kind, []):
            draft.facts[kind].append(value)


def _clash(facts: dict[str, list[Value]], segment: Segment) -> bool:
    """Whether a segment gives another value to something already stated."""
    return any(kind in facts and value not in facts[kind] for kind, value, _ in segment.facts if kind in _SPLITS)


# Kinds whose second value makes a second line; others may hold several values (115/230 V, 12 x 60 mm).
_SPLITS = frozenset(
    (
        "hand",
        "rotation",
        "volts",
        "mm",
        "count",
        "revision",
        "container",
        "amps",
        "position",
        "blow",
        "thread",
        "ml",
        "form",
        "colour",
    )
)


def _copy(draft: Draft) -> Draft:
    return replace(
        draft,
        words=list(draft.words),
        facts={kind: list(values) for kind, values in draft.facts.items()},
        figures=list(draft.figures),
        codes=list(draft.codes),
        excluded=list(draft.excluded),
    )


def _alike(draft: Draft, last: Draft) -> bool:
    return draft is last or (draft.words == last.words and draft.codes == last.codes)


def _likeliest(found: dict[str, float]) -> list[str]:
    best = max(found.values(), default=0.0)
    return [code for code, share in found.items() if share >= best * 0.5]


def _cut(text: str, segment: Segment, segments: list[Segment]) -> str:
    base = min(one.start for one in segments)
    return text[segment.start - base : segment.end - base].strip(" ,;:-")
