"""The terminal program: the depot it works on, who is at the desk, and the way between screens."""

from __future__ import annotations

import asyncio
import sqlite3
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, TypeVar

from textual import work
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.worker import WorkerFailed

from partsbin.codes import read_badge
from partsbin.depot.faults import explained, sentence
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator, by_badge, the_operator
from partsbin.desk.people import must_sign_on
from partsbin.errors import Refused
from partsbin.screens.drafts import Drafts
from partsbin.screens.entry import shown
from partsbin.screens.scan_router import ScanRouter
from partsbin.screens.staying import Staying
from partsbin.screens.ways import WAYS, screen_class
from partsbin.wanted import still_wanted, while_wanted

if TYPE_CHECKING:
    from partsbin.desk.finding import Finder
    from partsbin.screens.base import DeskScreen

Result = TypeVar("Result")

_LOOK_EVERY = 1.0
"""Seconds between looks for what other terminals posted: no screen shows stock older than two seconds."""


_BACK_UP_AFTER = 5.0
"""Seconds until the day's backup begins: the prompt comes first."""

_LOOK_STEPS = 10_000
"""Steps of SQLite's machine, about a millisecond, between two looks whether a query is still wanted."""


class PartsbinApp(Staying, ScanRouter):
    """partsbin on one depot. Screens ask ``app.depot`` for quick looks and ``app.away`` for anything that may wait."""

    TITLE = "partsbin"
    CSS_PATH = "partsbin.tcss"
    ENABLE_COMMAND_PALETTE = False
    MODES: ClassVar[dict[str, str | Callable[[], Screen[None]]]] = {way.name: screen_class(way.name) for way in WAYS}
    DEFAULT_MODE = WAYS[0].name  # the Counter is the first thing mounted: no empty screen is laid out before it
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 - Textual declares it without ClassVar
    BINDINGS: ClassVar[list[BindingType]] = [
        *[Binding(way.key, f"go('{way.name}')", way.title, show=False, id=f"go.{way.name}") for way in WAYS],
        Binding("f1", "help", "Help", id="help", priority=True),
        Binding("ctrl+o", "sign_on", "Change who is at the desk", show=False, id="sign_on"),
        Binding("escape", "stop", "Stop", show=False, id="stop", priority=True),
        Binding("f10", "leave", "Leave", show=False, id="leave"),
        Binding("ctrl+q", "leave", "Leave", show=False, id="leave.too", priority=True),
    ]

    def __init__(self, path: Path, initials: str = "") -> None:
        super().__init__()
        self.path = path
        self.depot = Depot.open(path)
        self.operator = the_operator(self.depot, initials)
        self._named = bool(initials)
        self.finder: Finder | None = None
        self.leaving = threading.Event()  # set when the program ends: what waits or works behind it stops
        self.behind = ""  # what is done behind the screens, told in their heading
        self.drafts = Drafts(self.depot)
        self._version = self.depot.data_version()

    def on_mount(self) -> None:
        """Ask who is at the desk where that must be known; look for what others post; back up once a day."""
        if must_sign_on(self.depot) and (self.operator.has_pin or not self._named):
            from partsbin.screens.sign_on import SignOn

            self.push_screen(SignOn(self.depot, self.operator if self._named else None), self._first_sign_on)
        self.set_interval(_LOOK_EVERY, self.look)
        self.set_timer(_BACK_UP_AFTER, lambda: self.run_worker(self._back_up_today(), exclusive=False))

    async def _back_up_today(self) -> None:
        """Make the day's backup in the background, on the first opening of a day; leaving the program stops it."""
        from partsbin.depot.backup_plan import back_up_today

        def progress(left: int, of: int) -> None:
            still_wanted()
            self.behind = f"day's backup {100 * (of - left) // max(of, 1)} %"

        showing = self.set_interval(1, self._show_behind)
        try:
            await self.away(lambda depot: back_up_today(depot, progress))
        except Refused as refused:
            if self.front is not None:
                self.front.complain(f"No backup was made today. {refused}")
        finally:
            showing.stop()
            self.behind = ""
            self._show_behind()

    def _show_behind(self) -> None:
        if self.front is not None:
            self.front.show_heading()

    async def on_unmount(self) -> None:
        """Close the file, so that its write-ahead log is folded in."""
        self.leaving.set()
        with suppress(Refused, sqlite3.Error):  # a disk that is gone keeps nobody here
            self.drafts.write(wait=True)
        self.depot.close()

    async def away(self, job: Callable[[Depot], Result], left: threading.Event | None = None) -> Result:
        """Run a job on the depot in another thread with its own connection; refusals come back as raised.

        With ``left`` the job only reads: once that is set its queries and sums stop where they are.
        """

        def unwanted() -> bool:
            return self.leaving.is_set() or (left is not None and left.is_set())

        def run() -> Result:
            with explained(self.path), Depot.open(self.path) as depot, while_wanted(unwanted):
                depot.waiting = lambda word: self.call_from_thread(self._say, word)
                if left is not None:
                    depot.connection.set_progress_handler(unwanted, _LOOK_STEPS)
                return job(depot)

        return await asyncio.to_thread(run)

    def told(self, error: BaseException) -> bool:
        """Tell what a rule, the file or the disk refuses on the screen in front; False where it is none of these."""
        words = sentence(error, self.path) if isinstance(error, sqlite3.Error) else str(error)
        if not words or not isinstance(error, (Refused, sqlite3.Error)):
            return False
        if self.front is not None and self.front.query("#message"):  # else it is not laid out yet: the next look tells
            self.front.complain(words)
        return True

    def _handle_exception(self, error: Exception) -> None:
        """End the program for a fault of its own only: what a timer or worker was refused is told, and it goes on."""
        if not self.told(error.error if isinstance(error, WorkerFailed) else error):
            super()._handle_exception(error)

    def _say(self, word: str) -> None:
        front = self.front
        if front is not None:
            front.say(word)

    def scan(self, text: str, strayed: str = "") -> None:
        """Deliver a scan to the screen in front; a badge scanned there says who is at the desk."""
        badge = read_badge(text[3:] if text.startswith("]") else text)
        if not badge or self.front is not self.screen:
            super().scan(text, strayed)
            return
        if self.scan_entry is not None:
            self.scan_entry.take_back(shown(strayed))
        self.sign_on(badge)

    def sign_on(self, badge: str) -> None:
        """Put the wearer of a badge at the desk, after their PIN where one is set; what is entered stays."""
        worn = by_badge(self.depot, badge)
        if worn is None:
            if self.front is not None:
                self.front.complain(f"Nobody here wears badge {badge}.")
        elif worn.has_pin:
            self._ask_who(worn)
        else:
            self._take_desk(worn)

    def action_sign_on(self) -> None:
        """Ask who is at the desk now."""
        if self.front is self.screen:
            self._ask_who()

    def _ask_who(self, who: Operator | None = None) -> None:
        from partsbin.screens.sign_on import SignOn

        self.push_screen(SignOn(self.depot, who), self._take_desk)

    def _first_sign_on(self, who: Operator | None) -> None:
        """Begin with who signed on; nobody works here unnamed where names are asked for."""
        if who is None:
            self.exit()
        self._take_desk(who)

    def _take_desk(self, who: Operator | None) -> None:
        front = self.front
        if who is None or front is None:
            return
        self.operator = who
        front.renew()
        front.say(f"{who.initials} {who.name} is at the desk.")

    async def the_finder(self) -> Finder:
        """Return the request reader, in step with the catalogue; the first call reads the catalogue."""
        from partsbin.desk.finding import Finder

        if self.finder is None:
            self.finder = await self.away(Finder)
            self.settle()  # the index stays: collecting it again and again would stall the input
        else:
            await self.away(self.finder.refresh)
        return self.finder

    @property
    def front(self) -> DeskScreen | None:
        """The desk screen in front, below any question that stands before it."""
        from partsbin.screens.base import DeskScreen

        return next((screen for screen in reversed(self.screen_stack) if isinstance(screen, DeskScreen)), None)

    def look(self) -> None:
        """Bring the screen in front up to date when another terminal, or a worker here, has posted.

        Raises nothing of the file's: what was just posted is posted, whether or not it can be looked at.
        """
        if self.front is None:  # between two screens; the next look comes in a second
            return
        try:
            self.depot.require_still_there()
            self.drafts.write()
            version = self.depot.data_version()
            if version != self._version:
                self._version = version
                self.front.renew()
        except (Refused, sqlite3.Error) as error:
            if not self.told(error):
                raise

    def action_go(self, name: str) -> None:
        """Go to a screen; what was entered on the one left behind stays there."""
        if self.front is self.screen:
            self.switch_mode(name)

    @work
    async def show_slip(self, number: str) -> None:
        """Go to History and show the slip whose paper was scanned."""
        from partsbin.screens.history import History

        await self.switch_mode("history")
        if isinstance(self.front, History):
            self.front.show_slip(number)

    async def action_help(self) -> None:
        """Explain the screen in front and its live keys."""
        from partsbin.screens.questions import Help

        if self.front is self.screen:
            await self.push_screen(Help(self.front.TITLE_TEXT, self.front.HELP, self.front.live_keys()))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Esc stops only while the screen in front waits for something; else it is the screen's own key."""
        if action == "stop":
            return self.front is self.screen and self.front is not None and self.front.under_way is not None
        return super().check_action(action, parameters)

    def action_stop(self) -> None:
        """Leave what the screen in front waits for; the depot is only read by it."""
        if self.front is not None and self.front.under_way is not None:
            self.front.under_way.cancel()

    def action_leave(self) -> None:
        """Leave the program; entered work is kept as a draft, down to the last key."""
        if self.front is not None:
            self.front.keep_typed()
        self.exit()


def run(path: Path, initials: str = "") -> int:
    """Open the terminal program on a depot, making an empty one where there is none yet; returns the exit code."""
    if not path.exists():
        from partsbin.desk.demo import furnish

        with Depot.create(path) as depot:
            furnish(depot)
    app = PartsbinApp(path, initials)
    app.run()
    return app.return_code or 0
