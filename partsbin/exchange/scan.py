"""What a scanner sent: bin, van, item, badge, slip, case or trade item number. Pure: nothing is looked up in a depot.

``read_scan`` goes by form alone. The caller, who has the catalogue, looks up ``text`` as a place and a part number
first and falls back on the reading: a part number may look like a bin, or like a trade item number.

Data is taken for GS1 element strings after an AIM prefix that says so (``]C1 ]d2 ]Q3 ]e0``), when it contains the group
separator 0x1D, and when it is written out with parentheses or in a web address. A scanner that sends no prefixes is
believed only for a trade item number with its (01) or (02) in front: ``3712`` is no count of twelve.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date

from partsbin import codes
from partsbin.errors import Refused
from partsbin.exchange.gtin import gtin14
from partsbin.exchange.scan_gs1 import GS, Element, read_elements, read_link, read_written_out

_AIM = re.compile(r"\][A-Za-z][0-9]", re.A)
_TRADE_ELEMENT = re.compile(r"0[12]\d{14}", re.A)
_NO_PREFIX = "The scanner sends no AIM prefix: see that lot and date are right, and switch AIM identifiers on."
_TRIM = " \r\n\t"  # never str.strip(): it would also take a group separator
_AIM_NAMES = {
    "]C0": "Code 128",
    "]C1": "GS1-128",
    "]E0": "EAN-13 or UPC",
    "]E4": "EAN-8",
    "]I1": "ITF-14",
    "]Q1": "QR",
    "]Q3": "GS1 QR",
    "]d1": "Data Matrix",
    "]d2": "GS1 Data Matrix",
    "]e0": "GS1 DataBar",
}
_GS1 = frozenset({"]C1", "]d2", "]Q3", "]e0"})
_TRADE_DIGITS = {"]E0": 13, "]E4": 8, "]I1": 14}
_SLIPPED = str.maketrans(dict.fromkeys("ß'’´`?_=)–", "-"))  # what "-" becomes on a German, Italian, French … layout


@dataclass(frozen=True, slots=True)
class Scan:
    """One reading. Fields that the code does not state are empty or None.

    ``kind`` is ``bin``, ``van``, ``drawer``, ``badge``, ``slip``, ``case`` (a trade or part number with lot, date,
    serial or count), ``gtin`` (the number alone), ``item`` (plain text: perhaps a part number), ``unknown`` or
    ``nothing``. ``text`` is the data without AIM prefix and suffix. ``gtin`` has 14 digits. ``quantity`` counts
    ``pieces`` or, inside a pallet, ``packs`` of the trade item (``counts`` says which). ``best_before`` is the earlier
    of best-before and expiry. ``problems`` are sentences on what is wrong with the code: do not book from it unseen.
    ``notes`` are worth showing only.
    """

    text: str
    kind: str
    symbology: str = ""
    place: str = ""
    badge: str = ""
    slip: str = ""
    part_number: str = ""
    supplier_part_number: str = ""
    gtin: str = ""
    lot: str = ""
    serial: str = ""
    best_before: date | None = None
    produced: date | None = None
    quantity: int | None = None
    counts: str = ""
    elements: tuple[Element, ...] = ()
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def written_out(self) -> str:
        """The GS1 elements as printed under a symbol: ``(01)09521234543213(10)L7``; empty for other codes."""
        return "".join(f"({element.ai}){element.value}" for element in self.elements)


def read_scan(text: str, *, separator: str = GS, today: date | None = None) -> Scan:
    """Read one scan, with or without its AIM prefix and its CR, LF or TAB suffix. Never raises: see ``problems``.

    ``separator`` is for a scanner set to send another character for the group separator. ``today`` decides the century
    of two-digit years (default: the date now).
    """
    data = text.strip(_TRIM)
    prefix = data[:3] if _AIM.match(data) else ""
    data = data[len(prefix) :]
    if separator != GS:
        data = data.replace(separator, GS)
    scan = _read(data, prefix, today or date.today())
    return replace(scan, symbology=_AIM_NAMES.get(prefix, ""))


def _read(data: str, prefix: str, today: date) -> Scan:
    if prefix in _GS1 or GS in data:
        return _from_elements(data, *read_elements(data, today))
    if written := read_written_out(data, today) or read_link(data, today):
        return _from_elements(data, *written)
    if prefix in _TRADE_DIGITS:
        return _trade_number(data, _TRADE_DIGITS[prefix])
    if not data:
        return Scan("", "nothing", problems=("The scan was empty; scan again.",))
    if data.startswith("]"):
        return Scan(data, "unknown", problems=(f"“{data[:3]}” is not a kind of symbol known here.",))
    if not prefix and (bare := _bare_elements(data, today)):
        return bare
    return _own_code(data) or _bare_digits(data) or Scan(data, "item", part_number=data)


def _own_code(data: str) -> Scan | None:
    """A code from our own labels, in any case of letters; those with a check character come first, being certain."""
    upper = data.upper()
    if badge := codes.read_badge(upper):
        return Scan(data, "badge", badge=badge)
    if slip := codes.read_slip(upper):
        return Scan(data, "slip", slip=slip)
    if case := codes.read_case(upper):
        kind = "case" if case.lot or case.best_before or case.quantity else "item"
        counts = "pieces" if case.quantity else ""
        return Scan(data, kind, part_number=case.part_number, lot=case.lot, best_before=case.best_before,
                    quantity=case.quantity, counts=counts)  # fmt: skip
    if place := codes.read_bin(upper):
        return Scan(data, "bin", place=place)
    if place := codes.read_drawer(upper):
        return Scan(data, "drawer", place=place)
    if place := codes.read_van(upper):
        return Scan(data, "van", place=place)
    return _slipped_bin(data)


def _slipped_bin(data: str) -> Scan | None:
    """A printed bin code whose hyphens came through another country's keyboard."""
    place = codes.read_bin(data.translate(_SLIPPED).upper())
    if not place:
        return None
    note = f"“{data}” was read as {place}: the scanner types for another keyboard. Set its country to the computer's."
    return Scan(data, "bin", place=place, notes=(note,))


