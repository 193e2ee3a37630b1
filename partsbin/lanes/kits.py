"""The lane kit: what one lane needs to carry another container, as items to take and items that come back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from partsbin.errors import Refused
from partsbin.lanes.containers import Container, Kind
from partsbin.lanes.fit import Fit, SpacerStock, Verdict, fit, lane_capacity
from partsbin.lanes.lane_types import LaneType, Limits, Side, limits_for

MOST_LANES = 100
HAND_WORDS = {"LH": " LEFT", "RH": " RIGHT"}
"""What follows a part number or a size where the part has a hand."""


class Role(StrEnum):
    """What a part does in a lane."""

    SPACER = "spacer"
    COIL = "coil"
    INSERT = "coil insert"
    RETAINER = "retainer"


@dataclass(frozen=True, slots=True)
class LanePart:
    """A stocked part of a lane.

    ``thickness_mm`` for spacers; ``pitch_mm`` and ``turns`` for coils; ``suits`` names the kind of container a retainer
    or insert is for (None: any). ``hand`` is LH, RH or empty. ``reusable`` parts come back to be cleaned and shelved.
    """

    part_number: str
    role: Role
    description: str = ""
    hand: str = ""
    on_hand: int = 0
    thickness_mm: float = 0.0
    pitch_mm: float = 0.0
    turns: int = 0
    suits: Kind | None = None
    reusable: bool = True
    cautions: tuple[str, ...] = ()
    places: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class KitLine:
    """``quantity`` of one item, what it is for, and how many of them stock cannot give."""

    part_number: str
    quantity: int
    role: Role | None = None
    description: str = ""
    hand: str = ""
    lacking: int = 0
    reusable: bool = True
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LaneKit:
    """A change of ``lanes`` lanes to one container.

    ``wanted`` is everything the lanes then carry, ``take`` what must go on the checkout, ``back`` what comes out and
    returns; take and back never share an item. ``fits`` holds one answer per lane of the unit (two when coupled),
    ``per_lane`` the parts each of them then carries.
    """

    container: Container
    lane_type: LaneType
    lanes: int
    fits: tuple[Fit, ...]
    wanted: Mapping[str, int]
    take: tuple[KitLine, ...]
    back: tuple[KitLine, ...]
    per_lane: tuple[Mapping[str, int], ...]
    notes: tuple[str, ...] = ()

    @property
    def capacity(self) -> int:
        """Units one selection holds: one lane, or both of a coupled pair."""
        return sum(f.capacity for f in self.fits)

    @property
    def complete(self) -> bool:
        """True when stock gives every line."""
        return not any(line.lacking for line in self.take)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Caution codes of every part handled, each once, in line order."""
        return tuple(dict.fromkeys(code for line in (*self.take, *self.back) for code in line.cautions))


def change_over(fitted: Mapping[str, int], wanted: Mapping[str, int]) -> tuple[dict[str, int], dict[str, int]]:
    """Items to take and items that come back when ``fitted`` becomes ``wanted``: fitted + take - back = wanted."""
    now, then = Counter(dict(fitted)), Counter(dict(wanted))
    if any(quantity < 0 for quantity in (*now.values(), *then.values())):
        raise Refused("a lane cannot hold less than none of a part; correct the lane chart first")
    return dict(then - now), dict(now - then)


@dataclass(slots=True)
class _Build:
    """Parts gathered so far for one unit (a lane or a coupled pair), and what stock is left for the rest."""

    stock: Counter[str]
    wanted: Counter[str] = field(default_factory=Counter)
    notes: list[str] = field(default_factory=list)

    def add(self, part_number: str, quantity: int = 1) -> None:
        self.wanted[part_number] += quantity
        self.stock[part_number] -= quantity


