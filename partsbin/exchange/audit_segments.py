"""Segment by segment: which fields of an audit file go where. Field meanings follow EVA DTS 6.1, in our own words."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from partsbin.exchange.audit_frame import Segment
from partsbin.exchange.audit_reading import CoinTube, Device, Event, Selection

MOST_DIGITS: Final = 12


@dataclass(slots=True)
class SegmentReader:
    """What has been read so far.

    ``current`` is the selection that the next PA2 to PA7 belong to, by position; None while one is passed over.
    """

    warnings: list[str]
    facts: dict[str, Any] = field(default_factory=dict)  # fields of the reading, by name
    selections: dict[str, Selection] = field(default_factory=dict)
    tubes: list[CoinTube] = field(default_factory=list)
    events: dict[str, Event] = field(default_factory=dict)
    devices: list[Device] = field(default_factory=list)
    current: str | None = ""

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


def _sender(work: SegmentReader, segment: Segment) -> None:
    work.facts["sender"] = _text(segment, 1)


def _identity(work: SegmentReader, segment: Segment) -> None:
    for index, name in ((1, "serial"), (2, "model"), (4, "location"), (6, "asset")):
        work.facts[name] = _text(segment, index)


def _money(work: SegmentReader, segment: Segment) -> None:
    decimals = work.count(segment, 1)
    if decimals is not None and decimals <= 4:
        work.facts["decimals"] = decimals
    work.facts["currency"] = _text(segment, 3)


def _clock(work: SegmentReader, segment: Segment) -> None:
    day, clock = _text(segment, 1), _text(segment, 2)
    work.facts["read_at"] = read_stamp(day, clock)
    if work.facts["read_at"] is None:
        work.warnings.append(f"the machine's clock reads {day} {clock}; no date can be made of it")


def _device(kind: str, work: SegmentReader, segment: Segment) -> None:
    if _text(segment, 1):
        work.devices.append(Device(kind, _text(segment, 1), _text(segment, 2), _text(segment, 3)))


def _totals(work: SegmentReader, segment: Segment) -> None:
    for index, name in ((1, "value"), (2, "vends")):
        amount = work.count(segment, index)
        if amount is not None:
            work.facts[name] = amount


def _selection(work: SegmentReader, segment: Segment) -> None:
    number = selection_key(_text(segment, 1))
    if not number or number in work.selections:
        work.warnings.append(f"selection {number or '(blank)'} appears twice or unnumbered; the first stands")
        work.current = None
        return
    work.current = number
    work.selections[number] = Selection(
        number,
        price=work.count(segment, 2),
        product=_text(segment, 3),
        capacity=work.count(segment, 4),
        disabled=_text(segment, 7) == "1",
    )


def selection_key(number: str) -> str:
    """A selection number as it is compared: boards write ``10`` or ``0010``, ``b2`` or ``B2``."""
    return number.strip().upper().lstrip("0") or number.strip()


def _sales(work: SegmentReader, segment: Segment) -> None:
    names = ("sold", "value", "sold_since_reset", "value_since_reset")
    _amend(work, segment, {name: work.count(segment, n) for n, name in enumerate(names, 1)})


def _tests(work: SegmentReader, segment: Segment) -> None:
    _amend(work, segment, {"tests": work.count(segment, 1)})


def _free(work: SegmentReader, segment: Segment) -> None:
    _amend(work, segment, {"free": work.count(segment, 1)})


def _sold_out(work: SegmentReader, segment: Segment) -> None:
    # Maintained by few machines, and one reader in the wild takes it for discounts: only a whole date counts.
    stamped = read_stamp(_text(segment, 1), _text(segment, 2)) is not None
    _amend(work, segment, {"sold_out": stamped})


def _amend(work: SegmentReader, segment: Segment, changes: dict[str, Any]) -> None:
    if work.current in work.selections:
        known = {name: value for name, value in changes.items() if value is not None}
        work.selections[work.current] = replace(work.selections[work.current], **known)
    elif work.current is not None:
        work.warnings.append(f"a {segment[0]} line stands before any selection; left out")


def _tube(work: SegmentReader, segment: Segment) -> None:
    full = _text(segment, 7) == "1"  # from memory of the standard; few mechanisms send it
    work.tubes.append(CoinTube(_text(segment, 1), work.count(segment, 2), work.count(segment, 3), full))


def _event_time(work: SegmentReader, segment: Segment) -> None:
    event = _event(work, segment)
    stamp = read_stamp(_text(segment, 2), _text(segment, 3))
    if stamp and (event.last_at is None or stamp > event.last_at):
        work.events[event.raw] = replace(event, last_at=stamp)


def _event_count(work: SegmentReader, segment: Segment) -> None:
    work.events[_text(segment, 1)] = replace(
        _event(work, segment),
        count=work.count(segment, 2),
        count_since_start=work.count(segment, 3),
        detail=_text(segment, 4),
        active=_text(segment, 5) == "1",
    )


def _event(work: SegmentReader, segment: Segment) -> Event:
    raw = _text(segment, 1)
    return work.events.setdefault(raw, Event(code=raw.upper(), raw=raw))


def _reads(work: SegmentReader, segment: Segment) -> None:
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


HANDLERS: Final = {
    "DXS": _sender,
    "ID1": _identity,
    "ID4": _money,
    "ID5": _clock,
    "CB1": lambda w, s: _device("control board", w, s),
    "CA1": lambda w, s: _device("coins", w, s),
    "BA1": lambda w, s: _device("notes", w, s),
    "DA1": lambda w, s: _device("cashless", w, s),
    "DB1": lambda w, s: _device("second cashless", w, s),
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
