"""Items: the catalogue card, with everything that hangs on it, and the ways to change it."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot.catalogue import Item, item_by_id, unlearn
from partsbin.depot.file import Depot
from partsbin.depot.places import Place, place_by_id, the_place
from partsbin.depot.plain_text import counted
from partsbin.depot.setpoints import set_points_of
from partsbin.desk.editing import FIELDS, add_item, add_place_from, change_field, change_set_point, field_words, retire
from partsbin.desk.slang import change_word
from partsbin.exchange import read_scan
from partsbin.exchange.items import item_texts
from partsbin.screens.base import DeskScreen, Lines
from partsbin.screens.clipping import FittedLines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.item_card import card_words, matching_items
from partsbin.screens.questions import Ask, Pick, Sure

_HEADINGS = ("Part", "What", "Shelf")


class Items(DeskScreen):
    """The catalogue."""

    NAME = "items"
    TITLE_TEXT = "Items"
    HELP = """
Type words or a part number, or scan a part, and press Enter: the list shows the items meant, the card all that is known
of the one under the cursor: where it is, set points, suppliers, cautions, lots, serials, words learned.

E changes a field of the card. S sets a reorder point and order-up-to level (for a van: its par). A adds an item.
B adds a bin, a van or a van's drawer. W forgets a learned word.
T says what a word of the trade means, for every request from now on. R retires an item, or takes it back into use.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "edit", "Edit", id="items.edit"),
        Binding("s", "points", "Set point", id="items.points"),
        Binding("a", "add", "Add item", id="items.add"),
        Binding("b", "place", "Add place", id="items.place"),
        Binding("w", "forget", "Words", id="items.forget"),
        Binding("t", "slang", "Slang", id="items.slang"),
        Binding("r", "retire", "Retire", id="items.retire"),
        Binding("escape", "swap", "Entry line or list", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._words = ""
        self._field = 0

    def body(self) -> ComposeResult:
        """Entry line, list, card."""
        yield ScanEntry(placeholder="words, part number or scan;  Enter alone: all")
        with Horizontal():
            yield FittedLines(*_HEADINGS, id="items")
            with VerticalScroll(id="card"):
                yield Static(id="words", markup=False)

    def refreshed(self) -> None:
        """Show the items that fit the words."""
        found = matching_items(self.depot, self.desk.finder, self._words)
        rows = [(item.part_number, item.description, str(shelf)) for item, shelf in found]
        keys = [str(item.id) for item, _ in found]
        self.query_one("#items", FittedLines).show(_HEADINGS, rows, keys, _HEADINGS.index("What"))
        self._card()

    @on(ScanEntry.Entered)
    @on(ScanEntry.Scanned)
    def narrowed(self, message: ScanEntry.Entered | ScanEntry.Scanned) -> None:
        """Look for items."""
        message.stop()
        text = message.text
        if isinstance(message, ScanEntry.Scanned):
            scan = read_scan(text)
            text = scan.gtin or scan.part_number or scan.text
        self._look_for(text)

    @work(exclusive=True, group="look")
    async def _look_for(self, text: str) -> None:
        if text and self.desk.finder is None:
            self.say("reading the catalogue …")
        if text:
            await self.desk.the_finder()
        self._words = text
        self.refreshed()
        table = self.query_one("#items", Lines)
        if table.row_count:
            table.move_cursor(row=0)
            table.focus()
            self.say(f"“{text}”; Enter an empty line for all." if text else "")
        else:
            self.complain(f"Nothing here is like “{text}”. A adds an item." if text else "The catalogue is empty.")

    @on(DataTable.RowHighlighted, "#items")
    def walked(self) -> None:
        """Show the card of the item under the cursor."""
        self._card()

    @property
    def item(self) -> Item | None:
        """The item under the cursor."""
        key = self.query_one("#items", Lines).key_here
        return item_by_id(self.depot, int(key)) if key else None

    def _card(self) -> None:
        item = self.item
        words = card_words(self.depot, item) if item else "The catalogue is empty: A adds an item, or import a file."
        self.query_one("#words", Static).update(words)

    @work
    async def action_edit(self) -> None:
        """Change one field of the card."""
        item = self.item
        if item is None:
            return
        texts = item_texts(self.depot, item.id)
        rows = [f"{field_words(column):<26}{texts[column]}" for column in FIELDS]
        chosen = await self.app.push_screen_wait(Pick(f"{item.part_number}: change what?", rows, self._field))
        if chosen is None:
            return
        self._field, column = chosen, FIELDS[chosen]
        text = await self.app.push_screen_wait(Ask(field_words(column), answer=texts[column], hint="lists: a | b"))
        if text is None:
            return
        if await self.attempt(partial(_change, self, item, column, text)) is not None:
            self._card()
            self.say(f"{item.part_number}: {field_words(column)} is now {text or 'empty'}.")

    @work
    async def action_points(self) -> None:
        """Set a reorder point and order-up-to level."""
        item = self.item
        if item is None:
            return
        place = await self.app.push_screen_wait(
            Ask("Set point for which place?", answer=self._usual_place(item), hint="SHELF or a van", check=self._place)
        )
        if place is None:
            return
        what, hint = ("par", "4") if self._place(place).kind == "van" else ("reorder point and order-up-to", "3 8")
        points = await self.app.push_screen_wait(Ask(f"{item.part_number} at {place}: {what}?", hint=hint))
        if points is None:
            return
        operator = self.operator
        point = await self.attempt(lambda depot: change_set_point(depot, operator, item, place, points))
        if point is not None:
            self._card()
            self.say(f"{item.part_number} at {place}: reorder at {point.reorder_point}, up to {point.order_up_to}.")

    def _usual_place(self, item: Item) -> str:
        """Return where the item has its set point now, or else the whole shelf."""
        places = [place_by_id(self.depot, point.place_id) for point in set_points_of(self.depot, item.id)]
        codes = [place.code for place in places if place.kind in ("shelf", "bin")]
        return codes[0] if codes else "SHELF"

    def _place(self, text: str) -> Place:
        return the_place(self.depot, text or "SHELF")

    @work
    async def action_add(self) -> None:
        """Add an item."""
        number = await self.app.push_screen_wait(Ask("Part number of the new item?"))
        if not number:
            return
        words = await self.app.push_screen_wait(Ask(f"What is {number}?", hint="Vend gear motor 24 V DC LH"))
        if not words:
            return
        operator = self.operator
        item = await self.attempt(lambda depot: add_item(depot, operator, number, words))
        if item is not None:
            self._look_for(item.part_number)
            self.say(f"{item.part_number} is in the catalogue; E gives it supplier, cost, pack and the rest.")

    @work
    async def action_place(self) -> None:
        """Add a bin, van or drawer."""
        text = await self.app.push_screen_wait(Ask("New bin, van or drawer?", hint="A-03-07-2 · VAN6 Kim · VAN6-D2"))
        if not text:
            return
        operator = self.operator
        place = await self.attempt(lambda depot: add_place_from(depot, operator, text))
        if place is not None:
            self.say(f"{place.code} is a {place.kind} now; F7 prints its label.")

    @work
    async def action_forget(self) -> None:
        """Forget a learned word of the item."""
        item = self.item
        if item is None:
            return
        sql = "SELECT words, times FROM item_words WHERE item_id = ? AND source = 'learned' ORDER BY times DESC"
        learned = [(row["words"], row["times"]) for row in self.depot.all(sql, (item.id,))]
        if not learned:
            self.say(f"No words were learned for {item.part_number}.")
            return
        rows = [f"{words}  (picked {counted(times, 'time')})" for words, times in learned]
        chosen = await self.app.push_screen_wait(Pick("Forget which words?", rows))
        if chosen is not None:
            words = learned[chosen][0]
            await self.attempt(lambda depot: unlearn(depot, item.id, words))
            self._card()
            self.say(f"“{words}” no longer leads to {item.part_number}.")

    @work
    async def action_slang(self) -> None:
        """Say what a trade word means, or forget it."""
        text = await self.app.push_screen_wait(Ask("Which word means what?", hint="wobbler = gasket · wobbler ="))
        if not text:
            return
        done = await self.attempt(lambda depot: change_word(depot, text))
        if done is not None:
            self.say(done)

    @work
    async def action_retire(self) -> None:
        """Retire the item, or take it back into use."""
        item = self.item
        if item is None:
            return
        what = "Take back into use" if item.retired else "Retire"
        points = "" if item.retired or not set_points_of(self.depot, item.id) else "Its set points no longer count."
        if await self.app.push_screen_wait(Sure(f"{what}: {item.part_number} {item.description}?", points)):
            operator = self.operator
            if await self.attempt(lambda depot: retire(depot, operator, item)) is not None:
                self.refreshed()
                self.say(f"{item.part_number} is {'in use again' if item.retired else 'retired'}.")


def _change(screen: Items, item: Item, column: str, text: str, depot: Depot) -> Item:
    return change_field(depot, screen.operator, item, column, text)
