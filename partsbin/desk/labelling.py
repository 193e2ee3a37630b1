"""Choosing what to label: bins, drawers, vans, items, cases, badges, from words a clerk would use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.catalogue import Item, cautions_of, find_item, item_by_id, the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import whole_quantity
from partsbin.depot.operators import the_operator
from partsbin.depot.places import Place, bin_parts, find_place, place_by_id, places_of
from partsbin.desk.scanned import look_up
from partsbin.desk.today import today
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.printing.label_kinds import Label

WHAT = (
    "bins, vans, drawers, items, badges, cautions, ends (of shelves); a bin, van or part number; "
    "a range A-01-01-1..A-03-99-9 or A-03..; zone:NAME; received (everything received today); moved (everything that "
    "went to another bin today); badge:INITIALS; “core:PART SERIAL”; “case:PART LOT BEST-BEFORE”; a CSV list of codes"
)

_MOST_FAULTS = 10


def choose(depot: Depot, what: Sequence[str]) -> list[Label]:
    """Return the labels meant by ``what``, in walking order or by part number; refuses what means nothing."""
    if not "".join(what).strip():
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
        return _zone(depot, word[5:].strip())
    for prefix, make in (("core:", _core), ("case:", _case), ("badge:", _badges)):
        if word.lower().startswith(prefix):
            return make(depot, word[len(prefix) :].strip())
    if word.lower().endswith((".csv", ".txt")):
        return _list(depot, Path(word).expanduser())
    if ".." in word:
        return _range(depot, word)
    return [_named(depot, word)]


def _named(depot: Depot, word: str) -> Label:
    """The label of one place or item."""
    place = find_place(depot, word)
    if place is not None and place.physical:
        return place_label(depot, place)
    item = find_item(depot, word)
    if item is None and bin_parts(word):
        message = f"There is no bin “{word}”; add it under places first."
        raise Refused(message)
    return item_label(depot, item or the_item(depot, word))


def choose_scanned(depot: Depot, text: str) -> list[Label]:
    """Return the label like the one that was scanned: of a bin, drawer, van or item, or of a case with its lot.

    Anything else is taken for words that came as fast as a scan, see ``choose``.
    """
    known = look_up(depot, text, today(depot))
    if known.problems:
        message = f"{known.text}: {'; '.join(known.problems)}"
        raise Refused(message)
    if known.place is not None:
        return [place_label(depot, known.place)]
    if known.item is None and known.gtin:
        message = f"Nothing here has the code “{known.text}” yet; scan it under Receive to say whose it is."
        raise Refused(message)
    if known.item is None:
        return choose(depot, [known.text])
    if known.lot or known.best_before:
        return [case_label(depot, known.item, known.lot, known.best_before, known.quantity or 0)]
    return [item_label(depot, known.item)]


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


def case_label(depot: Depot, item: Item, lot: str, best_before: str, quantity: int) -> Label:
    """Return the label of a product case: lot and best-before large, for first expired first out."""
    from partsbin.printing.label_kinds import CaseLabel

    day = date.fromisoformat(best_before) if best_before else None
    return CaseLabel(item.part_number, item.description, lot, day, quantity, _case_gtin(depot, item, quantity))


def arrived_label(depot: Depot, item: Item, lot_id: int | None) -> Label:
    """Return the label of what came or moved: of a case of its lot, with what it holds; else the item's own."""
    if not lot_id:
        return item_label(depot, item)
    lot = depot.one("SELECT code, best_before, per_case FROM lots WHERE id = ?", (lot_id,))
    if lot is None:
        message = f"{item.part_number} has no such lot any more."
        raise Refused(message)
    return case_label(depot, item, lot["code"], lot["best_before"], lot["per_case"] or item.pack_size)


def _case_gtin(depot: Depot, item: Item, pieces: int) -> str:
    """The trade item number of a case of so many pieces; empty when it has none, or several."""
    rows = depot.all(
        "SELECT gtin FROM item_gtins WHERE item_id = ? AND ifnull(quantity, ?) = ? LIMIT 2",
        (item.id, item.pack_size, pieces),
    )
    return str(rows[0]["gtin"]) if len(rows) == 1 else ""


def _live_items(depot: Depot) -> list[int]:
    return [row["id"] for row in depot.all("SELECT id FROM items WHERE retired = 0 ORDER BY part_number")]


