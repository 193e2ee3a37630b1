"""From a quantity as it was said to base units of the item it turned out to be."""

from __future__ import annotations

import re

from partsbin.requests.measures import Value
from partsbin.requests.packs import COMES_IN, PACKED
from partsbin.requests.terms import says_its_pack
from partsbin.requests.types import AskedLine, CatalogueItem
from partsbin.requests.units import UNITS

_PACKS = ("case", "box", "bag", "pack")
_PACK_WORDS = frozenset(name for name, kind in PACKED.items() if kind in _PACKS)
_SETS = ("pair", "set", "kit")
_MANY, _ROUND = 1000, 50  # so many single pieces are asked for in round figures
_LARGE = 40  # singles in a pack; of these nobody orders half as many packs
_SHORTEST_RUN = 500.0  # mm; shorter figures beside what is sold by length are its bore or width
_BY_LENGTH = re.compile(r"\b(?:by the|per) (metre|meter|m|mtr|foot|ft)\b", re.IGNORECASE)
_PAIR = re.compile(r"\bpair\b", re.IGNORECASE)
_IN_CASES = re.compile(r"\b(?:case|tray|crate|pack) of \d", re.IGNORECASE)
_CASES = re.compile(r"\b(?:cases|cs|crates|slabs)\b|\b(?:\d+|a|one)\s?case\b", re.IGNORECASE)
_SINGLY = re.compile(r"\b(?:cans|bottles|tins|loose|singles?|units?|each|ea|pcs|pieces)\b", re.IGNORECASE)


