"""What is typed or scanned into Count, and what it counts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from textual import on, work

from partsbin.depot.catalogue import Item, the_item
from partsbin.desk.amounts import looks_like_amount
from partsbin.desk.counting import Gap, Sheet
from partsbin.desk.scanned import Known, look_up
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.screens.entry import ScanEntry
from partsbin.screens.figures import FigureScreen
from partsbin.screens.questions import Ask, Pick
from partsbin.screens.receive_unknown import settle, settle_bin

_LEAST_REASON = 2
_SHORT = 4
"""So few digits are a quantity, not a part number nobody knows."""
_OTHER_LOT = "another lot: key it"


class CountEntry(FigureScreen):
    """The count in hand: ``phase`` is choose, count or review; ``queue`` holds the places that follow."""

    def __init__(self) -> None:
        super().__init__()
        self.phase = "choose"
        self.sheet: Sheet | None = None
        self.queue: list[str] = []
        self.reasons: dict[str, str] = {}
        self.gaps: list[Gap] = []

    def draft(self) -> dict[str, Any] | None:
        """Return the count in hand as plain data, or None."""
        if self.sheet is None:
            return None
        return {"sheet": self.sheet.draft(), "queue": self.queue, "reasons": self.reasons, "phase": self.phase}

    def bring_back(self, body: dict[str, Any]) -> None:
        """Bring back a count that was kept."""
        self.sheet = Sheet.of_draft(body["sheet"])
        self.queue, self.reasons, self.phase = body["queue"], body["reasons"], body["phase"]

    @property
    def at(self) -> int:
        """The place of the line under the cursor."""
        raise NotImplementedError

    def changed(self, at: int | None = None, told: str = "") -> None:
        """Keep and show the count as it now is, with the cursor on line ``at``, and say what was done."""
        raise NotImplementedError

    def go_to(self, text: str) -> None:
        """Begin with a place, or the places of a walk."""
        raise NotImplementedError

    def start(self, places: list[str]) -> None:
        """Begin with the first of these places; the others follow."""
        raise NotImplementedError

    def action_finish(self) -> Any:  # noqa: ANN401 - a worker
        """Finish the place."""
        raise NotImplementedError

    # -- entering ----------------------------------------------------------------------------------------

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Take what was typed; an empty line finishes a place that is counted."""
        message.stop()
        text = message.text.strip()
        if text:
            self.take(text, scanned=False)
        elif self.phase == "count" and self.sheet and not self.sheet.uncounted:
            self.action_finish()
        else:
            self.action_swap()

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Take a scan."""
        message.stop()
        self.take(message.text, scanned=True)

    @work(group="take")
    async def take(self, text: str, *, scanned: bool) -> None:
        """Take one entry; a refusal leaves the count as it was."""
        try:
            if self.phase == "choose" or self.sheet is None:
                self.go_to(text)
            elif self.phase == "review":
                self._reason_for_all(text, scanned=scanned)
            else:
                await self._count(self.sheet, text, scanned=scanned)
        except Refused as refused:
            self.complain(refused)
        if self.phase == "count":
            self.back_to_lines()

    def _reason_for_all(self, text: str, *, scanned: bool) -> None:
        if scanned:
            message = "Post the differences first: P posts, C counts a line again"
            raise Refused(message)
        if len(text.strip()) < _LEAST_REASON:
            message = f"“{text}” is no reason; Esc goes to the lines, where P posts and R gives a reason"
            raise Refused(message)
        if all(gap.key in self.reasons for gap in self.gaps):
            message = "Every line has its reason; Esc goes to the lines, where P posts and R gives another"
            raise Refused(message)
        self.reasons |= {gap.key: text for gap in self.gaps if gap.key not in self.reasons}
        self.changed(None, "P posts.")

    async def _count(self, sheet: Sheet, text: str, *, scanned: bool) -> None:
        inside = 0 <= self.at < len(sheet.lines)
        if not scanned and inside and _is_figure(text, the_item(self.depot, sheet.lines[self.at].part)):
            self.key(text)
            return
        known = look_up(self.depot, text, today(self.depot), scanned=scanned)
        if not scanned and known.is_nothing and text.isdigit() and len(text) <= _SHORT:
            message = f"{text} of what? Scan or key the part first"
            raise Refused(message)
        wrong = known.problems or (known.notes if scanned and known.is_nothing else ())
        if wrong:
            message = f"{text}: {'; '.join(wrong)}"
            raise Refused(message)
        if known.place is not None:
            self._at_place(sheet, known.place.code)
        elif known.new_bin:
            added = await settle_bin(self, known.new_bin)
            if added is not None:
                self._at_place(sheet, added.code)
        elif known.item is not None:
            await self._item(sheet, known)
        else:
            here = [the_item(self.depot, part) for part in dict.fromkeys(line.part for line in sheet.lines)]
            settled = await settle(self, known, here)
            if settled is not None:
                await self._item(sheet, settled)

    def _at_place(self, sheet: Sheet, code: str) -> None:
        """A place's label: the one in hand finishes it once something is counted; another one comes next."""
        begun = any(line.count is not None for line in sheet.lines)
        if code == sheet.place and sheet.lines and not begun:
            self.say(f"{code} it is: scan or key what lies there.")
        elif code == sheet.place:
            self.action_finish()
        elif begun:
            self.queue = [code, *(other for other in self.queue if other != code)]
            self.action_finish()
        else:
            self.start([code, sheet.place, *(other for other in self.queue if other != code)])

    async def _item(self, sheet: Sheet, known: Known) -> None:
        lot = known.lot or known.best_before.replace("-", "") or await self._which_lot(sheet, known)
        if lot is None:
            return
        at = sheet.add(replace(known, lot=lot), known.quantity, lot)
        line = sheet.lines[at]
        figure = "how many?" if line.count is None else f"{line.count}."
        self.changed(at, f"{line.part} {line.lot}".strip() + f": {figure}")

    async def _which_lot(self, sheet: Sheet, known: Known) -> str | None:
        """Ask the lot of an item that lies here in several; the only one needs no question."""
        item = known.item
        lots = sheet.lots_of(item) if item else []
        if item is None or item.tracking != "lot" or len(lots) == 1:
            return lots[0] if len(lots) == 1 else ""
        if lots:
            rows = [
                f"lot {line.lot}  best before {line.best_before or 'not known'}"
                for line in sheet.lines
                if line.part == item.part_number
            ]
            chosen = await self.app.push_screen_wait(Pick(f"Which lot of {item.part_number}?", [*rows, _OTHER_LOT]))
            if chosen is None or chosen < len(lots):
                return None if chosen is None else lots[chosen]
        return await self.app.push_screen_wait(Ask(f"Lot of {item.part_number}, as on the case?"))

    def key(self, text: str) -> None:
        """Set the count of the line under the cursor as keyed, and go on to the next that has none."""
        sheet, at = self.sheet, self.at
        if sheet is None:
            return
        sheet.key(self.depot, at, text)
        line = sheet.lines[at]
        after = [n for n, other in enumerate(sheet.lines) if other.count is None]
        onward = next((n for n in after if n > at), after[0] if after else at)
        self.changed(onward, f"{line.part} {line.lot}".strip() + f": {line.count}.")


def _is_figure(text: str, item: Item) -> bool:
    return text in ("0", "none") or looks_like_amount(text.lstrip("+ "), item)
