"""Receive: a delivery against an order or without one, scanned or keyed, posted as one slip, then labelled."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.desk.delivery import Delivery, lacking
from partsbin.desk.scanned import Known, look_up
from partsbin.desk.today import today
from partsbin.screens.clipping import FittedLines
from partsbin.screens.columns import show_told
from partsbin.screens.entry import ScanEntry
from partsbin.screens.questions import Ask
from partsbin.screens.receive_entry import DeliveryEntry
from partsbin.screens.receive_lines import HEADINGS, OPTIONAL, PROMPTS, head_words, line_words, order_rows, rows
from partsbin.screens.receive_post import offer_labels, post_delivery

_ON_LINES = {"post", "tick", "quantity", "lot", "best_before", "bin", "drop", "clear", "serial"}


class Receive(DeliveryEntry):
    """Book what arrives."""

    NAME = "receive"
    TITLE_TEXT = "Receive"
    HELP = """
Choose the order that came: Enter on the list, or key its number. Its lines appear with what is due, marked “·”. Or just
scan and key what came: it is booked without an order.

Scan a case: item, lot, best-before and quantity are filled in and the line is marked “✓”; the next case of the lot adds
to it, another lot gets a line of its own. Keyed: a part number, then how many (12, 2 case, 2 cs + 6, 1 dozen). Keyed
too, for the line under the cursor: lot L7 · bb 2027-03-31 · sn 12345. Scan or key a bin to send the line there.
A number nobody knows asks whose it is, and remembers; a new part and a new bin can be made on the spot.

