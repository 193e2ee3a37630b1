"""The demo depot's catalogue as items to find, without a depot file."""

from __future__ import annotations

import csv

from partsbin.requests import CatalogueItem
from partsbin.resources import shipped


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part for part in cell.split("|") if part)


def demo_items() -> list[CatalogueItem]:
    with (shipped("seed") / "items.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    ids = {row["part_number"]: place for place, row in enumerate(rows, 1)}
    return [
        CatalogueItem(
            ids[row["part_number"]], row["part_number"], row["description"], row["category"], row["kind"], row["unit"], int(row["pack_size"] or 1),
            row["family"], row["hand"], _parts(row["fits"]), _parts(row["aliases"]), (), _parts(row["supplier_part_number"]), _parts(row["gtin"]),
            ids.get(row["superseded_by"]), bool(row["retired"]),
        )
        for row in rows
    ]  # fmt: skip
