"""From a quantity as it was said to base units of the item it turned out to be."""

from __future__ import annotations

import re

from partsbin.requests.types import AskedLine, CatalogueItem

_PACKS = ("case", "box", "bag", "pack")
_IN_CASES = re.compile(r"\b(?:case|tray|crate|pack) of \d", re.IGNORECASE)
_SINGLY = re.compile(r"\b(?:cans|bottles|tins|loose|singles?|units?|each|ea|pcs|pieces)\b", re.IGNORECASE)


def base_quantity(line: AskedLine, item: CatalogueItem | None) -> int | None:
    """The line's quantity in the item's base units: packs by pack size, pairs as two of a thing kept singly.

    Where the item's base unit is the pack that was said, packs are counted. "24s" of a case of 24 are cases.
    """
    if line.quantity is None:
        return None
    count, unit = line.quantity, line.unit
    if unit == "pair":
        count *= 1 if item is not None and item.unit in ("pair", "set") else 2
    elif item is not None:
        pack = item.pack_size if unit.removeprefix("half ") != item.unit else 1
        in_packs = unit in _PACKS or (unit == "each" and sold_in_cases(item) and _cases_by_figure(line, item))
        count *= pack if in_packs or unit.startswith("half ") else 1
    if unit.startswith("half "):
        count = -(-count // 2)
    return count + line.loose


def _cases_by_figure(line: AskedLine, item: CatalogueItem) -> bool:
    """Whether the case is named by how many it holds: "cola 24s", "4 x 24 cola"."""
    return float(item.pack_size) in line.numbers


def sold_in_cases(item: CatalogueItem) -> bool:
    """Whether an item counted singly is known and bought by the case."""
    return item.pack_size > 1 and bool(_IN_CASES.search(item.description))


def cases_or_singly(line: AskedLine, item: CatalogueItem) -> str:
    """The question where a few of what comes in cases are asked for, and nothing says of which; else empty."""
    count = line.quantity or 0
    if not line.quantity_stated or line.unit != "each" or not 0 < count < item.pack_size or not sold_in_cases(item):
        return ""
    if line.codes or _SINGLY.search(line.text) or _cases_by_figure(line, item):
        return ""
    return f"{count} single, or {count} case{'s' if count > 1 else ''} of {item.pack_size} ({count * item.pack_size})?"
