"""Readings of machines as kept: each taken once, what was sold since the one before, what was put back from the van."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class KeptReading:
    """A reading taken earlier. ``read_at`` is the machine's own clock as text, empty when it had none."""

    fingerprint: str
    asset: str
    serial: str
    board_serial: str
    read_at: str
    vends: int | None
    checked: int = 1


@dataclass(frozen=True, slots=True)
class KeptCount:
    """One selection of a reading: its counter, the drink then in it (item id), units sold since the reading before."""

    selection: str
    product: str
    counter: int
    item_id: int | None = None
    units: int = 0


@dataclass(frozen=True, slots=True)
class OpenUnits:
    """Units sold of one drink from one selection that no van's stock has made good yet."""

    fingerprint: str
    selection: str
    item_id: int
    units: int


def is_taken(depot: Depot, fingerprint: str) -> bool:
    """Say whether a reading was taken before."""
    return depot.value("SELECT 1 FROM audit_readings WHERE fingerprint = ?", (fingerprint,)) is not None


def last_reading(depot: Depot, asset: str) -> tuple[KeptReading, list[KeptCount]] | None:
    """Return the reading of a machine taken last, with its counters, or None."""
    row = depot.one(
        "SELECT fingerprint, asset, serial, board_serial, read_at, vends, checked FROM audit_readings "
        "WHERE asset = ? ORDER BY number DESC LIMIT 1",
        (asset,),
    )
    if row is None:
        return None
    counts = depot.all(
        "SELECT selection, product, counter, item_id, units FROM audit_counts WHERE fingerprint = ? ORDER BY selection",
        (row["fingerprint"],),
    )
    return KeptReading(*tuple(row)), [KeptCount(*tuple(c)) for c in counts]


def keep_reading(depot: Depot, reading: KeptReading, counts: Sequence[KeptCount]) -> None:
    """Keep a reading. Call inside ``write()``. Refuses one that was taken before."""
    if is_taken(depot, reading.fingerprint):
        message = f"This reading of {reading.asset} was taken before."
        raise Refused(message)
    depot.run(
        "INSERT INTO audit_readings SELECT ?, ifnull(max(number), 0) + 1, ?,?,?,?,?,?,? FROM audit_readings",
        (
            *(reading.fingerprint, reading.asset, reading.serial, reading.board_serial, reading.read_at),
            *(clock.now(), reading.vends, reading.checked),
        ),
    )
    for c in counts:
        depot.run(
            "INSERT INTO audit_counts (fingerprint, selection, product, counter, item_id, units) VALUES (?,?,?,?,?,?)",
            (reading.fingerprint, c.selection, c.product, c.counter, c.item_id, c.units),
        )


def open_units(depot: Depot, asset: str = "") -> list[OpenUnits]:
    """Return what was sold and not made good from a van yet, oldest reading first; of one machine or of all."""
    rows = depot.all(
        "SELECT c.fingerprint, c.selection, c.item_id, c.units - c.filled FROM audit_counts c "
        "JOIN audit_readings r USING (fingerprint) WHERE c.filled < c.units AND c.item_id IS NOT NULL "
        "AND (:asset = '' OR r.asset = :asset) ORDER BY r.number, c.selection",
        {"asset": asset},
    )
    return [OpenUnits(*tuple(row)) for row in rows]


def make_good(depot: Depot, sold: OpenUnits, units: int) -> None:
    """Note that units sold were put back. Call inside ``write()``."""
    depot.run(
        "UPDATE audit_counts SET filled = filled + ? WHERE fingerprint = ? AND selection = ?",
        (units, sold.fingerprint, sold.selection),
    )


def event_hints(depot: Depot) -> list[tuple[str, str, str, str]]:
    """Return what event codes point to: (code, part families parted by |, symptom, what to say)."""
    rows = depot.all("SELECT code, families, symptom, text FROM event_hints ORDER BY code")
    return [(row[0], row[1], row[2], row[3]) for row in rows]
