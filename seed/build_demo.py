"""Rebuilds the demo depot's CSV files: ``python seed/build_demo.py [FOLDER]`` (default: the folder it lies in).

The depot is invented: makers, people, sites, drinks, part numbers. Rewritten here are items, item_suppliers, places,
operators' moves, set points, orders and requests; settings, suppliers, operators, cautions and first checks are kept
by hand, as are the trade words and the lane tables. One seed, one outcome: the same program writes the same bytes.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable, Sequence
from dataclasses import fields
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from demo_depot.catalogue import catalogue, second_suppliers
from demo_depot.listing import Item
from demo_depot.places import bins, vans

ITEM_COLUMNS = [field.name for field in fields(Item) if field.compare]
FIRST = ["part_number", "description", "category", "kind", "unit", "pack_size", "fits", "supplier"]
FIRST += ["supplier_part_number", "cost", "lead_time_days", "aliases", "gtin", "superseded_by"]
PLACE_COLUMNS = ["place", "kind", "name", "parent", "zone"]
SECOND_COLUMNS = ["part_number", "supplier", "supplier_part_number", "cost", "pack_size", "minimum"]
SECOND_COLUMNS += ["lead_time_days", "preferred"]


def write(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write one CSV file as every table here is written: UTF-8, comma, LF."""
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(columns)
        out.writerows(rows)


def build(folder: Path) -> None:
    """Write every generated file into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    items = catalogue()
    columns = FIRST + [name for name in ITEM_COLUMNS if name not in FIRST]
    write(folder / "items.csv", columns, ([getattr(item, name) for name in columns] for item in items.values()))
    write(folder / "item_suppliers.csv", SECOND_COLUMNS, second_suppliers(items))
    places = [*bins(), *vans()]
    write(folder / "places.csv", PLACE_COLUMNS, ([getattr(place, name) for name in PLACE_COLUMNS] for place in places))


if __name__ == "__main__":
    build(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent)
