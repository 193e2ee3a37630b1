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

from demo_depot.asks import REQUEST_COLUMNS, open_requests
from demo_depot.book import MOVE_COLUMNS
from demo_depot.buying import Order
from demo_depot.catalogue import catalogue, second_suppliers
from demo_depot.chance import Chance
from demo_depot.demand import Demand
from demo_depot.history import LEAD, History
from demo_depot.levels import give_service, shelf_levels, usage, van_levels
from demo_depot.listing import Item
from demo_depot.places import bins, vans

ITEM_COLUMNS = [field.name for field in fields(Item) if field.compare]
FIRST = ["part_number", "description", "category", "kind", "unit", "pack_size", "fits", "supplier"]
FIRST += ["supplier_part_number", "cost", "lead_time_days", "aliases", "gtin", "superseded_by"]
PLACE_COLUMNS = ["place", "kind", "name", "parent", "zone"]
SECOND_COLUMNS = ["part_number", "supplier", "supplier_part_number", "cost", "pack_size", "minimum"]
SECOND_COLUMNS += ["lead_time_days", "preferred"]
LEVEL_COLUMNS = ["part_number", "place", "reorder_point", "order_up_to"]
ORDER_COLUMNS = ["order", "supplier", "ordered_at", "expected_on", "part_number", "quantity", "received_before", "cost"]
ORDER_COLUMNS += ["operator", "closed"]
SEED = 2037


def write(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write one CSV file as every table here is written: UTF-8, comma, LF."""
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(columns)
        out.writerows(rows)


def order_rows(orders: list[Order]) -> Iterable[tuple[object, ...]]:
    """Yield the rows of orders.csv; what came in is in the moves, which name the order's line."""
    for order in orders:
        for line in order.lines:
            closed = "yes" if order.closed else ""
            head = (order.number, order.supplier, order.ordered_at, order.expected_on.isoformat())
            yield (*head, line.item.part_number, line.quantity, 0, line.item.cost, LEAD, closed)


def build(folder: Path) -> None:
    """Write every generated file into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    items = catalogue()
    jobs = Demand(items, Chance(SEED)).jobs()
    uses = usage(items, jobs)
    give_service(items, uses)
    shelf, aboard = shelf_levels(items, uses), van_levels(items, uses)
    history = History(items, jobs, shelf, aboard, Chance(SEED + 1))
    history.run()
    columns = FIRST + [name for name in ITEM_COLUMNS if name not in FIRST]
    places = [*bins(), *vans()]
    write(folder / "items.csv", columns, ([getattr(item, name) for name in columns] for item in items.values()))
    write(folder / "item_suppliers.csv", SECOND_COLUMNS, second_suppliers(items))
    write(folder / "places.csv", PLACE_COLUMNS, ([getattr(place, name) for name in PLACE_COLUMNS] for place in places))
    levels = ([getattr(level, name) for name in LEVEL_COLUMNS] for level in [*shelf, *aboard])
    write(folder / "setpoints.csv", LEVEL_COLUMNS, levels)
    write(folder / "orders.csv", ORDER_COLUMNS, order_rows(history.buyer.orders))
    write(folder / "requests.csv", REQUEST_COLUMNS, open_requests(items))
    write(folder / "moves.csv", MOVE_COLUMNS, history.book.rows)


if __name__ == "__main__":
    build(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).resolve().parent)
