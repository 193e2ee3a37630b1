"""The catalogue: items and all that hangs on them."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields

from partsbin.depot.file import Depot, Row
from partsbin.errors import Refused

_NOT_PLAIN = re.compile(r"[^0-9A-Z]")


@dataclass(frozen=True, slots=True)
class Item:
    """Anything stocked under a part number."""

    id: int
    part_number: str
    description: str
    category: str = ""
    kind: str = "part"
    unit: str = "each"
    pack_size: int = 1
    family: str = ""
    hand: str = ""
    viewpoint: str = ""
    tracking: str = "quantity"
    disposition: str = "consumable"
    shelf_life_days: int | None = None
    weight_g: int | None = None
    service: str = ""
    container: str = ""
    home_bin: int | None = None
    opposite_hand: int | None = None
    superseded_by: int | None = None
    retired: int = 0


_COLUMNS = ", ".join(f.name for f in fields(Item))


@dataclass(frozen=True, slots=True)
class Caution:
    """The warning that travels with an item. Severity 1 is the most severe."""

    code: str
    word: str
    text: str
    severity: int
    basis: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """Where an item is bought: cost in minor units a base unit, pack and minimum in base units."""

    supplier_id: int
    supplier: str
    their_number: str
    cost: int | None
    pack_size: int
    minimum: int
    lead_time_days: int | None
    price_breaks: str
    preferred: int


def part_key(part_number: str) -> str:
    """Return what formatting noise leaves of a part number: upper case, letters and digits only."""
    return _NOT_PLAIN.sub("", part_number.upper())


def _item(row: Row) -> Item:
    return Item(*tuple(row))


def item_by_id(depot: Depot, item_id: int) -> Item:
    """Return an item known to exist."""
    row = depot.one(f"SELECT {_COLUMNS} FROM items WHERE id = ?", (item_id,))
    if row is None:
        message = f"item number {item_id} is not in this depot"
        raise Refused(message)
    return _item(row)


def find_item(depot: Depot, text: str) -> Item | None:
    """Return the item with this part number (formatting ignored when only one fits) or GTIN, or None."""
    row = depot.one(f"SELECT {_COLUMNS} FROM items WHERE part_number = ?", (text.strip(),))
    if row is None:
        rows = depot.all(f"SELECT {_COLUMNS} FROM items WHERE part_key = ? LIMIT 2", (part_key(text) or " ",))
        row = rows[0] if len(rows) == 1 else None
    if row is None and text.strip().isdigit():
        found = depot.value("SELECT item_id FROM item_gtins WHERE gtin = ?", (text.strip().zfill(14),))
        return item_by_id(depot, found) if found else None
    return _item(row) if row else None


def the_item(depot: Depot, text: str) -> Item:
    """Return the item with this part number; refuses an unknown one and offers the nearest three."""
    item = find_item(depot, text)
    if item is None:
        close = nearest_items(depot, text)
        offer = "; ".join(f"{near.part_number} {near.description}" for near in close)
        message = f"There is no part “{text}”." + (f" Nearest: {offer}." if offer else " The catalogue is empty.")
        raise Refused(message)
    return item


def nearest_items(depot: Depot, text: str, limit: int = 3) -> list[Item]:
    """Return the items whose part number or description is most like ``text``."""
    from rapidfuzz import fuzz, process  # here, or every start of the program would wait for it

    rows = depot.all("SELECT id, part_number, description FROM items WHERE retired = 0")
    numbers = {row["id"]: part_key(row["part_number"]) for row in rows}
    words = {row["id"]: row["description"].lower() for row in rows}
    by_number = process.extract(part_key(text), numbers, scorer=fuzz.ratio, limit=limit)
    by_words = process.extract(text.lower(), words, scorer=fuzz.token_set_ratio, limit=limit)
    ranked = sorted([*by_number, *by_words], key=lambda found: -found[1])
    return [item_by_id(depot, found) for found in list(dict.fromkeys(key for _, _, key in ranked))[:limit]]


def successor(depot: Depot, item: Item) -> Item:
    """Follow the supersession chain to the live item; a chain that runs in a circle ends where it began."""
    seen = {item.id}
    while item.superseded_by is not None and item.superseded_by not in seen:
        seen.add(item.superseded_by)
        item = item_by_id(depot, item.superseded_by)
    return item


def cautions_of(depot: Depot, item_id: int) -> list[Caution]:
    """Return an item's cautions, and the one its weight calls for, the most severe first."""
    rows = depot.all(
        "SELECT code, word, text, severity, basis FROM item_cautions JOIN cautions USING (code) WHERE item_id = :item "
        "UNION ALL SELECT code, word, text, severity, basis FROM weight_cautions WHERE item_id = :item "
        "AND code NOT IN (SELECT code FROM item_cautions WHERE item_id = :item) ORDER BY severity, code",
        {"item": item_id},
    )
    return [Caution(*tuple(row)) for row in rows]