Arrow keys walk the lines; Esc goes to them and back. There: Space ticks what came as ordered, a figure is the quantity,
L lot, B best-before, S serial, I bin, X drops the line, N starts afresh. P posts one receipt for all of it and offers
the labels. “!” marks what a line still lacks. What is half entered stays here when the program ends.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "post", "Post", id="receive.post"),
        Binding("space", "tick", "Tick", id="receive.tick"),
        Binding("q", "quantity", "Quantity", id="receive.quantity"),
        Binding("l", "lot", "Lot", id="receive.lot"),
        Binding("b", "best_before", "Best before", show=False, id="receive.best_before"),
        Binding("i", "bin", "Bin", id="receive.bin"),
        Binding("x", "drop", "Drop", id="receive.drop"),
        Binding("s", "serial", "Serial", show=False, id="receive.serial"),
        Binding("n", "clear", "Start afresh", show=False, id="receive.clear"),
        Binding("escape", "swap", "Entry line or lines", show=False, id="receive.swap"),
        Binding("up", "step(-1)", "Line above", show=False),
        Binding("down", "step(1)", "Line below", show=False),
    ]

    def body(self) -> ComposeResult:
        """What is booked, entry line, open orders or lines, what is to know about the line."""
        yield Static(id="delivery", markup=False)
        yield ScanEntry(placeholder=PROMPTS[""])
        yield FittedLines("Order", "Supplier", "Expected", "Lines due", id="orders")
        yield FittedLines(*HEADINGS, id="arrivals")
        with VerticalScroll(classes="panel"):
            yield Static(id="about", markup=False)

    def on_mount(self) -> None:
        """Bring back what was half entered."""
        kept = self.left_draft()
        if kept:
            self.delivery = Delivery.of_draft(kept)
        super().on_mount()
        if kept:
            self.say("This delivery was half entered: go on where it stopped. On the lines, N starts afresh.")
        self.entry().focus()

    def refreshed(self) -> None:
        """Show the delivery in hand, or the orders to choose from."""
        self.query_one("#delivery", Static).update(head_words(self.depot, self.delivery))
        day, in_hand = today(self.depot), bool(self.delivery.lines or self.delivery.order)
        orders, arrivals = self.query_one("#orders", FittedLines), self.query_one("#arrivals", FittedLines)
        orders.display, arrivals.display = not in_hand, in_hand
        if in_hand:
            found = rows(self.depot, self.delivery, day)
            show_told(arrivals, HEADINGS, found, giving="What", optional=OPTIONAL)
        else:
            open_orders = order_rows(self.depot, day)
            orders.fill((row for _, row in open_orders), keys=(number for number, _ in open_orders))
        self._show_line()

    def _show_line(self) -> None:
        line = self.line
        about = line_words(self.depot, self.delivery, self.at, today(self.depot)) if line else ""
        self.query_one("#about", Static).update(about)
        self.query_one("#about", Static).parent.display = bool(about)  # type: ignore[union-attr]  # it has a parent here
        lack = lacking(self.depot, line) if line else ""
        self.entry().placeholder = PROMPTS[lack].format(part=line.part if line else "")

    @on(DataTable.RowHighlighted, "#arrivals")
    def walked(self) -> None:
        """Show what is to know about the line under the cursor."""
        self._show_line()

    @property
    def at(self) -> int:
        """The place of the line under the cursor."""
        return self.query_one("#arrivals", FittedLines).cursor_row

    def changed(self, at: int | None = None, words: str = "") -> None:
        """Keep the delivery as it now is, show it with the cursor on line ``at``, and say what was done."""
        self.keep_draft(self.delivery.draft())
        self.refreshed()
        if at is not None:
            self.query_one("#arrivals", FittedLines).move_cursor(row=at)
        self._show_line()
        self.refresh_bindings()
        self.say(words)

    # -- keys on the lines -------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that work on lines are there only while there are lines."""
        if action in _ON_LINES:
            return bool(self.delivery.lines or self.delivery.order)
        return super().check_action(action, parameters)

    @property
    def lines_table(self) -> FittedLines:
        """The table in front: the lines of the delivery in hand, or the open orders."""
        return self.query_one("#arrivals" if self.delivery.lines or self.delivery.order else "#orders", FittedLines)

    @property
    def takes_figures(self) -> bool:
        """A figure is the quantity of the line under the cursor."""
        return bool(self.delivery.lines)

    def action_step(self, step: int) -> None:
        """Move the cursor of the lines from the entry line."""
        self.lines_table.move_cursor(row=self.lines_table.cursor_row + step)

    @on(DataTable.RowSelected, "#orders")
    def chosen(self) -> None:
        """Book against the order under the cursor."""
        key = self.query_one("#orders", FittedLines).key_here
        if key:
            self.take([key], scanned=False)
            self.entry().focus()

    @on(DataTable.RowSelected, "#arrivals")
    def selected(self) -> None:
        """Enter on a line asks its quantity."""
        self.action_quantity()

    @work
    async def _ask(self, what: str, question: str, hint: str = "") -> None:
        """Ask one thing about the line; an empty answer leaves it, “-” takes it away."""
        line, at = self.line, self.at
        if line is None:
            return

        def check(text: str) -> None:
            if text:
                trial = Delivery(self.delivery.order, self.delivery.note, list(self.delivery.lines))
                trial.change(self.depot, at, what, "" if text == "-" else text, today(self.depot))

        now = getattr(line, what)
        hint = f"now {now}; Enter keeps it" if now else hint
        answer = await self.app.push_screen_wait(Ask(question.format(part=line.part), hint=hint, check=check))
        if answer:
            self.set_on_line(what, "" if answer == "-" else answer)

    def action_tick(self) -> None:
        """The line came as it stands; go on to the next."""
        line, at = self.line, self.at
        if line is not None:
            self.delivery.lines[at] = replace(line, checked=not line.checked)
            self.changed(min(at + 1, len(self.delivery.lines) - 1))

    def action_quantity(self) -> None:
        """Ask the quantity."""
        self._ask("quantity", "How many {part} came?  12 · 2 case · 2 cs + 6 · 1 dozen")

    def action_lot(self) -> None:
        """Ask the lot."""
        self._ask("lot", "Lot of {part}, as on the case?")

    def action_best_before(self) -> None:
        """Ask the best-before."""
        self._ask("best_before", "Best before of {part}?  2027-03-31 · 2027-03 · or 270331 as on the case")

    def action_serial(self) -> None:
        """Ask the serial number."""
        self._ask("serial", "Serial number of {part}?")

    @work
    async def action_bin(self) -> None:
        """Ask the bin."""
        line = self.line
        if line is None:
            return
        code = await self.app.push_screen_wait(
            Ask(f"Which bin does {line.part} go into?", answer=line.bin, hint="A-03-07-2")
        )
        if code:
            known = look_up(self.depot, code, today(self.depot))
            await self.to_bin(known if known.place else Known(code, new_bin=code.upper()))

    def action_drop(self) -> None:
        """Drop the line."""
        line = self.line
        if line is not None:
            del self.delivery.lines[self.at]
            self.changed(None, f"{line.part} was dropped.")
            if not self.delivery.lines:
                self.entry().focus()

    def action_clear(self) -> None:
        """Start afresh."""
        self.delivery = Delivery()
        self.changed(None, "Nothing is in hand now.")
        self.entry().focus()

    @work(exclusive=True, group="post")
    async def action_post(self) -> None:
        """Post one receipt for all of it, then offer the labels."""
        slip = await post_delivery(self)
        if slip is not None:
            await offer_labels(self, slip)
