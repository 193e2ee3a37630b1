"""What today needs: shown beside the Counter."""

from __future__ import annotations

from dataclasses import dataclass, replace
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
    to_count: int = 0


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


class ToCount:
    """How many places the week's count plan still asks for: worked out anew only when a count or a refusal came."""

    def __init__(self) -> None:
        self._stamp: tuple[object, ...] = ()
        self._places = 0

    def added_to(self, needs: Today, depot: Depot) -> Today:
        """Return the needs with the places to count; a second or two on a large depot."""
        from partsbin.desk.count_plan import count_plan

        newest = depot.one("SELECT (SELECT max(id) FROM counts), (SELECT max(id) FROM refusals)")
        stamp = (today(depot), *(newest or ()))
        if stamp != self._stamp:
            self._places = len({line.place for line in count_plan(depot).lines})
            self._stamp = stamp
        return replace(needs, to_count=self._places)
