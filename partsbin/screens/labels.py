"""Labels: what to print, how it lies on the sheet, and where it goes; jobs stay until they came out."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from partsbin.depot.file import Depot
from partsbin.desk.label_jobs import (
    KeptJob,
    Sheet,
    drop_job,
    make_job,
    nudge_for,
    open_jobs,
    preview,
    save_job,
    send_job,
    set_nudge,
    stock_for,
)
from partsbin.desk.labelling import WHAT, choose
from partsbin.errors import Refused
from partsbin.screens.base import DeskScreen, Lines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.questions import Ask, Pick

if TYPE_CHECKING:
    from partsbin.printing.label_kinds import Label

_SHOWN = 300


class Labels(DeskScreen):
    """Print labels that scan."""

    NAME = "labels"
    TITLE_TEXT = "Labels"
    HELP = f"""
Say what to label and press Enter; more can be added after it: {WHAT}.
The preview says what, how many, on which sheet and from which position, and draws the first sheet.

K chooses the sheet or roll, N the first free position, U marks other used positions. G nudges what this printer prints
(measure the calibration page, L). P writes a PDF; S sends to a printer and follows the job. J lists jobs that did not
come out: none is lost with a printer. X takes the label under the cursor off. C clears.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "write", "PDF", id="labels.write"),
        Binding("s", "send", "Send", id="labels.send"),
        Binding("k", "sheet", "Sheet", id="labels.sheet"),
        Binding("n", "start", "Start at", id="labels.start"),
        Binding("j", "jobs", "Jobs", id="labels.jobs"),
        Binding("c", "clear", "Clear", id="labels.clear"),
        Binding("u", "used", "Used positions", show=False, id="labels.used"),
        Binding("g", "nudge", "Nudge", show=False, id="labels.nudge"),
        Binding("l", "calibrate", "Calibration page", show=False, id="labels.calibrate"),
        Binding("x", "drop", "Take off", show=False, id="labels.drop"),
        Binding("escape", "swap", "Entry line or list", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.what: list[str] = []
        self.chosen: list[Label] = []
        self.sheet = Sheet()

    def body(self) -> ComposeResult:
        """Entry line, the labels chosen, the preview."""
        yield ScanEntry(placeholder="what to label?  bins · A-01-01-1..A-02-99-9 · received · a part, bin or van · F1")
        yield Lines("Label", "Says", id="chosen")
        with VerticalScroll(classes="panel", id="sheet"):
            yield Static(id="words", markup=False)

    def on_mount(self) -> None:
        """Take up the sheet last used."""
        super().on_mount()
        self.sheet = Sheet(self.depot.setting("label_stock") or "letter-30", 1, frozenset(), self._printer)
        self._show()

    @property
    def _printer(self) -> str:
        return self.depot.setting("label_printer")

    @on(ScanEntry.Entered)
    @on(ScanEntry.Scanned)
    def entered(self, message: ScanEntry.Entered | ScanEntry.Scanned) -> None:
        """Add what was named to what is printed."""
        message.stop()
        if message.text.strip():
            self._add(message.text.strip())
        elif self.chosen:
            self.query_one("#chosen", Lines).focus()

    @work(exclusive=True, group="choose")
    async def _add(self, text: str) -> None:
        labels = await self.attempt(lambda depot: choose(depot, [text]), saying=f"looking for {text} …")
        if labels is None:
            self.entry().value = text
            return
        self.what.append(text)
        self.chosen += labels
        self._show()
        self.query_one("#chosen", Lines).focus()

    @work(exclusive=True, group="preview")
    async def _show(self) -> None:
        from partsbin.printing.label_kinds import code_of, title_of

        self.query_one("#chosen", Lines).fill((title_of(label), code_of(label)) for label in self.chosen[:_SHOWN])
        words = self.query_one("#words", Static)
        if not self.chosen:
            jobs = open_jobs(self.depot)
            waiting = f"\n{len(jobs)} job(s) did not come out yet: J lists them." if jobs else ""
            words.update(f"Sheet: {self.sheet.stock}. Nothing chosen yet.{waiting}")
            return
        chosen, sheet = list(self.chosen), self.sheet
        run = await self.attempt(lambda depot: preview(depot, chosen, sheet), saying="laying out …")
        if run is not None:
            words.update("\n".join([*run.lines(), "", *run.sheet(sheet.skip)]))
            self.say(f"{run.count} labels: P writes a PDF, S sends to a printer.")

    def action_swap(self) -> None:
        """From the entry line to the list and back."""
        table, entry = self.query_one("#chosen", Lines), self.entry()
        (table if entry.has_focus and self.chosen else entry).focus()

    def action_clear(self) -> None:
        """Choose anew."""
        self.what, self.chosen = [], []
        self._show()
        self.say("")
        self.entry().focus()

    def action_drop(self) -> None:
        """Take the label under the cursor off."""
        at = self.query_one("#chosen", Lines).cursor_row
        if 0 <= at < len(self.chosen):
            del self.chosen[at]
            self._show()

    @work
    async def action_sheet(self) -> None:
        """Choose the sheet or roll."""
        from partsbin.printing.stock import stock_names

        names = stock_names(self.desk.path.parent)
        rows = []
        for name in names:
            try:
                rows.append(f"{name:<12} {stock_for(self.depot, Sheet(name)).about}")
            except Refused as refused:
                rows.append(f"{name:<12} ✗ {refused}")
        at = names.index(self.sheet.stock) if self.sheet.stock in names else 0
        chosen = await self.app.push_screen_wait(Pick("Which sheet or roll?", rows, at))
        if chosen is not None:
            self.sheet = Sheet(names[chosen], printer=self._printer)
            self.depot.set_setting("label_stock", names[chosen])
            self._show()

    @work
    async def action_start(self) -> None:
        """Say the first free position of a part-used sheet."""
        most = stock_for(self.depot, self.sheet).per_page
        answer = await self.app.push_screen_wait(
            Ask(f"First free position (1–{most})?", answer=str(self.sheet.start), check=partial(_position, most))
        )
        if answer:
            self.sheet = replace(self.sheet, start=int(answer))
            self._show()

    @work
    async def action_used(self) -> None:
        """Mark other used positions of the first sheet."""
        shown = " ".join(map(str, sorted(self.sheet.skip)))
        answer = await self.app.push_screen_wait(Ask("Used positions of the first sheet?", answer=shown, hint="3 4 9"))
        if answer is None:
            return
        words = answer.replace(",", " ").split()
        if all(word.isdigit() for word in words):
            self.sheet = replace(self.sheet, skip=frozenset(map(int, words)))
            self._show()
        else:
            self.complain(f"“{answer}”: key the numbers of used positions, such as 3 4 9.")

    @work
    async def action_nudge(self) -> None:
        """Move what this printer prints on this stock."""
        nudge = nudge_for(self.depot, self.sheet)
        shown = f"{nudge.x_mm:g} {nudge.y_mm:g} {100 / nudge.scale_x:g} {100 / nudge.scale_y:g}"
        answer = await self.app.push_screen_wait(
            Ask("Right, down (mm), and the 100 mm lines as measured across and down", answer=shown)
        )
        if answer is not None:
            sheet = self.sheet
            if await self.attempt(lambda depot: set_nudge(depot, sheet, answer)) is not None:
                self._show()

    # -- printing ----------------------------------------------------------------------------------------

    def _paper(self, name: str) -> Path:
        folder = self.desk.path.parent / "papers"
        folder.mkdir(exist_ok=True)
        return folder / name

    @work(exclusive=True, group="print")
    async def action_calibrate(self) -> None:
        """Write the calibration page of this stock."""
        from partsbin.printing.calibration import write_calibration

        path, sheet = self._paper(f"calibration-{self.sheet.stock}.pdf"), self.sheet
        done = await self.attempt(
            lambda depot: write_calibration(stock_for(depot, sheet), path, nudge_for(depot, sheet))
        )
        if done is not None:
            self.say(f"Calibration page: {path}. Print it at 100 %, measure, then G.")

    @work(exclusive=True, group="print")
    async def action_write(self) -> None:
        """Write a PDF."""
        job = await self._job()
        if job is None:
            return
        path = self._paper(f"labels-{job:04d}.pdf")
        if await self.attempt(partial(_save, job, path)) is not None:
            self._done(f"Labels: {path}. Print at 100 %, never “fit to page”.")

    @work(exclusive=True, group="print")
    async def action_send(self) -> None:
        """Send to a printer and follow the job."""
        printer = await self.app.push_screen_wait(
            Ask("Which printer?", answer=self._printer, hint="ipp://printer.local/ipp/print")
        )
        if not printer:
            return
        self.depot.set_setting("label_printer", printer)
        self.sheet = replace(self.sheet, printer=printer)
        job = await self._job()
        if job is not None:
            await self._send(job, printer)

    async def _send(self, job: int, printer: str) -> None:
        def tell(word: str) -> None:
            self.app.call_from_thread(self.say, f"Job {job}: {word}")

        ended = await self.attempt(lambda depot: send_job(depot, job, printer, tell), saying=f"sending to {printer} …")
        if ended is not None:
            self._done(f"Job {job}: {ended}.")

    async def _job(self) -> int | None:
        if not self.chosen:
            self.complain("Choose what to label first.")
            return None
        operator, what, chosen, sheet = self.operator, "; ".join(self.what), list(self.chosen), self.sheet
        made = await self.attempt(lambda depot: make_job(depot, operator, what, chosen, sheet), saying="drawing …")
        if made is None:
            return None
        job, run = made
        self.sheet = replace(self.sheet, start=run.next_start, skip=frozenset())
        return int(job)

    def _done(self, words: str) -> None:
        self.what, self.chosen = [], []
        self._show()
        self.say(words)

    @work
    async def action_jobs(self) -> None:
        """Offer the jobs that did not come out."""
        jobs = open_jobs(self.depot)
        if not jobs:
            self.say("Every label job came out.")
            return
        chosen = await self.app.push_screen_wait(Pick("Jobs that did not come out", [_told(job) for job in jobs]))
        if chosen is None:
            return
        job = jobs[chosen]
        ways = ["write it as PDF", f"send it again to {job.printer or 'a printer'}", "give it up"]
        way = await self.app.push_screen_wait(Pick(_told(job), ways))
        if way == 0:
            path = self._paper(f"labels-{job.id:04d}.pdf")
            if await self.attempt(partial(_save, job.id, path)) is not None:
                self.say(f"Labels: {path}.")
        elif way == 1:
            printer: str | None = job.printer
            if not printer:
                printer = await self.app.push_screen_wait(Ask("Which printer?", answer=self._printer))
            if printer:
                await self._send(job.id, printer)
        elif way == 2:
            await self.attempt(lambda depot: drop_job(depot, job.id))
            self.say(f"Job {job.id} is given up.")
        self._show()


def _save(job: int, path: Path, depot: Depot) -> bool:
    save_job(depot, job, path)
    return True


def _position(most: int, text: str) -> None:
    if not text.isdigit() or not 1 <= int(text) <= most:
        message = f"A position is a whole number from 1 to {most}"
        raise Refused(message)


def _told(job: KeptJob) -> str:
    said = f": {job.said}" if job.said else ""
    return f"{job.id}  {job.labels} × {job.what} on {job.stock}, {job.state}{said}"
