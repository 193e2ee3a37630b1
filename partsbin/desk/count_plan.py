"""What to count this week, and how true the records are."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.demand import Weeks, weekly_demand
from partsbin.depot.file import Depot
from partsbin.depot.refusals import BIN_SHORT
from partsbin.desk.today import today

if TYPE_CHECKING:
    from partsbin.planning.counts import Accuracy, CountLine

_YEAR = 52


@dataclass(frozen=True, slots=True)
class CountPlan:
    """The list of a week, most pressing first, each item's class, and how many counts a working day keep it up."""

    lines: tuple[CountLine, ...]
    classes: dict[str, str]
    a_day: float


def count_plan(depot: Depot, day: date | None = None, most: int | None = None) -> CountPlan:
    """Return what to count in the week of ``day``: places the file was caught out on, then what its class makes due."""
    from partsbin.planning.counts import CountRecord, count_list, counts_a_day

    when = day or today(depot)
    classes = value_classes(depot, when)
    records = [
        CountRecord(row[0], row[1], classes.get(row[0], "C"), _day(depot, row[2]), row[3], row[4])
        for row in depot.all(_RECORDS)
    ]
    a_day = counts_a_day(Counter(record.value_class for record in records))
    return CountPlan(tuple(count_list(records, when, most=most)), classes, a_day)


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


_RECORDS = f"""
WITH walked AS (SELECT place_id, max(counted_at) AS at FROM counts GROUP BY place_id),
keyed AS (
  SELECT m.item_id, iif(f.physical, m.from_place, m.to_place) AS place_id, max(s.posted_at) AS at
  FROM slips s JOIN moves m ON m.slip_id = s.id JOIN places f ON f.id = m.from_place
  WHERE s.kind = 'count' AND s.reference NOT LIKE 'stock from %' GROUP BY 1, 2),
caught AS (
  SELECT item_id, place_id, at, what LIKE '%below zero' AS negative FROM refusals
  WHERE item_id IS NOT NULL AND place_id IS NOT NULL AND (what LIKE '%below zero' OR what = '{BIN_SHORT}')),
held AS (
  SELECT item_id, place_id FROM stock WHERE quantity <> 0 UNION SELECT item_id, place_id FROM caught),
last AS (
  SELECT h.item_id, h.place_id, max(ifnull(a.at, ''), ifnull(b.at, '')) AS at FROM held h
  LEFT JOIN walked a ON a.place_id = h.place_id
  LEFT JOIN keyed b ON b.item_id = h.item_id AND b.place_id = h.place_id)
SELECT i.part_number, p.code, l.at, ifnull(sum(c.negative), 0), ifnull(sum(1 - c.negative), 0)
FROM last l JOIN items i ON i.id = l.item_id JOIN places p ON p.id = l.place_id
LEFT JOIN caught c ON c.item_id = l.item_id AND c.place_id = l.place_id AND c.at > l.at
WHERE p.physical = 1 AND p.retired = 0
GROUP BY l.item_id, l.place_id
HAVING count(c.at) > 0
  OR EXISTS (SELECT 1 FROM stock s WHERE s.item_id = l.item_id AND s.place_id = l.place_id AND s.quantity <> 0)
ORDER BY p.walk, p.code, i.part_number
"""
"""Every holding, and every empty place the file was caught out on, with when it was last counted: as part of the whole
place on a sheet, or by itself."""
