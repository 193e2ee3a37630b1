"""The Monday report on screen: its views, the line under the cursor and the arithmetic behind it."""

from __future__ import annotations

from datetime import date

from textual import on, work
from textual.widgets import DataTable, Static

from partsbin.depot.catalogue import cautions_of, find_item, sources_of
from partsbin.depot.file import Depot
from partsbin.depot.orders import OrderLine as Ordered
from partsbin.depot.orders import open_lines
from partsbin.depot.stock import holdings_of
from partsbin.desk.monday import Dated, MondayReport, ShortRequest, monday_report
from partsbin.desk.order_sheet import Group, OrderLine, OrderSheet
from partsbin.desk.ordering import shelf_points
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.screens import reorder_rows as show
from partsbin.screens.clipping import FittedLines
from partsbin.screens.figures import FigureScreen
from partsbin.screens.restock_rows import caution_words

TO_ORDER, ORDERS, SHORT, DATED = range(4)


class ReorderLines(FigureScreen):
    """The part of Reorder that shows; what changes anything is in ``ReorderSteps``."""

    def __init__(self) -> None:
        super().__init__()
        self.sheet: OrderSheet | None = None
        self.orders: list[Ordered] = []
        self.view = TO_ORDER
        self.day: date | None = None
        self._making = self._stale = False

    @property
    def table(self) -> FittedLines:
        """The table of the view."""
        return self.lines_table

    # -- the report --------------------------------------------------------------------------------------

    def refreshed(self) -> None:
        """Make the report anew, once at a time: on a large depot it takes a moment."""
        if self._making:
            self._stale = True
        else:
            self._making = True
            self._make()

    @work(group="report")
    async def _make(self) -> None:
        day = self.day or today(self.depot)

        def make(depot: Depot) -> tuple[MondayReport, list[Ordered]]:
            return monday_report(depot, day), open_lines(depot)

        first = self.sheet is None
        try:
            found = await (self.find_out(make, "making the report …") if first else self.desk.away(make))
        except Refused as refused:
            self.complain(refused)
            return
        finally:
            self._making = False
        if found is None:
            return
        report, self.orders = found
        self._take(report)
        if first:
            self.say(self._greeting())
        if self._stale:
            self._stale = False
            self.refreshed()

    def _take(self, report: MondayReport) -> None:
        """Put the changes made so far onto a fresh report; those kept from before the program ended come back once."""
        same = self.sheet is not None and self.sheet.report.week == report.week
        kept = self.sheet.edits() if self.sheet and same else self.left_draft()
        fits = bool(kept) and kept["week"] == report.week
        self.sheet = OrderSheet(self.depot, report, kept if fits else None)
        self.show_rows()

    def _greeting(self) -> str:
        if self.sheet is not None and self.sheet.edited:
            return "Your changes of earlier are still in it; U drops them."
        return "A figure changes a line; O orders its supplier's lines; F1 tells the rest."

    # -- showing -----------------------------------------------------------------------------------------

    def show_rows(self, *, at: str = "") -> None:
        """Show the view as it stands; ``at`` names the line to go to."""
        sheet = self.sheet
        if sheet is None:
            return
        view = self._view(sheet)
        self.table.show(view.headings, view.rows, view.keys, view.giving)
        if at in view.keys:
            self.table.move_cursor(row=view.keys.index(at))
        self.query_one("#reorder-head", Static).update(show.strip(sheet, self.orders, self.view))
        self.refresh_bindings()
        self._show_words()

    def _view(self, sheet: OrderSheet) -> show.View:
        if self.view == ORDERS:
            return show.open_orders(self.orders, today(self.depot))
        if self.view == SHORT:
            return show.short_requests(sheet.report.short)
        return show.dated(sheet.report.dated) if self.view == DATED else show.to_order(sheet)

    def on_resize(self) -> None:
        """Fit the rows to the new width."""
        self.show_rows()

    @on(DataTable.RowHighlighted, "#rows")
    def walked(self) -> None:
        """Show what is known about the row under the cursor."""
        self._show_words()

    def _show_words(self) -> None:
        sheet = self.sheet
        if sheet is not None:
            makers = {TO_ORDER: self._order_words, ORDERS: self._orders_words, SHORT: self._short_words}
            words = makers.get(self.view, self._dated_words)(sheet)
            self.query_one("#reorder-words", Static).update(words)

    def _order_words(self, sheet: OrderSheet) -> str:
        line, group = self.line, self.group
        if line is not None:
            item_id = line.proposed.low.item_id
            source = next(iter(sources_of(self.depot, item_id)), None)
            cautions = caution_words(cautions_of(self.depot, item_id))
            breaks = f"price breaks {source.price_breaks}" if source and source.price_breaks else ""
            return show.line_words(line, shelf_points(self.depot, item_id), cautions, breaks)
        if group is not None:
            return show.group_words(group, today(self.depot), self.depot.setting("currency"))
        any_points = bool(self.depot.value("SELECT EXISTS (SELECT 1 FROM set_points)"))
        orders = len({order.order for order in self.orders})
        return show.empty_words(sheet.report, any_points=any_points, orders=orders)

    def _orders_words(self, _sheet: OrderSheet) -> str:
        return show.order_words(self.orders, self.key[2:])

    def _short_words(self, sheet: OrderSheet) -> str:
        return show.short_words(self.short, self.orders)

    def _dated_words(self, sheet: OrderSheet) -> str:
        found = self.lot
        item = find_item(self.depot, found.part_number) if found else None
        held = [h for h in holdings_of(self.depot, item.id) if found and h.lot == found.lot] if item else []
        return show.dated_words(found, [(h.place, h.quantity) for h in held], sheet.report.monday)

    # -- what is under the cursor ------------------------------------------------------------------------

    @property
    def key(self) -> str:
        """The name of the row under the cursor; empty where there is none."""
        return self.table.key_here or ""

    @property
    def line(self) -> OrderLine | None:
        """The line to order under the cursor."""
        kind, _, name = self.key.partition(":")
        return self.sheet.line(int(name)) if self.sheet and kind == "i" else None

    @property
    def group(self) -> Group | None:
        """The supplier whose lines the cursor is among."""
        if self.sheet is None or self.view != TO_ORDER:
            return None
        kind, _, name = self.key.partition(":")
        line = self.line
        if line is not None:
            name = line.proposed.low.supplier
        return self.sheet.group(name) if kind in ("s", "i") else None

    @property
    def short(self) -> ShortRequest | None:
        """The short request under the cursor."""
        found = self.sheet.report.short if self.sheet else ()
        return next((x for x in found if f"r:{x.owed.id}" == self.key), None)

    @property
    def lot(self) -> Dated | None:
        """The dated lot under the cursor."""
        found = self.sheet.report.dated if self.sheet else ()
        return next((x for x in found if f"d:{x.part_number}:{x.lot}" == self.key), None)
