"""A screen with an entry line over lines: figures keyed on the lines go to the entry line, and Enter comes back."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType

from partsbin.depot.catalogue import Item
from partsbin.desk.amounts import read_amount
from partsbin.errors import Refused
from partsbin.screens.base import DeskScreen, Lines
from partsbin.screens.clipping import FittedLines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.item_choice import item_read

_LONGEST_FIGURE = 5
"""Digits beyond this many may be a part number; a quantity is at most 100,000."""


class FigureScreen(DeskScreen):
    """Base of screens whose lines take quantities. A screen names its table in ``LINES``."""

    LINES: ClassVar[str] = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "row(-1)", "Line above", show=False),
        Binding("down", "row(1)", "Line below", show=False),
        Binding("escape", "swap", "Lines/entry", id="lines.swap"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._from_lines = False

    @property
    def lines_table(self) -> FittedLines:
        """The table the figures are for."""
        return self.query_one(self.LINES, FittedLines)

    @property
    def walked_table(self) -> Lines:
        """The table that arrow keys walk from the entry line."""
        return self.lines_table

    @property
    def takes_figures(self) -> bool:
        """Whether a figure means anything now."""
        return True

    def on_key(self, event: events.Key) -> None:
        """Digits that no other line took begin a quantity; an Enter that came right behind them ends it."""
        if self._from_lines and event.key == "enter":
            event.stop()
            entry = self.entry()
            entry.post_message(ScanEntry.Entered(entry.text.strip(), entry))
            entry.clear()
        elif event.character and event.character.isdigit() and self.takes_figures:
            event.stop()
            self._from_lines = True
            self.entry().focus()
            self.entry().put(event.character)

    def action_row(self, step: int) -> None:
        """Walk the lines while the entry line has the focus."""
        table = self.walked_table
        if table.row_count:
            table.move_cursor(row=table.cursor_row + step)

    def action_swap(self) -> None:
        """From the entry line to the lines and back."""
        self._from_lines = False
        (self.lines_table if self.entry().has_focus else self.entry()).focus()

    def back_to_lines(self) -> None:
        """Go back to the lines when the entry line was gone to by keying digits there."""
        if self._from_lines:
            self._from_lines = False
            self.lines_table.focus()

    def figure(self, text: str, item: Item) -> int | None:
        """Read a quantity of an item; None when the text is a part number or words. Refuses a wrong figure in words."""
        if not text[:1].isdigit() or (len(text) > _LONGEST_FIGURE and item_read(self, text) is not None):
            return None
        try:
            return amount_of(item)(text)
        except Refused:
            if text.isdigit():
                raise
            return None


def amount_of(item: Item) -> Callable[[str], int]:
    """Return what reads a quantity of an item; 0 is taken too."""

    def read(text: str) -> int:
        return 0 if text.strip() == "0" else read_amount(text, item)[0]

    return read
