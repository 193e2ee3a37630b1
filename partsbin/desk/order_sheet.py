"""The Monday report being worked on: quantities changed, lines skipped or added, kept through renewals."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from partsbin.depot.catalogue import Item, find_item, item_by_id
from partsbin.depot.file import Depot
from partsbin.desk.monday import MondayReport, Reorder
from partsbin.desk.ordering import Terms, figures_of, terms, with_quantity
from partsbin.errors import Refused


@dataclass
class OrderLine:
    """One line: what the report proposes, what was keyed, whether it stays out."""

    proposed: Reorder
    quantity: int
    skipped: bool = False
    added: bool = False

    @property
    def final(self) -> Reorder:
        """The line with the quantity as it stands."""
        return replace(self.proposed, quantity=self.quantity)

    @property
    def changed(self) -> bool:
        """Whether somebody changed what the report proposes."""
        return self.skipped or self.added or self.quantity != self.proposed.quantity

    @property
    def goes(self) -> bool:
        """Whether the line will be ordered."""
        return not self.skipped and self.quantity > 0


@dataclass(frozen=True, slots=True)
class Group:
    """One supplier's lines; the empty name is “no supplier stated”. Money in minor units."""

    supplier: str
    terms: Terms | None
    lines: tuple[OrderLine, ...]

    @property
    def going(self) -> list[Reorder]:
        """What will be ordered."""
        return [line.final for line in self.lines if line.goes]

    @property
    def total(self) -> int:
        """Value of what will be ordered, as far as prices are known."""
        return sum(line.value or 0 for line in self.going)

    @property
    def unpriced(self) -> int:
        """How many of the lines have no price."""
        return sum(1 for line in self.going if line.value is None)

    @property
    def goal(self) -> int:
        """The value to fill the order up to, 0 when there is none."""
        return self.terms.goal(self.total) if self.terms and self.going else 0


class OrderSheet:
    """A report open to change until its lines are ordered."""

    def __init__(self, depot: Depot, report: MondayReport, edits: dict[str, Any] | None = None) -> None:
        self.report = report
        self.terms = terms(depot)
        self.lines = [OrderLine(line, line.quantity) for line in report.lines]
        if edits:
            self._apply(depot, edits)

    # -- looking -----------------------------------------------------------------------------------------

    def groups(self) -> list[Group]:
        """Return the lines by supplier, those without one last."""
        ordered = sorted(self.lines, key=_place_in_report)
        return [
            Group(name, self.terms.get(name), tuple(lines))
            for name, lines in groupby(ordered, key=lambda line: line.proposed.low.supplier)
        ]

    def group(self, supplier: str) -> Group | None:
        """Return one supplier's lines."""
        return next((group for group in self.groups() if group.supplier == supplier), None)

    def line(self, item_id: int) -> OrderLine | None:
        """Return an item's line."""
        return next((line for line in self.lines if line.proposed.low.item_id == item_id), None)

    def final(self) -> MondayReport:
        """Return the report as changed: skipped lines left out."""
        ordered = sorted(self.lines, key=_place_in_report)
        return replace(self.report, lines=tuple(line.final for line in ordered if not line.skipped))

    @property
    def edited(self) -> bool:
        """Whether anything was changed."""
        return any(line.changed for line in self.lines)

    # -- changing ----------------------------------------------------------------------------------------

    def set_quantity(self, line: OrderLine, quantity: int) -> str:
        """Order another quantity, in whole packs; returns a word where it was raised. 0 skips the line."""
        if not quantity:
            line.skipped = True
            return "The line is skipped."
        final, said = with_quantity(line.proposed, quantity)
        line.quantity, line.skipped = final.quantity, False
        return said

    def add(self, depot: Depot, item: Item, quantity: int, note: str = "") -> tuple[OrderLine, str]:
        """Order an item the report does not propose, or more of one it does; returns its line and a word.

        A superseded item is refused: its successor is what the supplier still sells.
        """
        if item.superseded_by is not None:
            message = (
                f"{item.part_number} is superseded by {item_by_id(depot, item.superseded_by).part_number}; add that."
            )
            raise Refused(message)
        line = self.line(item.id)
        if line is None:
            line = OrderLine(Reorder(figures_of(depot, item), 0, note or "added by hand"), 0, added=True)
            self.lines.append(line)
        elif line.skipped:
            line.quantity = 0
        return line, self.set_quantity(line, line.quantity + quantity)

    def forget(self, lines: Iterable[Reorder]) -> None:
        """Take lines that were ordered off the sheet."""
        self.lines = self._without(lines)

    def _without(self, lines: Iterable[Reorder]) -> list[OrderLine]:
        gone = {line.low.item_id for line in lines}
        return [line for line in self.lines if line.proposed.low.item_id not in gone]

    def drop_changes(self) -> None:
        """Go back to what the report proposes."""
        self.lines = [OrderLine(line, line.quantity) for line in self.report.lines]

    # -- drafts ------------------------------------------------------------------------------------------

    def edits(self, *, without: Iterable[Reorder] = ()) -> dict[str, Any]:
        """Return what was changed, as JSON can keep it: by part number; lines just ordered ``without``."""
        return {
            "week": self.report.week,
            "lines": {
                x.proposed.low.part_number: [x.quantity, x.skipped, x.proposed.note if x.added else None]
                for x in self._without(without)
                if x.changed
            },
        }

    def _apply(self, depot: Depot, edits: dict[str, Any]) -> None:
        here = {line.proposed.low.part_number: line for line in self.lines}
        for part_number, (quantity, skipped, note) in edits.get("lines", {}).items():
            line = here.get(part_number)
            item = find_item(depot, part_number) if line is None and note is not None else None
            if item is not None and item.superseded_by is None:
                line = OrderLine(Reorder(figures_of(depot, item), 0, note), 0, added=True)
                self.lines.append(line)
            if line is not None:
                line.quantity, line.skipped = quantity, skipped


def _place_in_report(line: OrderLine) -> tuple[bool, str, str]:
    low = line.proposed.low
    return not low.supplier, low.supplier.lower(), low.part_number
