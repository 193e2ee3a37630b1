"""What stands at or below its reorder point: the figures behind the Monday report."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.file import Depot, Row


@dataclass(frozen=True, slots=True)
class Low:
    """An item whose position is at or below its reorder point. Quantities in base units, cost in minor units."""

    item_id: int
    part_number: str
    description: str
    unit: str
    on_hand: int
    on_order: int
    promised: int
    reorder_point: int
    order_up_to: int
    explanation: str
    supplier_id: int | None
    supplier: str
    their_number: str
    cost: int | None
    pack_size: int
    minimum: int
    lead_time_days: int | None
    shelf_life_days: int | None
    superseded_by: str

    @property
    def position(self) -> int:
        """On hand + on order − promised."""
        return self.on_hand + self.on_order - self.promised


_FIGURES = """
WITH points AS (
  SELECT s.item_id, sum(s.reorder_point) AS reorder_point, sum(s.order_up_to) AS order_up_to,
         max(s.explanation) AS explanation
  FROM set_points s JOIN places p ON p.id = s.place_id WHERE p.kind IN ('shelf', 'bin') GROUP BY s.item_id),
hand AS (
  SELECT s.item_id, sum(s.quantity) AS quantity FROM stock s JOIN places p ON p.id = s.place_id
  WHERE p.kind = 'bin' GROUP BY s.item_id),
coming AS (
  SELECT l.item_id, sum(l.quantity - l.received) AS quantity FROM order_lines l JOIN orders o ON o.id = l.order_id
  WHERE l.received < l.quantity AND o.closed = 0 GROUP BY l.item_id),
owed AS (
  SELECT item_id, sum(quantity - supplied) AS quantity FROM request_lines WHERE status = 'promised' GROUP BY item_id),
wanted AS (
  SELECT item_id FROM points UNION SELECT item_id FROM owed)
SELECT i.id, i.part_number, i.description, i.unit, ifnull(h.quantity, 0), ifnull(c.quantity, 0), ifnull(o.quantity, 0),
       ifnull(p.reorder_point, 0), ifnull(p.order_up_to, 0), ifnull(p.explanation, ''),
       x.supplier_id, ifnull(u.name, ''), ifnull(x.their_number, ''), x.cost,
       max(ifnull(x.pack_size, i.pack_size), 1), ifnull(x.minimum, 0), ifnull(x.lead_time_days, u.lead_time_days),
       i.shelf_life_days, ifnull((SELECT part_number FROM items WHERE id = i.superseded_by), '')
FROM wanted w JOIN items i ON i.id = w.item_id
LEFT JOIN points p ON p.item_id = w.item_id LEFT JOIN hand h ON h.item_id = w.item_id
LEFT JOIN coming c ON c.item_id = w.item_id LEFT JOIN owed o ON o.item_id = w.item_id
LEFT JOIN item_suppliers x ON x.item_id = w.item_id AND x.preferred = 1 LEFT JOIN suppliers u ON u.id = x.supplier_id
WHERE i.retired = 0
"""
_DUE = f"""{_FIGURES}
  AND ifnull(h.quantity, 0) + ifnull(c.quantity, 0) - ifnull(o.quantity, 0)
      <= iif(p.item_id IS NULL, -1, p.reorder_point)
  AND (p.item_id IS NULL OR p.order_up_to > 0 OR ifnull(o.quantity, 0) > 0)
"""
_LOW = f"{_DUE} ORDER BY u.name IS NULL, u.name, i.part_number"
_COUNT_LOW = f"SELECT count(DISTINCT id) FROM ({_DUE})"


def low(depot: Depot) -> list[Low]:
    """Return what to order: position at or below the reorder point, or promised beyond what is here and coming.

    The shelf's points are those of SHELF and of single bins, added up; vans are kept by restocking, not by orders.
    """
    return _once(depot.all(_LOW))


def count_low(depot: Depot) -> int:
    """Return how many items ``low`` gives, without sorting or fetching them."""
    return int(depot.value(_COUNT_LOW))


def bought_from(depot: Depot, supplier: str) -> list[Low]:
    """Return the figures of everything with a shelf level and a price that a supplier sells us, due or not."""
    more = "AND u.name = ? AND x.cost > 0 AND p.order_up_to > 0 AND i.superseded_by IS NULL ORDER BY i.part_number"
    return _once(depot.all(f"{_FIGURES} {more}", (supplier,)))


def _once(rows: list[Row]) -> list[Low]:
    """One line an item, even where two suppliers are marked as preferred: the first of them."""
    found: dict[int, Low] = {}
    for row in rows:
        found.setdefault(row[0], Low(*tuple(row)))
    return list(found.values())


def dated_lots(depot: Depot) -> list[tuple[int, str, str, str, str, int]]:
    """Return dated lots on the shelf and in vans: (item, part number, description, lot, best-before, quantity)."""
    rows = depot.all(
        "SELECT i.id, i.part_number, i.description, l.code, l.best_before, sum(s.quantity) FROM stock s "
        "JOIN lots l ON l.id = s.lot_id JOIN items i ON i.id = s.item_id JOIN places p ON p.id = s.place_id "
        "WHERE l.best_before <> '' AND s.quantity > 0 AND p.physical = 1 GROUP BY l.id "
        "ORDER BY l.best_before, i.part_number, l.code"
    )
    return [(r[0], r[1], r[2], r[3], r[4], r[5]) for r in rows]


def weekly_use(depot: Depot, since: str, weeks: int) -> dict[int, float]:
    """Return {item: base units a week} issued to jobs since a time (as kept), unused parts that came back taken off."""
    rows = depot.all(
        "SELECT m.item_id, sum(iif(t.kind = 'job', m.quantity, -m.quantity)) FROM slips s "
        "JOIN moves m ON m.slip_id = s.id JOIN places f ON f.id = m.from_place JOIN places t ON t.id = m.to_place "
        "WHERE s.posted_at >= ? AND (t.kind = 'job') <> (f.kind = 'job') GROUP BY m.item_id",
        (since,),
    )
    return {row[0]: max(row[1], 0) / weeks for row in rows}
