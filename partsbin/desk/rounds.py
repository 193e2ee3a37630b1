"""From audit files to the van: what each machine read has sold since the reading before, and its refill."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from partsbin.depot.audits import is_taken, last_reading
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, MachineRow, find_machine, lanes_of
from partsbin.desk.lanes import chart, machine_of
from partsbin.errors import Refused
from partsbin.exchange.audit import (
    AuditReading,
    Device,
    Selection,
    read_audit_file,
    read_audit_folder,
    selection_key,
)
from partsbin.exchange.audit_sales import Sold, carried, compare
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
    last[machine.asset] = carried(earlier, own)
    notes += sold.notes if sold else ["first reading of this machine: kept to compare the next one with"]
    late = [lane.lane for lane in lanes_of(depot, machine.asset) if changed_after(lane, reading)]
    if late and sold:
        notes.append(f"lanes changed after this reading: {', '.join(late)}; what they sold was the drink before")
    kept = replace(reading, selections=last[machine.asset].selections)
    return MachineReading(machine, kept, sold, taken=False, notes=tuple(notes))


def changed_after(lane: LaneRow, reading: AuditReading) -> bool:
    """Say whether a lane was changed to another drink only after a reading, whose sales are then not of that drink."""
    return bool(lane.changed_on and reading.read_at and lane.changed_on > str(reading.read_at.date()))


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
        selections=tuple(Selection(selection_key(c.selection), product=c.product, sold=c.counter) for c in counts),
        devices=(Device("control board", head.board_serial),) if head.board_serial else (),
    )


def by_selection(rows: Iterable[LaneRow]) -> dict[str, LaneRow]:
    """Return lanes by the selection that sells them, as readings write it."""
    return {selection_key(row.keyed): row for row in rows}


def sold_here(depot: Depot, found: MachineReading) -> dict[str, int]:
    """Return the units a reading shows as sold by the selections of the chart, then by those it does not know.

    What lanes changed after the reading sold is left out: it is no longer in them.
    """
    units = found.sold.by_selection() if found.sold else {}
    known = by_selection(lanes_of(depot, found.machine.asset))
    return {
        known[key].keyed if key in known else key: count
        for key, count in units.items()
        if key not in known or not changed_after(known[key], found.reading)
    }


def _stops(depot: Depot, readings: Iterable[MachineReading]) -> list[Stop]:
    """The refill of each machine read: its counts as kept, less what the new readings show as sold."""
    totals: dict[str, Counter[str]] = {}
    rows: dict[str, MachineRow] = {}
    for found in readings:
        rows[found.machine.asset] = found.machine
        totals.setdefault(found.machine.asset, Counter()).update(sold_here(depot, found))
    stops = [refill(machine_of(row), chart(lanes_of(depot, asset)), totals[asset]) for asset, row in rows.items()]
    return sorted(stops, key=lambda stop: stop.machine.turn)
