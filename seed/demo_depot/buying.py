"""Purchase orders: when they go out, when they come in, in which lots and serials."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from demo_depot.book import Batch
from demo_depot.calendar_days import LAST_DAY, next_open
from demo_depot.chance import Chance
from demo_depot.families import BRACKWELL, FROSTWEND, HALVORN, ORVANE, PELLWATER, QUENBY
from demo_depot.levels import LEAD_DAYS, Level
from demo_depot.listing import Item

ORDER_DAYS = {
    BRACKWELL: ("mon",),
    FROSTWEND: ("mon",),
    HALVORN: ("mon",),
    ORVANE: ("mon",),
    PELLWATER: ("mon", "thu"),
    QUENBY: ("mon",),
}
MINIMUM = {BRACKWELL: 40, FROSTWEND: 150, HALVORN: 200, ORVANE: 100, PELLWATER: 250, QUENBY: 400}
_SPREAD = {BRACKWELL: 1, FROSTWEND: 3, HALVORN: 4, ORVANE: 2, PELLWATER: 1, QUENBY: 7}
LATE = {ORVANE: date(2026, 10, 26), HALVORN: date(2026, 10, 26)}  # the order of that day or the next does not come
DEMO_DAY = date(2026, 11, 25)


@dataclass
class Line:
    """One line of an order, quantities in base units."""

    item: Item
    quantity: int
    received: int = 0

    @property
    def open(self) -> int:
        """What has not come yet."""
        return self.quantity - self.received


@dataclass
class Order:
    """A purchase order; ``comes`` is the day it will really come (never, when None)."""

    number: str
    supplier: str
    ordered_at: str
    expected_on: date
    comes: date | None
    lines: list[Line] = field(default_factory=list)

    @property
    def whole(self) -> bool:
        """Whether nothing came yet, and there is time for the rest to follow."""
        return self.expected_on < date(2026, 11, 1) and not any(line.received for line in self.lines)

    @property
    def closed(self) -> bool:
        """Whether everything came."""
        return all(not line.open for line in self.lines)


def lines_for(levels: list[Level], items: dict[str, Item], positions: dict[str, int]) -> dict[str, list[Line]]:
    """Return by supplier what to order: up to the level, in whole packs, at least the supplier's minimum."""
    found: dict[str, list[Line]] = {}
    for level in levels:
        item, position = items[level.part_number], positions[level.part_number]
        if position <= level.reorder_point:
            packs = -(-(level.order_up_to - position) // item.pack_size)
            quantity = max(packs * item.pack_size, int(item.minimum or 0))
            found.setdefault(item.supplier, []).append(Line(item, quantity))
    return found


class Buyer:
    """Places orders and knows when they will come."""

    def __init__(self, chance: Chance) -> None:
        self.chance = chance
        self.number = 2600
        self.orders: list[Order] = []
        self._late = dict(LATE)
        self._serial = 3000
        self._held: dict[str, int] = {}

    def place(self, supplier: str, lines: list[Line], day: date, at: str) -> None:
        """Place an order, unless it is too small for the supplier and can wait for another week."""
        worth = sum(line.item.money * line.quantity for line in lines)
        self._held[supplier] = self._held.get(supplier, 0) + 1
        if worth < MINIMUM[supplier] and self._held[supplier] < 3:
            return
        self._held[supplier] = 0
        self.number += 1
        expected = next_open(day + timedelta(days=LEAD_DAYS[supplier]))
        order = Order(f"N{self.number}", supplier, at, expected, self._comes(supplier, day, expected), lines)
        self.orders.append(order)

    def _comes(self, supplier: str, day: date, expected: date) -> date | None:
        if supplier in self._late and day >= self._late[supplier]:
            del self._late[supplier]
            return None
        lead = max(1.0, self.chance.spread(LEAD_DAYS[supplier], _SPREAD[supplier]))
        comes = next_open(day + timedelta(days=round(lead)))
        if expected <= DEMO_DAY and comes > LAST_DAY - timedelta(days=2):
            comes = LAST_DAY - timedelta(days=3)  # all but the orders that are meant to be late are in by the Thursday
        return max(comes, next_open(day + timedelta(days=1)))

    def due(self, day: date) -> list[Order]:
        """Return the orders that come in today."""
        return [order for order in self.orders if order.comes == day and not order.closed]

    def on_order(self, number: str) -> int:
        """Return what open orders still bring of an item."""
        return sum(line.open for order in self.orders for line in order.lines if line.item.part_number == number)

    def all_on_order(self) -> dict[str, int]:
        """Return what open orders still bring, by part number."""
        found: dict[str, int] = {}
        for order in self.orders:
            for line in order.lines:
                if line.open:
                    found[line.item.part_number] = found.get(line.item.part_number, 0) + line.open
        return found

    def batches(self, item: Item, quantity: int, day: date) -> list[tuple[Batch, int]]:
        """Return the lots or serials a delivery of an item consists of."""
        if item.tracking == "serial":
            return [(Batch(serial=self._next_serial(item)), 1) for _ in range(quantity)]
        if item.tracking == "lot":
            return [(self._lot(item, day), quantity)]
        return [(Batch(), quantity)]

    def _next_serial(self, item: Item) -> str:
        self._serial += self.chance.whole(1, 17)
        return f"{item.part_number[:3]}{self._serial:06d}"

    def _lot(self, item: Item, day: date) -> Batch:
        life = int(item.shelf_life_days)
        made = day - timedelta(days=round(life * (0.08 + 0.14 * self.chance.share())) + 2)
        dated = made + timedelta(days=life) if item.category == "drinks" else None
        letter = "ABCDEFGH"[self.chance.whole(0, 7)]
        return Batch(f"{letter}{made:%y%j}", dated.isoformat() if dated else "")
