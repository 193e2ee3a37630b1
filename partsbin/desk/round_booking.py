"""Sales booked once, from readings of machines.

The rule is fill for fill. Drinks are on the depot's books until they go into a machine. What a reading shows as sold
since the reading before is what the visit puts back in, so it is booked out of the van that fills the machine, as one
issue for each machine: that issue is the demand planning sees. A van cannot give what it does not hold: the rest stays
open and is booked at the next posting once the van was loaded, or closed as filled already. Nothing is booked twice,
and of any selection never more than it sold.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from partsbin.depot.audits import (
    KeptCount,
    KeptReading,
    OpenUnits,
    is_taken,
    keep_reading,
    last_reading,
    make_good,
    open_units,
)
from partsbin.depot.catalogue import Item, item_by_id
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.machines import MachineRow, find_machine, lanes_of, set_lane_count
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, outside, place_by_id
from partsbin.depot.pulling import oldest_first
from partsbin.depot.stock import holdings_at
from partsbin.desk.lanes import chart
from partsbin.desk.rounds import Look, MachineReading, by_selection, changed_after, sold_here
from partsbin.desk.today import today
from partsbin.exchange.audit import selection_key
from partsbin.lanes.chart import Lane, coupled_lanes, selections
from partsbin.lanes.coupled import sell


@dataclass(frozen=True, slots=True)
class Booked:
    """What posting did for one machine: the issue slip (None: nothing booked), units on it, what stays open and why."""

    machine: MachineRow
    slip: int | None
    units: int
    open: tuple[tuple[Item, int], ...]
    note: str = ""


def take(depot: Depot, operator: Operator, found: Look, van: Place | None = None) -> list[Booked]:
    """Keep the new readings and book what was sold, one issue for each machine; all of it or nothing.

    ``van`` fills machines that have none of their own. A reading taken before books nothing new; what stayed open
    is tried again.
    """
    with depot.write():
        for reading in found.readings:
            if not reading.taken and not is_taken(depot, reading.reading.fingerprint):
                _keep(depot, reading)
        machines = {r.machine.asset: r.machine for r in found.readings}
        return [_book(depot, operator, machine, van) for machine in machines.values()]


def _keep(depot: Depot, found: MachineReading) -> None:
    """Keep a reading with the drink each selection sold, and take what was sold out of the counts of the lanes."""
    machine, reading = found.machine, found.reading
    units = found.sold.by_selection() if found.sold else {}
    rows = lanes_of(depot, machine.asset)
    known = by_selection(rows)
    before = last_reading(depot, machine.asset)
    drinks = {selection_key(c.selection): c.item_id for c in (before[1] if before else ())}
    drinks |= {key: row.item_id for key, row in known.items() if not changed_after(row, reading)}
    counts = [
        KeptCount(
            *(known[s.number].keyed if s.number in known else s.number, s.product, s.sold),
            *(drinks.get(s.number), units.get(s.number, 0)),
        )
        for s in reading.selections
        if s.sold is not None
    ]
    board = reading.device("control board")
    read_at = reading.read_at.isoformat(sep=" ") if reading.read_at else ""
    keep_reading(
        depot,
        KeptReading(
            *(reading.fingerprint, machine.asset, reading.serial, board.serial if board else "", read_at),
            *(reading.vends, int(reading.checked)),
        ),
        counts,
    )
    here = sold_here(depot, found)
    for selection, lanes in selections(chart(rows)).items():
        left, _ = sell(coupled_lanes(lanes), here.get(selection, 0))
        for lane in left:
            set_lane_count(depot, machine.asset, lane.lane, lane.count)


def _book(depot: Depot, operator: Operator, machine: MachineRow, other: Place | None) -> Booked:
    waiting = open_units(depot, machine.asset)
    van = place_by_id(depot, machine.van) if machine.van else other
    if van is None:
        note = f"no van fills {machine.asset}: say which, then post again" if waiting else ""
        return Booked(machine, None, 0, _summed(depot, waiting), note)
    lines: list[Line] = []
    rest: list[OpenUnits] = []
    free = _aboard(depot, van, today(depot))
    for sold in waiting:
        given = _give(free.get(sold.item_id, []), sold, outside(depot, "job"), lines)
        if given:
            make_good(depot, sold, given)
            _fill(depot, machine, sold.selection, given)
        if given < sold.units:
            rest.append(replace(sold, units=sold.units - given))
    reference = f"{machine.asset} filled from {van.code}"
    slip = (
        post(depot, "issue", lines, operator=operator, reference=reference, reason="audit reading") if lines else None
    )
    note = f"{van.code} does not hold the rest: load it, then post again" if rest else ""
    return Booked(machine, slip, sum(line.quantity for line in lines), _summed(depot, rest), note)


def _summed(depot: Depot, waiting: Iterable[OpenUnits]) -> tuple[tuple[Item, int], ...]:
    total: Counter[int] = Counter()
    for sold in waiting:
        total[sold.item_id] += sold.units
    return tuple((item_by_id(depot, item_id), units) for item_id, units in total.items())


@dataclass(slots=True)
class _Held:
    """What the van still has of one lot at one place while a posting is put together."""

    place_id: int
    lot_id: int | None
    left: int


def _aboard(depot: Depot, van: Place, day: date) -> dict[int, list[_Held]]:
    """What may leave a van, by item, first expired first; nothing past its date."""
    held = [h for h in holdings_at(depot, van) if not h.best_before or h.best_before >= str(day)]
    free: dict[int, list[_Held]] = {}
    for h in oldest_first(held):
        free.setdefault(h.item_id, []).append(_Held(h.place_id, h.lot_id or None, h.quantity))
    return free


def _give(held: Iterable[_Held], sold: OpenUnits, job: Place, lines: list[Line]) -> int:
    """Add the moves for one selection as far as the van's stock goes; returns the units given."""
    given = 0
    for lot in held:
        units = min(lot.left, sold.units - given)
        if units > 0:
            lot.left -= units
            given += units
            lines.append(Line(sold.item_id, lot.place_id, job.id, units, lot.lot_id))
    return given


def _fill(depot: Depot, machine: MachineRow, selection: str, units: int) -> None:
    """Put units back into the lanes of a selection, never over what they hold."""
    lanes: list[Lane] = selections(chart(lanes_of(depot, machine.asset))).get(selection, [])
    for lane in lanes:
        if lane.count is not None:
            add = min(units, lane.capacity - lane.count)
            units -= add
            set_lane_count(depot, machine.asset, lane.lane, lane.count + add)


def close_open(depot: Depot, asset: str) -> int:
    """Close what stayed open for a machine as filled already, without a slip; returns the units closed.

    For rounds whose drivers issue their drinks by hand: those units left the books with the driver's own slip.
    """
    with depot.write():
        waiting = open_units(depot, asset)
        for sold in waiting:
            make_good(depot, sold, sold.units)
            machine = find_machine(depot, asset)
            if machine is not None:
                _fill(depot, machine, sold.selection, sold.units)
    return sum(sold.units for sold in waiting)
