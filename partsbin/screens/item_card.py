"""The catalogue card in words, and which items the list shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsbin.depot.catalogue import Item, item_by_id, sources_of
from partsbin.depot.file import Depot
from partsbin.depot.places import place_by_id
from partsbin.depot.plain_text import counted
from partsbin.depot.setpoints import set_points_of
from partsbin.depot.stock import holdings_of, on_hand, on_order, promised
from partsbin.desk.editing import field_words
from partsbin.desk.finding import advise
from partsbin.exchange.items import item_texts
from partsbin.exchange.values import major
from partsbin.screens.base import MOST_ROWS

if TYPE_CHECKING:
    from partsbin.desk.finding import Finder

_SHOWN = (
    *("category", "kind", "unit", "pack_size", "family", "hand", "viewpoint", "fits", "aliases", "gtin", "tracking"),
    *("disposition", "shelf_life_days", "weight_g", "service", "container", "home_bin", "kit"),
)


def matching_items(depot: Depot, finder: Finder | None, words: str) -> list[tuple[Item, int]]:
    """Return (item, quantity on the shelf) of what the words may mean, best first; without words by part number."""
    if words and finder is not None:
        found = dict.fromkeys(c.item_id for answer in finder.find(words, 40) for c in answer.candidates)
        ids = list(found)
    else:
        sql = "SELECT id FROM items WHERE part_number LIKE ? ORDER BY retired, part_number LIMIT ?"
        ids = [row["id"] for row in depot.all(sql, (f"{words}%", MOST_ROWS))]
    return [(item_by_id(depot, item_id), on_hand(depot, item_id)) for item_id in ids]


def card_words(depot: Depot, item: Item) -> str:
    """Return all that is known of an item, in lines."""
    texts = item_texts(depot, item.id)
    hand, coming, owed = on_hand(depot, item.id), on_order(depot, item.id), promised(depot, item.id)
    out = [f"{item.part_number}{'  (retired)' if item.retired else ''}", item.description]
    replaced = depot.all("SELECT part_number FROM items WHERE superseded_by = ? ORDER BY part_number", (item.id,))
    out += [f"In place of {', '.join(row['part_number'] for row in replaced)}"] if replaced else []
    out += [""]
    out.append(f"Position {hand + coming - owed} = {hand} on the shelf + {coming} on order − {owed} promised")
    out += _stock_words(depot, item)
    out += _point_words(depot, item)
    out += [
        f"{s.supplier}: {s.their_number or 'no number'}, {major(s.cost) or 'cost not known'}, pack {s.pack_size}, "
        f"lead {'unknown' if s.lead_time_days is None else f'{s.lead_time_days} days'}"
        for s in sources_of(depot, item.id)
    ] or ["No supplier yet."]
    out += _advice_words(depot, item)
    out += ["", *(f"{field_words(column)}: {texts[column]}" for column in _SHOWN if texts[column])]
    learned = depot.all(
        "SELECT words, times FROM item_words WHERE item_id = ? AND source = 'learned' ORDER BY times DESC", (item.id,)
    )
    out += [f"learned: “{row['words']}” (picked {counted(row['times'], 'time')})" for row in learned]
    serials = depot.all(
        "SELECT s.serial, ifnull(p.code, '') AS place FROM serials s LEFT JOIN places p ON p.id = s.place_id "
        "WHERE s.item_id = ? ORDER BY s.serial LIMIT 20",
        (item.id,),
    )
    out += [f"serial {row['serial']} at {row['place'] or 'nowhere yet'}" for row in serials]
    return "\n".join(out)


def _stock_words(depot: Depot, item: Item) -> list[str]:
    held = holdings_of(depot, item.id)
    return [
        f"  {h.place:<12} {h.quantity:>5}"
        + (f"  lot {h.lot}" if h.lot else "")
        + (f" best before {h.best_before}" if h.best_before else "")
        for h in held[:12]
    ] + ([f"  … and {len(held) - 12} more"] if len(held) > 12 else [])


def _point_words(depot: Depot, item: Item) -> list[str]:
    out = []
    for point in set_points_of(depot, item.id):
        place = place_by_id(depot, point.place_id)
        if place.kind in ("van", "drawer"):
            out.append(f"Par {place.code}: {point.order_up_to}")
        else:
            out.append(f"Set point {place.code}: reorder at {point.reorder_point}, up to {point.order_up_to}")
    return out or ["No set point yet: S sets one."]


def _advice_words(depot: Depot, item: Item) -> list[str]:
    advice = advise(depot, item.id)
    out = []
    if advice.live.id != item.id:
        out.append(f"Superseded by {advice.live.part_number} {advice.live.description}")
    if advice.opposite:
        out.append(f"Opposite hand: {advice.opposite.part_number}")
    if advice.instead:
        out.append("Instead: " + ", ".join(other.part_number for other in advice.instead))
    if advice.kits:
        out.append("In kits: " + ", ".join(kit.part_number for kit in advice.kits))
    return out + [f"{caution.word}: {caution.text}" for caution in advice.cautions]
