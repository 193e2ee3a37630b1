"""History: every slip, what stood on it, taking one back; proving the file they stand in and backing it up."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot import clock
from partsbin.depot.backup_plan import backup_folder
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.history import SlipHead, slip_head, slip_lines, slips
from partsbin.depot.ledger import reverse
from partsbin.depot.plain_text import counted
from partsbin.desk.scanned import look_up
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange import read_scan
from partsbin.exchange.backups import back_up, require_new_name
from partsbin.screens.base import DeskScreen, Lines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.questions import Ask
from partsbin.wanted import still_wanted


class History(DeskScreen):
    """Look back over the ledger."""

    NAME = "history"
    TITLE_TEXT = "History"
    HELP = """
Every slip ever posted, the newest first. Nothing here can be changed; a mistake is put right by taking the slip back.
Type words to narrow the list: a slip number, a part number, a bin or van, a reference, initials, a date (2026-11). Or
scan a slip, a bin or a part.
Arrow keys walk the list and show what stood on each slip. R takes the slip under the cursor back and asks why.

K checks the file: every stock figure is recomputed and the chain of slips proved. B writes a backup and proves it, on a
stick for example; one a day is made anyway, in the folder “backups”. Esc stops either.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("r", "reverse", "Take back", id="history.reverse"),
        Binding("k", "check", "Check the file", id="history.check"),
        Binding("b", "back_up", "Back up", id="history.back_up"),
        Binding("escape", "swap", "Entry line or list", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._words = ""
        self._only = False  # the words are one slip's number, and nothing else is shown
        self._newest = 0
        self._faults: list[str] = []  # what the last check found, shown until something else is looked for

    def body(self) -> ComposeResult:
        """Entry line, list, detail."""
        yield ScanEntry(placeholder="narrow by number, part, place, reference, date …")
        yield Lines("Slip", "Kind", "When", "By", "Lines", "Reference", id="slips")
        with VerticalScroll(classes="panel"):
            yield Static(id="detail", markup=False)

    def on_screen_resume(self) -> None:
        """Begin at the newest slip when something was posted since the screen was last in front."""
        super().on_screen_resume()
        newest = self.depot.value("SELECT ifnull(max(id), 0) FROM slips")
        if newest != self._newest:
            self._newest = newest
            self.query_one("#slips", Lines).move_cursor(row=0)

    def refreshed(self) -> None:
        """Show the newest slips that fit the words."""
        zone = self.depot.zone
        found = slips(self.depot, words=self._words)
        if self._only:
            head = slip_head(self.depot, int(self._words)) if self._words.isdecimal() else None
            found = [head] if head else []
        table = self.query_one("#slips", Lines)
        table.fill(
            (
                (
                    s.id,
                    _kind(s),
                    f"{clock.local_time(s.posted_at, zone):%Y-%m-%d %H:%M}",
                    s.operator,
                    s.lines,
                    s.reference,
                )
                for s in found
            ),
            keys=(str(s.id) for s in found),
        )
        self._detail()

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Narrow the list to the slip, place or part that was scanned."""
        message.stop()
        scan = read_scan(message.text)
        if scan.slip:
            self.show_slip(scan.slip)
        else:
            known = look_up(self.depot, message.text, today(self.depot))
            self._narrow(known.place.code if known.place else known.item.part_number if known.item else scan.text)

    @on(ScanEntry.Entered)
    def narrowed(self, message: ScanEntry.Entered) -> None:
        """Narrow the list."""
        message.stop()
        self._narrow(message.text)

    def show_slip(self, number: str) -> None:
        """Show one slip, as scanned from its paper."""
        self._narrow(number, only=True)
        if not self.query_one("#slips", Lines).row_count:
            self.complain(f"Slip {number} was not posted in this depot. Enter an empty line for all.")

    def _narrow(self, words: str, *, only: bool = False) -> None:
        self._words, self._only, self._faults = words, only, []
        self.refreshed()
        self.query_one("#slips", Lines).focus()
        self.say(f"Slips with “{self._words}”; Enter an empty line for all." if self._words else "")

    @on(DataTable.RowHighlighted, "#slips")
    def walked(self) -> None:
        """Show the slip under the cursor."""
        self._detail()

    def _detail(self) -> None:
        key = self.query_one("#slips", Lines).key_here
        head = slip_head(self.depot, int(key)) if key else None
        text = _described(self.depot, head) if head else "No slip fits." if self._words else "Nothing is posted yet."
        self.query_one("#detail", Static).update("\n".join(self._faults) or text)

    @work
    async def action_reverse(self) -> None:
        """Take the slip under the cursor back."""
        key = self.query_one("#slips", Lines).key_here
        if key is None:
            return
        reason = await self.app.push_screen_wait(Ask(f"Why is slip {key} taken back?", check=_reason))
        if reason is None:
            return
        operator = self.operator
        slip = await self.attempt(lambda depot: reverse(depot, int(key), operator=operator, reason=reason))
        if slip is not None:
            self.say(f"Slip {key} was taken back by slip {slip}.")

    @work(exclusive=True, group="file")
    async def action_check(self) -> None:
        """Recompute every stock figure, prove the chain of slips, and show what does not add up."""

        def progress(what: str) -> None:
            self.how_far = f"{what} ·"

        found = await self.find_out(lambda depot: differences(depot, progress), "checking …")
        if found is None:
            return
        self._faults = found
        self._detail()
        if found:
            told = f"{counted(len(found), 'difference')}, listed below: post nothing, bring back a backup."
            self.complain(f"{told} Enter an empty line for the slips.")
        else:
            self.say("The depot is proved: every figure adds up.")

    @work(exclusive=True, group="file")
    async def action_back_up(self) -> None:
        """Write a backup where the desk says."""
        here = self.desk.path
        moment = clock.local_time(clock.now(), self.depot.zone)
        usual = backup_folder(here) / f"{here.stem}-{moment:%Y-%m-%dT%H%M}.backup"
        answer = await self.app.push_screen_wait(
            Ask("Back up to which file?", answer=str(usual), check=lambda text: require_new_name(here, _named(text)))
        )
        if answer is None:
            return
        target = _named(answer)

        def progress(left: int, of: int) -> None:
            self.how_far = f"{100 * (of - left) // max(of, 1)} % ·"
            still_wanted()

        def write(depot: Depot) -> bool:
            if target.parent == usual.parent:
                usual.parent.mkdir(exist_ok=True)
            back_up(depot, target, progress)
            return True

        if await self.find_out(write, "backing up …"):
            self.say(f"Backed up to {target}, opened and proved.")


def _named(text: str) -> Path:
    if not text.strip():
        message = "Name a file, such as /media/stick/depot.backup."
        raise Refused(message)
    return Path(text).expanduser()


def _reason(text: str) -> None:
    if not text:
        message = "Say in a few words what was wrong."
        raise Refused(message)


def _kind(head: SlipHead) -> str:
    if head.reversed_by:
        return f"{head.kind} (taken back)"
    return f"takes back {head.reverses}" if head.reverses else head.kind


def _described(depot: Depot, head: SlipHead) -> str:
    """What stood on a slip, in lines for people."""
    top = f"Slip {head.id} · {head.kind} · {head.operator}" + (f" · {head.reference}" if head.reference else "")
    notes = [f"Reason: {head.reason}"] if head.reason else []
    if head.reversed_by:
        notes.append(f"Taken back by slip {head.reversed_by}.")
    lines = [
        f"{x.quantity:>6} {x.part_number:<16} {x.source} → {x.target}"
        + (f"  lot {x.lot}" if x.lot else "")
        + (f"  serial {x.serial}" if x.serial else "")
        + (f"  ({x.entered})" if x.entered else "")
        + f"  {x.description}"
        for x in slip_lines(depot, head.id)
    ]
    return "\n".join([top, *notes, *lines])
