"""Editing containers, their cases and lane types from a screen: the same cells and rules as their files."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from partsbin.depot.containers import case_rows, container_rows, lane_type_rows
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.rights import require
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.lane_tables import save_lane_row

Rows = Callable[[Depot], list[dict[str, str]]]
_ROWS: Final[dict[str, tuple[Rows, str]]] = {
    "containers": (container_rows, "container"),
    "lane-types": (lane_type_rows, "lane_type"),
}
NEW: Final = {
    "containers": ("container", "body_mm", "height_mm", "name"),
    "lane-types": ("lane_type", "width_mm", "depth_mm", "shelf_pitch_mm", "coil_pitch_mm", "turns", "family"),
    "case-forms": ("container", "quantity", "wrap"),
}
"""What is keyed to add one, in this order; the last takes all the words that are left."""

_WORDS: Final = {
    "body_mm": "body diameter, mm",
    "tolerance_mm": "its spread, ± mm",
    "basis": "the diameter is measured, standard, published or estimate",
    "height_mm": "height, mm",
    "height_tolerance_mm": "its spread, ± mm",
    "gross_g": "weight filled, g",
    "nominal_ml": "content, ml",
    "fluid_oz": "content, fl oz",
    "can_code": "can size, inches and sixteenths (202/211x413)",
    "kind": "can or pet",
    "words": "also called",
    "width_mm": "clear width, mm",
    "depth_mm": "usable depth, mm",
    "shelf_pitch_mm": "height to the next shelf, mm",
    "front_gap_mm": "shelf edge to door, mm (0: not known)",
    "coil_pitch_mm": "coil pitch, mm",
    "turns": "coil turns",
    "spacer_side": "wall that takes spacers: L, R or both",
    "max_per_side": "most spacers a side",
    "coupled": "works in pairs on one selection: yes or no",
    "quantity": "quantity a case",
}


def field_words(column: str) -> str:
    """Return what a column is called on screen."""
    return _WORDS.get(column, column.replace("_", " "))


def texts_of(depot: Depot, kind: str, code: str) -> dict[str, str]:
    """Return a container or lane type as texts by column, its code first. Refuses a code that is not there."""
    found = _row(depot, kind, code)
    if found is None:
        message = f"There is no {_ROWS[kind][1].replace('_', ' ')} “{code}” here."
        raise Refused(message)
    return found


def _row(depot: Depot, kind: str, code: str) -> dict[str, str] | None:
    rows, key = _ROWS[kind]
    return next((row for row in rows(depot) if row[key] == code.strip().upper()), None)


def change_cell(depot: Depot, operator: Operator, kind: str, code: str, column: str, text: str) -> dict[str, str]:
    """Set one cell of a container or lane type and return it as it then stands; refuses what its file would refuse."""
    require(depot, operator, "catalogue")
    texts = texts_of(depot, kind, code)
    save_lane_row(Import(depot, operator), kind, {**texts, column: text})
    return texts_of(depot, kind, code)


def add_row(depot: Depot, operator: Operator, kind: str, text: str) -> str:
    """Add a container, lane type or case form from words in the order of ``NEW``; returns its code.

    Refuses a container or lane type that is here already: its cells are changed one at a time.
    """
    require(depot, operator, "catalogue")
    columns = NEW[kind]
    words = text.split(maxsplit=len(columns) - 1)
    if len(words) < len(columns) - 1:
        message = f"Key {', '.join(field_words(column) for column in columns)}, in this order."
        raise Refused(message)
    values = dict(zip(columns, words, strict=False))
    code = words[0].upper()
    if kind in _ROWS and _row(depot, kind, code) is not None:
        message = f"{code} is here already; change its fields instead."
        raise Refused(message)
    save_lane_row(Import(depot, operator), kind, values)
    return code


def cases_words(depot: Depot, container: str) -> str:
    """Return a container's case forms in one line."""
    forms = [row for row in case_rows(depot) if row["container"] == container]
    return ", ".join(f"{row['quantity']} {row['wrap']}".strip() for row in forms) or "no case known"
