"""Counter: words, numbers and scans in; what is meant, where it is and what to try first; one key hands it over."""

from __future__ import annotations

from asyncio import Lock
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot.places import Place, find_place
from partsbin.screens.base import Lines
from partsbin.screens.clipping import FittedLines
from partsbin.screens.counter_lanes import NEXT, kit_lines, kits_of, lane_asked
from partsbin.screens.counter_lines import AskedFor, Slate, line_row, line_words, place_words
from partsbin.screens.counter_today import CounterToday
from partsbin.screens.entry import ScanEntry

if TYPE_CHECKING:
    from partsbin.desk.finding import Advice
    from partsbin.desk.lane_questions import LaneAsked

_WARM_AFTER = 2.0
_HEADINGS = ("Qty", "", "Part", "What", "Where")


class Counter(CounterToday):
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

    def __init__(self) -> None:
        super().__init__()
        self._left = ""  # what stood on the slate when the program ended
        self._lane: LaneAsked | None = None  # the lane question last answered
        self._reading = Lock()

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
        self._offer_draft()
        self.set_timer(_WARM_AFTER, self._warm)  # the prompt first; the catalogue is read behind it

    @work(group="warm")
    async def _warm(self) -> None:
        await self.desk.the_finder()

    def _offer_draft(self) -> None:
        self._left = str((self.kept_draft() or {}).get("text", ""))
        if self._left:
            first, _, more = self._left.partition("\n")
            told = f"“{first[:40]}”{' and what came after it' if more else ''} stood here when the program ended: "
            self.say(f"{told}Enter reads it again; whatever else is entered takes its place.")

    def refreshed(self) -> None:
        """Bring stock figures and today's needs up to date."""
        self.call_after_refresh(self.count_needs)  # the prompt is painted before the depot is counted through
        self.show_slate()

    # -- reading -----------------------------------------------------------------------------------------

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Read what was typed."""
        message.stop()
        if message.text.strip() or self._left:
            self._read(message.text.strip() or self._left)
        elif self.slate.lines:
            self.query_one("#asked", Lines).focus()

    @on(ScanEntry.Pasted)
    def pasted(self, message: ScanEntry.Pasted) -> None:
        """Read a whole message."""
        message.stop()
        self._read(message.text)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Route a scan: bin, van, item or case."""
        from partsbin.desk.scanned import date_passed, look_up
        from partsbin.desk.today import today
        from partsbin.exchange import read_scan

        message.stop()
        scan, day = read_scan(message.text), today(self.depot)
        if scan.problems:
            self.complain(f"{message.text}: {'; '.join(scan.problems)}")
        elif scan.slip:
            self.desk.show_slip(scan.slip)
        else:
            known = look_up(self.depot, message.text, day)
            past = date_passed(self.depot, known.item, scan, day)
            warning = f"Best before {past} has passed: set it aside, F5 writes it off." if past else ""
            self._read(scan.gtin or scan.part_number or scan.text, scanned=known.quantity or 1, warning=warning)

    @work(group="read")
    async def _read(self, text: str, *, scanned: int = 0, warning: str = "") -> None:
        """Read words, or a code that was ``scanned`` and stands for so many base units."""
        self._left = ""
        try:
            async with self._reading:  # in turn: nothing entered is dropped for what came after it
                await self._understand(text, scanned=scanned, warning=warning)
        except Exception:
            self._left = text  # what could not be read for a fault of the file is not typed twice: Enter alone reads it
            raise

    async def _understand(self, text: str, *, scanned: int, warning: str) -> None:
        place = find_place(self.depot, text)
        if place is not None and place.physical:
            await self._place(place)
            return
        self._lane = None if scanned else await lane_asked(self, text, self.slate.van)
        self.refresh_bindings()
        if self._lane is not None:
            self._tell_lane(self._lane)
            return
        if self.desk.finder is None:
            self.say("reading the catalogue …")
        finder = await self.desk.the_finder()
        message, answers = await self.desk.away(lambda _depot: finder.read(text))
        if not answers:
            self.complain(f"Nothing was read as something asked for in “{text[:60]}”. Say it in other words.")
            return
        van = find_place(self.depot, message.van) if message.van else None
        self.slate.add(text, answers, van=van, job=message.job, scanned=scanned)
        self.keep_draft({"text": self.slate.text})
        self.show_slate()
        table = self.query_one("#asked", Lines)
        table.move_cursor(row=len(self.slate.lines) - len(answers) if not scanned else len(self.slate.lines) - 1)
        if not scanned and not self.entry().value:  # who types on is not interrupted
            table.focus()
        if warning:
            self.complain(warning)
        else:
            self.say("Not read: " + "; ".join(message.unread) if message.unread else self.slate.told())

    @work
    async def action_kit(self) -> None:
        """Put the kit a lane question was answered with on the slate."""
        lines = await kit_lines(self, self._lane)
        if lines:
            self.slate.take(lines)
            self._lane = None
            self.refresh_bindings()
            self.show_slate()
            self.query_one("#asked", Lines).focus()
            self.say(self.slate.told())

    async def _place(self, place: Place) -> None:
        """A bin is looked into and taken from first; a van is who asks, and ends a row of scans."""
        if place.kind == "van":
            self.slate.van = place
            if self.slate.scanning and self.slate.lines:
                self._hand_over(place, self.slate.job, self.slate.seen)
                return
        elif place.kind == "bin":
            self.slate.source, self.slate.scanning = place, True
        self.query_one("#words", Static).update(place_words(self.depot, place))
        self.say(self.slate.told())

    def _tell_lane(self, asked: LaneAsked) -> None:
        self.query_one("#words", Static).update(asked.words())
        if kits_of(asked):
            self.query_one("#known").focus()
            self.say(NEXT)
        else:
            self.say("F11 shows the machines and changes their lanes.")

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
        """Show what is known about the line under the cursor; without one, where there is room, what today needs."""
        line = self.line
        if line is not None:
            words = line_words(line, self._advice(line))
        else:
            words = "" if self.has_class("-wide") else self.today_told
        self.query_one("#words", Static).update(words)

    def _advice(self, line: AskedFor) -> Advice | None:
        from partsbin.desk.finding import advise

        return advise(self.depot, line.item_id, self.slate.van) if line.item_id else None

    @property
    def line(self) -> AskedFor | None:
        """The line under the cursor."""
        at = self.query_one("#asked", Lines).cursor_row
        return self.slate.lines[at] if 0 <= at < len(self.slate.lines) else None

    # -- settling lines ----------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that work on lines are there only while there are lines, K while a lane question has a kit."""
        if action == "kit":
            return bool(kits_of(self._lane))
        if action in {"check_out", "issue", "promise", "quantity", "drop", "clear", "take"}:
            return bool(self.slate.lines) if self.is_mounted else False
        return super().check_action(action, parameters)

    def action_take(self, place: int) -> None:
        """Take another of the items shown for the line."""
        line = self.line
        if line is not None and line.answer and place < len(line.answer.candidates):
            line.choose(line.answer.candidates[place].item_id)
            self.show_slate()
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
            self.show_slate()

    def action_drop(self) -> None:
        """Drop the line."""
        line = self.line
        if line is not None:
            self.slate.lines.remove(line)
            self.refresh_bindings()
            self.show_slate()

    def action_clear(self) -> None:
        """Clear the slate for the next request."""
        self.slate, self._left = Slate(), ""
        self.keep_draft(None)
        self.refresh_bindings()
        self.show_slate()
        self.say("")
        self.entry().focus()
