"""Blind count sheets on paper, for one place or a walk."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.places import Place
from partsbin.desk.counting import draw_up
from partsbin.desk.papers import paper_path


def write_sheets(depot: Depot, places: Sequence[Place], name: str) -> Path:
    """Write the blind sheet of these places as one PDF among the papers; returns where it lies."""
    from partsbin.printing.count_sheet import BlindRow, write_count_sheet

    rows: list[BlindRow] = []
    for place in places:
        lines = draw_up(depot, place).lines
        if not lines:
            rows.append(BlindRow(place.code, "", ""))
        for line in lines:
            description = the_item(depot, line.part).description
            rows.append(BlindRow(place.code, line.part, description, line.lot, line.best_before))
    path = paper_path(depot, f"count-{name}.pdf")
    write_count_sheet(f"Count {name}", depot.setting("depot_name"), rows, path, depot.setting("paper"))
    return path
