"""Count: a blind sheet for a bin, a van or a walk; differences reviewed, reasoned and posted."""

from __future__ import annotations

from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot.places import the_place
from partsbin.depot.plain_text import counted
from partsbin.desk.count_paper import write_sheets
from partsbin.desk.counting import draw_up, gaps
from partsbin.desk.counts_due import due, walk
from partsbin.errors import Refused
from partsbin.screens import count_rows as words
from partsbin.screens.clipping import FittedLines
from partsbin.screens.columns import show_told
from partsbin.screens.count_review import CountReview
from partsbin.screens.entry import ScanEntry
from partsbin.screens.questions import Ask, Sure

_ON_PAPER = 30
_PHASES = {
    "all": ("choose",),
    "sheet": ("choose", "count"),
    "quantity": ("count",),
    "uncount": ("count",),
    "skip": ("count",),
    "finish": ("count",),
    "reason": ("review",),
    "again": ("review",),
    "post": ("review",),
    "leave": ("count", "review"),
}


class Count(CountReview):
    """Count what is really there."""

    NAME = "count"
    TITLE_TEXT = "Count"
    HELP = """
The list shows what to count first: places where a posting was refused because the file said too little was there, then
those never counted, then the longest not counted. Enter counts the one under the cursor, W walks the whole list. Or
scan or key a bin or van, an aisle (A), a bay (A-03) or a zone: its bins come one after the other in walking order.

The sheet is blind: it shows what belongs there, not how many. Scan each piece or case, or key how many for the line
under the cursor (0, 12, 2 case + 6; +6 adds) and Enter: the cursor goes on. Arrow keys move it. What is not on the
sheet can be scanned or keyed too. Enter on an empty line, or the bin's label, finishes the place.

A large gap (more than 2 units and 5 %) is counted once more. Then the differences are shown with what the file says.
R gives a reason, C counts again, P posts one count slip. A count without a difference is kept too. N leaves the count.

S writes a blind sheet on paper, to count from and key afterwards.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "all", "Walk the list", id="count.all"),
        Binding("s", "sheet", "Sheet on paper", id="count.sheet"),
        Binding("q", "quantity", "Quantity", id="count.quantity"),
        Binding("x", "uncount", "Uncount", id="count.uncount"),
        Binding("k", "skip", "Skip place", id="count.skip"),
        Binding("p", "finish", "Done", id="count.finish"),
        Binding("r", "reason", "Reason", id="count.reason"),
        Binding("c", "again", "Count again", id="count.again"),
        Binding("p", "post", "Post", id="count.post"),
        Binding("n", "leave", "Leave it", id="count.leave"),
        Binding("escape", "swap", "Entry line or lines", show=False, id="count.swap"),
        Binding("up", "step(-1)", "Line above", show=False),
        Binding("down", "step(1)", "Line below", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.places_due: list[str] = []

    def body(self) -> ComposeResult:
        """What is counted, entry line, the list or sheet or differences, what is known about the line."""
        yield Static(id="count-head", markup=False)
        yield ScanEntry(placeholder=words.CHOOSE)
        yield FittedLines(*words.DUE, id="choose")
        yield FittedLines(*words.SHEET, id="count")
        yield FittedLines(*words.GAPS, id="review")
        with VerticalScroll(classes="panel", id="count-panel"):
            yield Static(id="count-words", markup=False)

    def on_mount(self) -> None:
        """Go on with a count that was under way."""
        kept = self.left_draft()
        if kept:
            self.bring_back(kept)
        super().on_mount()
        if kept and self.sheet:
            self.say(f"{self.sheet.place} was half counted: go on where it stopped. On the lines, N leaves it.")
        self.entry().focus()

    # -- showing -----------------------------------------------------------------------------------------

    @property
    def lines_table(self) -> FittedLines:
        """The table in front."""
        return self.query_one(f"#{self.phase}", FittedLines)

    @property
    def takes_figures(self) -> bool:
        """A figure is the count of the line under the cursor."""
        return self.phase == "count"

    @property
    def at(self) -> int:
        """The place of the line under the cursor."""
        return self.lines_table.cursor_row

    def refreshed(self) -> None:
        """Show the list, the sheet or the differences."""
        for phase in ("choose", "count", "review"):
            self.query_one(f"#{phase}", FittedLines).display = phase == self.phase
        if self.sheet is None:
            self._fill_due()
        elif self.phase == "count":
            found = words.sheet_rows(self.depot, self.sheet)
            show_told(self.lines_table, words.SHEET, found, giving="What", optional=words.OPTIONAL)
        else:
            self.gaps = gaps(self.depot, self.sheet)
            rows = words.gap_rows(self.depot, self.gaps, self.reasons)
            keys = [gap.key for gap in self.gaps]
            show_told(self.lines_table, words.GAPS, rows, giving="Reason", optional=words.OPTIONAL, keys=keys)
        self._show_line()

    @work(exclusive=True, group="due")
    async def _fill_due(self) -> None:
        """Look up what to count away from the keyboard: a year of moves is read for it."""
        found = await self.attempt(due)
        if found is not None and self.sheet is None:
            self.places_due = [one.code for one in found]
            self.lines_table.fill((words.due_row(self.depot, one) for one in found), keys=self.places_due)

    def _show_line(self) -> None:
        head, about, prompt = " Nothing is being counted: choose below, or scan a place.", "", words.CHOOSE
        if self.sheet is not None:
            head = words.sheet_head(self.depot, self.sheet, self.queue, again=self.sheet.again)
        if self.phase == "review":
            about, prompt = words.gap_words(self.depot, self.gaps, self.at), words.REVIEW
        elif self.sheet is not None:
            inside = 0 <= self.at < len(self.sheet.lines)
            about = words.sheet_words(self.depot, self.sheet, self.at) if inside else ""
            prompt = "all counted: Enter finishes, or scan on"
            if self.sheet.uncounted and inside:
                line = self.sheet.lines[self.at]
                prompt = f"how many {line.part}{' lot ' + line.lot if line.lot else ''}?  or scan"
        self.query_one("#count-head", Static).update(head)
        self.query_one("#count-words", Static).update(about)
        self.query_one("#count-panel").display = bool(about)
        self.entry().placeholder = prompt

    @on(DataTable.RowHighlighted)
    def walked(self) -> None:
        """Show what is known about the line under the cursor."""
        self._show_line()

    def changed(self, at: int | None = None, told: str = "") -> None:
        """Keep the count as it now is, show it with the cursor on line ``at``, and say what was done."""
        self.keep_draft(self.draft())
        self.refreshed()
        if at is not None:
            self.lines_table.move_cursor(row=at)
        self._show_line()
        self.refresh_bindings()
        self.say(told)

    # -- moving about ------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys are there only in the phase they belong to."""
        if action in _PHASES:
            return self.phase in _PHASES[action] and (action != "skip" or bool(self.queue))
        return super().check_action(action, parameters)

    def action_step(self, step: int) -> None:
        """Move the cursor of the lines from the entry line."""
        self.lines_table.move_cursor(row=self.at + step)

    @on(DataTable.RowSelected)
    def selected(self, message: DataTable.RowSelected) -> None:
        """Enter on a line: count the place, key its quantity, or give a reason."""
        message.stop()
        if self.phase == "choose":
            self.start([self.lines_table.key_here or ""])
        elif self.phase == "count":
            self.action_quantity()
        else:
            self.action_reason()

    def action_all(self) -> None:
        """Walk the whole list."""
        if self.places_due:
            self.start(self.places_due)

    def start(self, places: list[str]) -> None:
        """Begin with the first of these places; the others follow."""
        try:
            here = the_place(self.depot, places[0])
        except Refused as refused:
            self.complain(refused)
            return
        self.queue, self.reasons, self.phase = places[1:], {}, "count"
        self.sheet = draw_up(self.depot, here)
        told = (
            ""
            if self.sheet.lines
            else f"Nothing belongs in {here.code}: Enter if it is empty, or scan what lies there."
        )
        self.changed(0, told)
        self.entry().focus()

    def go_to(self, text: str) -> None:
        """Begin with a place, or the places of a walk."""
        self.start([place.code for place in walk(self.depot, text)])

    @work
    async def action_sheet(self) -> None:
        """Write the blind sheet on paper: of the walk in hand, or of places asked for."""
        if self.sheet is not None:
            codes, name = [self.sheet.place, *self.queue], self.sheet.place
        else:
            hint = f"A, B-09, a bin, a van, a zone; Enter alone: the first {_ON_PAPER} of the list"
            text = await self.app.push_screen_wait(Ask("A blind sheet of which places?", hint=hint, check=self._places))
            if text is None:
                return
            codes, name = self._places(text), text.strip().upper() or "list"
        path = await self.attempt(
            lambda depot: write_sheets(depot, [the_place(depot, code) for code in codes], name), saying="writing …"
        )
        if path is not None:
            self.say(f"The blind sheet of {counted(len(codes), 'place')} lies at {path}")

    def _places(self, text: str) -> list[str]:
        return [place.code for place in walk(self.depot, text)] if text.strip() else self.places_due[:_ON_PAPER]

    def action_skip(self) -> None:
        """Leave this place uncounted and go on."""
        self.next_place("")

    @work
    async def action_leave(self) -> None:
        """Leave the count; nothing is posted."""
        sure = Sure("Leave this count?", "What was counted here is forgotten; nothing is posted.")
        if await self.app.push_screen_wait(sure):
            self.queue = []
            self.next_place("The count was left; nothing was posted.")

    # -- counting ----------------------------------------------------------------------------------------

    @work
    async def action_quantity(self) -> None:
        """Key how many."""
        sheet, at = self.sheet, self.at
        if sheet is None or not 0 <= at < len(sheet.lines):
            return
        trial = sheet.of_draft(sheet.draft())
        question = f"How many {sheet.lines[at].part}?  0 · 12 · 2 case + 6 · +6 adds"
        answer = await self.app.push_screen_wait(Ask(question, check=lambda text: trial.key(self.depot, at, text)))
        if answer is not None:
            self.key(answer)

    def action_uncount(self) -> None:
        """Take the count of the line away."""
        if self.sheet and 0 <= self.at < len(self.sheet.lines):
            self.sheet.clear(self.at)
            self.changed(self.at)
