"""Filling a supplier's order: what must go, what may go along, and what else the minimum value calls for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from partsbin.errors import Refused

Why = Literal["at reorder point", "moved together", "soon needed", "to reach the minimum"]


@dataclass(frozen=True)
class Line:
    """An item of one supplier. Quantities in units, money in minor units, demand a week.

    Order at `reorder_point` or below up to `order_up_to`; at `may_order` or below it may go along with an order
    placed anyway. most: position never to be passed (room, best-before); None: no such limit. together: name
    of a set of items that are only worth moving together.
    """

    part_number: str
    position: int
    reorder_point: int
    order_up_to: int
    pack: int
    unit_cost: float
    weekly_demand: float
    may_order: int | None = None
    minimum: int = 0
    most: int | None = None
    together: str | None = None


@dataclass(frozen=True)
class OrderLine:
    """What to order of an item and why."""

    part_number: str
    quantity: int
    why: Why
    cover_weeks: float


@dataclass(frozen=True)
class SupplierOrder:
    """The proposed lines and their value, which may stay below the minimum: the lead waits, or pays the carriage."""

    lines: tuple[OrderLine, ...]
    value: float


def fill_supplier_order(items: Sequence[Line], minimum_value: float = 0.0, most_weeks: float = 26.0) -> SupplierOrder:
    """Order lines of one supplier on an order day.

    1. Items at or below their reorder point must go, up to their level in whole packs (and whatever else is in
    the same `together` set and below its level). Nothing due: no order, whatever the minimum value.
    2. Below the minimum value, items at or below `may_order` go along, least weeks of cover first, up to level.
    3. Still below it: one pack at a time of the item that will be needed soonest (least weeks of cover, counting
    what is already on this order), never beyond `most` or `most_weeks` of cover: no padding with slow goods.
    What the value then lacks of the minimum is left to the lead, who waits or pays the carriage.
    """
    for item in items:
        if item.pack < 1 or item.unit_cost < 0 or item.order_up_to < item.reorder_point:
            raise Refused(f"{item.part_number}: pack, cost or set point cannot be right; put it right and try again.")
    fill = _Filling(list(items), minimum_value, most_weeks)
    fill.must()
    if fill.wanted:
        fill.may()
        fill.soonest()
    return fill.order()


class _Filling:
    def __init__(self, items: list[Line], minimum_value: float, most_weeks: float) -> None:
        self.items, self.minimum_value, self.most_weeks = items, minimum_value, most_weeks
        self.wanted: dict[int, tuple[int, Why]] = {}

    def value(self) -> float:
        return sum(self.items[i].unit_cost * q for i, (q, _) in self.wanted.items())

    def cover(self, i: int) -> float:
        """Weeks until the position, with this order, is used up; infinite without demand."""
        item = self.items[i]
        stock = item.position + self.wanted.get(i, (0, ""))[0]
        return stock / item.weekly_demand if item.weekly_demand > 0 else math.inf

    def up_to_level(self, i: int, why: Why) -> None:
        quantity = _to_level(self.items[i])
        if quantity > 0:
            self.wanted[i] = (quantity, why)

    def must(self) -> None:
        due = [i for i, it in enumerate(self.items) if it.position <= it.reorder_point]
        for i in due:
            self.up_to_level(i, "at reorder point")
        sets = {self.items[i].together for i in self.wanted} - {None}
        for i, item in enumerate(self.items):
            if item.together in sets and i not in self.wanted and item.position < item.order_up_to:
                self.up_to_level(i, "moved together")

    def may(self) -> None:
        along = [i for i, it in enumerate(self.items) if it.may_order is not None and it.position <= it.may_order]
        for i in sorted((i for i in along if i not in self.wanted), key=self.cover):
            if self.value() >= self.minimum_value:
                return
            self.up_to_level(i, "soon needed")

    def soonest(self) -> None:
        while self.value() < self.minimum_value:
            open_ = [i for i in range(len(self.items)) if self._has_room(i)]
            if not open_:
                return
            i = min(open_, key=self.cover)
            quantity, why = self.wanted.get(i, (0, "to reach the minimum"))
            self.wanted[i] = (quantity + self._next_pack(i, quantity), why)

    def _next_pack(self, i: int, already: int) -> int:
        item = self.items[i]
        return item.pack if already else max(item.pack, math.ceil(item.minimum / item.pack) * item.pack)

    def _has_room(self, i: int) -> bool:
        item, already = self.items[i], self.wanted.get(i, (0, ""))[0]
        after = item.position + already + self._next_pack(i, already)
        if item.weekly_demand <= 0 or item.unit_cost <= 0 or (item.most is not None and after > item.most):
            return False
        return self.cover(i) < self.most_weeks

    def order(self) -> SupplierOrder:
        lines = tuple(
            OrderLine(self.items[i].part_number, q, why, self.cover(i)) for i, (q, why) in sorted(self.wanted.items())
        )
        return SupplierOrder(lines, self.value())


def _to_level(item: Line) -> int:
    """Whole packs (and the minimum) that reach the level without passing `most`."""
    want = item.order_up_to - item.position
    if want <= 0:
        return 0
    packs = math.ceil(max(want, item.minimum) / item.pack)
    if item.most is not None:
        packs = min(packs, max(0, (item.most - item.position) // item.pack))
    return packs * item.pack


def next_order_day(today: date, weekdays: Iterable[int]) -> date:
    """The first of the supplier's order days on or after today; 0 is Monday. Refuses an empty list."""
    days = sorted({d % 7 for d in weekdays})
    if not days:
        raise Refused("Name at least one weekday on which the supplier takes orders.")
    return min(today + timedelta((d - today.weekday()) % 7) for d in days)
