"""Reorder: Monday's report with its sums, and the orders made from it."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot import clock
from partsbin.depot.catalogue import item_by_id
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange import read_scan
from partsbin.screens.clipping import FittedLines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.item_choice import item_read
from partsbin.screens.reorder_lines import ORDERS, SHORT, TO_ORDER
from partsbin.screens.reorder_rows import VIEWS
from partsbin.screens.reorder_steps import ReorderSteps

_ON_LINES = {"skip", "quantity", "order", "fill", "write", "drop"}


class Reorder(ReorderSteps):
    """The weekly reorder report."""

    NAME = "reorder"
    LINES = "#rows"
    TITLE_TEXT = "Reorder"
    HELP = """
What stands at or below its reorder point, by supplier: position (on hand + on order − promised), reorder point, order
up to, value. The sums behind the line under the cursor stand below the list, with why the set points are what they are.
“?” marks a line with a note, “+” one that was added, “–” one that is skipped, “*” a quantity you changed.

Key a figure (12, 2 case) and Enter to order another quantity: it is rounded up to whole packs. Space skips a line, on a
supplier's own line all of its lines. Type a part number or words to go to a part or add one; a week (2026-W47) or a
date for the report of another week. O turns a supplier's lines into a purchase order, F takes the other hands
of what is ordered along, and fills up to the minimum order or free carriage with what will be needed soonest. W writes
the report as PDF and CSV. U drops your changes.

V goes on to open orders (late ones first; C closes one), short requests (C withdraws one), and dated stock that will
not sell before its date. Digits keyed on the lines go to the entry line by themselves; Esc goes between the two.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "skip", "Skip", id="reorder.skip"),
        Binding("q", "quantity", "Quantity", show=False, id="reorder.quantity"),
        Binding("o", "order", "Order", id="reorder.order"),
        Binding("f", "fill", "Fill up", id="reorder.fill"),
        Binding("c", "close", "Close", id="reorder.close"),
        Binding("w", "write", "PDF, CSV", id="reorder.write"),
        Binding("v", "view", "View", id="reorder.view"),
        Binding("u", "drop", "Drop changes", show=False, id="reorder.drop"),
    ]

    def body(self) -> ComposeResult:
        """Entry line, views, lines, the sums behind the line under the cursor."""
        yield ScanEntry(placeholder="figure: quantity · part or words: go to or add it · 2026-W47: that week")
        yield Static(id="reorder-head", markup=False)
        yield FittedLines(id="rows")
        with VerticalScroll(classes="panel", id="reorder-panel"):
            yield Static(id="reorder-words", markup=False)

    def on_mount(self) -> None:
        """Begin on the lines: most of the work is looking."""
        super().on_mount()
        self.table.focus()

    # -- keys --------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys are there only in the view they work in."""
        if action in _ON_LINES:
            return self.sheet is not None and self.view == TO_ORDER
        if action == "close":
            return self.view in (ORDERS, SHORT)
        return super().check_action(action, parameters)

    def action_view(self) -> None:
        """Go on to the next view."""
        self.view = (self.view + 1) % len(VIEWS)
        self.show_rows()
        self.table.move_cursor(row=0)
        self.say("")

    @on(DataTable.RowSelected, "#rows")
    def row_taken(self, message: DataTable.RowSelected) -> None:
        """Ask for the quantity of the line under the cursor."""
        message.stop()
        if self.view == TO_ORDER:
            self.action_quantity()

    # -- what is typed and scanned -----------------------------------------------------------------------

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Take a figure, a week, a part or words."""
        message.stop()
        self.back_to_lines()
        if not message.text:
            self.table.focus()
        elif not self._figure(message.text) and not self._week(message.text):
            self._to_order()
            self.add_part(message.text)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Go to a scanned item, or add it."""
        message.stop()
        scan = read_scan(message.text)
        item = item_read(self, message.text)
        if item is None:
            problems = "; ".join(scan.problems) or "no item here has this code"
            self.complain(f"{message.text}: {problems}")
        else:
            self._to_order()
            self.add_part(item.part_number)

    def _to_order(self) -> None:
        if self.view != TO_ORDER:
            self.view = TO_ORDER
            self.show_rows()

    @property
    def takes_figures(self) -> bool:
        """Quantities are keyed where lines are ordered."""
        return self.view == TO_ORDER

    def _figure(self, text: str) -> bool:
        """Take a quantity for the line under the cursor; False when the text is something else."""
        line = self.line
        if line is None or "-W" in text.upper():
            return False
        try:
            quantity = self.figure(text, item_by_id(self.depot, line.proposed.low.item_id))
        except Refused as refused:
            self.complain(refused)
            return True
        if quantity is not None:
            self.order_quantity(line.proposed.low.item_id, quantity)
        return quantity is not None

    def _week(self, text: str) -> bool:
        """Show the report of another week; False when the text is no week and no date."""
        try:
            day = date.fromisoformat(f"{text.upper()}-1" if "W" in text.upper() else text)
        except ValueError:
            return False
        here = clock.week_name(today(self.depot))
        self.day = None if clock.week_name(day) == here else day
        self.refreshed()
        self.say(f"The report of {clock.week_name(day)}: what is late or near its date is judged as of its Monday.")
        return True
