"""Purchase orders and requests as CSV."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from partsbin.depot import clock
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.sheet import open_sheet
from partsbin.exchange.values import major_sql, money, one_of, whole, yes

ORDER_COLUMNS = (
    *("order", "supplier", "ordered_at", "expected_on", "part_number", "quantity", "received_before", "cost"),
    *("operator", "closed", "note"),
)
REQUEST_COLUMNS = (
    *("request", "asked_at", "text", "van", "job", "site", "operator", "line", "words", "part_number", "quantity"),
    "status",
)


def import_orders(job: Import, path: Path) -> Report:
    """Add purchase orders, one row a line; rows with the same order number are one order."""
    required = ("order", "supplier", "ordered_at", "part_number", "quantity")
    sheet = open_sheet(path, required=required, optional=[c for c in ORDER_COLUMNS if c not in required])
    count = 0
    with job.depot.write():
        for line, values in sheet.rows(job.progress):
            try:
                _order_line(job, values)
                count += 1
            except Refused as refused:
                sheet.problems.add(line, "", str(refused))
        sheet.problems.settle()
    return Report("orders", count, count, tuple(sheet.warnings))


def _order_line(job: Import, values: dict[str, str]) -> None:
    depot = job.depot
    supplier = depot.value("SELECT id FROM suppliers WHERE name = ?", (values["supplier"],))
    if supplier is None:
        message = f"“{values['supplier']}” is not a supplier of this depot; import suppliers first"
        raise Refused(message)
    expected = values.get("expected_on", "")
    operator = the_operator(depot, values["operator"]) if values.get("operator") else job.operator
    depot.run(
        "INSERT OR IGNORE INTO orders (number, supplier_id, ordered_at, expected_on, operator, closed, note) "
        "VALUES (?,?,?,?,?,?,?)",
        (
            *(values["order"], supplier, clock.stamp(values["ordered_at"], depot.zone)),
            *(str(clock.iso_date(expected)) if expected else "", operator.id, yes(values.get("closed", ""))),
            values.get("note", ""),
        ),
    )
    depot.run(
        "INSERT INTO order_lines (order_id, line, item_id, quantity, received, received_before, cost) "
        "SELECT o.id, (SELECT count(*) + 1 FROM order_lines WHERE order_id = o.id), ?, ?, ?, ?, ? "
        "FROM orders o WHERE o.number = ?",
        (
            the_item(depot, values["part_number"]).id,
            whole(values["quantity"], least=1, most=10**6),
            *[whole(values.get("received_before") or "0", most=10**6)] * 2,
            money(values["cost"]) if values.get("cost") else None,
            values["order"],
        ),
    )


def export_orders(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield every order line; what was received since is in the moves."""
    sql = (
        "SELECT o.number, s.name, o.ordered_at, o.expected_on, i.part_number, l.quantity, l.received_before, "
        f"{major_sql('l.cost')}, p.initials, "
        "iif(o.closed, 'yes', ''), o.note FROM order_lines l JOIN orders o ON o.id = l.order_id "
        "JOIN suppliers s ON s.id = o.supplier_id JOIN items i ON i.id = l.item_id "
        "JOIN operators p ON p.id = o.operator ORDER BY o.id, l.line"
    )
    return (tuple(row) for row in depot.all(sql))


def import_requests(job: Import, path: Path) -> Report:
    """Add requests, one row a line asked for; rows with the same request number are one request."""
    sheet = open_sheet(path, required=("text",), optional=[c for c in REQUEST_COLUMNS if c != "text"], lenient=True)
    numbers: dict[str, int] = {}
    count = 0
    with job.depot.write():
        for line, values in sheet.rows(job.progress):
            try:
                _request_line(job, values, numbers, values.get("request") or f"row {line}")
                count += 1
            except Refused as refused:
                sheet.problems.add(line, "", str(refused))
        sheet.problems.settle()
    return Report("requests", count, len(numbers), tuple(sheet.warnings))


def _request_line(job: Import, values: dict[str, str], numbers: dict[str, int], key: str) -> None:
    depot = job.depot
    if key not in numbers:
        operator = the_operator(depot, values["operator"]) if values.get("operator") else job.operator
        asked = clock.stamp(values["asked_at"], depot.zone) if values.get("asked_at") else clock.now()
        van = the_place(depot, values["van"]).id if values.get("van") else None
        cursor = depot.run(
            "INSERT INTO requests (asked_at, text, van, job, site, operator) VALUES (?,?,?,?,?,?)",
            (asked, values["text"], van, values.get("job", ""), values.get("site", ""), operator.id),
        )
        numbers[key] = int(cursor.lastrowid or 0)
    if values.get("line") or values.get("part_number") or values.get("words"):
        item = the_item(depot, values["part_number"]).id if values.get("part_number") else None
        quantity = whole(values["quantity"], least=1, most=10**6) if values.get("quantity") else None
        status = one_of(values.get("status", ""), ("asked", "promised", "supplied", "withdrawn"), "asked")
        depot.run(
            "INSERT INTO request_lines (request_id, line, text, item_id, quantity, status) "
            "SELECT ?, (SELECT count(*) + 1 FROM request_lines WHERE request_id = ?), ?, ?, ?, ?",
            (*(numbers[key], numbers[key], values.get("words", ""), item, quantity), status),
        )


def export_requests(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield every request; what was supplied since is in the moves."""
    sql = (
        "SELECT r.id, r.asked_at, r.text, ifnull(v.code, ''), r.job, r.site, o.initials, ifnull(l.line, ''), "
        "ifnull(l.text, ''), ifnull(i.part_number, ''), ifnull(l.quantity, ''), ifnull(l.status, '') "
        "FROM requests r JOIN operators o ON o.id = r.operator LEFT JOIN places v ON v.id = r.van "
        "LEFT JOIN request_lines l ON l.request_id = r.id LEFT JOIN items i ON i.id = l.item_id ORDER BY r.id, l.line"
    )
    return (tuple(row) for row in depot.all(sql))
