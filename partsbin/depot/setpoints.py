"""Set points: per item and place a reorder point and an order-up-to level; for a van its par."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.rights import require
from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class SetPoint:
    """Reorder when the position is at or below ``reorder_point``; order up to ``order_up_to``."""

    item_id: int
    place_id: int
    reorder_point: int
    order_up_to: int
    source: str = "entered"
    since: str = ""
    explanation: str = ""


def require_order(reorder_point: int, order_up_to: int) -> None:
    """Refuse a pair of set points that cannot work."""
    if reorder_point < 0 or order_up_to < 0:
        message = "a set point is a whole number of zero or more"
        raise Refused(message)
    if order_up_to < reorder_point:
        message = (
            f"the order-up-to level {order_up_to} is below the reorder point {reorder_point}; raise it or lower that"
        )
        raise Refused(message)


def set_point(depot: Depot, point: SetPoint, operator: Operator | None) -> None:
    """Keep a set point; the one it replaces stays in the history with who and when."""
    require_order(point.reorder_point, point.order_up_to)
    if operator is not None:
        require(depot, operator, "setpoints")
    with depot.write():
        depot.run(
            "INSERT INTO set_points (item_id, place_id, reorder_point, order_up_to, source, operator, since, "
            "explanation) VALUES (?,?,?,?,?,?,?,?) ON CONFLICT DO UPDATE SET reorder_point = excluded.reorder_point, "
            "order_up_to = excluded.order_up_to, source = excluded.source, operator = excluded.operator, "
            "since = excluded.since, explanation = excluded.explanation",
            (
                *(point.item_id, point.place_id, point.reorder_point, point.order_up_to, point.source),
                operator.id if operator else None,
                point.since or clock.now(),
                point.explanation,
            ),
        )


def set_shelf_point(depot: Depot, point: SetPoint, operator: Operator | None) -> None:
    """Keep the shelf's set point of an item; its points on single bins give way, so that nothing counts twice."""
    with depot.write():
        set_point(depot, point, operator)
        depot.run(
            "DELETE FROM set_points WHERE item_id = ? AND place_id IN (SELECT id FROM places WHERE kind = 'bin')",
            (point.item_id,),
        )


def set_points_at(depot: Depot, place_id: int) -> list[SetPoint]:
    """Return a place's set points by item."""
    rows = depot.all(
        "SELECT item_id, place_id, reorder_point, order_up_to, source, since, explanation FROM set_points "
        "WHERE place_id = ? ORDER BY item_id",
        (place_id,),
    )
    return [SetPoint(*tuple(row)) for row in rows]


def set_points_of(depot: Depot, item_id: int) -> list[SetPoint]:
    """Return an item's set points by place."""
    rows = depot.all(
        "SELECT item_id, place_id, reorder_point, order_up_to, source, since, explanation FROM set_points "
        "WHERE item_id = ? ORDER BY place_id",
        (item_id,),
    )
    return [SetPoint(*tuple(row)) for row in rows]
