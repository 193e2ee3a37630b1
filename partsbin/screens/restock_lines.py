"""The lines of a restock on screen: showing them, ticking, changing, adding, posting."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import Any

from textual import on, work
from textual.widgets import DataTable, Static

from partsbin.desk.restock import Missing, propose
from partsbin.desk.restock_posting import serials_at
from partsbin.desk.restock_sheet import Sheet, SheetLine
from partsbin.errors import Refused
from partsbin.screens import restock_rows as words
from partsbin.screens.clipping import FittedLines
from partsbin.screens.figures import FigureScreen, amount_of
from partsbin.screens.questions import Ask, Pick

_WHY_LESS = (
    "That is all the bin had: it gets counted, the rest found or promised",
    "No more is wanted on the van today",
)


class RestockLines(FigureScreen):
    """The part of Restock that works on lines; which van they are for is settled in ``Restock``."""

    def __init__(self) -> None:
        super().__init__()
        self.sheet: Sheet | None = None
        self.kept: dict[str, dict[str, Any]] = {}
        self.settling = False
        """Whether posting is under way, which tells by itself what changed."""

    @property
    def picks(self) -> FittedLines:
        """The table of lines."""
        return self.lines_table

    # -- showing -----------------------------------------------------------------------------------------

    def show_sheet(self, *, at: str | None = None) -> None:
        """Show the lines as they stand; ``at`` names the one to go to."""
        sheet = self.sheet
        if sheet is None:
            return
        keys = words.keys(sheet)
        self.picks.show(words.headings(sheet), words.rows(sheet), keys, words.GIVING)
        if at in keys:
            self.picks.move_cursor(row=keys.index(at))
        self.query_one("#restock-head", Static).update(words.sheet_words(sheet))
        self._show_line()

    @on(DataTable.RowHighlighted, "#picks")
    def walked(self) -> None:
        """Show what is known about the line under the cursor."""
        self._show_line()

    def _show_line(self) -> None:
        if self.sheet is None:
            return
        here = self.here
        if isinstance(here, SheetLine):
            said = words.line_words(here, self.sheet)
        elif here is not None:
            said = words.short_words(here, self.sheet)
        else:
            said = (
                f"{self.sheet.van.code} is at par; nothing is to be picked. Type a part to add, or V for another van."
            )
        self.query_one("#restock-words", Static).update(said)

    def on_resize(self) -> None:
        """Fit the lines to the new width."""
        self.show_sheet()

    @property
    def here(self) -> SheetLine | Missing | None:
        """The line under the cursor."""
        if self.sheet is None:
            return None
        key = self.picks.key_here
        return self.sheet.line(key) or self.sheet.short(key)

    def changed(self, *, at: str | None = None) -> None:
        """Keep the draft and show the lines after a change."""
        if self.sheet is not None:
            self.kept[self.sheet.van.code] = self.sheet.edits()
            self.keep_draft({"van": self.sheet.van.code, "sheets": self.kept})
        self.show_sheet(at=at)

    async def propose_anew(self, sheet: Sheet) -> None:
        """Renew the proposal, keep what was changed, and tell what another terminal did to the lines."""
        proposal = await self.desk.away(lambda depot: propose(depot, sheet.van, sheet.today))
        if sheet is self.sheet and self.is_attached:  # the program may have been left meanwhile
            told = sheet.renew(self.depot, proposal)
            if told and not self.settling:
                self.complain(" ".join(told))
            self.show_sheet()

    # -- ticking and changing ----------------------------------------------------------------------------

    @on(DataTable.RowSelected, "#picks")
    def line_taken(self, message: DataTable.RowSelected) -> None:
        """Tick the line under the cursor."""
        message.stop()
        self.tick_here()

    def action_tick(self) -> None:
        """Tick the line, or take the tick off."""
        here = self.here
        if isinstance(here, SheetLine) and here.mark == "picked":
            here.mark = "open"
            self.changed()
        else:
            self.tick_here()

    def take_instead(self, short: Missing) -> object:
        """Take what goes instead of a part that is short."""
        raise NotImplementedError

    def tick_here(self) -> None:
        """Tick the line under the cursor and go on to the next one open; on a short line take what goes instead."""
        here = self.here
        if isinstance(here, Missing):
            self.take_instead(here)
        elif here is not None:
            here.mark = "picked"
            here.take = here.take or here.pick.quantity
            self._ticked(here)

    def _ticked(self, line: SheetLine) -> None:
        sheet = self.sheet
        if sheet is None:
            return
        at = sheet.lines.index(line)
        following = [*sheet.lines[at + 1 :], *sheet.lines[:at]]
        onward = next((other for other in following if other.mark == "open"), line)
        self.changed(at=onward.key)
        left = sum(1 for other in sheet.lines if other.mark == "open")
        rest = f"{left} to go." if left else "All lines are done: P posts."
        self.say(f"✓ {line.take} {line.pick.item.part_number} from {line.pick.source.code}. {rest}")
        if line.pick.item.tracking == "serial" and line.take:
            self.ask_serials(line)

    @work(group="serials")
    async def ask_serials(self, line: SheetLine) -> None:
        """Ask which units go, where the file knows the units in the bin."""
        known = dict(serials_at(self.depot, line.pick))
        line.serials = []
        while known and len(line.serials) < line.take:
            left = {serial: number for number, serial in known.items() if number not in line.serials}
            question = f"Serial number of {line.pick.item.part_number}, {len(line.serials) + 1} of {line.take}"
            hint = f"in {line.pick.source.code}: {', '.join(left)}"
            serial = await self.app.push_screen_wait(Ask(question, hint=hint, check=partial(_one_of, known=left)))
            if serial is None:
                break
            line.serials.append(left[serial])
        self.changed()

    @work(group="quantity")
    async def action_quantity(self) -> None:
        """Ask for another quantity."""
        here = self.here
        if isinstance(here, SheetLine):
            question = f"How many {here.pick.item.part_number} from {here.pick.source.code}?"
            check = amount_of(here.pick.item)
            answer = await self.app.push_screen_wait(Ask(question, answer=str(here.take), check=check))
            if answer is not None:
                await self.take(here, check(answer))

    @work(group="quantity")
    async def take_here(self, quantity: int) -> None:
        """Take another quantity of the line under the cursor."""
        here = self.here
        if isinstance(here, SheetLine):
            await self.take(here, quantity)

    async def take(self, line: SheetLine, quantity: int) -> None:
        """Take another quantity of a line; fewer than proposed asks why."""
        sheet = self.sheet
        if sheet is None:
            return
        added: list[SheetLine] = []
        why: int | None = 1
        if quantity < line.pick.quantity and not line.added:
            why = await self.app.push_screen_wait(Pick(f"Why {quantity} and not {line.pick.quantity}?", _WHY_LESS))
        if why is None:
            return
        try:
            sheet.set_take(self.depot, line, quantity)
        except Refused as refused:
            self.complain(refused)
            return
        if why == 0:
            added = sheet.bin_is_short(self.depot, line)
        self._ticked(line)
        if line.bin_short:
            where = ", ".join(f"{x.take} from {x.pick.source.code}" for x in added) or "promised to the van"
            self.say(f"{line.pick.source.code} will be counted. The rest: {where}.")

    def action_skip(self) -> None:
        """Leave the line out, or take it in again."""
        here, sheet = self.here, self.sheet
        if sheet is None or here is None:
            return
        if isinstance(here, SheetLine):
            here.mark = "open" if here.mark == "skipped" else "skipped"
            here.take = here.take or here.pick.quantity
        elif here.request_line:
            self.complain("This was promised and stays so; withdraw it under Reorder, short requests.")
            return
        else:
            sheet.not_promised ^= {here.key}
        self.changed()
        self.picks.action_cursor_down()


def _one_of(text: str, known: Iterable[str]) -> None:
    if text not in known:
        message = f"“{text}” is not in this bin according to the file: {', '.join(known)}"
        raise Refused(message)
