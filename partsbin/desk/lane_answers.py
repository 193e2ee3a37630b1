"""Which spacers, how many, or why not: a container in a lane, answered from the depot's own items and stock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby

from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, lanes_of
from partsbin.depot.places import Place
from partsbin.desk.lane_limits import limits_of
from partsbin.desk.lanes import (
    chart,
    find_lane,
    lane_parts,
    lane_types,
    listed_parts,
    the_containers,
    the_lane_types,
    with_partners,
)
from partsbin.errors import Refused
from partsbin.lanes.chart import fitted_parts
from partsbin.lanes.containers import Container
from partsbin.lanes.fit import Fit, Verdict, fit
from partsbin.lanes.kits import HAND_WORDS, LaneKit, LanePart, lane_kit, spacer_stock
from partsbin.lanes.lane_types import LaneType

MOST_ANSWERS = 6


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a container is to go: a lane type and how many lanes, or the ``rows`` of lanes of one machine."""

    lane_type: LaneType
    lanes: int = 1
    rows: tuple[LaneRow, ...] = ()


@dataclass(frozen=True, slots=True)
class LaneAnswer:
    """One container in one spot: the fit, the lane parts it may name, the kit or why there is none."""

    fit: Fit
    parts: tuple[LanePart, ...]
    kit: LaneKit | None
    no_kit: str = ""
    rows: tuple[LaneRow, ...] = ()

    def part(self, part_number: str) -> LanePart | None:
        """The lane part with this number; None for one that is fitted but no lane part of this machine."""
        return next((p for p in self.parts if p.part_number == part_number), None)


def answer_all(depot: Depot, pairs: Iterable[tuple[Container, Spot]], van: Place | None = None) -> Iterator[LaneAnswer]:
    """Work out containers in their spots from the depot's stock; in lanes of a machine, what differs from now."""
    listed = listed_parts(depot)
    parts_of = cache(lambda family: tuple(lane_parts(depot, family, van, listed)))
    return (_answer(depot, container, spot, parts_of(spot.lane_type.family)) for container, spot in pairs)


def _answer(depot: Depot, container: Container, spot: Spot, parts: tuple[LanePart, ...]) -> LaneAnswer:
    kind, rows = spot.lane_type, spot.rows
    limits = limits_of(depot, container)
    found = fit(container, kind, spacer_stock(parts), limits)
    if found.verdict is Verdict.NO_FIT:
        return LaneAnswer(found, parts, None, "; ".join(found.reasons), rows)
    lanes = len(rows) or (spot.lanes + spot.lanes % 2 if kind.coupled else spot.lanes)
    fitted = fitted_parts(chart(rows)) if rows else None
    try:
        return LaneAnswer(found, parts, lane_kit(container, kind, parts, limits, lanes=lanes, fitted=fitted), "", rows)
    except Refused as refused:
        return LaneAnswer(found, parts, None, str(refused), rows)


def answers(depot: Depot, container: str, lane: str, van: Place | None = None) -> list[LaneAnswer]:
    """Answer ``container`` in ``lane``, each by code or by words; several where the words allow several.

    Without a lane every lane type is tried, the best first. Refuses words that mean nothing here, with the nearest
    three, and words that leave too much open.
    """
    found = the_containers(depot, container)
    pairs = [(c, spot) for c in found for spot in _spots_named(depot, lane)]
    if lane.strip() and len(pairs) > MOST_ANSWERS:
        which = " or ".join(dict.fromkeys(c.name for c, _ in pairs))
        types = " or ".join(dict.fromkeys(spot.lane_type.code for _, spot in pairs))
        message = f"“{container}” in “{lane}” leaves too much open: {which}? {types}?"
        raise Refused(message)
    out = answer_all(depot, pairs, van)
    return list(out) if lane.strip() else best_first(out)


def _spots_named(depot: Depot, lane: str) -> list[Spot]:
    if not lane.strip():
        return [Spot(kind) for kind in lane_types(depot)]
    row = find_lane(depot, lane)
    return spots_of(depot, [row]) if row else [Spot(kind) for kind in the_lane_types(depot, lane)]


def spots_of(depot: Depot, chosen: Sequence[LaneRow]) -> list[Spot]:
    """Return lanes of one machine by type, those that work in pairs with their partners."""
    kinds = {kind.code: kind for kind in lane_types(depot)}
    spots = []
    for code, group in groupby(sorted(chosen, key=lambda row: row.lane_type), key=lambda row: row.lane_type):
        rows = with_partners(lanes_of(depot, chosen[0].asset), list(group), kinds[code])
        spots.append(Spot(kinds[code], len(rows), tuple(rows)))
    return spots


def best_first(found: Iterable[LaneAnswer]) -> list[LaneAnswer]:
    """Return answers, those that fit from stock first, then the most a lane holds, then the narrowest lane."""
    order = list(Verdict)
    return sorted(found, key=lambda x: (order.index(x.fit.verdict), -x.fit.capacity, x.fit.lane_type.width_mm))


def answer_lines(answer: LaneAnswer, *, most: int = 3) -> list[str]:
    """Return one answer in lines for people: verdict, spacer sets as items with hand and stock, capacity, kit.

    For lanes of a machine the kit, which is what differs from now, comes before the sets.
    """
    found = answer.fit
    out = [found.sentence() + "."]
    if found.unconfirmed and found.verdict is not Verdict.NO_FIT:
        out.append(f"Unconfirmed: {found.unconfirmed}.")
    sets, kit = _set_lines(answer, most), _kit_lines(answer)
    return out + (kit + sets if answer.rows else sets + kit)


def _set_lines(answer: LaneAnswer, most: int) -> list[str]:
    found, out = answer.fit, []
    for number, spacers in enumerate((*found.sets, *found.unstocked)[:most], 1):
        lacking = "  (not in stock)" if spacers.lacking else ""
        out.append(f"{number}. {spacers.words()}: {spacers.slack_mm:g} mm play{lacking}")
        out += [f"   {_part_words(answer, part, quantity)}" for part, quantity in spacers.items]
    return out


def _kit_lines(answer: LaneAnswer) -> list[str]:
    kit = answer.kit
    if kit is None:
        return [f"No kit: {answer.no_kit}"] if answer.fit.verdict is not Verdict.NO_FIT else []
    lanes = "+".join(row.lane for row in answer.rows)
    where = (
        f"{answer.rows[0].asset} lane {lanes}" if answer.rows else "lane" if kit.lanes == 1 else f"{kit.lanes} lanes"
    )
    other = dict.fromkeys(row.container for row in answer.rows if row.container not in ("", kit.container.code))
    now = f", set up for {' and '.join(other)} now" if other else ""
    out = [f"Kit for {where}{now}, holding {kit.capacity}:"]
    out += [f"   {_part_words(answer, x.part_number, x.quantity)}" for x in kit.take]
    out += [f"   comes back: {_part_words(answer, x.part_number, x.quantity)}" for x in kit.back]
    if not kit.take and not kit.back:
        out.append("   nothing needed: what is on record there suits it" if answer.rows else "   nothing needed")
    return out + [f"   note: {note}" for note in kit.notes if note != answer.fit.unconfirmed]


def _part_words(answer: LaneAnswer, number: str, quantity: int) -> str:
    part = answer.part(number)
    if part is None:
        return f"{quantity} x {number}"
    where = ", ".join(f"{place} {held}" for place, held in part.places[:3]) or "none in the depot"
    return f"{quantity} x {number}{HAND_WORDS.get(part.hand, '')}  {part.description}  [{where}]"
