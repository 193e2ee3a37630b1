"""Counts as CSV: what was counted where, one row a line; a count of an empty place has one row without a part."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from partsbin.depot import clock
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import lot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import PHYSICAL, the_place
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.sheet import open_sheet
from partsbin.exchange.values import whole

COLUMNS = ("counted_at", "place", "operator", "slip", "part_number", "lot", "expected", "counted")
Row = tuple[int, dict[str, str]]


def import_counts(job: Import, path: Path) -> Report:
    """Add counts; rows of one moment, place and operator are one count. Slips must be in the ledger already."""
    sheet = open_sheet(path, required=("counted_at", "place"), optional=COLUMNS[2:], lenient=True)
    number = 0
    with job.depot.write():
        rows = list(sheet.rows(job.progress))
        for _, group in groupby(rows, key=lambda row: [row[1].get(c, "") for c in COLUMNS[:4]]):
            lines = list(group)
            number += 1
            try:
                _count(job, lines)
            except Refused as refused:
                sheet.problems.add(lines[0][0], "", str(refused))
        sheet.problems.settle()
    return Report("counts", len(rows), number, tuple(sheet.warnings))


def _count(job: Import, rows: list[Row]) -> None:
    depot, first = job.depot, rows[0][1]
    place = the_place(depot, first["place"], kinds=PHYSICAL)
    operator = the_operator(depot, first["operator"]) if first.get("operator") else job.operator
    slip = whole(first["slip"]) if first.get("slip") else None
    if slip is not None and depot.value("SELECT 1 FROM slips WHERE id = ?", (slip,)) is None:
        message = f"slip {slip} is not in this ledger; import moves first"
        raise Refused(message)
    lines = [
        (
            the_item(depot, values["part_number"]).id,
            lot(depot, the_item(depot, values["part_number"]).id, values["lot"]) if values.get("lot") else 0,
            whole(values.get("expected") or "0"),
            whole(values.get("counted") or "0"),
        )
        for _, values in rows
        if values.get("part_number")
    ]
    cursor = depot.run(
        "INSERT INTO counts (place_id, counted_at, operator, slip_id, lines, hits) VALUES (?,?,?,?,?,?)",
        (
            *(place.id, clock.stamp(first["counted_at"], depot.zone), operator.id, slip, len(lines)),
            sum(1 for line in lines if line[2] == line[3]),
        ),
    )
    depot.connection.executemany(
        "INSERT INTO count_lines VALUES (?,?,?,?,?)", [(int(cursor.lastrowid or 0), *line) for line in lines]
    )


def export_counts(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield every count with its lines, in the order they were made."""
    sql = (
        "SELECT c.counted_at, p.code, o.initials, ifnull(c.slip_id, ''), ifnull(i.part_number, ''), "
        "ifnull(l.code, ''), ifnull(x.expected, ''), ifnull(x.counted, '') "
        "FROM counts c JOIN places p ON p.id = c.place_id JOIN operators o ON o.id = c.operator "
        "LEFT JOIN count_lines x ON x.count_id = c.id LEFT JOIN items i ON i.id = x.item_id "
        "LEFT JOIN lots l ON l.id = x.lot_id ORDER BY c.id, i.part_number, l.code"
    )
    return (tuple(row) for row in depot.all(sql))
