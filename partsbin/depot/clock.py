"""Times: UTC in the file, depot-local on screen, weeks by ISO 8601."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from partsbin.errors import Refused

STAMP = "%Y-%m-%dT%H:%M:%SZ"


def now() -> str:
    """Return the present as it is kept in the file: ``2026-11-25T09:15:00Z``."""
    return f"{datetime.now(UTC).isoformat()[:19]}Z"  # strftime takes ten times as long, once a posting


def zone(name: str) -> ZoneInfo:
    """Return the time zone called ``name`` (IANA). Refuses a name nobody knows."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        message = f"There is no time zone “{name}”; give one such as Europe/Dublin or UTC."
        raise Refused(message) from error


def stamp(text: str, local: ZoneInfo) -> str:
    """Read an ISO date or time and return it as kept in the file.

    A date alone means the start of that day at the depot; a time without offset is depot-local.
    Refuses anything else, naming it.
    """
    cleaned = text.strip()
    try:
        moment = datetime.fromisoformat(cleaned)
    except ValueError as error:
        message = f"“{text}” is not an ISO date or time such as 2026-11-23 or 2026-11-23T08:30"
        raise Refused(message) from error
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=local)
    if not 1970 <= moment.year <= 2199:
        message = f"{text}: the year {moment.year} is not between 1970 and 2199; check the date"
        raise Refused(message)
    return as_kept(moment)


def as_kept(moment: datetime) -> str:
    """Return a moment with its offset as kept in the file."""
    return moment.astimezone(UTC).strftime(STAMP)


def local_time(kept: str, local: ZoneInfo) -> datetime:
    """Turn a time as kept in the file into depot-local time."""
    return datetime.strptime(kept, STAMP).replace(tzinfo=UTC).astimezone(local)


def iso_date(text: str) -> date:
    """Read an ISO date; refuses anything else, and years no best-before or order can have."""
    try:
        day = date.fromisoformat(text.strip())
    except ValueError as error:
        message = f"“{text}” is not an ISO date such as 2026-11-23"
        raise Refused(message) from error
    if not 2000 <= day.year <= 2099:
        message = f"{text}: the year {day.year} is not between 2000 and 2099; check the date"
        raise Refused(message)
    return day


def week_name(day: date) -> str:
    """Return the ISO week of ``day`` as ``2026-W48``."""
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02d}"


def day_start(day: date, local: ZoneInfo) -> str:
    """Return when ``day`` begins at the depot, as kept in the file."""
    return as_kept(datetime.combine(day, time(), local))
