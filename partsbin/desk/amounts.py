"""Quantities as people key them: ``12``, ``2 case``, ``1 dozen``, ``2 cs + 6``, ``half case``, ``2 cs of 35``."""

from __future__ import annotations

import re

from partsbin.depot.catalogue import Item
from partsbin.depot.ledger import MOST, whole_quantity
from partsbin.errors import Refused
from partsbin.exchange.values import as_packed

_TERM = re.compile(r"(-?[\d.,]+)\s*([a-z]*)\.?", re.IGNORECASE)
_HALF = re.compile(r"half(?:\s+an?)?\s+(?:case|cs|pack|tray)", re.IGNORECASE)
_SIZED = re.compile(r"(.+?)\s+of\s+(\d{1,4})", re.IGNORECASE)
_LONGEST = 7
_EACH = {"", "each", "ea", "pc", "pcs", "off", "loose", "unit", "units", "can", "cans", "bottle", "bottles"}
_PACK = {"case", "cases", "cs", "pack", "packs", "pk", "box", "boxes", "bx", "tray", "trays"}
_DOZEN = {"doz", "dozen", "dz"}


def looks_like_amount(text: str, item: Item) -> bool:
    """Whether typed text can only be a quantity of this item: short figures, each bare or with a known unit."""
    plain = [term for term, _ in _terms(text) if not _HALF.fullmatch(term) and as_packed(term) is None]
    terms = [_TERM.fullmatch(term) for term in plain]
    units = {*_EACH, *_PACK, *_DOZEN, item.unit, item.unit.rstrip("s")}
    return all(term and len(term[1]) <= _LONGEST and term[2].lower() in units for term in terms)


def read_amount(text: str, item: Item) -> tuple[int, str]:
    """Return (base units, as keyed where that says more).

    A case or pack is the item's own unless its size is said (``2 cs of 35 + 6``); ``2x12`` is 24 as packed; a dozen
    is 12.
    Refuses what is not a whole number above zero, an unknown unit, cases of an item without a case size, and more
    than 100,000.
    """
    keyed = text.strip()
    if not keyed:
        message = f"How many {item.part_number}? Key a quantity such as 12, “2 case” or “1 dozen”"
        raise Refused(message)
    total = sum(_term(term, item, sized) for term, sized in _terms(keyed))
    if total > MOST:
        message = f"{total:,} is more than {MOST:,} on one line; check the quantity"
        raise Refused(message)
    return total, "" if keyed.isdigit() else keyed


def _terms(keyed: str) -> list[tuple[str, int | None]]:
    """Split at the plus signs: (term, the case size said with it or None)."""
    found: list[tuple[str, int | None]] = []
    for term in map(str.strip, re.split(r"\+|&|\band\b", keyed)):
        sized = _SIZED.fullmatch(term)
        found.append((sized[1], int(sized[2])) if sized else (term, None))
    return found


def _term(term: str, item: Item, sized: int | None = None) -> int:
    packed, match = as_packed(term), _TERM.fullmatch(term)
    if packed is not None:
        return whole_quantity(packed)
    if _HALF.fullmatch(term):
        return _half_case(item)
    if match is None:
        return whole_quantity(term)
    figure, unit = match.group(1), match.group(2).lower()
    quantity = whole_quantity(figure)
    if unit not in _PACK and sized is not None:
        message = f"Only a case has a size: key “2 cs of {sized}”"
        raise Refused(message)
    if unit in _EACH or unit.rstrip("s") == item.unit.rstrip("s"):
        return quantity
    if unit in _DOZEN:
        return quantity * 12
    if sized is not None:
        return quantity * whole_quantity(sized)
    if unit in _PACK:
        if item.pack_size == 1:
            message = f"{item.part_number} has no case size here, so “{term.strip()}” is unclear; key it in {item.unit}"
            raise Refused(message)
        return quantity * item.pack_size
    message = f"“{unit}” is not a unit of {item.part_number}: key {item.unit}, case (of {item.pack_size}) or dozen"
    raise Refused(message)


def _half_case(item: Item) -> int:
    if item.pack_size % 2:
        message = f"A case of {item.part_number} is {item.pack_size} {item.unit}: key how many half of it is"
        raise Refused(message)
    return item.pack_size // 2
