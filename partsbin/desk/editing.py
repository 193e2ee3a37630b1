"""Editing the catalogue from a screen: the same cells and the same rules as the catalogue file."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.catalogue import Item, item_by_id, the_item
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, add_place, printed_bin, the_place
from partsbin.depot.rights import require
from partsbin.depot.setpoints import SetPoint, set_point, set_points_of, set_shelf_point
from partsbin.depot.stock import holdings_of
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.items import COLUMNS, item_texts, save_item
from partsbin.exchange.values import whole

FIELDS = tuple(column for column in COLUMNS if column not in ("part_number", "retired"))
"""What can be edited on an item's card, by the names the catalogue file uses."""

_WORDS = {
    "unit": "unit of issue",
    "fits": "fits machines",
    "cost": "cost a base unit",
    "aliases": "also called",
    "gtin": "trade item numbers (GTIN)",
    "family": "trade family",
    "kit": "parts of this kit",
    "substitutes": "goes instead",
    "minimum": "supplier's minimum",
    "price_breaks": "price breaks",
    "service": "how fast it moves",
}


def field_words(column: str) -> str:
    """Return what a field is called on screen."""
    return _WORDS.get(column, column.replace("_", " "))


def change_field(depot: Depot, operator: Operator, item: Item, column: str, text: str) -> Item:
    """Set one field of an item and return it; refuses what the catalogue file would refuse, in words."""
    require(depot, operator, "catalogue")
    texts = item_texts(depot, item.id)
    values = {"part_number": item.part_number, "description": texts["description"], column: text.strip()}
    if column in ("supplier", "supplier_part_number", "cost", "lead_time_days", "minimum", "price_breaks", "pack_size"):
        for other in ("supplier", "supplier_part_number", "cost", "lead_time_days", "minimum", "price_breaks"):
            values.setdefault(other, texts[other])
        values.setdefault("pack_size", texts["pack_size"])
    save_item(Import(depot, operator), values)
    return item_by_id(depot, item.id)


def add_item(depot: Depot, operator: Operator, part_number: str, description: str) -> Item:
    """Add an item to the catalogue; refuses a number that is already there."""
    require(depot, operator, "catalogue")
    number = part_number.strip()
    with depot.write():
        if depot.value("SELECT 1 FROM items WHERE part_number = ?", (number,)):
            message = f"{number} is already in the catalogue"
            raise Refused(message)
        save_item(Import(depot, operator), {"part_number": number, "description": description.strip()})
    return the_item(depot, number)


def retire(depot: Depot, operator: Operator, item: Item) -> Item:
    """Retire an item, or take it back into use; refuses while stock of it is still anywhere."""
    require(depot, operator, "retire")
    held = [h for h in holdings_of(depot, item.id) if h.quantity]
    if held and not item.retired:
        where = ", ".join(f"{h.place} {h.quantity}" for h in held[:3])
        message = f"{item.part_number} is still in stock ({where}); use it up or write it off, then retire it"
        raise Refused(message)
    texts = item_texts(depot, item.id)
    values = {
        "part_number": item.part_number,
        "description": texts["description"],
        "retired": "" if item.retired else "yes",
    }
    save_item(Import(depot, operator), values)
    return item_by_id(depot, item.id)


def change_set_point(depot: Depot, operator: Operator, item: Item, place: str, points: str) -> SetPoint:
    """Set reorder point and order-up-to level from ``3 8`` (a van: its par alone will do, ``4``).

    The shelf's takes the place of those on single bins.
    """
    where = the_place(depot, place or "SHELF")
    words = points.replace("/", " ").replace(",", " ").split()
    if len(words) not in (1, 2):
        message = "Key the reorder point and the order-up-to level, such as 3 8; for a van its par alone"
        raise Refused(message)
    high = whole(words[-1], most=1_000_000)
    low = whole(words[0], most=1_000_000) if len(words) > 1 else max(high - 1, 0)
    keep = set_shelf_point if where.kind == "shelf" else set_point
    keep(depot, SetPoint(item.id, where.id, low, high), operator)
    return next(point for point in set_points_of(depot, item.id) if point.place_id == where.id)


@dataclass(frozen=True, slots=True)
class NewPlace:
    """A place to add, read from what was keyed."""

    code: str
    kind: str
    name: str
    parent: str


def read_place(text: str) -> NewPlace:
    """Read ``A-03-07-2``, ``VAN6 Kim's van`` or ``VAN6-D2 sensors`` as a bin, van or drawer to add."""
    code, _, name = text.strip().partition(" ")
    if not code:
        message = "Key the code of the bin, van or drawer, such as A-03-07-2 or VAN6"
        raise Refused(message)
    upper = code.upper()
    van, dash, drawer = upper.rpartition("-D")
    if dash and drawer.isdigit():
        return NewPlace(upper, "drawer", name, van)
    kind = "van" if upper.startswith("VAN") else "bin"
    return NewPlace(printed_bin(code) if kind == "bin" else upper, kind, name, "")


def add_place_from(depot: Depot, operator: Operator, text: str) -> Place:
    """Add the bin, van or drawer keyed as in ``read_place``."""
    require(depot, operator, "catalogue")
    new = read_place(text)
    return add_place(depot, new.code, new.kind, name=new.name, parent=new.parent)
