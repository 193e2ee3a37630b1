"""Reading a vending machine's audit file: machine, selections with prices and counts, coin tubes, events, devices.

Field meanings follow EVA DTS 6.1, in our own words. Counts are units, money is minor units, dates are machine-local.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from partsbin.errors import Refused
from partsbin.exchange.audit_frame import MOST_BYTES, Segment, read_frame

MOST_DIGITS: Final = 12


@dataclass(frozen=True, slots=True)
class Device:
    """A board or payment device that names itself: ``kind`` is control board, coins, notes or cashless."""

    kind: str
    serial: str
    model: str = ""
    revision: str = ""


@dataclass(frozen=True, slots=True)
class Selection:
    """One selection: ``sold`` and ``value`` count since the board was started; None where the file says nothing."""

    number: str
    price: int | None = None
    product: str = ""
    capacity: int | None = None
    sold: int | None = None
    value: int | None = None
    sold_since_reset: int | None = None
    value_since_reset: int | None = None
    tests: int | None = None
    free: int | None = None
    sold_out: bool = False
    disabled: bool = False


@dataclass(frozen=True, slots=True)
class CoinTube:
    """Coins of one ``value`` in a tube; ``full`` as the mechanism reports it."""

    number: str
    value: int | None
    count: int | None
    full: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """An event the machine counts. ``raw`` is the code as written; ``active`` means it still stands."""

    code: str
    raw: str
    count: int | None = None
    count_since_start: int | None = None
    detail: str = ""
    active: bool = False
    last_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class AuditReading:
    """One reading of one machine.

    ``fingerprint`` tells whether it was read before; ``vends`` and ``value`` total the paid sales since
    start, ``reads`` how often it was read with a reset.
    ``checked`` is False when a wrong check value was taken at someone's word.
    """

    fingerprint: str
    checked: bool
    sender: str = ""
    serial: str = ""
    model: str = ""
    location: str = ""
    asset: str = ""
    currency: str = ""
    decimals: int = 2
    read_at: datetime | None = None
    vends: int | None = None
    value: int | None = None
    reads: int | None = None
    selections: tuple[Selection, ...] = ()
    tubes: tuple[CoinTube, ...] = ()
    events: tuple[Event, ...] = ()
    devices: tuple[Device, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def machine(self) -> str:
        """What to call the machine: its asset number, else its serial."""
        return self.asset or self.serial or "unnamed machine"

    @property
    def active_events(self) -> tuple[Event, ...]:
        """Events that still stand."""
        return tuple(e for e in self.events if e.active)

    def device(self, kind: str) -> Device | None:
        """The device of that kind, if the file names one."""
        return next((d for d in self.devices if d.kind == kind), None)


def read_audit_file(path: Path, *, accept_bad_check: bool = False) -> AuditReading:
    """Read one audit file; its size is looked at before a byte is read. Raises Refused as :func:`read_audit`."""
    try:
        size = path.stat().st_size
        data = b"" if size > MOST_BYTES else path.read_bytes()
    except OSError as error:
        raise Refused(f"cannot read {path.name}: {error.strerror or error}") from error
    if size > MOST_BYTES:
        raise Refused(f"{path.name} is {size / 1e6:.1f} MB; an audit file is a few kB, {MOST_BYTES // 1000} kB at most")
    return read_audit(data, path.name, accept_bad_check=accept_bad_check)


def read_audit_folder(folder: Path) -> tuple[list[AuditReading], list[str]]:
    """Read every file of a folder, by machine and time: the readings, and a sentence for each file refused.

    The same set met twice, whatever its line ends, is kept once.
    """
    if not folder.is_dir():
        raise Refused(f"{folder} is no folder")
    readings: dict[str, AuditReading] = {}
    refused = []
    for path in sorted(p for p in folder.iterdir() if p.is_file()):
        try:
            reading = read_audit_file(path)
        except Refused as refusal:
            refused.append(str(refusal))
        else:
            readings.setdefault(reading.fingerprint, reading)
    ordered = sorted(readings.values(), key=lambda r: (r.machine, r.read_at or datetime.min))
    return ordered, refused


def read_audit(data: bytes, name: str = "the file", *, accept_bad_check: bool = False) -> AuditReading:
    """Read an audit file from its bytes. Raises Refused with what is wrong; see :func:`read_frame`."""
    frame = read_frame(data, name, accept_bad_check=accept_bad_check)
    work = _Work(warnings=list(frame.warnings))
    for segment in frame.segments:
        handler = _HANDLERS.get(segment[0])
        if handler:
            handler(work, segment)
    return AuditReading(
        fingerprint=frame.fingerprint,
        checked=frame.checked,
        selections=tuple(work.selections.values()),
        tubes=tuple(work.tubes),
        events=tuple(work.events.values()),
        devices=tuple(work.devices),
        warnings=tuple(dict.fromkeys(work.warnings)),
        **work.facts,
    )


# --- segments -------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Work:
    """What has been read so far; ``current`` is the selection that the next PA2 to PA7 belong to, by position."""

    warnings: list[str]
    facts: dict[str, Any] = field(default_factory=dict)  # fields of the reading, by name
    selections: dict[str, Selection] = field(default_factory=dict)
    tubes: list[CoinTube] = field(default_factory=list)
    events: dict[str, Event] = field(default_factory=dict)
    devices: list[Device] = field(default_factory=list)
    current: str = ""

    def count(self, segment: Segment, index: int) -> int | None:
        """Field ``index`` (1-based) as a count, None when empty; anything else is warned about and left out."""
        text = _text(segment, index)
        if not text:
            return None
        if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS:
            return int(text)
        self.warnings.append(f"{segment[0]}{index:02d} reads {text[:20]!r}, no count; left out")
        return None


def _text(segment: Segment, index: int) -> str:
    return segment[index] if index < len(segment) else ""


def _sender(work: _Work, segment: Segment) -> None:
    work.facts["sender"] = _text(segment, 1)


def _identity(work: _Work, segment: Segment) -> None:
    for index, name in ((1, "serial"), (2, "model"), (4, "location"), (6, "asset")):
        work.facts[name] = _text(segment, index)


def _money(work: _Work, segment: Segment) -> None:
    decimals = work.count(segment, 1)
    if decimals is not None and decimals <= 4:
        work.facts["decimals"] = decimals
    work.facts["currency"] = _text(segment, 3)


def _clock(work: _Work, segment: Segment) -> None:
    day, clock = _text(segment, 1), _text(segment, 2)
    work.facts["read_at"] = read_stamp(day, clock)
    if work.facts["read_at"] is None:
        work.warnings.append(f"the machine's clock reads {day} {clock}; no date can be made of it")


def _device(kind: str, work: _Work, segment: Segment) -> None:
    if _text(segment, 1):
        work.devices.append(Device(kind, _text(segment, 1), _text(segment, 2), _text(segment, 3)))


def _totals(work: _Work, segment: Segment) -> None:
    for index, name in ((1, "value"), (2, "vends")):
        amount = work.count(segment, index)
        if amount is not None:
            work.facts[name] = amount


def _selection(work: _Work, segment: Segment) -> None:
    number = _text(segment, 1)
    work.current = number
    if not number or number in work.selections:
        work.warnings.append(f"selection {number or '(blank)'} appears twice or unnumbered; the first stands")
        work.current = ""
        return
    work.selections[number] = Selection(
        number,
        price=work.count(segment, 2),
        product=_text(segment, 3),
        capacity=work.count(segment, 4),
        disabled=_text(segment, 7) == "1",
    )


def _sales(work: _Work, segment: Segment) -> None:
    names = ("sold", "value", "sold_since_reset", "value_since_reset")
    _amend(work, segment, {name: work.count(segment, n) for n, name in enumerate(names, 1)})


def _tests(work: _Work, segment: Segment) -> None:
    _amend(work, segment, {"tests": work.count(segment, 1)})


def _free(work: _Work, segment: Segment) -> None:
    _amend(work, segment, {"free": work.count(segment, 1)})


def _sold_out(work: _Work, segment: Segment) -> None:
    # Maintained by few machines, and one reader in the wild takes it for discounts: only a whole date counts.
    stamped = read_stamp(_text(segment, 1), _text(segment, 2)) is not None
    _amend(work, segment, {"sold_out": stamped})


def _amend(work: _Work, segment: Segment, changes: dict[str, Any]) -> None:
    if work.current in work.selections:
        known = {name: value for name, value in changes.items() if value is not None}
        work.selections[work.current] = replace(work.selections[work.current], **known)
    else:
        work.warnings.append(f"a {segment[0]} line stands before any selection; left out")


def _tube(work: _Work, segment: Segment) -> None:
    full = _text(segment, 7) == "1"  # from memory of the standard; few mechanisms send it
    work.tubes.append(CoinTube(_text(segment, 1), work.count(segment, 2), work.count(segment, 3), full))


def _event_time(work: _Work, segment: Segment) -> None:
    event = _event(work, segment)
    stamp = read_stamp(_text(segment, 2), _text(segment, 3))
    if stamp and (event.last_at is None or stamp > event.last_at):
        work.events[event.raw] = replace(event, last_at=stamp)


def _event_count(work: _Work, segment: Segment) -> None:
    work.events[_text(segment, 1)] = replace(
        _event(work, segment),
        count=work.count(segment, 2),
        count_since_start=work.count(segment, 3),
        detail=_text(segment, 4),
        active=_text(segment, 5) == "1",
    )


def _event(work: _Work, segment: Segment) -> Event:
    raw = _text(segment, 1)
    return work.events.setdefault(raw, Event(code=raw.upper(), raw=raw))


def _reads(work: _Work, segment: Segment) -> None:
    reads = work.count(segment, 1)
    if reads is not None:
        work.facts["reads"] = reads


def read_stamp(day: str, clock: str) -> datetime | None:
    """A date as ``yymmdd`` or ``yyyymmdd`` and a time as ``hhmm``, ``hhmmss`` or empty; None when it is no date."""
    if not (day.isascii() and day.isdigit() and len(day) in (6, 8)):
        return None
    full = f"20{day}" if len(day) == 6 else day
    digits = clock if clock.isascii() and clock.isdigit() and len(clock) in (4, 6) else "0000"
    try:
        return datetime.strptime(full + digits.ljust(6, "0"), "%Y%m%d%H%M%S")
    except ValueError:
        return None


_HANDLERS: Final = {
    "DXS": _sender,
    "ID1": _identity,
    "ID4": _money,
    "ID5": _clock,
    "CB1": lambda w, s: _device("control board", w, s),
    "CA1": lambda w, s: _device("coins", w, s),
    "BA1": lambda w, s: _device("notes", w, s),
    "DA1": lambda w, s: _device("cashless", w, s),
    "VA1": _totals,
    "PA1": _selection,
    "PA2": _sales,
    "PA3": _tests,
    "PA4": _free,
    "PA5": _sold_out,
    "CA17": _tube,
    "EA1": _event_time,
    "EA2": _event_count,
    "EA3": _reads,
}
