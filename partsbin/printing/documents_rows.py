"""A table of any length: laid out a page at a time, so that the work grows with the rows and not with their square."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Flowable, LongTable, TableStyle

_AT_ONCE = 80  # rows: more than a page holds
_TOO_HIGH = 1e6  # points: makes the frame ask for a split


class Rows(Flowable):  # type: ignore[misc]  # reportlab publishes no types
    """Rows under ``heads`` heading rows that repeat on every page; ``commands`` are reportlab's, by row of all."""

    def __init__(
        self,
        cells: Sequence[Sequence[Any]],
        heads: int,
        widths: Sequence[str],
        commands: Sequence[tuple[Any, ...]],
        first: int = 0,
    ) -> None:
        super().__init__()
        self._cells, self._heads, self._widths, self._commands = cells, heads, widths, commands
        self._first = first or heads
        self._table: LongTable | None = None

    def wrap(self, wide: float, high: float) -> tuple[float, float]:
        """Take the whole width; rows for more than a page are too high for any."""
        if len(self._cells) - self._first > _AT_ONCE:
            self.width, self.height = wide, _TOO_HIGH
        else:
            self._table = self._next()
            self.width, self.height = self._table.wrap(wide, high)
        return self.width, self.height

    def split(self, wide: float, high: float) -> list[Flowable]:
        """Return the rows that fit into ``high`` and the rest; nothing when not one does."""
        parts = self._next().splitOn(self.canv, wide, high) if hasattr(self, "canv") else self._next().split(wide, high)
        if not parts:
            return []
        taken = self._first + len(parts[0]._cellvalues) - self._heads
        if taken >= len(self._cells):
            return [parts[0]]
        return [parts[0], Rows(self._cells, self._heads, self._widths, self._commands, taken)]

    def draw(self) -> None:
        """Draw the rows, which fit."""
        if self._table is not None:
            self._table.drawOn(self.canv, 0, 0)

    def _next(self) -> LongTable:
        """The next rows, more than a page holds or all there are, as a table of their own."""
        last = min(len(self._cells), self._first + _AT_ONCE)
        cells = [*self._cells[: self._heads], *self._cells[self._first : last]]
        made = LongTable(cells, colWidths=list(self._widths), repeatRows=self._heads)
        made.setStyle(TableStyle(self._moved(last)))
        return made

    def _moved(self, last: int) -> list[tuple[Any, ...]]:
        """The commands that concern the next rows, counted from their heading."""
        back = self._first - self._heads
        kept = []
        for name, (left, top), (right, low), *rest in self._commands:
            if top >= self._heads and low >= 0:
                if not self._first <= top < last or low >= last:
                    continue
                top, low = top - back, low - back
            kept.append((name, (left, top), (right, low), *rest))
        return kept
