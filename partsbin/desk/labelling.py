"""Choosing what to label: bins, drawers, vans, items, cases, badges, from words a clerk would use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.catalogue import Item, cautions_of, find_item, item_by_id, the_item
from partsbin.depot.file import Depot
from partsbin.depot.places import Place, bin_parts, find_place, place_by_id, places_of
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange.sheet import open_sheet

if TYPE_CHECKING:
    from partsbin.printing.label_kinds import Label

WHAT = (
    "bins, vans, drawers, items, badges, cautions, ends (of shelves); a bin, van or part number; "
    "a range A-01-01-1..A-03-99-9; zone:NAME; received (everything received today); moved (bins that took in something "
    "moved today); “core:PART SERIAL”; “case:PART LOT BEST-BEFORE”; a CSV list"
)


def choose(depot: Depot, what: Sequence[str]) -> list[Label]:
    """Return the labels meant by ``what``, in walking order or by part number; refuses what means nothing."""
    if not what:
        message = f"Say what to label: {WHAT}."
        raise Refused(message)
    labels: list[Label] = []
    for word in what:
        labels += _one(depot, word.strip())
    if not labels:
        message = f"There is nothing to label for “{' '.join(what)}”."
        raise Refused(message)
    return labels


def _one(depot: Depot, word: str) -> list[Label]:
    groups: dict[str, Callable[[], list[Label]]] = {
        "bins": lambda: [place_label(depot, place) for place in places_of(depot, "bin")],
        "vans": lambda: [place_label(depot, place) for place in places_of(depot, "van")],
        "drawers": lambda: [place_label(depot, place) for place in places_of(depot, "drawer")],
        "items": lambda: [item_label(depot, item_by_id(depot, item_id)) for item_id in _live_items(depot)],
        "badges": lambda: _badges(depot),
        "cautions": lambda: _cautions(depot),
        "ends": lambda: _ends(depot),
        "received": lambda: _received(depot),
        "moved": lambda: _moved(depot),
    }
    if word.lower() in groups:
        return groups[word.lower()]()
    if word.lower().startswith("zone:"):
        zone = word[5:].strip().lower()
        return [place_label(depot, place) for place in places_of(depot, "bin") if place.zone.lower() == zone]
    for prefix, make in (("core:", _core), ("case:", _case)):
        if word.lower().startswith(prefix):
            return make(depot, word[len(prefix) :])
    if ".." in word:
        return _range(depot, word)
    if word.lower().endswith(".csv"):
        return _list(depot, Path(word))
    place = find_place(depot, word)
    if place is not None and place.physical:
        return [place_label(depot, place)]
    item = find_item(depot, word)
    if item is None and bin_parts(word):
        message = f"There is no bin “{word}”; add it under places first."
        raise Refused(message)
    return [item_label(depot, item or the_item(depot, word))]


def place_label(depot: Depot, place: Place) -> Label:
    """Return the label of a bin, van or drawer."""
    from partsbin.printing.label_kinds import BinLabel, DrawerLabel

    scan = str(depot.value("SELECT scan FROM places WHERE id = ?", (place.id,)))
    if place.kind == "bin":
        return BinLabel(place.code, encoded=scan, zone=place.zone, name=place.name)
    if place.kind == "van":
        return DrawerLabel(place.code, name=place.name, encoded=scan)
    van = place_by_id(depot, place.parent) if place.parent else place
    return DrawerLabel(van.code, place.code.removeprefix(van.code).lstrip("-"), name=place.name, encoded=scan)


def item_label(depot: Depot, item: Item) -> Label:
    """Return an item's label, with its hand and cautions."""
    from partsbin.printing.label_kinds import Caution, ItemLabel
    from partsbin.printing.pictograms import pictogram_for

    cautions = tuple(Caution(c.word, c.text, pictogram_for(c.word, c.text)) for c in cautions_of(depot, item.id))
    return ItemLabel(item.part_number, item.description, item.hand, item.viewpoint, cautions)


def case_label(item: Item, lot: str, best_before: str, quantity: int = 0, gtin: str = "") -> Label:
    """Return the label of a product case: lot and best-before large, for first expired first out."""
    from partsbin.printing.label_kinds import CaseLabel

    day = date.fromisoformat(best_before) if best_before else None
    return CaseLabel(item.part_number, item.description, lot, day, quantity, gtin)


def _live_items(depot: Depot) -> list[int]:
    return [row["id"] for row in depot.all("SELECT id FROM items WHERE retired = 0 ORDER BY part_number")]