def lane_kit(
    container: Container,
    lane_type: LaneType,
    parts: Sequence[LanePart],
    limits: Limits | None = None,
    *,
    lanes: int = 1,
    fitted: Mapping[str, int] | None = None,
) -> LaneKit:
    """Work out the kit that turns ``lanes`` lanes to ``container``.

    ``fitted`` is what those lanes carry together now (from the lane chart); parts already there are used again.
    Without it the lane type's own coil is taken to be in place and stays when its pitch suits. Coupled lane types
    change in pairs, the right-hand lane mirrored. Raises Refused, with the reason in mm, when it does not fit.
    """
    limits = limits or limits_for(container)
    pair = 2 if lane_type.coupled else 1
    _check_count(lane_type, lanes, pair)
    units = lanes // pair
    have = Counter({p.part_number: p.on_hand for p in parts}) + Counter(dict(fitted or {}))
    build = _Build(Counter({part: quantity // units for part, quantity in have.items()}))
    answers = [
        _one_lane(build, container, lane, parts, limits, hand if pair == 2 else "", fitted)
        for lane, hand in ((lane_type, "LH"), (lane_type.mirrored(), "RH"))[:pair]
    ]
    fits = tuple(answer for answer, _ in answers)
    wanted = {part: quantity * units for part, quantity in build.wanted.items()}
    take, back = change_over(fitted or {}, wanted)
    notes = tuple(dict.fromkeys((*build.notes, *(note for f in fits for note in f.notes))))
    return LaneKit(
        container,
        lane_type,
        lanes,
        fits,
        wanted,
        _lines(take, parts, short=True),
        _lines(back, parts),
        tuple(inside for _, inside in answers),
        notes,
    )


def _one_lane(
    build: _Build,
    container: Container,
    lane: LaneType,
    parts: Sequence[LanePart],
    limits: Limits,
    hand: str,
    fitted: Mapping[str, int] | None,
) -> tuple[Fit, Mapping[str, int]]:
    """Add the parts of one lane to the kit; what fits it, and the parts it then carries."""
    before = build.wanted.copy()
    lane = _with_coil(build, container, lane, parts, limits, hand, fitted)
    answer = _with_spacers(build, container, lane, parts, limits)
    for role in (Role.INSERT, Role.RETAINER):
        _with_part(build, container, lane, parts, role, fitted or {})
    return answer, build.wanted - before


def spacer_stock(parts: Iterable[LanePart]) -> list[SpacerStock]:
    """The spacers among ``parts``, as :func:`~partsbin.lanes.fit.fit` takes them."""
    return [
        SpacerStock(p.part_number, p.thickness_mm, p.hand, max(0, p.on_hand), p.places)
        for p in parts
        if p.role is Role.SPACER
    ]


def _check_count(lane_type: LaneType, lanes: int, pair: int) -> None:
    if not 1 <= lanes <= MOST_LANES:
        raise Refused(f"cannot change {lanes} lanes; give 1 to {MOST_LANES}")
    if lanes % pair:
        raise Refused(
            f"{lane_type.code} lanes work in pairs and change together: ask for {lanes + 1}, not {lanes}, "
            "so that no coil of one hand goes out without its partner"
        )


def _with_coil(
    build: _Build,
    container: Container,
    lane: LaneType,
    parts: Sequence[LanePart],
    limits: Limits,
    hand: str,
    fitted: Mapping[str, int] | None,
) -> LaneType:
    """The lane with the coil it will run: the one in it if that suits, else the best of the listed coils."""
    coils = [p for p in parts if p.role is Role.COIL and (not hand or p.hand == hand)]
    suits = {p.part_number: lane_capacity(container, lane.with_coil(p.pitch_mm, p.turns), limits)[0] for p in coils}
    in_place = next((p for p in coils if (fitted or {}).get(p.part_number) and suits[p.part_number]), None)
    if in_place:
        build.add(in_place.part_number)
        return lane.with_coil(in_place.pitch_mm, in_place.turns)
    own, reason = lane_capacity(container, lane, limits)
    if own and not any((fitted or {}).get(p.part_number) for p in coils):
        build.notes.append(f"the coil stays: {lane.coil_pitch_mm:g} mm pitch suits")
        return lane
    best = min(
        (p for p in coils if suits[p.part_number]),
        key=lambda p: (build.stock[p.part_number] <= 0, -suits[p.part_number], p.part_number),
        default=None,
    )
    if best is None:
        raise Refused(f"{container.name} does not fit {lane.code}: {reason or 'no listed coil suits'}")
    build.add(best.part_number)
    return lane.with_coil(best.pitch_mm, best.turns)


def _with_spacers(
    build: _Build, container: Container, lane: LaneType, parts: Sequence[LanePart], limits: Limits
) -> Fit:
    spacers = spacer_stock(replace(p, on_hand=build.stock[p.part_number]) for p in parts)
    answer = fit(container, lane, spacers, limits)
    if answer.verdict is Verdict.NO_FIT or answer.best is None:
        raise Refused(answer.sentence())
    for part, quantity in answer.best.items:
        build.add(part, quantity)
    return answer


def _with_part(
    build: _Build,
    container: Container,
    lane: LaneType,
    parts: Sequence[LanePart],
    role: Role,
    fitted: Mapping[str, int],
) -> None:
    """One insert or retainer of the lane's hand: the one in it, else one in stock, made for this kind before any."""
    hand = "RH" if lane.spacer_side is Side.RIGHT else "LH"
    suits = [p for p in parts if p.role is role and p.suits in (None, container.kind) and p.hand in ("", hand)]

    def rank(part: LanePart) -> tuple[bool, bool, bool, str]:
        stocked = build.stock[part.part_number] > 0
        return not (stocked and fitted.get(part.part_number)), not stocked, part.suits is None, part.part_number

    best = min(suits, key=rank, default=None)
    if best is None:
        build.notes.append(f"no {role.value} for a {container.kind.value} is listed: use the one in the lane")
    else:
        build.add(best.part_number)


def _lines(quantities: Mapping[str, int], parts: Iterable[LanePart], *, short: bool = False) -> tuple[KitLine, ...]:
    known = {p.part_number: p for p in parts}
    order = list(Role)
    lines = [_line(part, quantity, known.get(part), short=short) for part, quantity in quantities.items()]
    return tuple(sorted(lines, key=lambda x: (order.index(x.role) if x.role else len(order), x.part_number)))


def _line(part_number: str, quantity: int, part: LanePart | None, *, short: bool) -> KitLine:
    if part is None:
        return KitLine(part_number, quantity)
    lacking = max(0, quantity - max(0, part.on_hand)) if short else 0
    line = KitLine(part_number, quantity, part.role, part.description, part.hand, lacking)
    return replace(line, reusable=part.reusable, cautions=part.cautions)
