"""Settling a code nobody here knows yet: whose number it is, a new item, a new bin. Never a dead end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from partsbin.depot.catalogue import Item, item_by_id, nearest_items
from partsbin.depot.file import Depot
from partsbin.depot.ledger import whole_quantity
from partsbin.depot.places import Place, add_place
from partsbin.desk.newcomers import attach_gtin, described, new_item, new_part_number
from partsbin.desk.scanned import Known, look_up
from partsbin.desk.today import today
from partsbin.screens.base import DeskScreen
from partsbin.screens.questions import Ask, Pick, Sure

_OFFERED = 3
_OTHER = "another item: key its part number, or words"
_NEW = "a new item"


async def settle(screen: DeskScreen, known: Known, likely: Sequence[Item] = ()) -> Known | None:
    """Ask which item an unknown code or word means; attaches a trade item number for good. None when given up.

    ``likely`` are items to offer for a trade item number, such as those an order expects.
    """
    offered = list(likely[:6]) if known.gtin else await suggestions(screen, known.text)
    while True:
        rows = [f"{item.part_number}  {item.description}" for item in offered]
        chosen = await screen.app.push_screen_wait(Pick(_question(known), [*rows, _OTHER, _NEW]))
        if chosen is None:
            return None
        if chosen < len(offered):
            item: Item | None = offered[chosen]
        elif chosen == len(offered):
            text = await screen.app.push_screen_wait(Ask("Which item is it?", hint="part number, or words"))
            if not text:
                continue
            item = look_up(screen.depot, text, today(screen.depot), scanned=False).item
            offered = offered if item else await suggestions(screen, text)
        else:
            item = await make_item(screen, known)
        if item is not None:
            return await _attached(screen, known, item)


def _question(known: Known) -> str:
    if known.gtin:
        return f"No item here has the number {known.gtin} yet. Whose is it?"
    return f"There is no part “{known.text}” here. Which is it?"


async def suggestions(screen: DeskScreen, text: str) -> list[Item]:
    """Return the items most like a number or words."""
    finder = await screen.desk.the_finder()

    def look(depot: Depot) -> list[Item]:
        answers = finder.find(text, limit=_OFFERED)
        read = [candidate.item_id for answer in answers[:1] for candidate in answer.candidates]
        close = [item_by_id(depot, item_id) for item_id in read]
        return close[:_OFFERED] or nearest_items(depot, text, _OFFERED)

    return await screen.desk.away(look)


async def make_item(screen: DeskScreen, known: Known) -> Item | None:
    """Ask for part number and description and add the item to the catalogue."""
    proposed = "" if known.gtin or " " in known.text else known.text.upper()
    check = partial(new_part_number, screen.depot)
    number = await screen.app.push_screen_wait(Ask("Part number of the new item?", answer=proposed, check=check))
    if number is None:
        return None
    typed = "" if known.gtin or proposed else known.text
    words = await screen.app.push_screen_wait(Ask(f"What is {number}?", answer=typed, check=described))
    if words is None:
        return None
    dated, operator = bool(known.lot or known.best_before), screen.operator
    item: Item | None = await screen.attempt(lambda depot: new_item(depot, operator, number, words, dated=dated))
    return item


async def _attached(screen: DeskScreen, known: Known, item: Item) -> Known | None:
    """Write the number down as the item's, and return what was scanned with its item and quantity."""
    if not known.gtin:
        return replace(known, item=item)
    usual = known.quantity or item.pack_size
    question = f"How many {item.part_number} ({item.unit}) are in what carries {known.gtin}?"
    hint = f"Enter alone: {usual}"
    answer = await screen.app.push_screen_wait(
        Ask(question, hint=hint, check=lambda text: whole_quantity(text or usual))
    )
    if answer is None:
        return None
    pack = whole_quantity(answer or usual)

    def attach(depot: Depot) -> bool:
        attach_gtin(depot, item, known.gtin, pack)
        return True

    return replace(known, item=item, quantity=known.quantity or pack) if await screen.attempt(attach) else None


async def settle_bin(screen: DeskScreen, code: str) -> Place | None:
    """Offer to add a bin this depot lacks; returns it, or None."""
    question = f"There is no bin {code} here yet. Add it?"
    if not await screen.app.push_screen_wait(Sure(question, "Say no if it was mistyped: nothing is changed then.")):
        return None
    place: Place | None = await screen.attempt(lambda depot: add_place(depot, code, "bin"))
    return place
