"""The generator's own ledger: stock by place, lot and serial, never below zero, and the rows it leaves."""

from __future__ import annotations

from dataclasses import dataclass, field

from demo_depot.listing import Item

SUPPLIER, JOB, SCRAP = "SUPPLIER", "JOB", "SCRAP"
OUTSIDE = (SUPPLIER, JOB, SCRAP)


@dataclass(frozen=True)
class Batch:
    """What makes one holding of an item differ from another: its lot and date, or its serial number."""

    lot: str = ""
    best_before: str = ""
    serial: str = ""

    @property
    def order(self) -> tuple[str, str, str]:
        """First expired first; then by lot and serial."""
        return (self.best_before or "9999", self.lot, self.serial)


@dataclass(frozen=True)
class Slip:
    """What the rows of one slip share."""

    at: str
    type: str
    reference: str
    operator: str
    reason: str = ""


@dataclass
class Book:
    """Stock as it stands, and every row that led to it (in the columns of moves.csv)."""

    stock: dict[tuple[str, str], dict[Batch, int]] = field(default_factory=dict)
    rows: list[tuple[str, ...]] = field(default_factory=list)
    slips: dict[tuple[str, str, str], int] = field(default_factory=dict)
    today: str = ""

    def on_hand(self, number: str, *places: str) -> int:
        """Return how many of an item lie at these places, what is past its date left out."""
        return sum(quantity for place in places for _, quantity in self._good(number, place))

    def batches(self, number: str, *places: str) -> list[tuple[Batch, int, str]]:
        """Return the good lots or serials at these places with their place, those that must go first in front."""
        found = [(batch, quantity, place) for place in places for batch, quantity in self._good(number, place)]
        return sorted(found, key=lambda held: held[0].order)

    def expired(self, number: str, place: str) -> list[tuple[Batch, int]]:
        """Return the lots at a place that are past their date."""
        held = self.stock.get((number, place), {})
        return [(batch, quantity) for batch, quantity in held.items() if "" < batch.best_before < self.today]

    def _good(self, number: str, place: str) -> list[tuple[Batch, int]]:
        held = self.stock.get((number, place))
        if not held:
            return []
        return [(batch, quantity) for batch, quantity in held.items() if not "" < batch.best_before < self.today]

    def bring(self, slip: Slip, item: Item, place: str, batches: list[tuple[Batch, int]], order: str = "") -> None:
        """Receive batches from the supplier into a bin."""
        for batch, quantity in batches:
            self._row(slip, item, SUPPLIER, place, quantity, batch, order)
            self._shift(item.part_number, place, batch, quantity)

    def take(self, slip: Slip, item: Item, sources: tuple[str, ...], target: str, quantity: int) -> None:
        """Move a quantity, first expired first. Raises ValueError when there is too little."""
        for batch, there, source in self.batches(item.part_number, *sources):
            part = min(quantity, there)
            if part:
                self.take_batch(slip, item, source, target, batch, part)
                quantity -= part
        if quantity:
            message = f"{sources} lack {quantity} of {item.part_number}"
            raise ValueError(message)

    def take_batch(self, slip: Slip, item: Item, source: str, target: str, batch: Batch, quantity: int) -> None:
        """Move a quantity of one lot, or one serial."""
        self._row(slip, item, source, target, quantity, batch)
        if source not in OUTSIDE:
            self._shift(item.part_number, source, batch, -quantity)
        if target not in OUTSIDE:
            self._shift(item.part_number, target, batch, quantity)

    def count(self, slip: Slip, item: Item, place: str, batch: Batch, found: int) -> None:
        """Set what lies at a place to what was counted."""
        self._row(slip, item, "", place, found, batch)
        self._shift(item.part_number, place, batch, found - self.stock.get((item.part_number, place), {}).get(batch, 0))

    def _shift(self, number: str, place: str, batch: Batch, by: int) -> None:
        held = self.stock.setdefault((number, place), {})
        left = held.get(batch, 0) + by
        if left < 0:
            message = f"{place} would hold {left} of {number}"
            raise ValueError(message)
        held[batch] = left
        if not left:
            del held[batch]

    def _row(
        self, slip: Slip, item: Item, source: str, target: str, quantity: int, batch: Batch, order: str = ""
    ) -> None:
        number = self.slips.setdefault((slip.at, slip.type, slip.reference), len(self.slips) + 1)
        self.rows.append(
            (
                *(slip.at, slip.type, item.part_number, source, target, str(quantity), slip.reference),
                *(batch.lot, batch.best_before, batch.serial, slip.reason, slip.operator, order, str(number)),
            )
        )


MOVE_COLUMNS = ["date", "type", "part_number", "from_location", "to_location", "quantity", "reference"]
MOVE_COLUMNS += ["lot", "best_before", "serial", "reason", "operator", "order", "slip"]
