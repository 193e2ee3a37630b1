"""What today needs: shown beside the Counter."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from partsbin.depot.asks import owed
from partsbin.depot.file import Depot
from partsbin.depot.orders import open_lines
from partsbin.depot.reorder import count_low, dated_lots

_NEAR_DAYS = 28


@dataclass(frozen=True, slots=True)
class Today:
    """Counts of what waits for somebody."""

    below_point: int
    short_requests: int
    deliveries_due: int
    overdue_lines: int
    near_date: int
    past_date: int


def today(depot: Depot) -> date:
    """Return the depot's own calendar day."""
    return datetime.now(depot.zone).date()


def needs(depot: Depot) -> Today:
    """Count what today needs."""
    day = today(depot)
    lines = open_lines(depot)
    dates = [row[4] for row in dated_lots(depot)]
    return Today(
        below_point=count_low(depot),
        short_requests=sum(1 for line in owed(depot) if line.due > 0),
        deliveries_due=sum(1 for line in lines if line.expected_on == str(day)),
        overdue_lines=sum(1 for line in lines if line.expected_on and line.expected_on < str(day)),
        near_date=sum(1 for best in dates if str(day) <= best <= str(day + timedelta(days=_NEAR_DAYS))),
        past_date=sum(1 for best in dates if best < str(day)),
    )
