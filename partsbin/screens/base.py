"""What every desk screen has: the heading, the way strip, the message line, the keys, and drafts."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Sequence
from threading import Event
from time import monotonic
from typing import Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import DataTable, Static

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.screens.entry import ScanEntry
from partsbin.screens.key_line import KeyLine
from partsbin.screens.typing_kept import TypingKept
from partsbin.screens.ways import WAYS

MOST_ROWS = 300
"""Rows a table shows: the rest is for narrowing down, since a long table is slow and nobody reads it."""


class Lines(DataTable[Text]):
    """A table of lines. Cells are plain text, never markup; filling keeps the cursor on the line it was on."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("home", "scroll_top", show=False),
        Binding("end", "scroll_bottom", show=False),
    ]

    def __init__(self, *columns: str, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id, cursor_type="row", zebra_stripes=True, cell_padding=1)
        self._headings = columns

    def on_mount(self) -> None:
        """Put up the headings."""
        self.add_columns(*self._headings)

    def fill(self, rows: Iterable[Sequence[object]], keys: Iterable[str] | None = None) -> None:
        """Show these rows, at most ``MOST_ROWS``; ``keys`` name them, so that the cursor follows its line."""
        shown = [tuple(row) for row in rows][:MOST_ROWS]
        names = [str(key) for key in keys][:MOST_ROWS] if keys is not None else [str(i) for i in range(len(shown))]
        held = self.key_here
        at = self.cursor_row
        self.clear()
        cells = [[cell if isinstance(cell, Text) else Text(str(cell)) for cell in row] for row in shown]
        for number, column in enumerate(self.ordered_columns):  # else columns only grow, and a wide filling stays wide
            column.content_width = max([column.label.cell_len, *(row[number].cell_len for row in cells)])
        for name, row in zip(names, cells, strict=True):
            self.add_row(*row, key=name)
        if shown:
            self.move_cursor(row=names.index(held) if held in names else min(at, len(shown) - 1))

    @property
    def key_here(self) -> str | None:
        """The name of the line under the cursor, or None."""
        if not self.row_count or not self.is_valid_row_index(self.cursor_row):
            return None
        return self.coordinate_to_cell_key(self.cursor_coordinate).row_key.value


