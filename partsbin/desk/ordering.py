"""From the Monday report to purchase orders: suppliers' terms, filling up an order, placing it."""

from __future__ import annotations

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from partsbin.depot import clock
from partsbin.depot.catalogue import Item, item_by_id, sources_of
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.orders import place_order
from partsbin.depot.places import place_by_id
from partsbin.depot.reorder import Low, bought_from, weekly_use
from partsbin.depot.setpoints import SetPoint, set_points_of
from partsbin.depot.stock import on_hand, on_order, promised
from partsbin.desk.monday import Reorder, lots_here, most_that_sells
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange.values import major

FILL_WEEKS = 26
"""How far back use is looked at when an order is filled up: slow parts need a longer look than dated drinks."""

_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_USUAL_LEAD = 7
_PAIRS = "pairs"


@dataclass(frozen=True, slots=True)
class Terms:
    """A supplier's terms: money in minor units, 0 where none is stated; order days as weekdays, 0 is Monday."""

    supplier_id: int
    supplier: str
    minimum_order: int
    free_carriage: int
    order_days: tuple[int, ...]

    def next_day(self, day: date) -> date:
        """Return the first day on or after ``day`` on which the supplier takes orders."""
        from partsbin.planning.orders import next_order_day

        return next_order_day(day, self.order_days) if self.order_days else day

    def goal(self, total: int) -> int:
        """Return the value an order of ``total`` should be filled up to: the minimum, then free carriage, else 0."""
        return next((goal for goal in (self.minimum_order, self.free_carriage) if total < goal), 0)


def terms(depot: Depot) -> dict[str, Terms]:
    """Return every supplier's terms by name."""
    rows = depot.all("SELECT id, name, minimum_order, free_carriage, order_days FROM suppliers ORDER BY name")
    return {
        row["name"]: Terms(
            row["id"], row["name"], row["minimum_order"], row["free_carriage"], _weekdays(row["order_days"])
        )
        for row in rows
    }


def _weekdays(text: str) -> tuple[int, ...]:
    words = [word.strip().lower()[:3] for word in text.replace(";", "|").split("|")]
    return tuple(_DAYS.index(word) for word in words if word in _DAYS)


def shelf_points(depot: Depot, item_id: int) -> list[SetPoint]:
    """Return an item's set points on the shelf: those of SHELF and of single bins."""
    return [p for p in set_points_of(depot, item_id) if place_by_id(depot, p.place_id).kind in ("shelf", "bin")]


def figures_of(depot: Depot, item: Item) -> Low:
    """Return the figures of any item as the report shows them, due or not."""
    points = shelf_points(depot, item.id)
    source = next(iter(sources_of(depot, item.id)), None)
    return Low(
        item_id=item.id,
        part_number=item.part_number,
        description=item.description,
        unit=item.unit,
        on_hand=on_hand(depot, item.id),
        on_order=on_order(depot, item.id),
        promised=promised(depot, item.id),
        reorder_point=sum(point.reorder_point for point in points),
        order_up_to=sum(point.order_up_to for point in points),
        explanation=max((point.explanation for point in points), default=""),
        supplier_id=source.supplier_id if source else None,
        supplier=source.supplier if source else "",
        their_number=source.their_number if source else "",
        cost=source.cost if source else None,
        pack_size=max(source.pack_size if source else item.pack_size, 1),
        minimum=source.minimum if source else 0,
        lead_time_days=source.lead_time_days if source else None,
        shelf_life_days=item.shelf_life_days,
        superseded_by=item_by_id(depot, item.superseded_by).part_number if item.superseded_by else "",
    )


def fill_up(
    depot: Depot, supplier: str, lines: Sequence[Reorder], goal: int, monday: date, *, left_out: Container[int] = ()
) -> tuple[Reorder, ...]:
    """Return what else to order from a supplier so that the order reaches ``goal`` (minor units).

    The other hand of what is on the order goes along up to its level: left and right are changed together. Then what
    will be needed soonest is taken, in whole packs, never more than half a year's use and never more than sells before
    its date; nothing of the items ``left_out`` on purpose. A line already on the order comes back with what to add.
    Empty when nothing sensible reaches any further.
    """
    from partsbin.planning.orders import Line, fill_supplier_order

    use = weekly_use(depot, clock.day_start(monday - timedelta(weeks=FILL_WEEKS), depot.zone), FILL_WEEKS)
    ordered = {line.low.item_id: line.quantity for line in lines}
    found = {str(low.item_id): low for low in bought_from(depot, supplier) if low.item_id not in left_out}
    lots, pairs = lots_here(depot), _pairs(depot)
    # What is on the order already stands as one line that must go, so that only the rest of its value is filled up.
    value = sum(line.value or 0 for line in lines)
    asked = [Line("", 0, 0, 1, 1, value, 0.0, together=_PAIRS)]
    for name, low in found.items():
        already = ordered.get(low.item_id, 0)
        week = use.get(low.item_id, 0.0)
        position = low.position + already
        most = most_that_sells(low, week, lots.get(low.item_id, []), monday)
        limit = None if most is None else low.position + most
        soon = None if already else low.reorder_point + math.ceil(week)
        level = max(low.order_up_to, low.reorder_point)
        pack, least = low.pack_size, 0 if already else low.minimum
        pair = _PAIRS if pairs.get(low.item_id) in ordered and not already else None
        cost = float(low.cost or 0)
        asked.append(Line(name, position, -1, max(level, 0), pack, cost, week, soon, least, limit, pair))
    order = fill_supplier_order(asked, goal)
    return tuple(
        Reorder(found[line.part_number], line.quantity, f"{line.why}, lasts {line.cover_weeks:.0f} weeks with it")
        for line in order.lines
        if line.part_number
    )