def base_quantity(line: AskedLine, item: CatalogueItem | None) -> int | None:
    """The line's quantity in the item's base units: packs by pack size, pairs as two of a thing kept singly.

    Where the item's base unit is the pack that was said, packs are counted; of what is kept in packs, singles make
    whole packs or none. "24s" of a case of 24 are cases, "6 metres" of what is sold by length six. A plural without a
    count ("belts") is one of a thing kept in sets.
    """
    if item is not None and (run := _run(line, item)):
        return _whole(run / millimetres_each(item) * (line.quantity or 1 if line.quantity_stated else 1))
    if line.quantity is None:
        return 1 if item is not None and not line.vague and item.unit in _SETS else None
    _, _, inside = line.unit.partition(" of ")
    if inside:
        return _packs_of(int(inside), line.quantity, item)
    if item is not None and millimetres_each(item) and line.unit in ("roll", *_PACKS):
        return None  # how long one is stands nowhere
    if item is not None and kept_in_packs(item):
        return _in_packs(line, item)
    count, unit = line.quantity * (_cases_by(line, item) or 1), line.unit.removeprefix("half ")
    if unit == "pair":
        count *= 1 if item is not None and (item.unit in _SETS or _PAIR.search(item.description)) else 2
    elif item is not None and (unit in _PACKS or unit in COMES_IN or _names_the_pack(line, item)):
        count *= item.pack_size if unit != item.unit or unit == "each" else 1
    if line.unit.startswith("half "):
        count = -(-count // 2)
    return count + line.loose


def _packs_of(inside: int, count: int, item: CatalogueItem | None) -> int | None:
    """For "2 packs of 25": as many packs where the item is one of those, else what is in them."""
    if item is None or item.pack_size == 1:
        own = item is not None and re.search(rf"\bof {inside}\b", item.description)
        return count if own else count * inside
    return _whole(count * inside / item.pack_size) if kept_in_packs(item) else count * inside


def _in_packs(line: AskedLine, item: CatalogueItem) -> int | None:
    """How many of what is kept in packs: packs unless singles are spoken of ("96 cans", "2 cases and 6 cans")."""
    if not line.quantity or line.unit.startswith("half "):
        return None
    if line.unit == "each" and (_SINGLY.search(line.text) or _beyond_packs(line.quantity, item)):
        return _whole(line.quantity / item.pack_size)
    return line.quantity + line.loose // item.pack_size if line.loose % item.pack_size == 0 else None


def _beyond_packs(count: int, item: CatalogueItem) -> bool:
    """Whether so many can hardly be packs: 500 cups of sleeves of 50, 50 ties of packs of 100."""
    return item.pack_size >= _LARGE and 2 * count >= item.pack_size


def kept_in_packs(item: CatalogueItem) -> bool:
    """Whether the base unit itself is a pack of several: stock counts cases, not cans."""
    return item.pack_size > 1 and (item.unit in _PACK_WORDS or item.unit in COMES_IN)


def millimetres_each(item: CatalogueItem) -> float:
    """How long one base unit of what is sold by length is; 0.0 for what is sold by the piece."""
    by = _BY_LENGTH.search(item.description)
    kind, factor = UNITS.get(by[1].lower() if by else item.unit.lower(), ("", 0.0))
    return factor if kind == "mm" and factor >= UNITS["ft"][1] else 0.0


def may_be_run(millimetres: Value) -> bool:
    """Whether a length is long enough to be how much is wanted, not a bore or width."""
    return isinstance(millimetres, float) and millimetres >= _SHORTEST_RUN


def is_run(millimetres: Value, item: CatalogueItem) -> bool:
    """Whether a length asked for is how much of the item is wanted, not how large it is."""
    return may_be_run(millimetres) and millimetres_each(item) > 0


def _run(line: AskedLine, item: CatalogueItem) -> float:
    """The length wanted of what is sold by length, in millimetres; 0.0 where none is said."""
    runs = [one.value for one in line.attributes if one.kind == "mm" and is_run(one.value, item)]
    return max((value for value in runs if isinstance(value, float)), default=0.0)


def _whole(count: float) -> int | None:
    """A count that is whole but for rounding; None for any other: how many is asked."""
    return round(count) if count >= 1 and abs(count - round(count)) < 0.01 else None


def _names_the_pack(line: AskedLine, item: CatalogueItem) -> bool:
    """Whether what is counted is the case though the count has no unit: "2 cola cases", "cola 24s x2", "4x24"."""
    if line.unit != "each" or item.pack_size < 2:
        return False
    if line.quantity_stated and line.attribute("pack") == float(item.pack_size):
        return True  # unstated, "cola 24s" says which, not how many
    if not (sold_in_cases(item) or says_its_pack(item)):
        return False
    if _cases_by(line, item) or (line.quantity_stated and float(item.pack_size) in line.numbers):
        return True
    return not _PACK_WORDS.isdisjoint(line.words)


def _cases_by(line: AskedLine, item: CatalogueItem | None) -> int:
    """How many cases "4x24 cola" are, written like a size; 0 for anything else."""
    size = str(line.attribute("size") or "")
    cases, _, each = size.partition("x")
    fits = item is not None and sold_in_cases(item) and each == str(item.pack_size) and cases.isdigit()
    return int(cases) if fits else 0


def sold_in_cases(item: CatalogueItem) -> bool:
    """Whether an item counted singly is known and bought by the case."""
    return item.pack_size > 1 and bool(_IN_CASES.search(item.description))


def speaks_of_cases(text: str) -> bool:
    """Whether a message counts anything in cases."""
    return bool(_CASES.search(text))


def doubt(line: AskedLine, item: CatalogueItem) -> str:
    """The question about a count that can be meant in two ways, or that nobody orders; else empty."""
    count = line.quantity or 0
    if line.unit == "each" and count >= _MANY and count % _ROUND and item.pack_size == 1:
        return f"{count} of them?"  # a year, or the tail of a number
    return cases_or_singly(line, item)


def cases_or_singly(line: AskedLine, item: CatalogueItem) -> str:
    """The question where a few of what comes in cases are asked for, and nothing says of which; else empty."""
    count = line.quantity or 0
    if not line.quantity_stated or line.unit != "each":
        return ""
    if kept_in_packs(item) and 2 * count >= item.pack_size and not _SINGLY.search(line.text):
        return f"{count} × {item.unit} of {item.pack_size}, or {count} single?"
    if not 0 < count < item.pack_size or not sold_in_cases(item):
        return ""
    if item.unit != "each" or line.codes or _SINGLY.search(line.text) or _names_the_pack(line, item):
        return ""
    return f"{count} single, or {count} case{'s' if count > 1 else ''} of {item.pack_size} ({count * item.pack_size})?"