def first_checks_of(depot: Depot, family: str) -> list[tuple[str, str]]:
    """Return what to try before pulling a part of this family, cheapest first: (symptom, check)."""
    rows = depot.all("SELECT symptom, text FROM first_checks WHERE family = ? ORDER BY symptom, sequence", (family,))
    return [(row["symptom"], row["text"]) for row in rows] if family else []


def sources_of(depot: Depot, item_id: int) -> list[Source]:
    """Return where an item is bought, the preferred supplier first; lead time falls back to the supplier's."""
    rows = depot.all(
        "SELECT s.id, s.name, i.their_number, i.cost, i.pack_size, i.minimum, "
        "ifnull(i.lead_time_days, s.lead_time_days), i.price_breaks, i.preferred "
        "FROM item_suppliers i JOIN suppliers s ON s.id = i.supplier_id "
        "WHERE i.item_id = ? ORDER BY i.preferred DESC, i.cost, s.name",
        (item_id,),
    )
    return [Source(*tuple(row)) for row in rows]


def parts_of_kit(depot: Depot, kit_id: int) -> list[tuple[Item, int]]:
    """Return what a kit explodes to: (item, quantity a kit). Empty for an item that is no kit."""
    rows = depot.all("SELECT item_id, quantity FROM item_parts WHERE kit_id = ? ORDER BY item_id", (kit_id,))
    return [(item_by_id(depot, row["item_id"]), row["quantity"]) for row in rows]


def kits_with(depot: Depot, item_id: int) -> list[Item]:
    """Return the kits that contain an item."""
    rows = depot.all("SELECT kit_id FROM item_parts WHERE item_id = ? ORDER BY kit_id", (item_id,))
    return [item_by_id(depot, row["kit_id"]) for row in rows]


def substitutes_of(depot: Depot, item_id: int) -> list[Item]:
    """Return what the catalogue allows instead of an item."""
    rows = depot.all("SELECT instead FROM item_substitutes WHERE item_id = ? ORDER BY instead", (item_id,))
    return [item_by_id(depot, row["instead"]) for row in rows]


def touch(depot: Depot, item_id: int) -> None:
    """Mark an item as edited, so that indexes in memory follow. Call inside ``write()``."""
    depot.run("UPDATE items SET changed = (SELECT max(changed) + 1 FROM items) WHERE id = ?", (item_id,))


def learn(depot: Depot, item_id: int, words: str, operator: int | None, since: str) -> None:
    """Count these words as a learned alias of an item."""
    with depot.write():
        depot.run(
            "INSERT INTO item_words (item_id, words, source, times, operator, since) VALUES (?, ?, 'learned', 1, ?, ?) "
            "ON CONFLICT DO UPDATE SET times = times + 1",
            (item_id, words.strip().lower(), operator, since),
        )
        touch(depot, item_id)


def unlearn(depot: Depot, item_id: int, words: str) -> None:
    """Forget a learned alias."""
    with depot.write():
        depot.run(
            "DELETE FROM item_words WHERE item_id = ? AND words = ? AND source = 'learned'",
            (item_id, words.strip()),
        )
        touch(depot, item_id)
