"""Stock as CSV: what is where. Importing sets the figures, by one count slip for what differs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, lot, post
from partsbin.depot.places import PHYSICAL, outside, the_place
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.sheet import open_sheet
from partsbin.exchange.standing import STOCK_SLIP
from partsbin.exchange.values import whole

COLUMNS = ("part_number", "place", "lot", "quantity", "best_before")
MOST = 10_000_000


def import_stock(job: Import, path: Path) -> Report:
    """Set the stock of every (item, place, lot) in the file; figures not in the file stay as they are."""
    sheet = open_sheet(path, required=("part_number", "place", "quantity"), optional=("lot", "best_before"))
    figures: dict[tuple[int, int, int | None], tuple[int, int]] = {}
    items, places = job.ids("items", "part_number"), job.ids("places", "code")
    with job.depot.write():
        for line, values in sheet.rows(job.progress):
            try:
                item = items.get(values["part_number"].upper()) or the_item(job.depot, values["part_number"]).id
                place = places.get(values["place"].upper()) or _place(job, values["place"])
                lot_id = _lot(job, item, values)
                key = (item, place, lot_id)
                if key in figures:
                    message = f"{values['part_number']} at {values['place']} is already on line {figures[key][0]}"
                    raise Refused(message)
                figures[key] = (line, whole(values["quantity"], most=MOST))
            except Refused as refused:
                sheet.problems.add(line, "", str(refused))
        sheet.problems.settle()
        lines = list(_differences(job.depot, figures))
        if lines:
            post(job.depot, "count", lines, operator=job.operator, reference=f"{STOCK_SLIP}{path.name}")
    return Report("stock", len(figures), len(lines), tuple(sheet.warnings))


def _place(job: Import, code: str) -> int:
    return the_place(job.depot, code, kinds=PHYSICAL).id


def _lot(job: Import, item_id: int, values: dict[str, str]) -> int | None:
    code, best_before = values.get("lot", ""), values.get("best_before", "")
    return lot(job.depot, item_id, code, best_before) if code else None


def _differences(depot: Depot, figures: dict[tuple[int, int, int | None], tuple[int, int]]) -> Iterator[Line]:
    elsewhere = outside(depot, "count-difference").id
    for (item, place, lot_id), (_, wanted) in figures.items():
        there = depot.value(
            "SELECT quantity FROM stock WHERE item_id = ? AND place_id = ? AND lot_id = ?", (item, place, lot_id or 0)
        )
        gap = wanted - (there or 0)
        while gap:  # one line carries 100,000 at most
            step = max(-100_000, min(100_000, gap))
            source, target = (elsewhere, place) if step > 0 else (place, elsewhere)
            yield Line(item, source, target, abs(step), lot_id)
            gap -= step


def export_stock(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield what every physical place holds, by part number, place and lot."""
    sql = (
        "SELECT i.part_number, p.code, ifnull(l.code, ''), s.quantity, ifnull(l.best_before, '') FROM stock s "
        "JOIN items i ON i.id = s.item_id JOIN places p ON p.id = s.place_id LEFT JOIN lots l ON l.id = s.lot_id "
        "WHERE p.physical = 1 AND s.quantity <> 0 ORDER BY i.part_number, p.code, l.code"
    )
    return (tuple(row) for row in depot.all(sql))
