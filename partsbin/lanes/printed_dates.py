"""Best-before dates as printed on cases and keyed by a clerk, read without guessing day from month."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date
from typing import Final

from partsbin.errors import Refused

_MONTHS: Final = "JAN FEB MAR APR MAY JUN JUL AUG SEP OCT NOV DEC"
_MONTH: Final = "|".join(_MONTHS.split())
_WRITTEN: Final = (
    re.compile(rf"(?P<m>{_MONTH})[A-Z]*[-/. ]+(?P<y>\d{{4}})"),
    re.compile(r"(?P<y>\d{4})-(?P<n>\d{1,2})"),
    re.compile(r"(?P<y>\d{4})[-/. ]?(?P<n>\d{2})[-/. ]?(?P<d>\d{2})"),
    re.compile(r"(?P<y>\d{2})(?P<n>\d{2})(?P<d>\d{2})"),
    re.compile(rf"(?P<d>\d{{1,2}})[-/. ]?(?P<m>{_MONTH})[A-Z]*[-/., ]*(?P<y>\d{{4}}|\d{{2}})"),
    re.compile(rf"(?P<m>{_MONTH})[A-Z]*[-/. ]?(?P<d>\d{{1,2}})[-/., ]*(?P<y>\d{{4}}|\d{{2}})"),
)
_RUN_TOGETHER: Final = re.compile(rf"(?:{_MONTH})20\d\d")
_SLASHED: Final = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})")


def read_best_before(text: str, today: date) -> date:
    """Read ``2026-05-31``, ``260531``, ``31 MAY 26``, ``MAY3126``, ``MAY 2026``, ``2026-05`` or ``31/05/26``.

    Six digits are year, month, day as in GS1 element strings, where day 00 is the month's last day; so is a month
    without a day. Refused: what is no date, a date where day and month could change places, and another century.
    """
    plain = " ".join(text.upper().split())
    if _RUN_TOGETHER.fullmatch(plain):
        raise Refused(f"{text!r} may be the 20th or the whole month; write it like 2026-05-31 or MAY 2026")
    for pattern in _WRITTEN:
        match = pattern.fullmatch(plain)
        if match:
            return _made(text, match.groupdict(), today)
    match = _SLASHED.fullmatch(plain)
    if match:
        return _slashed(text, match, today)
    raise Refused(f"{text[:30]!r} is no date; write it like 2026-05-31, 260531 or 31 MAY 26")


def _made(text: str, parts: dict[str, str | None], today: date) -> date:
    named = parts.get("m")
    month = _MONTHS.split().index(named) + 1 if named else int(parts.get("n") or 0)
    return _date(text, int(parts["y"] or 0), month, int(parts.get("d") or 0), today)


def _slashed(text: str, match: re.Match[str], today: date) -> date:
    first, second, year = (int(g) for g in match.groups())
    if first <= 12 and second <= 12 and first != second:
        raise Refused(f"{text!r} may be day first or month first; write the month in letters, or 2026-05-31")
    day, month = (first, second) if second <= 12 else (second, first)
    return _date(text, year, month, day, today)


def _date(text: str, year: int, month: int, day: int, today: date) -> date:
    if year < 100:
        year += (today.year - year + 49) // 100 * 100  # GS1 General Specifications: from 49 years back to 50 ahead
    if not 2000 <= year <= 2099:
        raise Refused(f"{text}: the year {year} is not between 2000 and 2099; read the date on the case again")
    try:
        return date(year, month, day or monthrange(year, month)[1])
    except (ValueError, IndexError):
        raise Refused(f"{text[:30]!r} is no day of the calendar; read the case again") from None
