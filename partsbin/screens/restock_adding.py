"""Adding parts to a restock, taking what goes instead, and another lot."""

from __future__ import annotations

from textual import work

from partsbin.depot.catalogue import Item
from partsbin.depot.stock import Holding
from partsbin.desk.restock import Missing, on_shelf
from partsbin.desk.restock_sheet import Sheet, SheetLine
from partsbin.errors import Refused
from partsbin.screens.figures import amount_of
from partsbin.screens.item_choice import choose_item
from partsbin.screens.questions import Ask, Pick
from partsbin.screens.restock_lines import RestockLines


class RestockAdding(RestockLines):
    """Lines that were not proposed."""

    @work(group="add")
    async def action_add(self) -> None:
        """Ask for a part that was not proposed."""
        text = await self.app.push_screen_wait(Ask("Which part is added?", hint="part number, words or scan"))
        if text:
            await self._add_text(text)

    @work(exclusive=True, group="add")
    async def add_part(self, text: str) -> None:
        """Add a part that was not proposed, found by number, scan or words."""
        await self._add_text(text)

    async def _add_text(self, text: str) -> None:
        found = await choose_item(self, text)
        if found is not None:
            item, stated = found
            await self._add(item, stated)

    async def _add(self, item: Item, quantity: int | None) -> None:
        sheet = self.sheet
        if sheet is None:
            return
        if quantity is None:
            check = amount_of(item)
            has = sum(held.quantity for held in on_shelf(self.depot, item.id, sheet.today))
            question = f"How many {item.part_number} {item.description}? The shelf has {has}."
            answer = await self.app.push_screen_wait(Ask(question, answer="1", check=check))
            if answer is None:
                return
            quantity = check(answer)
        if not quantity:
            return
        lines = sheet.add(self.depot, item, quantity)
        got = sum(line.take for line in lines)
        self.changed(at=lines[0].key if lines else None)
        if lines:
            self.say(f"{item.part_number} from {', '.join(x.pick.source.code for x in lines)} is on the list.")
        short = next((m for m in sheet.more_missing if m.item.id == item.id), None)
        if short and got < quantity:
            self.complain(f"{short.quantity} {item.part_number} short: see the end of the list for what else there is.")

    @work(group="add")
    async def take_instead(self, short: Missing) -> None:
        """Take what goes instead of a part that is short."""
        if not short.instead:
            self.complain(f"Nothing in the catalogue goes instead of {short.item.part_number}.")
            return
        rows = [f"{part}  ({have} on the shelf)" for part, have in short.instead]
        question = f"Instead of {short.quantity} {short.item.part_number} {short.item.description}"
        chosen = await self.app.push_screen_wait(Pick(question, rows))
        sheet = self.sheet
        if chosen is None or sheet is None:
            return
        part, have = short.instead[chosen]
        found = await choose_item(self, part)
        if found is not None:
            await self._add(found[0], min(short.quantity, have))
            if not short.request_line:
                sheet.not_promised.add(short.key)
                self.changed()

    @work(group="lot")
    async def action_lot(self) -> None:
        """Take the line from another lot or bin."""
        line, sheet = self.here, self.sheet
        if sheet is None or not isinstance(line, SheetLine):
            return
        spot = (line.pick.source.id, line.pick.lot_id or 0)
        others = [
            held
            for held in on_shelf(self.depot, line.pick.item.id, sheet.today)
            if (held.place_id, held.lot_id) != spot
        ]
        if not others:
            self.complain(f"{line.pick.item.part_number} lies in no other bin and in no other lot that is in date.")
            return
        question = f"Which {line.pick.item.part_number} instead of {_of(line.pick.source.code, line.pick.lot)}?"
        chosen = await self.app.push_screen_wait(Pick(question, [_holding_words(held) for held in others]))
        if chosen is not None:
            await self._swap(sheet, line, others[chosen])

    async def _swap(self, sheet: Sheet, line: SheetLine, held: Holding) -> None:
        reason = ""
        if line.pick.best_before and (held.best_before or "9999") > line.pick.best_before:
            question = f"Lot {line.pick.lot} ({line.pick.best_before}) must go first. Why is another taken?"
            answer = await self.app.push_screen_wait(Ask(question, check=required))
            if answer is None:
                return
            reason = answer
        try:
            sheet.other_lot(self.depot, line, held, reason)
        except Refused as refused:
            self.complain(refused)
            return
        self.changed(at=line.key)
        self.say(f"{line.take} {line.pick.item.part_number} from {_of(held.place, held.lot)} now.")


def required(text: str) -> None:
    """Refuse an empty answer."""
    if not text:
        message = "Say in a few words why."
        raise Refused(message)


def _of(code: str, lot: str) -> str:
    return f"{code} lot {lot}" if lot else code


def _holding_words(held: Holding) -> str:
    best = f", best before {held.best_before}" if held.best_before else ""
    return f"{_of(held.place, held.lot)}: {held.quantity}{best}"