def _badges(depot: Depot, initials: str = "") -> list[Label]:
    from partsbin.printing.label_kinds import BadgeLabel

    rows = depot.all("SELECT * FROM operators WHERE badge <> '' AND retired = 0 ORDER BY initials")
    wanted = [row for row in rows if not initials or row["initials"].lower() == initials.lower()]
    if not wanted:
        whom = f"{the_operator(depot, initials).initials} wears" if initials else "Nobody here wears"
        message = f"{whom} no badge yet; give one a number first."
        raise Refused(message)
    return [BadgeLabel(row["initials"], row["name"], row["badge"], row["role"]) for row in wanted]


def _received(depot: Depot) -> list[Label]:
    """One label a line received today: cases with their lot and date, other items with their own label."""
    return _posted_today(depot, "s.kind = 'receipt'")


def _moved(depot: Depot) -> list[Label]:
    """One label for everything that went from one bin to another today: the old shelf's label stays behind."""
    return _posted_today(depot, "f.kind = 'bin' AND t.kind = 'bin' AND s.reverses IS NULL")


def _posted_today(depot: Depot, which: str) -> list[Label]:
    """A label for each item or lot in today's moves of one kind, slips taken back left out; ``which`` is ours."""
    rows = depot.all(
        "SELECT m.item_id, m.lot_id FROM slips s JOIN moves m ON m.slip_id = s.id JOIN places f ON f.id = m.from_place "
        f"JOIN places t ON t.id = m.to_place WHERE s.posted_at >= ? AND {which} "
        "AND NOT EXISTS (SELECT 1 FROM slips r WHERE r.reverses = s.id) ORDER BY s.id, m.line",
        (clock.day_start(today(depot), depot.zone),),
    )
    wanted = dict.fromkeys((row["item_id"], row["lot_id"]) for row in rows)
    return [arrived_label(depot, item_by_id(depot, item_id), lot_id) for item_id, lot_id in wanted]


def _range(depot: Depot, word: str) -> list[Label]:
    from partsbin.printing.choosing import in_range

    bins = {place.code: place for place in places_of(depot, "bin")}
    return [place_label(depot, bins[code]) for code in in_range(bins, word.removesuffix(".."))]


def _zone(depot: Depot, zone: str) -> list[Label]:
    bins = places_of(depot, "bin")
    chosen = [place_label(depot, place) for place in bins if place.zone.lower() == zone.lower()]
    if not chosen:
        known = ", ".join(sorted({place.zone for place in bins if place.zone})) or "none yet"
        message = f"No bin lies in a zone called “{zone}”. Zones: {known}."
        raise Refused(message)
    return chosen


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
    lot, day, pieces = [*words, "", "", ""][1:4]
    if len(words) > 4 or not (lot or day):
        message = f"“case:{text}” should be case:PART LOT BEST-BEFORE, as in case:{item.part_number} L7 2027-03-31."
        raise Refused(message)
    quantity = whole_quantity(pieces) if pieces else item.pack_size
    best_before = str(clock.iso_date(day)) if day else ""
    return [case_label(depot, item, lot, best_before, quantity)]


def _list(depot: Depot, path: Path) -> list[Label]:
    """Labels for a list of places and part numbers, one a line, with or without a header and a column of copies.

    A name without a folder is also looked for beside the depot. Refuses the whole list, naming every bad line.
    """
    from partsbin.printing.choosing import read_list

    labels: list[Label] = []
    faults: list[str] = []
    for wanted in read_list(_text(path if path.exists() else depot.path.parent / path, path).splitlines()):
        try:
            labels += [_named(depot, wanted.code)] * wanted.copies
        except Refused as refused:
            faults.append(str(refused))
    if faults:
        more = f" And {len(faults) - _MOST_FAULTS} more like these." if len(faults) > _MOST_FAULTS else ""
        message = f"{path.name}: nothing was chosen. {' '.join(faults[:_MOST_FAULTS])}{more}"
        raise Refused(message)
    return labels


def _text(path: Path, asked: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        message = f"The list {asked} cannot be read ({error.strerror})."
        raise Refused(message) from error
    except UnicodeDecodeError as error:
        message = f"The list {asked} is not UTF-8 text; save it as CSV UTF-8."
        raise Refused(message) from error
