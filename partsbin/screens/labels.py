"""Labels: what to print, how it lies on the sheet, and where it goes; jobs stay until they came out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from threading import Event
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from partsbin.depot.file import Depot
from partsbin.depot.plain_text import counted
from partsbin.desk.label_jobs import make_job, open_jobs, preview
from partsbin.desk.labelling import WHAT, choose, choose_scanned
from partsbin.screens.base import MOST_ROWS, Lines
from partsbin.screens.clipping import clip
from partsbin.screens.entry import ScanEntry
from partsbin.screens.labels_jobs import ask_printer, offer_jobs, send, write
from partsbin.screens.labels_sheet import SheetScreen

if TYPE_CHECKING:
    from partsbin.printing.label_kinds import Label
    from partsbin.printing.label_run import LabelRun

_TOLD_EVERY = 0.25  # seconds
_ON_LABELS = {"write", "send", "clear", "drop"}


class Labels(SheetScreen):
    """Print labels that scan."""

    NAME = "labels"
    TITLE_TEXT = "Labels"
    HELP = f"""
Say what to label and press Enter: {WHAT}.
Scan a bin, a part or a case to print its label again. Esc goes back to the entry line, to add more; while a long run is
laid out or drawn, Esc stops it.

The preview says what, how many, on which sheet and from which position, and draws the first sheet: # printed now, x
used before, . still free.