class DeskScreen(TypingKept, Screen[None]):
    """Base of the eight screens. A screen sets ``TITLE_TEXT`` and ``HELP``, composes ``body`` and may keep a draft.

    ``say`` and ``complain`` write on the message line; ``attempt`` runs a flow away from the event loop and complains
    in words when it is refused, leaving what was entered as it was.
    """

    TITLE_TEXT: ClassVar[str] = ""
    HELP: ClassVar[str] = ""
    NAME: ClassVar[str] = ""
    _just_mounted = False

    @property
    def depot(self) -> Depot:
        """The depot, for quick looks on this thread."""
        return self.desk.depot

    @property
    def operator(self) -> Operator:
        """Who is at the desk."""
        return self.desk.operator

    def compose(self) -> ComposeResult:
        """Lay out heading, way strip, body, message line and keys."""
        yield Static(id="heading", markup=False)
        yield Static(self._strip(), id="ways", markup=False)
        yield from self.body()
        yield Static(id="message", markup=False)
        yield KeyLine(show_command_palette=False, compact=True)

    def body(self) -> ComposeResult:
        """Lay out what is the screen's own."""
        yield from ()

    def _strip(self) -> Text:
        """The screens with their keys; only the first key is spelled F2, so that nearly all fit into 80 columns."""
        strip = Text(no_wrap=True)
        for number, way in enumerate(WAYS):
            here = way.name == self.NAME
            strip.append(f"{' ' if number else 'F'}{way.key[1:]}", "dim" if not here else "bold")
            strip.append(f"▸{way.title}" if here else way.title, "bold reverse" if here else "")
        return strip

    def on_mount(self) -> None:
        """Show the heading and bring the figures up to date."""
        self._just_mounted = True
        self._bring_back_line()
        self.renew()

    def on_screen_resume(self) -> None:
        """Bring the figures up to date when the screen comes back to the front."""
        if not self._just_mounted:
            self.renew()
        self._just_mounted = False

    def renew(self) -> None:
        """Show the present state of the depot; called when it changed. Screens add their own in ``refreshed``."""
        if not self.query("#heading"):  # not laid out yet: it is renewed once it is
            return
        self.show_heading()
        self.refreshed()

    def show_heading(self) -> None:
        """Show which screen, depot, operator and day it is; what is done behind the screens stands for the depot."""
        if not self.query("#heading"):
            return
        day = today(self.depot)
        name = self.desk.behind or self.depot.setting("depot_name")
        left = f" {self.TITLE_TEXT} · {name}"
        right = f"{self.operator.initials} · {day:%a %d %b} · {clock.week_name(day)} · F1 help "
        width = max(self.app.size.width, 40)
        self.query_one("#heading", Static).update(left.ljust(width - len(right)) + right)

    def refreshed(self) -> None:
        """Bring the screen's own figures up to date."""

    def say(self, words: str) -> None:
        """Write on the message line; on a screen that is going there is none."""
        for line in self.query("#message").results(Static):
            line.remove_class("wrong")
            line.update(words)

    def complain(self, words: str | Refused) -> None:
        """Write what was refused on the message line, marked by a sign as well as colour."""
        for line in self.query("#message").results(Static):
            again = line.has_class("wrong") and str(line.content) == f"✗ {words}"
            line.add_class("wrong")
            line.update(f"✗ {words}")
            if not again:  # a disk that does not answer is asked every second
                self.app.bell()

    async def attempt(self, job: Callable[[Depot], Any], *, saying: str = "") -> Any:  # noqa: ANN401 - whatever the job gives
        """Run a flow on the depot away from the event loop; returns its result, or None when it was refused."""
        if saying:
            self.say(saying)
        try:
            result = await self.desk.away(job)
        except Refused as refused:
            self.complain(refused)
            return None
        self.desk.look()
        return result

    async def post(self, job: Callable[[Depot], Any], *, left: object = None, saying: str = "") -> Any:  # noqa: ANN401 - whatever the job gives
        """As ``attempt``, for what posts: with it the draft becomes ``left``, lest what is posted be offered again."""
        operator = self.operator

        def whole(depot: Depot) -> Any:  # noqa: ANN401 - whatever the job gives
            with depot.write():
                done = job(depot)
                self.desk.drafts.settle(depot, operator, self.NAME, left)
                return done

        return await self.attempt(whole, saying=saying)

    under_way: asyncio.Task[Any] | None = None
    """What ``find_out`` waits for; Esc cancels it."""

    how_far = ""
    """How far that is, told with its time; it is set from the thread that does it."""

    async def find_out(self, job: Callable[[Depot], Any], saying: str) -> Any:  # noqa: ANN401 - whatever the job gives
        """Run what only reads: after a second its time is told, and Esc stops it. Else as ``attempt``."""
        self.say(saying)
        began, left, self.how_far = monotonic(), Event(), ""
        self.under_way = task = asyncio.create_task(self.desk.away(job, left))
        try:
            while not (await asyncio.wait({task}, timeout=1))[0]:
                self.say(f"{saying} {self.how_far} {monotonic() - began:.0f} s · Esc stops".replace("  ", " "))
            return task.result()
        except Refused as refused:
            self.complain(refused)
        except asyncio.CancelledError:
            if not task.cancelled():  # not Esc: this screen's own work was called off
                task.cancel()
                raise
            self.say("Stopped; nothing was changed.")
        finally:
            left.set()
            self.under_way = None
        return None

    def live_keys(self) -> list[tuple[str, str]]:
        """Return (key, what it does) of every key that works here now."""
        keys: dict[str, str] = {}
        for active in self.active_bindings.values():
            binding = active.binding
            own = active.node in (self, self.app) or binding.show
            if own and binding.description and active.enabled:
                keys.setdefault(binding.description, self.app.get_key_display(binding))
        return [(key, what) for what, key in keys.items()]

    # -- drafts ------------------------------------------------------------------------------------------

    def keep_draft(self, body: object) -> None:
        """Keep half-entered work, and what stands in the entry line; None forgets it."""
        self.desk.drafts.keep(self.operator, {self.NAME: body, **self.half_typed()})

    def left_draft(self) -> Any:  # noqa: ANN401 - whatever the screen kept
        """Return what was kept, or None."""
        return self.desk.drafts.left(self.operator, self.NAME)

    def _bring_back_line(self) -> None:
        entry = self.entry()
        entry.value = self.desk.drafts.left(self.operator, self._line) or ""
        entry.cursor_position = len(entry.value)

    def half_typed(self) -> dict[str, str | None]:
        """Return what stands in the entry line, by the name it is kept under."""
        return {self._line: self.entry().value or None}

    @property
    def _line(self) -> str:
        """Under which name the entry line is kept."""
        return f"{self.NAME} line"

    def action_swap(self) -> None:
        """From the entry line to the list and back; where the list is empty it stays."""
        entry, lists = self.entry(), self.query(DataTable)
        there = entry.has_focus and lists and lists.first().row_count
        (lists.first() if there else entry).focus()

    def entry(self) -> ScanEntry:
        """Return the screen's entry line."""
        return self.query_one(ScanEntry)
