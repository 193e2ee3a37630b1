"""Counter: words, numbers and scans in; what is meant, where it is and what to try first; one key hands it over."""

from __future__ import annotations

from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.screens.base import Lines
from partsbin.screens.clipping import FittedLines
from partsbin.screens.counter_lanes import kits_of
from partsbin.screens.counter_lines import AskedFor, Slate, line_row, line_words
from partsbin.screens.counter_reading import CounterReading
from partsbin.screens.entry import ScanEntry

_WARM_AFTER = 2.0
_HEADINGS = ("Qty", "", "Part", "What", "Where")


class Counter(CounterReading):
    """The desk's first screen."""

    NAME = "counter"
    TITLE_TEXT = "Counter"
    HELP = """
Type or paste what somebody asks for, in their words, and press Enter: each thing becomes a line, with the items it may
mean. “✓ sure” needs nothing more; “? ask” names the one question to put; “– none” means the depot does not stock it.
“what spacers for the 250 slim in a 74 lane” is answered with sets, capacity and kit; K puts the kit on the slate.
A part number, a bin, a van or a scan works too: a bin shows what lies there and is taken from first; a van is who asks.
Scanning bin, item, item, van hands the items over without a key.

On the lines: 1–5 takes another of the items shown (its words are remembered), Q sets the quantity, X drops a line.
C checks the lines out to a van, J issues them to a job, P promises them for later; what is not there stays promised and
Monday's report counts it. N clears the slate. Esc goes between the entry line and the lines.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "check_out", "Check out", id="counter.check_out"),
        Binding("j", "issue", "To a job", id="counter.issue"),
        Binding("p", "promise", "Promise", id="counter.promise"),
        Binding("q", "quantity", "Quantity", id="counter.quantity"),
        Binding("x", "drop", "Drop", id="counter.drop"),
        Binding("k", "kit", "Kit on the slate", id="counter.kit"),
        Binding("n", "clear", "Clear", id="counter.clear"),
        Binding("v", "van", "Who asks", show=False, id="counter.van"),
        Binding("escape", "swap", "Entry line or lines", show=False, id="counter.swap"),
        *[Binding(str(n), f"take({n - 1})", f"Take item {n}", show=False) for n in range(1, 6)],
    ]

    def body(self) -> ComposeResult:
        """Entry line, lines, what is known about the line under the cursor; beside them what today needs."""
        yield ScanEntry(placeholder="what do they need?  words, part number, bin, van, or a scan")
        with Horizontal():
            with Vertical():
                yield FittedLines(*_HEADINGS, id="asked")
                with VerticalScroll(classes="panel", id="known"):
                    yield Static(id="words", markup=False)
            with VerticalScroll(classes="beside"):
                yield Static(id="today", markup=False)

    def on_mount(self) -> None:
        """Offer what was left half-entered, then read the catalogue in the background."""
        super().on_mount()
        self.offer_left()
        self.set_timer(_WARM_AFTER, self._warm)  # the prompt first; the catalogue is read behind it

    @work(group="warm")
    async def _warm(self) -> None:
        await self.desk.the_finder()

    def refreshed(self) -> None:
        """Bring stock figures and today's needs up to date."""
        self.call_after_refresh(self.count_needs)  # the prompt is painted before the depot is counted through
        self.show_slate()

    # -- showing -----------------------------------------------------------------------------------------

    def show_slate(self) -> None:
        """Show the lines of the slate, and what is known about the one under the cursor."""
        rows = [line_row(self.depot, line, self.slate.van) for line in self.slate.lines]
        self.slate.look(self.depot)
        keys = [str(number) for number in range(len(rows))]
        self.query_one("#asked", FittedLines).show(_HEADINGS, rows, keys, _HEADINGS.index("What"))
        self.show_line()

    @on(DataTable.RowHighlighted, "#asked")
    def walked(self) -> None:
        """Show what is known about the line under the cursor."""
        self.show_line()

    def show_line(self) -> None:
        """Show what was last asked to see, else what is known about the line in hand, else what today needs."""
        line, aside = self.line, self.aside()
        if aside and not self.query_one("#asked", Lines).has_focus:
            words = aside
        elif line is not None:
            words = line_words(self.depot, line, self.slate.van)
        else:
            words = "" if self.has_class("-wide") else self.today_told
        self.query_one("#words", Static).update(words)

    @property
    def line(self) -> AskedFor | None:
        """The line under the cursor."""
        at = self.query_one("#asked", Lines).cursor_row
        return self.slate.lines[at] if 0 <= at < len(self.slate.lines) else None

    # -- settling lines ----------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that work on lines are there only while there are lines, K while a lane question has a kit."""
        if action == "kit":
            return bool(kits_of(self.lane))
        if action in {"check_out", "issue", "promise", "quantity", "drop", "clear", "take"}:
            return bool(self.slate.lines) if self.is_mounted else False
        return super().check_action(action, parameters)

    def action_take(self, place: int) -> None:
        """Take another of the items shown for the line."""
        line = self.line
        if line is not None and line.answer and place < len(line.answer.candidates):
            line.choose(line.answer.candidates[place].item_id)
            self.changed()
            self.say(self.slate.told())  # what was complained of before is settled
            if line.quantity is None:
                self.action_quantity()

    @work
    async def action_quantity(self) -> None:
        """Set the quantity of the line."""
        from partsbin.screens.questions import Ask

        line = self.line
        if line is None:
            return
        shown = "" if line.quantity is None else str(line.quantity)
        answer = await self.app.push_screen_wait(
            Ask(f"How many for “{line.text}”?", answer=shown, check=lambda text: line.read_quantity(self.depot, text))
        )
        if answer is not None:
            line.quantity = line.read_quantity(self.depot, answer)
            self.changed()
            self.say(self.slate.told())

    def action_drop(self) -> None:
        """Drop the line."""
        line = self.line
        if line is not None:
            self.slate.lines.remove(line)
            self.refresh_bindings()
            self.changed()

    def action_clear(self) -> None:
        """Clear the slate for the next request."""
        self.slate, self.left, self.lane, self.looked_into = Slate(), {}, None, None
        self.refresh_bindings()
        self.changed()
        self.say("")
        self.entry().focus()
