"""The tables that are one row a line: suppliers, people, set points, cautions, checks, words, settings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import ROLES
from partsbin.depot.places import the_place
from partsbin.depot.setpoints import require_order
from partsbin.errors import Refused
from partsbin.exchange.importing import Cell, Import, Report, as_is, named
from partsbin.exchange.sheet import listed, open_sheet
from partsbin.exchange.values import decimal, major_sql, money, one_of, whole, yes


@dataclass(frozen=True)
class Table:
    """One kind of file: how each column is read, which are needed, how a row is written and read back."""

    required: tuple[str, ...]
    columns: dict[str, Cell]
    write: str
    export: str
    check: Callable[[dict[str, Any]], None] = lambda _row: None


def _maybe(read: Callable[[str], Any], default: Any = None) -> Cell:  # noqa: ANN401 - a column's own type
    return lambda text, _job: read(text) if text else default


def _looked_up(table: str, column: str, what: str) -> Cell:
    def read(text: str, job: Import) -> int:
        found = job.depot.value(f"SELECT id FROM {table} WHERE {column} = ?", (text,))
        if found is None:
            message = f"“{text}” is not {what} of this depot"
            raise Refused(message)
        return int(found)

    return read


_part = _looked_up("items", "part_number", "a part number")


def _place(text: str, job: Import) -> int:
    return the_place(job.depot, text or "SHELF").id


def _van(text: str, job: Import) -> int | None:
    return _place(text, job) if text else None


def _supplier(text: str, job: Import) -> int:
    job.depot.run("INSERT OR IGNORE INTO suppliers (name) VALUES (?)", (named(text, job),))
    return int(job.depot.value("SELECT id FROM suppliers WHERE name = ?", (text,)))


def _days(text: str, _job: Import) -> str:
    week = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
    return "|".join(one_of(day[:3], week) for day in listed(text))


def _date(text: str, _job: Import) -> str:
    return str(clock.iso_date(text)) if text else ""


def _setpoint_order(row: dict[str, Any]) -> None:
    require_order(row["reorder_point"], row["order_up_to"])


TABLES: dict[str, Table] = {
    "settings": Table(
        ("key", "value"),
        {"key": named, "value": as_is},
        "INSERT INTO settings VALUES (:key, :value) ON CONFLICT DO UPDATE SET value = excluded.value",
        "SELECT key, value FROM settings ORDER BY key",
    ),
    "suppliers": Table(
        ("supplier",),
        {
            "supplier": named,
            "lead_time_days": _maybe(lambda text: whole(text, most=3650)),
            "lead_time_sd_days": _maybe(decimal),
            "minimum_order": _maybe(money, 0),
            "free_carriage": _maybe(money, 0),
            "order_days": _days,
        },
        "INSERT INTO suppliers (name, lead_time_days, lead_time_sd, minimum_order, free_carriage, order_days) "
        "VALUES (:supplier, :lead_time_days, :lead_time_sd_days, :minimum_order, :free_carriage, :order_days) "
        "ON CONFLICT DO UPDATE SET lead_time_days = excluded.lead_time_days, lead_time_sd = excluded.lead_time_sd, "
        "minimum_order = excluded.minimum_order, free_carriage = excluded.free_carriage, "
        "order_days = excluded.order_days",
        f"SELECT name, ifnull(lead_time_days, ''), ifnull(lead_time_sd, ''), {major_sql('minimum_order')}, "
        f"{major_sql('free_carriage')}, order_days FROM suppliers ORDER BY name",
    ),
    "operators": Table(
        ("initials", "role"),
        {
            "initials": named,
            "name": as_is,
            "role": lambda text, _job: one_of(text, ROLES, "clerk"),
            "badge": lambda text, _job: text or None,
            "van": _van,
            "retired": lambda text, _job: yes(text),
        },
        "INSERT INTO operators (initials, name, role, badge, van, retired) "
        "VALUES (:initials, :name, :role, :badge, :van, :retired) ON CONFLICT (initials) DO UPDATE SET "
        "name = excluded.name, role = excluded.role, badge = excluded.badge, van = excluded.van, "
        "retired = excluded.retired",
        "SELECT o.initials, o.name, o.role, ifnull(o.badge, ''), ifnull(p.code, ''), iif(o.retired, 'yes', '') "
        "FROM operators o LEFT JOIN places p ON p.id = o.van ORDER BY o.id",
    ),
    "cautions": Table(
        ("code", "word", "text", "severity"),
        {
            "code": named,
            "word": named,
            "text": named,
            "severity": lambda text, _job: whole(text, least=1, most=4),
            "basis": as_is,
        },
        "INSERT INTO cautions VALUES (:code, :word, :text, :severity, :basis) ON CONFLICT DO UPDATE SET "
        "word = excluded.word, text = excluded.text, severity = excluded.severity, basis = excluded.basis",
        "SELECT code, word, text, severity, basis FROM cautions ORDER BY code",
    ),
    "checks": Table(
        ("family", "sequence", "check"),
        {
            "family": named,
            "symptom": as_is,
            "sequence": lambda text, _job: whole(text, least=1, most=999),
            "check": named,
        },
        "INSERT INTO first_checks VALUES (:family, :symptom, :sequence, :check) "
        "ON CONFLICT DO UPDATE SET text = excluded.text",
        "SELECT family, symptom, sequence, text FROM first_checks ORDER BY family, symptom, sequence",
    ),
    "words": Table(
        ("word", "means", "kind"),
        {"word": named, "means": as_is, "kind": named},
        "INSERT OR IGNORE INTO trade_words VALUES (:word, :means, :kind)",
        "SELECT word, means, kind FROM trade_words ORDER BY word, means, kind",
    ),
    "suppliers-of-items": Table(
        ("part_number", "supplier"),
        {
            "part_number": _part,
            "supplier": _supplier,
            "supplier_part_number": as_is,
            "cost": _maybe(money),
            "pack_size": _maybe(lambda text: whole(text, least=1, most=1_000_000), 1),
            "minimum": _maybe(lambda text: whole(text, most=1_000_000), 0),
            "lead_time_days": _maybe(lambda text: whole(text, most=3650)),
            "price_breaks": as_is,
            "preferred": lambda text, _job: yes(text),
        },
        "INSERT INTO item_suppliers (item_id, supplier_id, their_number, cost, pack_size, minimum, lead_time_days, "
        "price_breaks, preferred) VALUES (:part_number, :supplier, :supplier_part_number, :cost, :pack_size, :minimum, "
        ":lead_time_days, :price_breaks, :preferred) ON CONFLICT DO UPDATE SET their_number = excluded.their_number, "
        "cost = excluded.cost, pack_size = excluded.pack_size, minimum = excluded.minimum, "
        "lead_time_days = excluded.lead_time_days, price_breaks = excluded.price_breaks",
        "SELECT i.part_number, s.name, x.their_number, "
        f"{major_sql('x.cost')}, x.pack_size, x.minimum, ifnull(x.lead_time_days, ''), "
        "x.price_breaks, iif(x.preferred, 'yes', '') FROM item_suppliers x JOIN items i ON i.id = x.item_id "
        "JOIN suppliers s ON s.id = x.supplier_id WHERE x.preferred = 0 ORDER BY i.part_number, s.name",
    ),
    "learned": Table(
        ("part_number", "words"),
        {
            "part_number": _part,
            "words": named,
            "times": _maybe(lambda text: whole(text, least=1), 1),
            "since": as_is,
        },
        "INSERT INTO item_words (item_id, words, source, times, since) "
        "VALUES (:part_number, :words, 'learned', :times, :since) ON CONFLICT DO UPDATE SET times = excluded.times",
        "SELECT i.part_number, w.words, w.times, w.since FROM item_words w JOIN items i ON i.id = w.item_id "
        "WHERE w.source = 'learned' ORDER BY i.part_number, w.words",
    ),
    "setpoints": Table(
        ("part_number", "reorder_point", "order_up_to"),
        {
            "part_number": _part,
            "place": _place,
            "reorder_point": lambda text, _job: whole(text, most=1_000_000),
            "order_up_to": lambda text, _job: whole(text, most=1_000_000),
            "source": lambda text, _job: one_of(text, ("entered", "imported", "planned"), "imported"),
            "since": as_is,
            "explanation": as_is,
        },
        "INSERT INTO set_points (item_id, place_id, reorder_point, order_up_to, source, since, explanation) "
        "VALUES (:part_number, :place, :reorder_point, :order_up_to, :source, :since, :explanation) "
        "ON CONFLICT DO UPDATE SET reorder_point = excluded.reorder_point, order_up_to = excluded.order_up_to, "
        "source = excluded.source, since = excluded.since, explanation = excluded.explanation",
        "SELECT i.part_number, p.code, s.reorder_point, s.order_up_to, s.source, s.since, s.explanation "
        "FROM set_points s JOIN items i ON i.id = s.item_id JOIN places p ON p.id = s.place_id "
        "ORDER BY i.part_number, p.code",
        _setpoint_order,
    ),
}


def import_plain(job: Import, path: Path, kind: str) -> Report:
    """Read a one-row-a-line file into its table; rows with the same key are brought up to date."""
    table = TABLES[kind]
    optional = [name for name in table.columns if name not in table.required]
    sheet = open_sheet(path, required=table.required, optional=optional)
    count = 0
    with job.depot.write():
        for line, values in sheet.rows(job.progress):
            row = {}
            for name, read in table.columns.items():
                try:
                    row[name] = read(values.get(name, ""), job)
                except (Refused, ValueError) as refused:
                    sheet.problems.add(line, name, str(refused))
            if len(row) < len(table.columns):
                continue
            try:
                table.check(row)
            except Refused as refused:
                sheet.problems.add(line, "", str(refused))
                continue
            job.depot.run(table.write, row)
            count += 1
        sheet.problems.settle()
    return Report(kind, count, count, (*sheet.warnings, *job.warnings))


def export_plain(depot: Depot, kind: str) -> tuple[tuple[str, ...], Iterator[tuple[object, ...]]]:
    """Return the columns and rows of a one-row-a-line table."""
    return tuple(TABLES[kind].columns), (tuple(row) for row in depot.all(TABLES[kind].export))
