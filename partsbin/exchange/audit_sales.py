"""Units sold between two readings of one machine: falling counters start afresh and nothing is ever negative."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from partsbin.errors import Refused
from partsbin.exchange.audit import AuditReading, Selection


@dataclass(frozen=True, slots=True)
class SelectionSold:
    """Units of one selection sold between the readings.

    ``afresh`` means its counter restarted: nothing is booked, and the later figure ``counter`` is the new baseline.
    """

    number: str
    product: str
    units: int
    counter: int
    afresh: bool = False


@dataclass(frozen=True, slots=True)
class Sold:
    """What one machine sold from ``start`` to ``end``. ``fingerprint`` names the later reading: book it once.

    ``same`` is True when both readings are one and the same, so nothing was sold between them. ``swapped`` lists
    devices whose serial changed: kind, before, after. ``notes`` say what a person should look at.
    """

    machine: str
    start: datetime | None
    end: datetime | None
    fingerprint: str
    selections: tuple[SelectionSold, ...]
    same: bool = False
    swapped: tuple[tuple[str, str, str], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def units(self) -> int:
        """All units together."""
        return sum(s.units for s in self.selections)

    def by_selection(self) -> dict[str, int]:
        """Units per selection number, as the refill wants them."""
        return {s.number: s.units for s in self.selections}


def compare(earlier: AuditReading, later: AuditReading) -> Sold:
    """Units sold per selection between two readings of one machine, from the counters since start.

    Where a counter fell, or the control board changed, the machine's earlier sales cannot be known: the later figure
    becomes the baseline and 0 is booked. Raises Refused for readings of two machines, and when the later one is dated
    before the earlier, its sales total did not rise and its board is the same: then they change places.
    """
    _refuse_strangers(earlier, later)
    same = earlier.fingerprint == later.fingerprint
    swapped = tuple(_swapped(earlier, later))
    back = not same and bool(earlier.read_at and later.read_at and later.read_at < earlier.read_at)
    if back and not _total_rose(earlier, later) and not _board_changed(swapped):
        raise Refused(
            f"{later.machine}: the later reading is dated {later.read_at:%Y-%m-%d %H:%M}, before "
            f"{earlier.read_at:%Y-%m-%d %H:%M}; give the older one first, or set the machine's clock and read it again"
        )
    restarted = _restarted(earlier, later)
    before = {s.number: s for s in earlier.selections}
    rows = tuple(_sold(before.get(s.number), s, restarted=restarted) for s in later.selections if s.sold is not None)
    notes = _notes(earlier, later, rows, restarted=restarted, same=same)
    notes += tuple(f"the {kind} {old} is now {new}: is that on a slip?" for kind, old, new in swapped)
    if back:
        notes += ("the machine's clock went back between the readings: set it",)
    return Sold(later.machine, earlier.read_at, later.read_at, later.fingerprint, rows, same, swapped, notes)


def carried(earlier: AuditReading | None, later: AuditReading) -> AuditReading:
    """The later reading with the counters it lacks as they stood before: a selection may skip a reading."""
    if earlier is None or _restarted(earlier, later):
        return later
    told = {s.number for s in later.selections if s.sold is not None}
    return replace(
        later,
        selections=(
            *(s for s in later.selections if s.number in told),
            *(s for s in earlier.selections if s.number not in told),
        ),
    )


def _refuse_strangers(earlier: AuditReading, later: AuditReading) -> None:
    for what, one, two in (("asset", earlier.asset, later.asset), ("serial", earlier.serial, later.serial)):
        if one and two:
            if one != two:
                raise Refused(f"these are readings of two machines: {what} {one} and {two}; pick two of one machine")
            return
    raise Refused(
        "one of the readings names neither asset nor serial, so they cannot be matched; enter the counts by hand"
    )


def _swapped(earlier: AuditReading, later: AuditReading) -> list[tuple[str, str, str]]:
    """Devices of one kind that went and came between the readings; there may be several of a kind."""
    pairs = []
    for kind in dict.fromkeys(device.kind for device in later.devices):
        old, new = ([d.serial for d in reading.devices if d.kind == kind] for reading in (earlier, later))
        gone, come = [x for x in old if x not in new], [x for x in new if x not in old]
        pairs += [(kind, before, after) for before, after in zip(gone, come, strict=False)]
    return pairs


def _board_changed(swapped: Iterable[tuple[str, str, str]]) -> bool:
    return any(kind == "control board" for kind, _, _ in swapped)


def _total_rose(earlier: AuditReading, later: AuditReading) -> bool:
    return earlier.vends is not None and later.vends is not None and later.vends > earlier.vends


def _restarted(earlier: AuditReading, later: AuditReading) -> bool:
    """True when every counter of the machine starts afresh: a new control board, or the sales total fell."""
    fell = earlier.vends is not None and later.vends is not None and later.vends < earlier.vends
    return fell or _board_changed(_swapped(earlier, later))


def _sold(before: Selection | None, after: Selection, *, restarted: bool) -> SelectionSold:
    counter = after.sold or 0
    old = before.sold if before else None
    if restarted or old is None or counter < old:
        return SelectionSold(after.number, after.product, 0, counter, afresh=True)
    return SelectionSold(after.number, after.product, counter - old, counter)


def _notes(
    earlier: AuditReading, later: AuditReading, rows: tuple[SelectionSold, ...], *, restarted: bool, same: bool
) -> tuple[str, ...]:
    if same:
        return ("this reading is already there: nothing new was sold",)
    notes = []
    if restarted:
        notes.append("the counters restarted (board changed or cleared): nothing booked, counted from here on")
    elif afresh := [row.number for row in rows if row.afresh]:
        notes.append(f"counters restarted or new, nothing booked for: {', '.join(afresh)}")
    gone = {s.number for s in earlier.selections} - {s.number for s in later.selections}
    if gone:
        notes.append(f"no longer reported: {', '.join(sorted(gone))}")
    products = {s.number: s.product for s in earlier.selections}
    moved = [row.number for row in rows if products.get(row.number, row.product) != row.product]
    if moved:
        notes.append(f"product changed since the last reading: {', '.join(moved)}")
    if not (earlier.checked and later.checked):
        notes.append("one of the readings failed its check and was taken at someone's word")
    return tuple(notes)
