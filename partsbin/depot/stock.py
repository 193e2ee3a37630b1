"""What is where: stock by place and lot, positions, set points."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.file import Depot
from partsbin.depot.places import Place, aboard


@dataclass(frozen=True, slots=True)
class Holding:
    """A quantity of one item (and lot) at one physical place."""

    item_id: int
    place_id: int
    place: str
    kind: str
    lot_id: int
    lot: str
    best_before: str
    quantity: int


_HOLDINGS = """
SELECT s.item_id, s.place_id, p.code, p.kind, s.lot_id, ifnull(l.code, ''), ifnull(l.best_before, ''), s.quantity
FROM stock s JOIN places p ON p.id = s.place_id LEFT JOIN lots l ON l.id = s.lot_id
WHERE p.physical = 1 AND s.quantity <> 0
"""


def holdings_of(depot: Depot, item_id: int) -> list[Holding]:
    """Return where an item is: bins first in walking order, then vans; oldest best-before first within a place."""
    rows = depot.all(
        f"{_HOLDINGS} AND s.item_id = ? ORDER BY p.kind <> 'bin', p.walk, p.code, l.best_before, s.lot_id",
        (item_id,),
    )
    return [Holding(*tuple(row)) for row in rows]


def holdings_at(depot: Depot, place: Place) -> list[Holding]:
    """Return what a place holds; a van with its drawers."""
    ids = aboard(depot, place) if place.kind == "van" else [place.id]
    marks = ",".join("?" * len(ids))
    rows = depot.all(f"{_HOLDINGS} AND s.place_id IN ({marks}) ORDER BY s.item_id, l.best_before, p.code", ids)
    return [Holding(*tuple(row)) for row in rows]


def where_else(depot: Depot, item_id: int, *, exclude: int = 0) -> list[tuple[str, int]]:
    """Return (place, quantity) of an item everywhere but one place, shelf before vans."""
    totals: dict[str, int] = {}
    for held in holdings_of(depot, item_id):
        if held.place_id != exclude:
            totals[held.place] = totals.get(held.place, 0) + held.quantity
    return list(totals.items())


def shortage(depot: Depot, item_id: int, part_number: str, place: Place, *, wanted: int, there: int) -> str:
    """Return the sentence for too little stock at a place: what is there, and where else it is."""
    others = where_else(depot, item_id, exclude=place.id)
    elsewhere = "; ".join(f"{code} has {quantity}" for code, quantity in others[:3])
    return f"{place.code} holds {there} {part_number}, {wanted} were asked for: nothing was posted. " + (
        f"Elsewhere: {elsewhere}." if elsewhere else "There is none elsewhere in the depot."
    )


def on_hand(depot: Depot, item_id: int, place: Place | None = None) -> int:
    """Return the quantity at a place (a van with its drawers), or on the whole shelf when no place is given."""
    if place is None or place.kind == "shelf":
        sql = (
            "SELECT ifnull(sum(s.quantity), 0) FROM stock s JOIN places p ON p.id = s.place_id "
            "WHERE s.item_id = ? AND p.kind = 'bin'"
        )
        return int(depot.value(sql, (item_id,)))
    return sum(held.quantity for held in holdings_at(depot, place) if held.item_id == item_id)


def on_order(depot: Depot, item_id: int) -> int:
    """Return what open purchase orders still bring."""
    return int(
        depot.value(
            "SELECT ifnull(sum(l.quantity - l.received), 0) FROM order_lines l JOIN orders o ON o.id = l.order_id "
            "WHERE l.item_id = ? AND l.received < l.quantity AND o.closed = 0",
            (item_id,),
        )
    )


def promised(depot: Depot, item_id: int) -> int:
    """Return what requests were promised and have not had."""
    return int(
        depot.value(
            "SELECT ifnull(sum(quantity - supplied), 0) FROM request_lines WHERE item_id = ? AND status = 'promised'",
            (item_id,),
        )
    )


def position(depot: Depot, item_id: int) -> int:
    """Return on hand (shelf) + on order − promised."""
    return on_hand(depot, item_id) + on_order(depot, item_id) - promised(depot, item_id)
