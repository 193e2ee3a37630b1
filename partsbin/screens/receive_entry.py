"""What is typed or scanned into Receive, and which line of the delivery it changes."""

from __future__ import annotations

import re

from textual import on, work

from partsbin.depot.catalogue import Item, find_item, the_item
from partsbin.depot.file import Depot
from partsbin.depot.places import printed_bin
from partsbin.depot.plain_text import counted
from partsbin.desk.amounts import looks_like_amount
from partsbin.desk.delivery import Arrival, Delivery, expected, lacking
from partsbin.desk.scanned import Known, by_supplier_number, look_up
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.screens.entry import ScanEntry
from partsbin.screens.figures import FigureScreen
from partsbin.screens.receive_unknown import settle, settle_bin

_SAID = re.compile(r"(lot|bb|sn|serial)\s+(\S.*)", re.IGNORECASE)
_FIELDS = {"lot": "lot", "bb": "best_before", "sn": "serial", "serial": "serial"}
_SHORT = 4
"""So few digits are a quantity, not a part number nobody knows."""
_DATE = re.compile(r"\d{4}-\d{1,2}(-\d{1,2})?")


class DeliveryEntry(FigureScreen):
    """The delivery in hand and the entry line that fills it; Receive shows it."""

    def __init__(self) -> None:
        super().__init__()
        self.delivery = Delivery()

    @property
    def at(self) -> int:
        """The place of the line under the cursor."""
        raise NotImplementedError

    @property
    def line(self) -> Arrival | None:
        """The line under the cursor."""
        return self.delivery.lines[self.at] if 0 <= self.at < len(self.delivery.lines) else None

    def changed(self, at: int | None = None, words: str = "") -> None:
        """Keep and show the delivery as it now is, with the cursor on line ``at``, and say what was done."""
        raise NotImplementedError

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Take what was typed; an empty line goes to the lines."""
        message.stop()
        if message.text.strip():
            self.take([message.text], scanned=False)
        else:
            self.action_swap()

    @on(ScanEntry.Pasted)
    def pasted(self, message: ScanEntry.Pasted) -> None:
        """Take each pasted line in turn, such as part numbers with quantities from a delivery note."""
        message.stop()
        self.take([line for line in message.text.splitlines() if line.strip()], scanned=False)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Take a scan."""
        message.stop()
        self.take([message.text], scanned=True)

    @work(group="take")
    async def take(self, texts: list[str], *, scanned: bool) -> None:
        """Take entries one after the other; one that is refused is named, and typed again from memory by Alt+Up."""
        for text in texts:
            try:
                await self._one(text.strip(" \r\n\t"), scanned=scanned)
            except Refused as refused:
                self.complain(refused)
        self.back_to_lines()

    async def _one(self, text: str, *, scanned: bool) -> None:
        if not scanned and self._about_line(text):
            return
        known = look_up(self.depot, text, today(self.depot), scanned=scanned)
        if scanned and self._another_piece(known):
            return
        if not scanned and known.is_nothing and text.isdigit() and len(text) <= _SHORT:
            message = f"{text} of what? Scan or key the part first"
            raise Refused(message)
        wrong = known.problems or (known.notes if scanned and known.is_nothing else ())
        if wrong:
            message = f"{text}: {'; '.join(wrong)}"
            raise Refused(message)
        if known.place or known.new_bin:
            await self.to_bin(known)
        elif known.order:
            due = self.delivery.answer(self.depot, known.order)
            self.changed(0, f"{known.order}: {counted(due, 'item')} due. Scan or key what came; Esc, then P posts it.")
        else:
            await self._item(known, scanned=scanned)

    def _about_line(self, text: str) -> bool:
        """Take typed text that says something about the line under the cursor; false when it does not."""
        line = self.line
        if line is None:
            return False
        item, lack = the_item(self.depot, line.part), lacking(self.depot, line)
        said = _SAID.fullmatch(text)
        if said:
            self.set_on_line(_FIELDS[said[1].lower()], said[2])
        elif looks_like_amount(text, item) and (lack == "quantity" or not _names_item(self.depot, text)):
            self.set_on_line("quantity", text)
        elif _DATE.fullmatch(text):
            self.set_on_line("best_before", text)
        elif lack in ("lot", "serial") and not _names_anything(self.depot, text):
            self.set_on_line(lack, text)
        else:
            return False
        return True

    def _another_piece(self, known: Known) -> bool:
        """Take a code nobody knows, scanned at a line kept by serial number, as the next piece's serial number."""
        line = self.line
        item = the_item(self.depot, line.part) if line else None
        if item is None or item.tracking != "serial" or not known.is_nothing or known.problems:
            return False
        at = self.delivery.add(self.depot, Known(known.text, item=item, serial=known.text), "1")
        self.changed(at, f"{item.part_number}: serial {known.text}.")
        return True

    def set_on_line(self, what: str, text: str) -> None:
        """Set one thing about the line under the cursor; refuses what cannot be."""
        line = self.line
        if line is not None:
            self.delivery.change(self.depot, self.at, what, text, today(self.depot))
            now = getattr(self.delivery.lines[self.at], what) or "none"
            self.changed(self.at, f"{line.part}: {what.replace('_', '-')} {now}.")

    async def to_bin(self, known: Known) -> None:
        """Send the line under the cursor to a bin; a bin nobody knows can be added."""
        if self.line is None:
            message = f"{known.text} is a place: scan or key what goes there first"
            raise Refused(message)
        place = known.place or await settle_bin(self, known.new_bin)
        if place is not None:
            self.set_on_line("bin", place.code)

    async def _item(self, known: Known, *, scanned: bool) -> None:
        """Put an item on a line, asking which it is where nobody knows the code."""
        quantity = ""
        if known.item is None and not scanned and (split := _with_amount(self.depot, known.text)):
            known, quantity = Known(known.text, item=split[0]), split[1]
        if known.item is None:
            settled = await self._settled(known, scanned=scanned)
            if settled is None:
                return
            known = settled
        if known.quantity and (scanned or known.gtin):
            quantity = str(known.quantity)
        at = self.delivery.add(self.depot, known, quantity)
        line = self.delivery.lines[at]
        self.changed(at, " ".join([f"{line.part} {line.quantity}".strip() + ".", *known.notes]))
        if line in self.delivery.past_dates(today(self.depot)):
            self.complain(f"{line.part}: best before {line.best_before} has passed. X drops the line; P asks again.")

    async def _settled(self, known: Known, *, scanned: bool) -> Known | None:
        """Ask what an unknown code is; one word typed where a bin is wanted is a bin to add."""
        one_word = " " not in known.text
        if one_word and not scanned and self.line and lacking(self.depot, self.line) == "bin":
            place = await settle_bin(self, printed_bin(known.text))
            if place is not None:
                self.set_on_line("bin", place.code)
                return None
        order = self.delivery.order
        settled = await settle(self, known, [item for item, _ in expected(self.depot, order)] if order else [])
        if settled is None:
            self.say(f"“{known.text}” was left out.")
        return settled


def _names_item(depot: Depot, text: str) -> bool:
    return find_item(depot, text) is not None


def _names_anything(depot: Depot, text: str) -> bool:
    known = look_up(depot, text, today(depot), scanned=False)
    return bool(known.item or known.place or known.order or known.gtin or known.new_bin or _with_amount(depot, text))


def _with_amount(depot: Depot, text: str) -> tuple[Item, str] | None:
    """Read “PART 2 case” or “PART = 12”: an item and how many."""
    words = text.replace("=", " ").split()
    for cut in range(len(words) - 1, 0, -1):
        name, amount = " ".join(words[:cut]), " ".join(words[cut:])
        item = find_item(depot, name) or by_supplier_number(depot, name)
        if item is not None and looks_like_amount(amount, item):
            return item, amount
    return None
