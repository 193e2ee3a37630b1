"""Dated cases: what is near its date by weeks of sale left, what is past it, opening a case, writing off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from partsbin.depot import clock
from partsbin.depot.cases import note_break, per_case, standing_open
from partsbin.depot.catalogue import Item, item_by_id
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, outside
from partsbin.depot.reorder import weekly_use
from partsbin.depot.stock import Holding, holdings_at
from partsbin.desk.monday import USE_WEEKS
from partsbin.errors import Refused
from partsbin.lanes.cases import Pool, as_cases
from partsbin.lanes.dated import Lot, near_date

WITHIN_WEEKS = 8.0


@dataclass(frozen=True, slots=True)
class NearLot:
    """A lot at one place: weeks to its date, its weekly sale, units sales will reach, units left over.

    ``weeks_of_sale`` is how long this lot and those that go before it last at that sale; None when nothing sells.
    """

    item: Item
    lot_id: int
    lot: str
    best_before: date
    place: str
    place_id: int
    held: Pool
    weeks_left: float
    weekly: float
    weeks_of_sale: float | None
    will_sell: int
    left_over: int

    @property
    def past(self) -> bool:
        """Whether its date is over."""
        return self.weeks_left < 0


def near_list(depot: Depot, day: date, within_weeks: float = WITHIN_WEEKS) -> list[NearLot]:
    """Return lots that expire within some weeks or that sales will not use up in time, the most pressing first.

    Sales are the weekly issues of the last ``USE_WEEKS`` weeks, taken first expired first out over all places. What
    did not sell at all is listed only by its date: nothing says how long it lasts.
    """
    use = weekly_use(depot, clock.day_start(day - timedelta(weeks=USE_WEEKS), depot.zone), USE_WEEKS)
    by_item: dict[int, list[tuple[Lot, int, int]]] = {}
    for row in depot.all(
        "SELECT s.item_id, l.code, l.best_before, s.quantity, p.code, l.id, p.id FROM stock s "
        "JOIN lots l ON l.id = s.lot_id JOIN places p ON p.id = s.place_id "
        "WHERE l.best_before <> '' AND s.quantity > 0 AND p.physical = 1 ORDER BY l.best_before, l.code, p.code"
    ):
        lot = Lot(row[1], date.fromisoformat(row[2]), row[3], row[4])
        by_item.setdefault(row[0], []).append((lot, row[5], row[6]))
    found = [
        near
        for item_id, held in by_item.items()
        for near in _near_of(depot, item_by_id(depot, item_id), held, use.get(item_id, 0.0), day, within_weeks)
    ]
    return sorted(found, key=lambda x: (x.best_before, -x.left_over, x.item.part_number, x.place))


def _near_of(
    depot: Depot, item: Item, held: Sequence[tuple[Lot, int, int]], weekly: float, day: date, within: float
) -> list[NearLot]:
    ids = {(lot.code, lot.place): (lot_id, place_id) for lot, lot_id, place_id in held}
    before = 0
    reach: dict[tuple[str, str], float] = {}
    for lot, _, _ in held:
        before += lot.quantity
        reach[lot.code, lot.place] = before / weekly if weekly else 0.0
    return [
        NearLot(
            item=item,
            lot_id=ids[near.lot.code, near.lot.place][0],
            lot=near.lot.code,
            best_before=near.lot.best_before or day,
            place=near.lot.place,
            place_id=ids[near.lot.code, near.lot.place][1],
            held=_pool(depot, near.lot.quantity, *ids[near.lot.code, near.lot.place]),
            weeks_left=near.weeks_left,
            weekly=weekly,
            weeks_of_sale=round(reach[near.lot.code, near.lot.place], 1) if weekly else None,
            will_sell=near.will_sell,
            left_over=near.at_risk,
        )
        for near in near_date([lot for lot, _, _ in held], weekly, day, within_weeks=within)
        if weekly or near.weeks_left <= within
    ]


def _pool(depot: Depot, quantity: int, lot_id: int, place_id: int) -> Pool:
    """What lies there as cases and loose units, the cases standing open as loose ones."""
    pool = as_cases(quantity, per_case(depot, lot_id))
    return pool.open_cases(min(standing_open(depot, lot_id, place_id), pool.cases))


def write_off_past(depot: Depot, operator: Operator, day: date, reason: str, parts: Sequence[str] = ()) -> int:
    """Write off every lot past its date (of some part numbers, or all) to scrap, as one slip; returns its number.

    Refuses without a reason, and when nothing is past its date.
    """
    if not reason.strip():
        message = "A write-off needs a reason: say in a few words why."
        raise Refused(message)
    scrap = outside(depot, "scrap").id
    wanted = {part.upper() for part in parts}
    with depot.write():
        lines = [
            Line(x.item.id, x.place_id, scrap, x.held.each, x.lot_id)
            for x in near_list(depot, day, 0.0)
            if x.best_before < day and (not wanted or x.item.part_number.upper() in wanted)
        ]
        if not lines:
            message = "Nothing here is past its date."
            raise Refused(message)
        return post(depot, "correction", lines, operator=operator, reference="past its date", reason=reason.strip())


@dataclass(frozen=True, slots=True)
class Opened:
    """Cases opened: the pool before and after; both hold the same units."""

    lot: str
    before: Pool
    after: Pool


def open_case(
    depot: Depot,
    operator: Operator,
    item: Item,
    place: Place,
    *,
    cases: int = 1,
    lot: str = "",
    reason: str = "",
) -> Opened:
    """Write down that cases of an item were opened at a place: one case becomes its units, and nothing is lost.

    The lot that must go first is opened unless another is named, which needs a reason while an older one is there.
    """
    held = [h for h in holdings_at(depot, place) if h.item_id == item.id and h.lot_id and h.quantity > 0]
    chosen = _lot_to_open(held, item, place, lot, reason)
    with depot.write():
        size = per_case(depot, chosen.lot_id)
        if size < 2:
            message = f"{item.part_number} has no case size here: give it a pack size on its card."
            raise Refused(message)
        before = _pool(depot, chosen.quantity, chosen.lot_id, chosen.place_id)
        after = before.open_cases(cases)
        note_break(depot, operator, item.id, chosen.lot_id, chosen.place_id, cases, reason)
    return Opened(chosen.lot, before, after)


def _lot_to_open(held: Sequence[Holding], item: Item, place: Place, lot: str, reason: str) -> Holding:
    ordered = sorted(held, key=lambda h: (h.best_before or "9999", h.lot))
    if not ordered:
        message = f"{place.code} holds no cases of {item.part_number}."
        raise Refused(message)
    chosen = next((h for h in ordered if not lot or h.lot.lower() == lot.lower()), None)
    if chosen is None:
        known = ", ".join(h.lot for h in ordered)
        message = f"{place.code} holds no lot {lot} of {item.part_number}. Lots there: {known}."
        raise Refused(message)
    if ordered[0].best_before and ordered[0].best_before < (chosen.best_before or "9999") and not reason.strip():
        message = (
            f"Lot {ordered[0].lot} (best before {ordered[0].best_before}) must go before {chosen.lot}; "
            "open that one, or give a reason for another lot."
        )
        raise Refused(message)
    return chosen
