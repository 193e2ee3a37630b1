"""Restock: a van to par, in walking order, as one checkout."""

from __future__ import annotations

from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot.places import Place, find_place, places_of
from partsbin.desk.restock import propose, van_needs
from partsbin.desk.restock_sheet import Sheet, SheetLine
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange import read_scan
from partsbin.screens import restock_rows as words
from partsbin.screens.base import Lines
from partsbin.screens.clipping import FittedLines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.item_choice import item_read
from partsbin.screens.questions import Sure
from partsbin.screens.restock_finish import RestockFinish

_FOR_VANS = "van code or scan; Enter takes the van under the cursor"
_FOR_LINES = "scan bin or item · figure: quantity · words: add a part"
_ON_LINES = {"tick", "quantity", "skip", "add", "lot", "post", "write", "vans", "swap"}


class Restock(RestockFinish):
    """Bring a van to par."""

    NAME = "restock"
    LINES = "#picks"
    TITLE_TEXT = "Restock"
    HELP = """
Pick a van: Enter takes the one under the cursor (yours to begin with), or type or scan its code. The lines that bring
it to par come in walking order; what it was promised comes with them. Dated lots go oldest first.

Scan a bin to jump to its line, and the item, or the bin again, to tick it. Enter ticks the line under the cursor and
goes on to the next. Key a figure (12, 1 case) and Enter to take another quantity. Type a part number or words to add a
part that was not proposed. Typing digits on the lines goes to the entry line by itself; Esc goes between the two.

Short lines stand at the end, with who else has the part and what goes instead: Enter takes that. P posts one checkout
of what is not skipped, promises what is short, and writes the pick slip. W writes it before you walk. “!!” marks a
danger and “!” a caution: the words stand below the lines and on the slip; local codes and licensed practice go first.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "tick", "Tick", id="restock.tick"),
        Binding("q", "quantity", "Quantity", id="restock.quantity"),
        Binding("s", "skip", "Skip", id="restock.skip"),
        Binding("a", "add", "Add a part", show=False, id="restock.add"),
        Binding("l", "lot", "Other lot", id="restock.lot"),
        Binding("p", "post", "Post", id="restock.post"),
        Binding("w", "write", "Pick list on paper", show=False, id="restock.write"),
        Binding("v", "vans", "Other van", show=False, id="restock.vans"),
    ]

    def body(self) -> ComposeResult:
        """Entry line, heading, vans or lines, what is known about the line under the cursor."""
        yield ScanEntry(placeholder=_FOR_VANS)
        yield Static(id="restock-head", markup=False)
        yield Lines(*words.VAN_HEADINGS, id="vans")
        yield FittedLines(id="picks")
        with VerticalScroll(classes="panel", id="restock-panel"):
            yield Static(id="restock-words", markup=False)

    def on_mount(self) -> None:
        """Begin at one's own van; offer what was left unfinished."""
        super().on_mount()
        self._seat()
        kept = self.left_draft()
        if kept:
            self._offer(kept)

    @work(group="offer")
    async def _offer(self, kept: dict[str, Any]) -> None:
        vans = ", ".join(kept["sheets"])
        question = Sure(f"The restock of {vans} was begun and not posted. Go on with it?", "No forgets it.")
        if await self.app.push_screen_wait(question):
            self.kept = kept["sheets"]
            van = find_place(self.depot, kept.get("van") or next(iter(self.kept)))
            if van is not None:
                self.open_van(van)
        else:
            self.keep_draft(None)

    # -- showing -----------------------------------------------------------------------------------------

    def refreshed(self) -> None:
        """Renew the vans, or the proposal with what was changed in it."""
        self.query_one("#vans").display = self.sheet is None
        self.picks.display = self.query_one("#restock-panel").display = self.sheet is not None
        self.entry().placeholder = _FOR_VANS if self.sheet is None else _FOR_LINES
        self.refresh_bindings()
        if self.sheet is None:
            self._show_vans()
        else:
            self.renew_sheet()

    def _show_vans(self) -> None:
        needs = van_needs(self.depot)
        self.query_one("#vans", Lines).fill([words.van_row(n) for n in needs], keys=[n.van.code for n in needs])
        head = "Which van is restocked?" if needs else "There is no van yet: on F9 Items, B adds one."
        self.query_one("#restock-head", Static).update(head)

    def _seat(self) -> None:
        vans = [need.van.id for need in van_needs(self.depot)]
        if self.operator.van in vans:
            self.query_one("#vans", Lines).move_cursor(row=vans.index(self.operator.van))
        self.entry().focus()

    @work(exclusive=True, group="renew")
    async def renew_sheet(self) -> None:
        """Propose anew, keeping what was changed."""
        if self.sheet is not None:
            await self.propose_anew(self.sheet)

    def on_resize(self) -> None:
        """Fit the lines to the new width."""
        self.show_sheet()

    # -- the van -----------------------------------------------------------------------------------------

    @work(exclusive=True, group="open")
    async def open_van(self, van: Place) -> None:
        """Propose what brings a van to par, with what was changed before."""
        day = str(today(self.depot))
        proposal = await self.find_out(lambda depot: propose(depot, van, day), f"looking what {van.code} needs …")
        if proposal is None:
            return
        self.sheet = Sheet(proposal, day)
        told = self.sheet.apply(self.depot, self.kept[van.code]) if van.code in self.kept else []
        self.refreshed()
        self.show_sheet()
        self.picks.focus()
        self.say(" ".join(told) or "Scan a bin, then the item; Enter ticks; P posts; F1 tells the rest.")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that work on lines are there only while there are lines."""
        if action in _ON_LINES:
            return self.sheet is not None
        return super().check_action(action, parameters)

    def action_vans(self) -> None:
        """Back to the vans; what was changed on this one is kept."""
        self.sheet = None
        self.refreshed()
        self._seat()
        self.say("")

    # -- what is typed and scanned -----------------------------------------------------------------------

    @on(DataTable.RowSelected, "#vans")
    def van_taken(self, message: DataTable.RowSelected) -> None:
        """Open the van under the cursor."""
        message.stop()
        self._enter_van("")

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Take a van, a figure, a bin, a part or words."""
        message.stop()
        self.back_to_lines()
        if self.sheet is None:
            self._enter_van(message.text)
        elif not message.text:
            self.tick_here()
        elif not self._figure(message.text):
            self._read(message.text)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Take a scanned van, bin, item or case."""
        message.stop()
        scan = read_scan(message.text)
        item = item_read(self, message.text)
        if scan.problems and item is None:
            self.complain(f"{message.text}: {'; '.join(scan.problems)}")
        elif self.sheet is None:
            self._enter_van(scan.text)
        elif item is not None and (wrong := self.sheet.wrong_case(self.depot, item, scan)):
            self.complain(wrong)
        else:
            self._read(scan.gtin or scan.part_number or scan.text, lot=scan.lot)

    @property
    def walked_table(self) -> Lines:
        """The vans until one is taken, then its lines."""
        return self.picks if self.sheet else self.query_one("#vans", Lines)

    @property
    def takes_figures(self) -> bool:
        """Quantities are keyed where lines are picked."""
        return self.sheet is not None

    def _figure(self, text: str) -> bool:
        """Take a quantity for the line under the cursor; False when the text is something else."""
        here = self.here
        if not isinstance(here, SheetLine):
            return False
        try:
            quantity = self.figure(text, here.pick.item)
        except Refused as refused:
            self.complain(refused)
            return True
        if quantity is not None:
            self.take_here(quantity)
        return quantity is not None

    def _enter_van(self, text: str) -> None:
        code = text or self.query_one("#vans", Lines).key_here or ""
        place = find_place(self.depot, code) if code else None
        vans = places_of(self.depot, "van")
        if place is None and text.isdigit():  # “2” is the van whose code ends so
            place = next(iter(ending), None) if len(ending := [v for v in vans if v.code.endswith(text)]) == 1 else None
        if place is not None and place.kind == "van":
            self.open_van(place)
        else:
            known = ", ".join(van.code for van in vans)
            self.complain(f"“{code}” is not a van. Vans: {known or 'none yet'}.")

    def _read(self, text: str, *, lot: str = "") -> None:
        sheet = self.sheet
        place = find_place(self.depot, text)
        if sheet is None or (place is not None and place.kind == "van"):
            self._enter_van(text)
        elif place is not None and place.kind == "bin":
            self._jump(place, [line for line in sheet.lines if line.pick.source.id == place.id])
        elif (item := item_read(self, text)) is not None and (lines := sheet.of_item(item.id, lot)):
            self._tick_first(lines)
        else:
            self.add_part(text)

    def _jump(self, place: Place, lines: list[SheetLine]) -> None:
        if not lines:
            self.complain(f"Nothing on this list comes from {place.code}.")
            return
        here = self.here
        if here in lines and isinstance(here, SheetLine) and here.mark == "open":
            self.tick_here()
            return
        line = next((line for line in lines if line.mark == "open"), lines[0])
        self.show_sheet(at=line.key)
        self.say(f"{place.code}: take {line.take} {line.pick.item.part_number} {line.pick.item.description}")

    def _tick_first(self, lines: list[SheetLine]) -> None:
        here = self.here
        line = here if here in lines else next((line for line in lines if line.mark == "open"), lines[0])
        if isinstance(line, SheetLine):
            self.show_sheet(at=line.key)
            self.tick_here()
