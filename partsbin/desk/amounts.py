"""Quantities as people key them: ``12``, ``2 case``, ``1 dozen``, ``2 cs + 6``."""

from __future__ import annotations

import re

from partsbin.depot.catalogue import Item
from partsbin.depot.ledger import MOST, whole_quantity
from partsbin.errors import Refused

_TERM = re.compile(r"(-?[\d.,]+)\s*([a-z]*)\.?", re.IGNORECASE)
_EACH = {"", "each", "ea", "pc", "pcs", "off", "loose", "unit", "units"}
_PACK = {"case", "cases", "cs", "pack", "packs", "pk", "box", "boxes", "bx"}
_DOZEN = {"doz", "dozen", "dz"}


def read_amount(text: str, item: Item) -> tuple[int, str]:
    """Return (base units, as keyed where that says more). A case or pack is the item's own; a dozen is 12.

    Refuses what is not a whole number above zero, an unknown unit, and more than 100,000.
    """
    keyed = text.strip()
    total = sum(_term(term, item) for term in keyed.split("+"))
    if total > MOST:
        message = f"{total:,} is more than {MOST:,} on one line; check the quantity"
        raise Refused(message)
    return total, "" if keyed.isdigit() else keyed


def _term(term: str, item: Item) -> int:
    match = _TERM.fullmatch(term.strip())
    if match is None:
        return whole_quantity(term)
    figure, unit = match.group(1), match.group(2).lower()
    quantity = whole_quantity(figure)
    if unit in _EACH or unit.rstrip("s") == item.unit.rstrip("s"):
        return quantity
    if unit in _DOZEN:
        return quantity * 12
    if unit in _PACK:
        return quantity * item.pack_size
    message = f"“{unit}” is not a unit of {item.part_number}: key {item.unit}, case (of {item.pack_size}) or dozen"
    raise Refused(message)
