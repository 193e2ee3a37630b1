"""Purchase orders: what was ordered from whom, what is still to come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.rights import require
from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of a purchase order; ``cost`` in minor units a base unit, None when not known."""

    id: int
    order_id: int
    order: str
    supplier: str
    line: int
    item_id: int
    part_number: str
    description: str
    quantity: int
    received: int
    cost: int | None
    ordered_at: str
    expected_on: str

    @property
    def due(self) -> int:
        """What is still to come."""
        return max(self.quantity - self.received, 0)


_LINES = """
SELECT l.id, o.id, o.number, s.name, l.line, l.item_id, i.part_number, i.description, l.quantity, l.received, l.cost,
       o.ordered_at, o.expected_on
FROM order_lines l JOIN orders o ON o.id = l.order_id JOIN suppliers s ON s.id = o.supplier_id
JOIN items i ON i.id = l.item_id
"""


def open_lines(depot: Depot, order: str = "") -> list[OrderLine]:
    """Return the lines still to come, of one order or of all, the earliest expected first."""
    where = "WHERE o.closed = 0 AND l.received < l.quantity" + (" AND o.number = ?" if order else "")
    rows = depot.all(f"{_LINES} {where} ORDER BY o.expected_on, o.id, l.line", (order,) if order else ())
    return [OrderLine(*tuple(row)) for row in rows]


def lines_of(depot: Depot, order: str) -> list[OrderLine]:
    """Return every line of an order; refuses an order the depot does not know, naming the open ones."""
    rows = depot.all(f"{_LINES} WHERE o.number = ? ORDER BY l.line", (order.strip(),))
    if not rows:
        known = ", ".join(dict.fromkeys(line.order for line in open_lines(depot)))
        message = f"There is no order “{order}”. Open orders: {known or 'none'}."
        raise Refused(message)
    return [OrderLine(*tuple(row)) for row in rows]


def overdue(depot: Depot, today: date) -> list[OrderLine]:
    """Return the lines expected before ``today`` that have not come."""
    return [line for line in open_lines(depot) if line.expected_on and line.expected_on < str(today)]


def next_number(depot: Depot) -> str:
    """Return the number the next purchase order gets."""
    last = depot.value("SELECT max(CAST(substr(number, 4) AS INTEGER)) FROM orders WHERE number GLOB 'PO-[0-9]*'")
    return f"PO-{(last or 1000) + 1}"


def place_order(
    depot: Depot,
    supplier_id: int,
    lines: Sequence[tuple[int, int, int | None]],
    *,
    operator: Operator,
    expected_on: str = "",
    note: str = "",
) -> str:
    """Write down an order to a supplier, lines as (item, quantity, cost), and return its number.

    Refuses whoever may not place orders here.
    """
    if not lines:
        message = "There is nothing on this order; choose lines first."
        raise Refused(message)
    require(depot, operator, "order")
    with depot.write():
        number = next_number(depot)
        cursor = depot.run(
            "INSERT INTO orders (number, supplier_id, ordered_at, expected_on, operator, note) VALUES (?,?,?,?,?,?)",
            (number, supplier_id, clock.now(), expected_on, operator.id, note),
        )
        for place, (item_id, quantity, cost) in enumerate(lines, 1):
            depot.run(
                "INSERT INTO order_lines (order_id, line, item_id, quantity, cost) VALUES (?,?,?,?,?)",
                (int(cursor.lastrowid or 0), place, item_id, quantity, cost),
            )
    return number


def close_order(depot: Depot, order: str) -> None:
    """Close an order: what has not come is no longer expected."""
    lines_of(depot, order)
    with depot.write():
        depot.run("UPDATE orders SET closed = 1 WHERE number = ?", (order.strip(),))
