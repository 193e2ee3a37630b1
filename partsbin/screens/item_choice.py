"""Finding the item somebody means, with a question where the words fit several."""

from __future__ import annotations

from partsbin.depot.catalogue import Item, find_item, item_by_id, nearest_items
from partsbin.exchange import read_scan
from partsbin.screens.base import DeskScreen
from partsbin.screens.questions import Pick


async def choose_item(screen: DeskScreen, text: str) -> tuple[Item, int | None] | None:
    """Return the item meant by a part number, a scan or words, and the quantity where one was stated.

    Words that fit several items are put to the person; None when nothing fits or the question was left.
    """
    item = item_read(screen, text)
    if item is not None:
        return item, None
    if screen.desk.finder is None:
        screen.say("reading the catalogue …")
    finder = await screen.desk.the_finder()
    answers = await screen.desk.away(lambda _depot: finder.find(text, 8))
    answer = next((found for found in answers if found.candidates), None)
    if answer is None:
        close = "; ".join(f"{near.part_number} {near.description}" for near in nearest_items(screen.depot, text))
        screen.complain(f"Nothing here is called “{text[:40]}”." + (f" Nearest: {close}." if close else ""))
        return None
    screen.say("")
    stated = answer.quantity if answer.line.quantity_stated else None
    if answer.status == "sure":
        return item_by_id(screen.depot, answer.candidates[0].item_id), stated
    rows = [f"{found.part_number}  {found.description}" for found in answer.candidates]
    question = answer.question or f"which is meant by “{text[:50]}”?"
    chosen = await screen.app.push_screen_wait(Pick(question[:1].upper() + question[1:], rows))
    return None if chosen is None else (item_by_id(screen.depot, answer.candidates[chosen].item_id), stated)


def item_read(screen: DeskScreen, text: str) -> Item | None:
    """Return the item whose part number, trade number or label ``text`` is, or None."""
    scan = read_scan(text)
    for code in (text, scan.part_number, scan.gtin):
        item = find_item(screen.depot, code) if code else None
        if item is not None:
            return item
    return None
