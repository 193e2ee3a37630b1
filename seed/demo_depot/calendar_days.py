"""The half year the demo covers: working days, and local working hours as the file keeps them (UTC)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

FIRST_DAY = date(2026, 5, 25)  # a Monday: 26 ISO weeks, 2026-W22 to 2026-W47
LAST_DAY = date(2026, 11, 22)
WEEKS = 26
CLOSED = {
    date(2026, 7, 1),
    date(2026, 8, 3),
    date(2026, 9, 7),
    date(2026, 9, 30),
    date(2026, 10, 12),
    date(2026, 11, 11),
}
_WINTER_TIME = date(2026, 11, 1)  # the depot's clocks go back; before it is UTC-3, from then on UTC-4
_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def working_days() -> Iterator[date]:
    """Yield Mondays to Fridays on which the depot is open."""
    day = FIRST_DAY
    while day <= LAST_DAY:
        if is_open(day):
            yield day
        day += timedelta(days=1)


def is_open(day: date) -> bool:
    """Whether the depot works that day."""
    return day.weekday() < 5 and day not in CLOSED


def next_open(day: date) -> date:
    """Return ``day``, or the next day the depot works."""
    while not is_open(day):
        day += timedelta(days=1)
    return day


def week_of(day: date) -> int:
    """Return which of the 26 weeks a day lies in, 0 to 25."""
    return (day - FIRST_DAY).days // 7


def weekday(day: date) -> str:
    """Return ``mon`` to ``sun``."""
    return _DAYS[day.weekday()]


def stamp(day: date, minute: int) -> str:
    """Return the time ``minute`` minutes after local midnight as the file keeps it: ``2026-06-01T11:15:00Z``."""
    ahead = 3 if day < _WINTER_TIME else 4
    moment = datetime(day.year, day.month, day.day) + timedelta(minutes=minute + 60 * ahead)
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")