def _badges(depot: Depot) -> list[Label]:
    from partsbin.printing.label_kinds import BadgeLabel

    rows = depot.all("SELECT * FROM operators WHERE badge IS NOT NULL AND retired = 0 ORDER BY initials")
    return [BadgeLabel(row["initials"], row["name"], row["badge"], row["role"]) for row in rows]


def _received(depot: Depot) -> list[Label]:
    """One label a line received today: cases with their lot and date, other items with their own label."""
    rows = depot.all(
        "SELECT m.item_id, l.code, l.best_before FROM slips s JOIN moves m ON m.slip_id = s.id "
        "LEFT JOIN lots l ON l.id = m.lot_id WHERE s.kind = 'receipt' AND s.posted_at >= ? "
        "AND NOT EXISTS (SELECT 1 FROM slips r WHERE r.reverses = s.id) ORDER BY s.id, m.line",
        (clock.day_start(today(depot), depot.zone),),
    )
    labels: dict[tuple[int, str], Label] = {}
    for row in rows:
        item = item_by_id(depot, row["item_id"])
        key = (item.id, row["code"] or "")
        labels[key] = case_label(item, row["code"], row["best_before"]) if row["code"] else item_label(depot, item)
    return list(labels.values())


def _moved(depot: Depot) -> list[Label]:
    rows = depot.all(
        "SELECT DISTINCT m.to_place FROM slips s JOIN moves m ON m.slip_id = s.id JOIN places f ON f.id = m.from_place "
        "JOIN places t ON t.id = m.to_place WHERE s.kind = 'put-away' AND s.posted_at >= ? AND f.kind = 'bin' "
        "AND t.kind = 'bin' ORDER BY t.walk",
        (clock.day_start(today(depot), depot.zone),),
    )
    return [place_label(depot, place_by_id(depot, row[0])) for row in rows]


def _range(depot: Depot, word: str) -> list[Label]:
    from partsbin.printing.choosing import in_range

    bins = {place.code: place for place in places_of(depot, "bin")}
    return [place_label(depot, bins[code]) for code in in_range(bins, word)]


def _cautions(depot: Depot) -> list[Label]:
    from partsbin.printing.label_kinds import CautionTag
    from partsbin.printing.pictograms import pictogram_for

    rows = depot.all("SELECT word, text FROM cautions ORDER BY severity, code")
    return [CautionTag(row["word"], row["text"], pictogram_for(row["word"], row["text"])) for row in rows]


def _ends(depot: Depot) -> list[Label]:
    """One label a shelf end: the aisle's letter and the bays behind it."""
    from partsbin.printing.label_kinds import ShelfEndLabel

    rows = depot.all(
        "SELECT aisle, min(bay) AS first, max(bay) AS last FROM places WHERE kind = 'bin' AND aisle <> '' "
        "AND retired = 0 GROUP BY aisle ORDER BY aisle"
    )
    return [ShelfEndLabel(row["aisle"], f"{row['first']:02d}–{row['last']:02d}") for row in rows]


def _core(depot: Depot, text: str) -> list[Label]:
    """A tag for an exchange part on its way back: part number, and its serial where one is given."""
    from partsbin.printing.label_kinds import CoreTag

    number, _, serial = text.strip().partition(" ")
    item = the_item(depot, number)
    return [CoreTag(item.part_number, item.description, serial=serial.strip(), origin=depot.setting("depot_name"))]


def _case(depot: Depot, text: str) -> list[Label]:
    """A case label: part number, lot, best-before, and how many it was packed with."""
    words = text.split()
    item = the_item(depot, words[0] if words else "")
    lot, day = [*words, "", "", ""][1:3]
    quantity = int(words[3]) if len(words) > 3 and words[3].isdigit() else item.pack_size
    gtin = depot.value("SELECT min(gtin) FROM item_gtins WHERE item_id = ?", (item.id,))
    return [case_label(item, lot, str(clock.iso_date(day)) if day else "", quantity, gtin or "")]


def _list(depot: Depot, path: Path) -> list[Label]:
    """Labels for the places and part numbers of a CSV with a column ``place`` or ``part_number``."""
    sheet = open_sheet(path, required=(), optional=("place", "part_number", "copies"))
    labels: list[Label] = []
    for line, row in sheet.rows():
        word = row.get("place") or row.get("part_number") or ""
        try:
            labels += _one(depot, word) * max(int(row.get("copies") or 1), 1)
        except (Refused, ValueError) as refused:
            sheet.problems.add(line, "", str(refused))
    sheet.problems.settle()
    return labels
