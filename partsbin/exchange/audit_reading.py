"""What an audit file says: machine, selections with prices and counts, coin tubes, events, devices.

Field meanings follow EVA DTS 6.1, in our own words. Counts are units, money is minor units, dates are machine-local.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Device:
    """A board or payment device that names itself: ``kind`` is control board, coins, notes, (second) cashless."""

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
