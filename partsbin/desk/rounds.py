"""From audit files to the van: what each machine sold, what to load for its round, and the sales booked once.

The rule is fill for fill. Drinks are on the depot's books until they go into a machine. What a reading shows as sold
since the reading before is what the visit puts back in, so it is booked out of the van that fills the machine, as one
issue for each machine: that issue is the demand planning sees. A van cannot give what it does not hold: the rest stays
open and is booked at the next posting once the van was loaded, or closed as filled already. Nothing is booked twice,
and of any selection never more than it sold.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

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
from partsbin.depot.catalogue import Item, item_by_id, the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.machines import MachineRow, find_machine, lanes_of, set_lane_count
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, outside, place_by_id
from partsbin.depot.pulling import oldest_first
from partsbin.depot.stock import holdings_at
from partsbin.desk.lanes import chart, machine_of
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange.audit import AuditReading, Device, Selection, read_audit_file, read_audit_folder
from partsbin.exchange.audit_sales import Sold, compare
from partsbin.lanes.chart import Lane, coupled_lanes, selections
from partsbin.lanes.coupled import sell
from partsbin.lanes.refill import Stop, refill


@dataclass(frozen=True, slots=True)
class MachineReading:
    """One reading looked at. ``sold`` is None for the first one of a machine; ``taken`` when it was posted before."""

    machine: MachineRow
    reading: AuditReading
    sold: Sold | None
    taken: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Look:
    """All readings looked at, what was refused and why, and the refill of each machine read, in round order."""

    readings: tuple[MachineReading, ...]
    refused: tuple[str, ...]
    stops: tuple[Stop, ...]


def read_path(path: Path, *, accept_bad_check: bool = False) -> tuple[list[AuditReading], list[str]]:
    """Read an audit file, or every one in a folder: the readings, and a sentence for each refused.

    A single file that cannot be taken is refused outright.
    """
    if path.is_dir():
        return read_audit_folder(path)
    return [read_audit_file(path, accept_bad_check=accept_bad_check)], []


def look(depot: Depot, readings: Sequence[AuditReading], refused: Sequence[str] = ()) -> Look:
    """Compare readings with the last one kept of each machine, and with each other; writes nothing."""
    last: dict[str, AuditReading] = {}
    found: list[MachineReading] = []
    wrong = list(refused)
    for reading in readings:
        try:
            found.append(_one(depot, reading, last))
        except Refused as refusal:
            wrong.append(str(refusal))
    if readings and not found and len(readings) == 1:
        raise Refused(wrong[-1])
    return Look(tuple(found), tuple(wrong), tuple(_stops(depot, found)))


def _one(depot: Depot, reading: AuditReading, last: dict[str, AuditReading]) -> MachineReading:
    machine = machine_read(depot, reading)
    own = replace(reading, asset=machine.asset, serial=machine.serial or reading.serial)
    notes = list(reading.warnings)
    if reading.serial and machine.serial and reading.serial.upper() != machine.serial.upper():
        notes.append(f"the file says serial {reading.serial}, the chart {machine.serial}: is it this machine?")
    if is_taken(depot, reading.fingerprint):
        last.setdefault(machine.asset, own)
        return MachineReading(machine, reading, None, taken=True, notes=(*notes, "taken before: nothing new"))
    earlier = last.get(machine.asset) or _kept(depot, machine)
    sold = compare(earlier, own) if earlier is not None else None
    last[machine.asset] = own
    if sold is None:
        notes.append("first reading of this machine: kept to compare the next one with")
    return MachineReading(machine, reading, sold, taken=False, notes=(*notes, *(sold.notes if sold else ())))


def machine_read(depot: Depot, reading: AuditReading) -> MachineRow:
    """Return the machine a reading is of, by asset number or else serial. Refuses one this depot does not have."""
    for text in (reading.asset, reading.serial):
        found = find_machine(depot, text) if text else None
        if found is not None:
            return found
    names = (("asset", reading.asset), ("serial", reading.serial))
    named = " and ".join(f"{what} {text}" for what, text in names if text) or "a machine without a name"
    message = f"The file is of {named}, which is no machine of this depot; nothing was taken."
    raise Refused(message)


def _kept(depot: Depot, machine: MachineRow) -> AuditReading | None:
    kept = last_reading(depot, machine.asset)
    if kept is None:
        return None
    head, counts = kept
    return AuditReading(
        fingerprint=head.fingerprint,
        checked=bool(head.checked),
        asset=machine.asset,
        serial=machine.serial or head.serial,
        read_at=datetime.fromisoformat(head.read_at) if head.read_at else None,
        vends=head.vends,
        selections=tuple(Selection(c.selection, product=c.product, sold=c.counter) for c in counts),
        devices=(Device("control board", head.board_serial),) if head.board_serial else (),
    )


def _stops(depot: Depot, readings: Iterable[MachineReading]) -> list[Stop]:
    """The refill of each machine read: its counts as kept, less what the new readings show as sold."""
    totals: dict[str, Counter[str]] = {}
    rows: dict[str, MachineRow] = {}
    for found in readings:
        rows[found.machine.asset] = found.machine
        total = totals.setdefault(found.machine.asset, Counter())
        if found.sold is not None:
            total.update(found.sold.by_selection())
    stops = [refill(machine_of(row), chart(lanes_of(depot, asset)), totals[asset]) for asset, row in rows.items()]
    return sorted(stops, key=lambda s: (s.machine.round_name, s.machine.stop, s.machine.asset))


# --- booking --------------------------------------------------------------------------------------------------


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
    machine, reading = found.machine, found.reading
    units = found.sold.by_selection() if found.sold else {}
    groups = selections(chart(lanes_of(depot, machine.asset)))
    drinks = {key.upper(): lanes[0].part_number for key, lanes in groups.items()}
    counts = [
        KeptCount(s.number, s.product, s.sold or 0, _drink(depot, drinks.get(s.number.upper())), units.get(s.number, 0))
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
    for selection, lanes in groups.items():
        left, _ = sell(coupled_lanes(lanes), units.get(selection, 0))
        for lane in left:
            set_lane_count(depot, machine.asset, lane.lane, lane.count)


def _drink(depot: Depot, part_number: str | None) -> int | None:
    return the_item(depot, part_number).id if part_number else None


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
