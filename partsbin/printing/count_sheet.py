"""The blind count sheet on paper: what belongs where, lines to write on, and no quantity."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import KeepTogether, Spacer

from partsbin.printing.documents import BODY, LARGE, QUIET, SMALL, table, words, write_document
from partsbin.printing.slips_marks import TickBox, WritingLines

_ROOM = 3
"""Empty lines for what is found and not expected."""


@dataclass(frozen=True, slots=True)
class BlindRow:
    """One item and lot that belongs at a place."""

    place: str
    part_number: str
    description: str
    lot: str = ""
    best_before: str = ""


def write_count_sheet(title: str, depot: str, rows: Sequence[BlindRow], path: Path, paper: str = "letter") -> None:
    """Write a blind count sheet as PDF, rows as given; the same rows give the same bytes."""
    cells: list[list[Any]] = []
    place = ""
    for row in rows:
        lot = " ".join(part for part in (row.lot and f"lot {row.lot}", row.best_before) if part)
        where = words(row.place, LARGE if row.place != place else QUIET)
        what = [words(row.part_number, LARGE), words(row.description, BODY)] if row.part_number else words("empty?")
        cells.append([where, what, words(lot, SMALL), _figure(), ""])
        place = row.place
    cells += [[words("Also here", QUIET), "", "", _figure(), ""] for _ in range(_ROOM)]
    story = [
        words("Count what is there; write 0 where there is none. Nobody tells you how many there should be.", BODY),
        Spacer(1, 3 * mm),
        table(("Place", "Part", "Lot, best before", "Counted", "Note"), cells, (30, 76, 34, 24, 22)),
        KeepTogether([Spacer(1, 6 * mm), WritingLines(("Counted by", "Date and time"))]),
    ]
    write_document(path, title, depot, story, paper)


def _figure() -> TickBox:
    """A box to write a figure in."""
    return TickBox(20 * mm, 7.5 * mm)