def _pairs(depot: Depot) -> dict[int, int]:
    """Return {item: its opposite hand}."""
    rows = depot.all("SELECT id, opposite_hand FROM items WHERE opposite_hand IS NOT NULL")
    return {row["id"]: row["opposite_hand"] for row in rows}


def place(depot: Depot, operator: Operator, lines: Sequence[Reorder], monday: date) -> str:
    """Place one purchase order for lines of one supplier and return its number.

    Expected after the longest lead time among the lines, counted from the supplier's next order day. Refuses lines
    without a supplier, and an item that another terminal ordered since the report was made.
    """
    lines = [line for line in lines if line.quantity > 0]
    if not lines:
        message = "There is nothing to order on these lines; key quantities first."
        raise Refused(message)
    supplier_id = lines[0].low.supplier_id
    if supplier_id is None:
        message = "These lines name no supplier; give the items one on their card, then order."
        raise Refused(message)
    takes_orders = terms(depot)[lines[0].low.supplier].next_day(max(monday, today(depot)))
    lead = max(_USUAL_LEAD if x.low.lead_time_days is None else x.low.lead_time_days for x in lines)
    with depot.write():
        for line in lines:
            _require_not_ordered(depot, line)
        return place_order(
            depot,
            supplier_id,
            [(line.low.item_id, line.quantity, line.low.cost) for line in lines],
            operator=operator,
            expected_on=str(takes_orders + timedelta(days=lead)),
            note=f"Monday report {clock.week_name(monday)}",
        )


def _require_not_ordered(depot: Depot, line: Reorder) -> None:
    coming = on_order(depot, line.low.item_id)
    if coming > line.low.on_order:
        message = (
            f"{coming - line.low.on_order} {line.low.part_number} were ordered meanwhile at another terminal. "
            "Nothing was ordered here; look at the renewed report."
        )
        raise Refused(message)


def with_quantity(line: Reorder, quantity: int) -> tuple[Reorder, str]:
    """Return the line with another quantity in whole packs and at least the minimum, and a word where it was raised."""
    from partsbin.planning import round_to_pack

    low = line.low
    rounded = int(round_to_pack(quantity, low.pack_size, low.minimum))
    said = ""
    if rounded != quantity:
        packs = f"whole packs of {low.pack_size}" if low.pack_size > 1 else ""
        least = f"at least {low.minimum}" if quantity < low.minimum else ""
        said = (
            f"{quantity} became {rounded}: {low.supplier or 'it'} sells {' and '.join(x for x in (packs, least) if x)}."
        )
    if line.note.startswith("cut from") and rounded > line.quantity:
        said = f"{said} More than {line.quantity} will not sell before its date.".strip()
    return replace(line, quantity=rounded), said


def total_words(total: int, unpriced: int, named: Terms | None, currency: str) -> str:
    """Return a supplier's total in words: how far from the minimum order and from free carriage."""
    said = [f"{major(total)} {currency}"]
    if unpriced:
        said.append(f"{unpriced} without a price")
    return " · ".join(said + (terms_words(total, named) if named else []))


def terms_words(total: int, named: Terms) -> list[str]:
    """Return how far a total is from the supplier's minimum order and from free carriage, where they state them."""
    said = []
    if total < named.minimum_order:
        said.append(f"{major(named.minimum_order - total)} below the minimum of {major(named.minimum_order)}")
    elif named.minimum_order:
        said.append(f"minimum {major(named.minimum_order)} reached")
    if named.free_carriage:
        gap, free = named.free_carriage - total, major(named.free_carriage)
        said.append(f"{major(gap)} more for free carriage at {free}" if gap > 0 else f"carriage free from {free}")
    return said
