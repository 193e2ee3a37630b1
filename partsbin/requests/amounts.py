"""Weights and contents that say how much is wanted: "5 kg sugar" comes to five bags of a kilogram."""

from __future__ import annotations

import re

from partsbin.requests.measures import Value
from partsbin.requests.types import AskedLine, Attribute, CatalogueItem
from partsbin.requests.view import View

_KINDS = ("grams", "ml")
_HELD_IN = re.compile(
    r"\b(?:bag|sack|packet|pkt|pack|box|tub|tin|jar|bottle|carton|can|drum|pouch|refill)(?:s|es)?\b", re.IGNORECASE
)


def pieces(asked: Attribute, line: AskedLine, view: View) -> int:
    """How many of an item an amount asked for comes to; 0 where the amount can only say which item is meant."""
    if asked.kind not in _KINDS or not isinstance(asked.value, float):
        return 0
    stated: set[Value] = view.attributes.get(asked.kind, set())
    if len(stated) != 1 or not _is_held(view.item) or _HELD_IN.search(line.text):
        return 0
    times = asked.value / float(next(iter(stated)))
    return round(times) if times > 1 and abs(times - round(times)) < _ROUNDING else 0


_ROUNDING = 0.01


def all_pieces(line: AskedLine, view: View) -> int:
    """How many of an item the amounts of a line come to; 0 where it asks for none."""
    return max((pieces(one, line, view) for one in line.attributes), default=0)


def _is_held(item: CatalogueItem) -> bool:
    """Whether an item is what is in a bag, tub or bottle, one of them each."""
    return item.pack_size == 1 and bool(_HELD_IN.search(f"{item.unit} {item.description}"))
