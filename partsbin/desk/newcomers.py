"""Making known what a delivery brings that the depot has never seen: an item, a bin, a trade item number."""

from __future__ import annotations

from partsbin.depot.catalogue import Item, find_item, the_item, touch
from partsbin.depot.file import Depot
from partsbin.depot.ledger import whole_quantity
from partsbin.depot.operators import Operator
from partsbin.desk.editing import add_item
from partsbin.errors import Refused
from partsbin.exchange.gtin import gtin14

_LONGEST = 80


def new_part_number(depot: Depot, text: str) -> str:
    """Return ``text`` as a part number free to use; refuses an empty, overlong or taken one."""
    number = text.strip()
    if not number or len(number) > _LONGEST or not number.isprintable():
        message = f"A part number has 1 to {_LONGEST} characters; key the one on the part or its box"
        raise Refused(message)
    taken = find_item(depot, number)
    if taken is not None:
        message = f"{taken.part_number} is already here: {taken.description}. Take that one, or key another number"
        raise Refused(message)
    return number


def described(text: str) -> str:
    """Return a description; refuses an empty one."""
    words = " ".join(text.split())
    if not words:
        message = "Say what it is in a few words, such as “delivery motor 24 V”"
        raise Refused(message)
    return words


def new_item(depot: Depot, operator: Operator, part_number: str, description: str, *, dated: bool = False) -> Item:
    """Add an item to the catalogue and return it; ``dated`` ones are kept by lot. Refuses a part number in use."""
    number, words = new_part_number(depot, part_number), described(description)
    with depot.write():
        item = add_item(depot, operator, number, words)
        if dated:
            depot.run("UPDATE items SET tracking = 'lot', kind = 'product case' WHERE id = ?", (item.id,))
    return the_item(depot, number)


def attach_gtin(depot: Depot, item: Item, gtin: str, quantity: int | None = None) -> None:
    """Write down that a trade item number means an item, with the base units in what carries it (None: its pack).

    An item without a case size so far takes this quantity as its own. Refuses a number that another item has.
    """
    digits = gtin14(gtin)
    owner = depot.value(
        "SELECT part_number FROM item_gtins JOIN items ON items.id = item_id WHERE gtin = ? AND item_id <> ?",
        (digits, item.id),
    )
    if owner:
        message = f"{digits} is already the number of {owner}; take it off there first"
        raise Refused(message)
    with depot.write():
        depot.run(
            "INSERT INTO item_gtins (gtin, item_id, quantity) VALUES (?,?,?) "
            "ON CONFLICT DO UPDATE SET quantity = excluded.quantity",
            (digits, item.id, quantity),
        )
        if item.pack_size == 1 and quantity:
            depot.run("UPDATE items SET pack_size = ? WHERE id = ?", (whole_quantity(quantity), item.id))
        touch(depot, item.id)
