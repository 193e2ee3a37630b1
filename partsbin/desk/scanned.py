"""What a scan or a typed code stands for in this depot: an item, a place, an order, a badge, or nothing known yet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from partsbin.depot.catalogue import Item, find_item, item_by_id
from partsbin.depot.file import Depot
from partsbin.depot.places import Place, bin_parts, find_place, printed_bin
from partsbin.exchange import Scan, read_scan


@dataclass(frozen=True, slots=True)
class Known:
    """One code looked up. What the code does not state is empty or None.

    ``quantity`` is in base units: what the labelled case or piece holds. ``gtin`` is the trade item number read;
    with ``item`` None nobody has said yet whose it is. ``new_bin`` is a bin code that this depot lacks.
    """

    text: str
    item: Item | None = None
    place: Place | None = None
    order: str = ""
    badge: str = ""
    quantity: int | None = None
    lot: str = ""
    best_before: str = ""
    serial: str = ""
    gtin: str = ""
    new_bin: str = ""
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether it is nothing this depot knows, nor a trade item number or bin it could come to know."""
        return not (self.item or self.place or self.order or self.badge or self.gtin or self.new_bin)

    @property
    def dated(self) -> bool:
        """Whether the code tells one lot, date or serial from another."""
        return bool(self.lot or self.best_before or self.serial)


def look_up(depot: Depot, text: str, today: date, *, scanned: bool = True) -> Known:
    """Look up a code: the depot's own places, part numbers and orders go before what the form of the code suggests.

    A scanned part number stands for one piece; a typed one says nothing about how many. Never raises: see
    ``problems``.
    """
    scan = read_scan(text, today=today)
    plain = scan.text
    place = find_place(depot, plain)
    if place is not None and place.physical and not place.retired:
        return Known(plain, place=place)
    item = None if scan.gtin else find_item(depot, plain)
    if item is not None and find_item(depot, item.part_number) == item:
        return Known(plain, item=item, quantity=1 if scanned else None)
    order = find_order(depot, plain)
    if order:
        return Known(plain, order=order)
    return _by_form(depot, scan, scanned=scanned)


def _by_form(depot: Depot, scan: Scan, *, scanned: bool) -> Known:
    best_before = scan.best_before.isoformat() if scan.best_before else ""
    known = Known(
        scan.text,
        badge=scan.badge,
        lot=scan.lot,
        best_before=best_before,
        serial=scan.serial,
        gtin=scan.gtin,
        problems=scan.problems,
        notes=scan.notes,
    )
    if scan.badge:
        return known
    if scan.slip:
        return replace(known, problems=(f"that is slip {scan.slip}; History shows it",))
    if scan.gtin:
        return _by_gtin(depot, known, scan)
    if scan.place or bin_parts(scan.text):
        place = find_place(depot, scan.place or scan.text)
        return replace(known, place=place, new_bin="" if place else printed_bin(scan.place or scan.text))
    number = scan.part_number or scan.text
    item = find_item(depot, number) or by_supplier_number(depot, scan.supplier_part_number or number)
    quantity = scan.quantity or ((item.pack_size if scan.kind == "case" else 1) if item and scanned else None)
    return replace(known, text=number, item=item, quantity=quantity)


def _by_gtin(depot: Depot, known: Known, scan: Scan) -> Known:
    """The item behind a trade item number, and how many base units this case, pack or pallet holds."""
    row = depot.one("SELECT item_id, quantity FROM item_gtins WHERE gtin = ?", (scan.gtin,))
    item = item_by_id(depot, row["item_id"]) if row else find_item(depot, scan.text)
    each = (row["quantity"] if row else None) or (item.pack_size if item else None)
    if scan.quantity is None:
        return replace(known, item=item, quantity=each)
    count = scan.quantity * (each or 1) if scan.counts == "packs" else scan.quantity
    return replace(known, item=item, quantity=count)


def date_passed(depot: Depot, item: Item | None, scan: Scan, day: date) -> str:
    """The best-before date of a scanned case, on its label or of its lot in the file, if it has passed; else ""."""
    known = scan.best_before.isoformat() if scan.best_before else ""
    if not known and item is not None and scan.lot:
        sql = "SELECT best_before FROM lots WHERE item_id = ? AND code = ? COLLATE NOCASE"
        known = depot.value(sql, (item.id, scan.lot)) or ""
    return known if known and known < day.isoformat() else ""


def find_order(depot: Depot, text: str) -> str:
    """Return the number of the order called ``text``, hyphens aside, or nothing."""
    number = text.strip()
    if not number:
        return ""
    found = depot.value("SELECT number FROM orders WHERE number = ?", (number,))
    found = found or depot.value(
        "SELECT number FROM orders WHERE replace(number, '-', '') = ? COLLATE NOCASE", (number.replace("-", ""),)
    )
    return found or ""


def by_supplier_number(depot: Depot, number: str) -> Item | None:
    """Return the item that a supplier's own part number means, when it means only one."""
    sql = "SELECT DISTINCT item_id FROM item_suppliers WHERE their_number = ? AND their_number <> '' LIMIT 2"
    rows = depot.all(sql, (number.strip(),))
    return item_by_id(depot, rows[0]["item_id"]) if len(rows) == 1 else None
