"""Tables that fit the terminal: one column gives way so that the others stay whole."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from partsbin.screens.base import Lines

Cell = str | Text
_PADDING = 2  # a blank on either side of every cell
_SCROLLBAR = 2
_LEAST = 8


class FittedLines(Lines):
    """A table whose columns may change with what is shown, and whose widest column is cut to the terminal's width."""

    def show(self, headings: Sequence[str], rows: Sequence[Sequence[Cell]], keys: Sequence[str], giving: int) -> None:
        """Show rows under these headings; column ``giving`` is cut where the width does not do."""
        if tuple(headings) != self._headings or not self.columns:
            self.clear(columns=True)
            self._headings = tuple(headings)
            self.add_columns(*headings)
        width = self.size.width or self.app.size.width  # before the first layout there is only the terminal's own
        self.fill(fitted(headings, rows, width - _SCROLLBAR, giving), keys=keys)


def clip(text: str, width: int) -> str:
    """Return ``text`` cut to ``width`` terminal cells, with “…” where something was cut."""
    return text if cell_len(text) <= width else set_cell_size(text, max(width - 1, 0)).rstrip() + "…"


def fitted(headings: Sequence[str], rows: Sequence[Sequence[Cell]], width: int, giving: int) -> list[list[Cell]]:
    """Return the rows with column ``giving`` cut so that the table fits into ``width`` terminal cells."""
    widths = [
        max([cell_len(heading), *(_width(row[i]) for row in rows)]) for i, heading in enumerate(headings) if i != giving
    ]
    room = max(width - sum(widths) - _PADDING * len(headings), _LEAST)
    return [[_cut(cell, room) if i == giving else cell for i, cell in enumerate(row)] for row in rows]


def _width(cell: Cell) -> int:
    return cell.cell_len if isinstance(cell, Text) else cell_len(cell)


def _cut(cell: Cell, room: int) -> Cell:
    if isinstance(cell, str):
        return clip(cell, room)
    short = cell.copy()
    short.truncate(room, overflow="ellipsis")
    return short
