"""Dated stock: first expired goes out first, what is near its date, and how much of it sales can still use."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import floor
from typing import Final

from partsbin.errors import Refused

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


def fefo_order(lots: Iterable[Lot]) -> list[Lot]:
    """Lots in the order they must go out: earliest date, smallest remainder first; undated last."""
    return sorted(lots, key=lambda lot: (lot.best_before or date.max, lot.quantity, lot.code, lot.place))


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
