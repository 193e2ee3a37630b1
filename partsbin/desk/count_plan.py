"""What to count this week, and how true the records are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.demand import Weeks, weekly_demand
from partsbin.depot.file import Depot
from partsbin.desk.today import today

if TYPE_CHECKING:
    from partsbin.planning.counts import Accuracy, CountLine

_YEAR = 52


@dataclass(frozen=True, slots=True)
class CountPlan:
    """The list of a week, most pressing first, and the class of every item."""

    lines: tuple[CountLine, ...]
    classes: dict[str, str]


def count_plan(depot: Depot, day: date | None = None, most: int | None = None) -> CountPlan:
    """Return what to count in the week of ``day``: places the file was caught out on, then what its class makes due."""
    from partsbin.planning.counts import CountRecord, count_list

    when = day or today(depot)
    classes = value_classes(depot, when)
    records = [
        CountRecord(row[0], row[1], classes.get(row[0], "C"), _day(depot, row[2]), row[3], row[4])
        for row in depot.all(_RECORDS)
    ]
    return CountPlan(tuple(count_list(records, when, most=most)), classes)


def _day(depot: Depot, kept: str | None) -> date | None:
    return clock.local_time(kept, depot.zone).date() if kept else None


def value_classes(depot: Depot, day: date) -> dict[str, str]:
    """Return {part number: A, B or C} by yearly use times cost; what crosses a limit is of the better class."""
    from partsbin.planning.counts import classes_by_value

    weeks = Weeks.before(day, _YEAR)
    used: dict[int, int] = {}
    for item, _, quantity in weekly_demand(depot, weeks):
        used[item] = used.get(item, 0) + quantity
    rows = depot.all(
        "SELECT i.id, i.part_number, ifnull(x.cost, 0) AS cost FROM items i LEFT JOIN item_suppliers x "
        "ON x.item_id = i.id AND x.preferred = 1 WHERE i.retired = 0 ORDER BY i.part_number"
    )
    values = [max(used.get(row["id"], 0), 0) * row["cost"] for row in rows]
    names = [str(name) for name in classes_by_value(values)] if rows else []
    return {row["part_number"]: name for row, name in zip(rows, names, strict=True)}


def accuracy(depot: Depot, day: date | None = None) -> Accuracy:
    """Return how many counted records were true within their class's tolerance (A 1 %, B 3 %, C 5 %)."""
    from partsbin.planning.counts import record_accuracy

    classes = value_classes(depot, day or today(depot))
    rows = depot.all("SELECT i.part_number, l.expected, l.counted FROM count_lines l JOIN items i ON i.id = l.item_id")
    return record_accuracy([(classes.get(row[0], "C"), row[1], row[2]) for row in rows])


_RECORDS = """
WITH sheets AS (
  SELECT l.item_id, c.place_id, max(c.counted_at) AS at FROM counts c JOIN count_lines l ON l.count_id = c.id
  GROUP BY l.item_id, c.place_id),
slips_counted AS (
  SELECT m.item_id, iif(f.physical, m.from_place, m.to_place) AS place_id, max(s.posted_at) AS at
  FROM slips s JOIN moves m ON m.slip_id = s.id JOIN places f ON f.id = m.from_place
  WHERE s.kind = 'count' AND s.reference NOT LIKE 'stock from %' GROUP BY 1, 2),
held AS (
  SELECT item_id, place_id FROM stock s JOIN places p ON p.id = s.place_id
  WHERE p.physical = 1 AND p.retired = 0 AND s.quantity <> 0 GROUP BY item_id, place_id)
SELECT i.part_number, p.code, max(ifnull(a.at, ''), ifnull(b.at, '')) AS last,
  (SELECT count(*) FROM refusals r WHERE r.item_id = h.item_id AND r.place_id = h.place_id
     AND r.what LIKE '%below zero' AND r.at > max(ifnull(a.at, ''), ifnull(b.at, ''))) AS refused,
  (SELECT count(*) FROM counts c JOIN count_lines l ON l.count_id = c.id
     WHERE l.item_id = h.item_id AND c.place_id = h.place_id AND l.expected <> l.counted AND c.counted_at = a.at)
FROM held h JOIN items i ON i.id = h.item_id JOIN places p ON p.id = h.place_id
LEFT JOIN sheets a ON a.item_id = h.item_id AND a.place_id = h.place_id
LEFT JOIN slips_counted b ON b.item_id = h.item_id AND b.place_id = h.place_id
ORDER BY p.walk, p.code, i.part_number
"""