On the labels: K chooses the sheet or roll, N the first free position, U marks other used positions. L writes the
calibration page; measure it, and G keeps what this printer misses by. P writes a PDF; S sends to a printer and follows
the job. J lists jobs that did not come out: none is lost with a printer. X takes the label under the cursor off. C
clears.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "write", "PDF", id="labels.write"),
        Binding("s", "send", "Send", id="labels.send"),
        Binding("j", "jobs", "Jobs", id="labels.jobs"),
        Binding("c", "clear", "Clear", id="labels.clear"),
        Binding("x", "drop", "Take off", show=False, id="labels.drop"),
        Binding("escape", "swap", "Entry line or labels", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.what: list[str] = []
        self.chosen: list[Label] = []
        self._laying: Event | None = None
        self._drawing: Event | None = None
        """What stops the laying out and the drawing under way."""

    def body(self) -> ComposeResult:
        """Entry line, the labels chosen, the preview."""
        yield ScanEntry(placeholder="what to label?  bins · A-01..A-03 · received · part, bin or van")
        yield Lines("Label", "Says", id="chosen")
        with VerticalScroll(classes="panel", id="sheet"):
            yield Static(id="words", markup=False)

    def on_mount(self) -> None:
        """Take up the sheet last used."""
        super().on_mount()
        self.take_usual_sheet()
        self.show()
        self.entry().focus()

    # -- choosing ----------------------------------------------------------------------------------------

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Add what was named to what is printed."""
        message.stop()
        text = message.text.strip()
        if text:
            self._add(text, lambda depot: choose(depot, [text]), typed=True)
        elif self.chosen:
            self.query_one("#chosen", Lines).focus()

    @on(ScanEntry.Pasted)
    def pasted(self, message: ScanEntry.Pasted) -> None:
        """Add each pasted line, such as a column of bins or part numbers."""
        message.stop()
        lines = [line.strip() for line in message.text.splitlines() if line.strip()]
        self._add(f"{lines[0]} … {lines[-1]}", lambda depot: choose(depot, lines))

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Add the label of what was scanned."""
        message.stop()
        self._add(message.text, lambda depot: choose_scanned(depot, message.text))

    @work(group="choose")
    async def _add(self, text: str, find: Callable[[Depot], list[Label]], *, typed: bool = False) -> None:
        labels = await self.find_out(find, f"looking for {clip(text, 60)} …")
        if labels is not None:
            self.what.append(text)
            self.chosen += labels
            self.say(f"{counted(len(self.chosen), 'label')}: P writes a PDF, S sends to a printer; Esc adds more.")
            self.show()
            if not self.entry().value:
                self.query_one("#chosen", Lines).focus()
        elif typed and not self.entry().value:  # what was refused stands there again, to be put right
            self.entry().put(text)

    # -- showing -----------------------------------------------------------------------------------------

    def show(self) -> None:
        """Show the labels chosen and what printing them comes to."""
        self.refresh_bindings()
        self._preview()

    @work(exclusive=True, group="preview")
    async def _preview(self) -> None:
        from partsbin.printing.label_kinds import code_of, title_of

        if self._laying:
            self._laying.set()
        chosen, sheet = list(self.chosen), self.sheet
        self.query_one("#chosen", Lines).fill((title_of(label), code_of(label)) for label in chosen[:MOST_ROWS])
        words = self.query_one("#words", Static)
        if not chosen:
            words.update(f"Nothing chosen yet. Sheet: {sheet.stock}.{self._waiting()}")
            return
        words.update("laying out …")
        self._laying = stop = Event()
        tell = self._teller("laying out", len(chosen), stop, words.update)
        run = await self.attempt(lambda depot: preview(depot, chosen, sheet, progress=tell, cancelled=stop.is_set))
        self._laying = None
        if run is not None:
            words.update(self._told(run))
        elif stop.is_set():
            words.update(f"{counted(len(chosen), 'label')} chosen, not laid out; P and S print them, C clears.")
        else:
            words.update("These labels do not go onto this sheet as it is: K takes another, X takes a label off.")

    def _teller(self, what: str, count: int, stop: Event, show: Callable[[str], None]) -> Callable[[int], None]:
        """What tells, from another thread and a few times a second, how far a long run is; leaving ends the run."""
        app, told = self.desk, monotonic()

        def tell(done: int) -> None:
            nonlocal told
            if app.leaving.is_set():
                stop.set()
            elif not stop.is_set() and monotonic() - told > _TOLD_EVERY:
                told = monotonic()
                app.call_from_thread(show, f"{what} … {done:,} of {count:,} labels · Esc stops")

        return tell

    def _told(self, run: LabelRun) -> str:
        more = [f"The list shows the first {MOST_ROWS}."] if run.count > MOST_ROWS else []
        sheet = run.sheet(self.sheet.skip)
        drawn = ["", "The first sheet (# printed now, x used before, . still free):", *sheet] if sheet else []
        return "\n".join([*run.lines(), *more, *drawn]) + self._waiting()

    def _waiting(self) -> str:
        jobs = len(open_jobs(self.depot))
        return (
            f"\n{counted(jobs, 'job')} did not come out yet: J lists them (Esc leaves the entry line)." if jobs else ""
        )

    # -- keys --------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that work on labels are there only while there are labels."""
        if action in _ON_LABELS:
            return bool(self.chosen)
        return super().check_action(action, parameters)

    def action_swap(self) -> None:
        """Stop what is being drawn or laid out; else from the entry line to the labels and back."""
        under_way = self._drawing or self._laying
        if under_way and not under_way.is_set():
            under_way.set()
        else:
            super().action_swap()

    def action_clear(self) -> None:
        """Choose anew."""
        self._let_go()
        self.say("")
        self.entry().focus()

    def action_drop(self) -> None:
        """Take the label under the cursor off."""
        at = self.query_one("#chosen", Lines).cursor_row
        if 0 <= at < len(self.chosen):
            del self.chosen[at]
            self.show()

    @work(group="print")
    async def action_write(self) -> None:
        """Write a PDF."""
        job = await self._job()
        if job is not None:
            await write(self, job)
            self._preview()

    @work(group="print")
    async def action_send(self) -> None:
        """Send to a printer and follow the job."""
        printer = await ask_printer(self, self.sheet.printer)
        if not printer:
            return
        self.sheet = replace(self.sheet, printer=printer)  # its nudge, not the last one's
        job = await self._job()
        if job is not None:
            await send(self, job, printer)
            self.show()

    @work(group="print")
    async def action_jobs(self) -> None:
        """Offer the jobs that did not come out."""
        await offer_jobs(self, self.sheet.printer)
        self.show()

    async def _job(self) -> int | None:
        """Draw what is chosen and keep it as a job; from then on the job holds the labels, not the screen."""
        operator, what, chosen, sheet = self.operator, self.what, self.chosen, self.sheet
        self._let_go()
        words = "; ".join(what)
        self._drawing = stop = Event()
        tell = self._teller("drawing", len(chosen), stop, self.say)
        self.say("drawing …")
        made = await self.attempt(
            lambda depot: make_job(depot, operator, words, chosen, sheet, progress=tell, cancelled=stop.is_set)
        )
        self._drawing = None
        if made is None:
            self.what, self.chosen = [*what, *self.what], [*chosen, *self.chosen]
            self.show()
            return None
        job, run = made
        self.sheet = replace(self.sheet, start=run.next_start, skip=frozenset())
        self._preview()
        return int(job)

    def _let_go(self) -> None:
        self.what, self.chosen = [], []
        self.show()