def _bare_elements(data: str, today: date) -> Scan | None:
    """Elements without their prefix: a trade item number and more, known from end to end.

    A trade item number alone may also be a part number of sixteen digits, and is given as both.
    """
    if not _TRADE_ELEMENT.match(data):
        return None
    elements, problems, notes = read_elements(data, today)
    if not all(element.known for element in elements):
        return None
    if len(elements) > 1:
        return _from_elements(data, elements, problems, [*notes, _NO_PREFIX])
    return None if problems else Scan(data, "item", part_number=data, gtin=elements[0].value)


def _bare_digits(data: str) -> Scan | None:
    """Digits of a trade item number's length: one if the check digit agrees, else perhaps a part number."""
    if not (data.isascii() and data.isdigit()) or len(data) not in (8, 12, 13, 14):
        return None
    try:
        return Scan(data, "gtin", gtin=gtin14(data))
    except Refused as refusal:
        return Scan(data, "item", part_number=data, notes=(f"As a trade item number: {refusal}.",))


def _trade_number(data: str, digits: int) -> Scan:
    """The digits after an AIM prefix of a symbol that only ever carries a trade item number."""
    if len(data) != digits:
        length = "too long" if len(data) > digits else "too short"
        return Scan(data, "unknown", problems=(f"“{data}” is {length} for its symbol, which carries {digits} digits.",))
    try:
        return Scan(data, "gtin", gtin=gtin14(data))
    except Refused as refusal:
        return Scan(data, "unknown", problems=(f"{refusal}; scan again.",))


def _from_elements(data: str, elements: tuple[Element, ...], problems: list[str], notes: list[str]) -> Scan:
    """Bring element strings into the fields the desk uses."""
    values = {element.ai: element.value for element in elements if element.sound}
    days = {element.ai: element.day for element in elements if element.day}
    dated = [day for ai in ("15", "17") if (day := days.get(ai))]
    quantity, counts = _count(values)
    scan = Scan(
        data,
        "unknown",
        gtin=values.get("01") or values.get("02", ""),
        lot=values.get("10", ""),
        serial=values.get("21", ""),
        part_number=values.get("241", ""),
        supplier_part_number=values.get("240", ""),
        best_before=min(dated) if dated else None,
        produced=days.get("11"),
        quantity=quantity,
        counts=counts,
        place=values.get("254", "") if "414" in values else "",
        elements=elements,
        problems=tuple(problems),
        notes=tuple(notes),
    )
    return replace(scan, kind=_kind(scan), place=codes.read_bin(scan.place.upper()) or scan.place)


def _count(values: dict[str, str]) -> tuple[int | None, str]:
    for ai, what in (("37", "packs"), ("30", "pieces")):
        if values.get(ai, "").isdigit():
            return int(values[ai]), what
    return None, ""


def _kind(scan: Scan) -> str:
    if scan.gtin or scan.part_number or scan.supplier_part_number:
        more = scan.lot or scan.serial or scan.best_before or scan.produced or scan.quantity
        return "case" if more else "gtin" if scan.gtin else "item"
    return "bin" if codes.read_bin(scan.place.upper()) else "unknown"
