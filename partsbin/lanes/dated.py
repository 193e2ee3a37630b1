"""Dated stock: first expired goes out first, what is near its date, and how much of it sales can still use."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor
from typing import Final

from partsbin.errors import Refused

OLDEST_YEARS: Final = 5
LATEST_YEARS: Final = 5
_HAIR: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Lot:
    """What lies at one place of one lot. ``best_before`` None means undated: it goes out after the dated ones."""

    code: str
    best_before: date | None
    quantity: int
    place: str = ""

    def expired(self, today: date) -> bool:
        """True from the day after the printed date; the date itself still counts as good."""
        return self.best_before is not None and self.best_before < today


@dataclass(frozen=True, slots=True)
class PickLine:
    """Take ``quantity`` of ``lot``."""

    lot: Lot
    quantity: int


@dataclass(frozen=True, slots=True)
class Pick:
    """What to take: lines in picking order, units ``short``, and the reason given for passing over older lots."""

    lines: tuple[PickLine, ...]
    short: int = 0
    passed_over: tuple[Lot, ...] = ()
    reason: str = ""
    notes: tuple[str, ...] = ()


def check_best_before(best_before: date, today: date) -> date:
    """Return a believable best-before date; Refused when it is years off, which is nearly always a mistyped year."""
    oldest = today - timedelta(days=366 * OLDEST_YEARS)
    latest = today + timedelta(days=366 * LATEST_YEARS)
    if oldest <= best_before <= latest:
        return best_before
    years = abs(best_before.year - today.year)
    when = "ago" if best_before < today else "ahead"
    raise Refused(f"best before {best_before.isoformat()} is {years} years {when}; read the date on the case again")


def check_lots(lots: Iterable[Lot]) -> None:
    """Refuse lots that cannot be told apart: one code with two dates, or a quantity below zero."""
    dates: dict[str, date | None] = {}
    for lot in lots:
        if lot.quantity < 0:
            raise Refused(f"lot {lot.code} at {lot.place or 'its place'} shows {lot.quantity}; count it first")
        if dates.setdefault(lot.code, lot.best_before) != lot.best_before:
            both = " and ".join(str(d or "no date") for d in (dates[lot.code], lot.best_before))
            raise Refused(f"two lots are both called {lot.code}, dated {both}; give one of them its own code")


def fefo_order(lots: Iterable[Lot]) -> list[Lot]:
    """Lots in the order they must go out: earliest date, smallest remainder first; undated last."""
    return sorted(lots, key=lambda lot: (lot.best_before or date.max, lot.quantity, lot.code, lot.place))


def write_offs(lots: Iterable[Lot], today: date) -> list[Lot]:
    """Lots past their date with units left, oldest first: what goes to scrap."""
    return [lot for lot in fefo_order(lots) if lot.quantity > 0 and lot.expired(today)]


def pick_fefo(lots: Sequence[Lot], quantity: int, today: date, *, wanted: str = "", reason: str = "") -> Pick:
    """Pick ``quantity`` units first expired first out; expired lots stay.

    ``wanted`` names a lot to take first. If an older good lot then stays behind, ``reason`` must say why; without
    one it is refused, naming the lot that should go. What cannot be picked is reported as short, never taken from
    expired stock.
    """
    if quantity < 0:
        raise Refused(f"cannot pick {quantity}; give 0 or more")
    check_lots(lots)
    good = [lot for lot in fefo_order(lots) if lot.quantity and not lot.expired(today)]
    if wanted:
        good = _wanted_first(good, lots, wanted, today)
    lines: list[PickLine] = []
    rest = quantity
    for lot in good:
        if not rest:
            break
        lines.append(PickLine(lot, min(rest, lot.quantity)))
        rest -= lines[-1].quantity
    passed = _passed_over(good, lines)
    if passed and not reason.strip():
        raise Refused(
            f"lot {passed[0].code} (best before {passed[0].best_before}) must go before {wanted}; "
            "take it, or give a reason for another lot"
        )
    return Pick(tuple(lines), rest, tuple(passed), reason.strip() if passed else "", _pick_notes(lots, lines, today))


def _wanted_first(good: list[Lot], lots: Sequence[Lot], wanted: str, today: date) -> list[Lot]:
    chosen = [lot for lot in good if lot.code == wanted]
    if not chosen:
        known = next((lot for lot in lots if lot.code == wanted), None)
        if known and known.expired(today):
            raise Refused(f"lot {wanted} is past its date ({known.best_before}); write it off to scrap instead")
        raise Refused(f"lot {wanted} is not in stock here; lots on hand: {', '.join(x.code for x in good) or 'none'}")
    return chosen + [lot for lot in good if lot.code != wanted]


def _passed_over(good: Sequence[Lot], lines: Sequence[PickLine]) -> list[Lot]:
    """Good lots with units left behind that are older than something taken."""
    taken = {(line.lot.code, line.lot.place): line.quantity for line in lines}
    newest = max((_when(line.lot) for line in lines), default=date.min)
    left = [lot for lot in good if lot.quantity > taken.get((lot.code, lot.place), 0) and _when(lot) < newest]
    return fefo_order(left)


def _when(lot: Lot) -> date:
    return lot.best_before or date.max


def _pick_notes(lots: Sequence[Lot], lines: Sequence[PickLine], today: date) -> tuple[str, ...]:
    notes = [
        f"{lot.quantity} of lot {lot.code} are past {lot.best_before}: scrap them" for lot in write_offs(lots, today)
    ]
    notes += [f"lot {line.lot.code} has no date: read it off the case" for line in lines if not line.lot.best_before]
    return tuple(notes)


# --- what sales can still use ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NearDate:
    """A lot against its date: weeks of sale left to it, units that sales will reach, units that will be left over."""

    lot: Lot
    weeks_left: float
    will_sell: int
    at_risk: int


def near_date(
    lots: Sequence[Lot], weekly_rate: float, today: date, *, margin_weeks: float = 0.0, within_weeks: float = 8.0
) -> list[NearDate]:
    """Lots that expire within ``within_weeks`` or hold more than sales can use, most pressing first.

    Sales of ``weekly_rate`` units a week are taken first expired first out, each lot selling until
    ``margin_weeks`` before its date.
    """
    rows = []
    sold = 0
    for lot in fefo_order(lots):
        if lot.best_before is None or not lot.quantity:
            continue
        weeks = _weeks(today, lot.best_before)
        reach = max(0, floor(_rate(weekly_rate) * max(0.0, weeks - margin_weeks) + _HAIR) - sold)
        will_sell = min(lot.quantity, reach)
        sold += will_sell
        if weeks <= within_weeks or will_sell < lot.quantity:
            rows.append(NearDate(lot, round(weeks, 1), will_sell, lot.quantity - will_sell))
    return rows


def sellable(lots: Sequence[Lot], weekly_rate: float, margin_weeks: float, today: date) -> int:
    """Units of ``lots`` that sales of ``weekly_rate`` a week use up ``margin_weeks`` before their dates.

    Undated lots count whole. Expired lots count nothing.
    """
    undated = sum(lot.quantity for lot in lots if lot.best_before is None)
    dated = near_date(lots, weekly_rate, today, margin_weeks=margin_weeks, within_weeks=float("inf"))
    return undated + sum(row.will_sell for row in dated)


def most_to_order(
    lots: Sequence[Lot],
    weekly_rate: float,
    today: date,
    *,
    arrives: date,
    life_weeks: float,
    margin_weeks: float = 2.0,
    on_order: int = 0,
) -> int:
    """The most units worth ordering: all must sell ``margin_weeks`` before a date ``life_weeks`` after arrival.

    Sellable stock not yet sold when the order arrives, and ``on_order`` units due before it, sell first.
    """
    rate = _rate(weekly_rate)
    before = rate * max(0.0, _weeks(today, arrives))
    waiting = max(0.0, sellable(lots, rate, margin_weeks, today) + on_order - before)
    return max(0, floor(rate * max(0.0, life_weeks - margin_weeks) - waiting + _HAIR))


def _weeks(start: date, end: date) -> float:
    return (end - start).days / 7


def _rate(weekly_rate: float) -> float:
    if not 0 <= weekly_rate < 1e9:
        raise Refused(f"weekly sales of {weekly_rate} cannot be; give units a week, 0 or more")
    return weekly_rate
