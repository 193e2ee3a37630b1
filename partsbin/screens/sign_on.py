"""Signing on: who is at the desk, by badge scan or initials, with the PIN where one is set."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator, by_badge, signed_on, the_operator
from partsbin.errors import Refused
from partsbin.exchange.scan import read_scan
from partsbin.screens.entry import ScanEntry
from partsbin.screens.staying import Staying

if TYPE_CHECKING:
    from partsbin.screens.app import PartsbinApp


class SignOn(Staying, ModalScreen[Operator | None]):
    """Ask who is at the desk, then for the PIN of somebody who has one; answers the operator, or None on Escape.

    ``who`` is known already where a badge was scanned: then only the PIN is asked for.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(self, depot: Depot, who: Operator | None = None) -> None:
        super().__init__()
        self._depot, self._who = depot, who

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        with Vertical(classes="question"):
            yield Static("", markup=False, classes="asked")
            yield ScanEntry()
            yield Static("", markup=False, classes="hint")

    def on_mount(self) -> None:
        """Ask."""
        self._ask()

    def _ask(self, wrong: str = "") -> None:
        entry = self.query_one(ScanEntry)
        entry.password = self._who is not None
        question = f"PIN of {self._who.initials} {self._who.name}" if self._who else "Who is at the desk?"
        self.query_one(".asked", Static).update(question.strip())
        usual = (
            "Enter signs on · Esc goes back" if self._who else "Scan your badge or key your initials · Esc goes back"
        )
        self.query_one(".hint", Static).update(f"✗ {wrong}" if wrong else usual)
        entry.value = ""
        entry.focus()

    @on(ScanEntry.Entered)
    @on(ScanEntry.Scanned)
    def answered(self, message: ScanEntry.Entered | ScanEntry.Scanned) -> None:
        """Take initials, a badge or a PIN; what is wrong is said and asked again."""
        message.stop()
        scanned = isinstance(message, ScanEntry.Scanned)
        try:
            if self._who is None or (scanned and self._wearer(message.text)):
                self._named(message.text, scanned=scanned)
            else:
                self._judge(self._who.initials, message.text)
        except Refused as refused:
            self._ask(str(refused))

    @work(exclusive=True)
    async def _judge(self, initials: str, pin: str) -> None:
        """Judge a PIN away from the screen: it takes a moment, and longer while another terminal writes."""
        self.query_one(".hint", Static).update("one moment …")
        desk = cast("PartsbinApp", self.app)
        try:
            self.dismiss(await desk.away(lambda depot: signed_on(depot, initials, pin)))
        except Refused as refused:
            self._ask(str(refused))

    def _named(self, text: str, *, scanned: bool) -> None:
        who = self._wearer(text)
        if who is None and scanned:
            message = "Nobody here wears this badge."
            raise Refused(message)
        who = who or the_operator(self._depot, text or "-")
        if who.has_pin:
            self._who = who
            self._ask()
        else:
            self.dismiss(who)

    def _wearer(self, text: str) -> Operator | None:
        return by_badge(self._depot, text) or by_badge(self._depot, read_scan(text).badge or text)
