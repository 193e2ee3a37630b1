"""Containers, cases, lane types, machines, lanes, event hints, audit readings and open cases as CSV, in and out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from partsbin.depot.containers import (
    CONTAINER_COLUMNS,
    case_rows,
    container_rows,
    lane_type_rows,
    put_case,
    put_container,
    put_lane_type,
)
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, all_lanes, machines, put_lane, put_machine
from partsbin.errors import Refused
from partsbin.exchange.importing import Cell, Import, Report
from partsbin.exchange.lane_cells import (
    ALSO,
    CASE,
    CONTAINER,
    COUNT,
    HINT,
    LANE,
    LANE_TYPE,
    MACHINE,
    OPEN_CASE,
    READING,
)
from partsbin.exchange.lane_headers import our_column, unit_of
from partsbin.exchange.sheet import Sheet, open_sheet

Writer = Callable[[Import, dict[str, Any]], None]


def _write_container(job: Import, row: dict[str, Any]) -> None:
    name = row["name"] or row["container"]
    kind = row["kind"] or ("pet" if re.search(r"\b(pet|bottle)", name, re.IGNORECASE) else "can")
    put_container(job.depot, {**row, "code": row["container"], "name": name, "kind": kind})
    known = {form["quantity"] for form in case_rows(job.depot) if form["container"] == row["container"]}
    for quantity, wrap in row["cases"]:
        if str(quantity) not in known:
            put_case(job.depot, {"container": row["container"], "quantity": quantity, "wrap": wrap, "gross_g": 0})


def _write_lane(job: Import, row: dict[str, Any]) -> None:
    if row["shelf"] is None or row["position"] is None:
        row = {**row, **_spot(job, row)}
    if row["count"] is not None and row["count"] > row["capacity"]:
        message = f"{row['count']} of {row['capacity']} cannot be; count it again"
        raise Refused(message)
    spot = (row["asset"], row["shelf"], row["position"], row["lane"])
    twin = job.depot.value(
        "SELECT lane FROM lanes WHERE asset = ? AND shelf = ? AND position = ? AND lane <> ? COLLATE NOCASE", spot
    )
    if twin is not None:
        message = f"lane {twin} of {spot[0]} already stands at shelf {spot[1]} position {spot[2]}"
        raise Refused(message)
    plain = {name: value for name, value in row.items() if name not in ("part_number", "fitted")}
    put_lane(job.depot, {**plain, "item_id": row["part_number"]}, row["fitted"])


def _spot(job: Import, row: dict[str, Any]) -> dict[str, int]:
    """Where a lane of no stated spot stands: its tens or its letter are the shelf, and there the next free place."""
    number = row["lane"]
    tens = int(number) // 10 if number.isdigit() else ord(number[0]) - ord("A") + 1 if number[0].isalpha() else 1
    shelf = row["shelf"] or min(max(tens, 1), 99)
    others = "SELECT ifnull(max(position), 0) + 1 FROM lanes WHERE asset = ? AND shelf = ? AND lane <> ?"
    return {"shelf": shelf, "position": row["position"] or job.depot.value(others, (row["asset"], shelf, number))}


def _write_reading(job: Import, row: dict[str, Any]) -> None:
    job.depot.run(
        f"INSERT OR REPLACE INTO audit_readings VALUES ({', '.join(f':{name}' for name in READING)})", dict(row)
    )


def _write_count(job: Import, row: dict[str, Any]) -> None:
    job.depot.run(f"INSERT OR REPLACE INTO audit_counts VALUES ({', '.join(f':{name}' for name in COUNT)})", dict(row))


def _write_open_case(job: Import, row: dict[str, Any]) -> None:
    """Note cases opened by hand; those noted before, at that moment and place, are not noted twice."""
    lot = job.depot.value("SELECT id FROM lots WHERE item_id = :part_number AND code = :lot", row)
    if lot is None:
        message = f"there is no lot {row['lot']} of it; import stock or moves first"
        raise Refused(message)
    cells = {**row, "lot": lot}
    known = job.depot.value(
        "SELECT count(*) FROM case_breaks b LEFT JOIN slips s ON s.id = b.slip_id WHERE b.lot_id = :lot "
        "AND b.place_id = :place AND b.at = :at AND (:taken_at = '' OR s.posted_at = :taken_at)",
        cells,
    )
    for _ in range(row["cases"] - int(known)):
        job.depot.run(_TAKEN if row["taken_at"] else _STANDING, cells)


_STANDING = (
    "INSERT INTO case_breaks (at, operator, item_id, lot_id, place_id, per_case, reason) "
    "VALUES (:at, :operator, :part_number, :lot, :place, :per_case, :reason)"
)
# The move that took from it, taken in before, has a case opened by itself: that is this one.
_TAKEN = (
    "UPDATE case_breaks SET at = :at, operator = :operator, reason = :reason WHERE id = ("
    "SELECT min(b.id) FROM case_breaks b JOIN slips s ON s.id = b.slip_id WHERE b.lot_id = :lot "
    "AND b.place_id = :place AND s.posted_at = :taken_at AND b.at = s.posted_at AND b.reason = '')"
)


def _write_hint(job: Import, row: dict[str, Any]) -> None:
    job.depot.run("INSERT OR REPLACE INTO event_hints VALUES (:code, :families, :symptom, :text)", dict(row))


_KINDS: dict[str, tuple[tuple[str, ...], dict[str, Cell], Writer, tuple[str, ...]]] = {
    "containers": (("container", "body_mm", "height_mm"), CONTAINER, _write_container, ("container",)),
    "case-forms": (
        ("container", "quantity"),
        CASE,
        lambda job, row: put_case(job.depot, row),
        ("container", "quantity", "wrap"),
    ),
    "lane-types": (
        ("lane_type", "family", "width_mm", "depth_mm", "shelf_pitch_mm", "coil_pitch_mm", "turns"),
        LANE_TYPE,
        lambda job, row: put_lane_type(job.depot, {**row, "code": row["lane_type"]}),
        ("lane_type",),
    ),
    "machines": (("asset", "family"), MACHINE, lambda job, row: put_machine(job.depot, row), ("asset",)),
    "lanes": (("asset", "lane", "lane_type"), LANE, _write_lane, ("asset", "lane")),
    "event-hints": (("code",), HINT, _write_hint, ("code",)),
    "audit-readings": (("fingerprint", "number", "asset", "taken_at"), READING, _write_reading, ("fingerprint",)),
    "audit-counts": (("fingerprint", "selection", "counter"), COUNT, _write_count, ("fingerprint", "selection")),
    "open-cases": (
        ("part_number", "place", "lot", "per_case", "at"),
        OPEN_CASE,
        _write_open_case,
        ("part_number", "place", "lot", "at", "taken_at"),
    ),
}
KINDS = tuple(_KINDS)
FILES = {kind: f"{kind.replace('-', '_')}.csv" for kind in KINDS if "-" in kind}


def reader(kind: str) -> Callable[[Import, Path], Report]:
    """Return what imports one of ``KINDS``."""
    return lambda job, path: import_lane_table(job, path, kind)


def import_lane_table(job: Import, path: Path, kind: str) -> Report:
    """Read one file into its table; rows with the same key are brought up to date, all of it or nothing.

    A file of lane types given as ``lanes`` is taken as what it is.
    """
    required, cells, _, _ = _KINDS[kind]
    if kind == "lanes" and _is_lane_types(path):
        return import_lane_table(job, path, "lane-types")
    optional = [name for name in (*cells, *ALSO.get(kind, ())) if name not in required]
    sheet = open_sheet(path, required=required, optional=optional, column_of=partial(our_column, kind))
    with job.depot.write():
        count = _take(job, sheet, kind)
        sheet.problems.settle()
    return Report(kind, count, count, (*sheet.warnings, *job.warnings))


def _is_lane_types(path: Path) -> bool:
    columns = partial(our_column, "lane-types")
    sheet = open_sheet(path, required=(), optional=("asset", "width_mm"), lenient=True, column_of=columns)
    return "asset" not in sheet.columns and "width_mm" in sheet.columns


def _take(job: Import, sheet: Sheet, kind: str) -> int:
    """Write the rows that can be read and note what is wrong with the others; returns how many were written."""
    _, cells, write, keys = _KINDS[kind]
    seen: dict[tuple[str, ...], int] = {}
    kept = _kept(job.depot, kind, keys) if set(cells) - set(sheet.columns) else {}
    units = {column: unit for column, written in sheet.written.items() if (unit := unit_of(written)) in _CONVERTED}
    for line, values in sheet.rows(job.progress):
        before = kept.get(tuple(values[name].upper() for name in keys if name in values), {})
        row, faults = _read_row(job, kind, {**before, **values, **_with_units(values, units)})
        for name, said in faults:
            sheet.problems.add(line, name, said)
        if faults:
            continue
        key = tuple(str(row[name]).upper() for name in keys)
        first = seen.setdefault(key, line)
        if first != line:
            sheet.problems.add(line, keys[0], f"{' '.join(key)} already stands in line {first}")
            continue
        try:
            write(job, row)
        except Refused as refused:
            sheet.problems.add(line, "", str(refused))
    return len(seen)


_CONVERTED = ("cm", "in", "inch", "inches", "kg")


def _with_units(values: Mapping[str, str], units: Mapping[str, str]) -> dict[str, str]:
    """Return the bare figures of columns whose header names a unit, with that unit."""
    return {name: f"{values[name]} {unit}" for name, unit in units.items() if values[name][-1:].isdigit()}


def _kept(depot: Depot, kind: str, keys: tuple[str, ...]) -> dict[tuple[str, ...], dict[str, str]]:
    """Return the rows there are by key, as texts: what a file says nothing of stays as it is."""
    rows = ({name: "" if value is None else str(value) for name, value in row.items()} for row in _ROWS[kind](depot))
    return {tuple(row[name].upper() for name in keys): row for row in rows}


def _read_row(job: Import, kind: str, texts: Mapping[str, str]) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    """Return the cells of a row that can be read, and for each of the others its column and what is wrong."""
    row, faults = {}, []
    for name, read in {**_KINDS[kind][1], **ALSO.get(kind, {})}.items():
        try:
            row[name] = read(texts.get(name, ""), job)
        except Refused as refused:
            faults.append((name, str(refused)))
    return row, faults


def save_lane_row(job: Import, kind: str, texts: Mapping[str, str]) -> None:
    """Write one row of one of ``KINDS`` from texts by column, as a file would; refuses a wrong cell by its column."""
    row, faults = _read_row(job, kind, {name: text.strip() for name, text in texts.items()})
    if faults:
        raise Refused(": ".join(faults[0]))
    with job.depot.write():
        _KINDS[kind][2](job, row)


def export_lane_table(depot: Depot, kind: str) -> tuple[tuple[str, ...], Iterator[tuple[object, ...]]]:
    """Return the columns and rows of one of ``KINDS``."""
    columns = tuple(_KINDS[kind][1])
    return columns, (tuple(row[column] for column in columns) for row in _ROWS[kind](depot))


def _machine_rows(depot: Depot) -> list[dict[str, object]]:
    listed_ = sorted(machines(depot), key=lambda m: m.asset)
    return [
        dict(zip(MACHINE, (m.asset, m.family, m.site, m.serial, m.round_name, m.stop, m.van_code), strict=True))
        for m in listed_
    ]


def _lane_rows(depot: Depot) -> list[dict[str, object]]:
    return [dict(zip(LANE, _lane_cells(lane), strict=True)) for lane in all_lanes(depot)]


def _lane_cells(x: LaneRow) -> tuple[object, ...]:
    where = (x.asset, x.lane, x.selection, x.shelf, x.position, x.lane_type)
    fitted = "|".join(f"{part}*{quantity}" for part, quantity in x.fitted)
    count = "" if x.count is None else x.count
    return (*where, x.part_number, x.container, x.capacity, count, fitted, x.changed_on)


def _select(sql: str) -> Callable[[Depot], list[dict[str, object]]]:
    return lambda depot: [dict(zip(row.keys(), tuple(row), strict=True)) for row in depot.all(sql)]


_ROWS: dict[str, Callable[[Depot], Any]] = {
    "containers": container_rows,
    "case-forms": case_rows,
    "lane-types": lane_type_rows,
    "machines": _machine_rows,
    "lanes": _lane_rows,
    "event-hints": _select("SELECT code, families, symptom, text FROM event_hints ORDER BY code"),
    "audit-readings": _select(
        "SELECT fingerprint, number, asset, serial, board_serial, read_at, taken_at, ifnull(vends, '') AS vends, "
        "iif(checked, '', 'no') AS checked FROM audit_readings ORDER BY number"
    ),
    "audit-counts": _select(
        "SELECT c.fingerprint, c.selection, c.product, c.counter, ifnull(i.part_number, '') AS part_number, c.units, "
        "c.filled FROM audit_counts c JOIN audit_readings r USING (fingerprint) LEFT JOIN items i ON i.id = c.item_id "
        "ORDER BY r.number, c.selection"
    ),
    "open-cases": _select(
        "SELECT i.part_number, p.code AS place, l.code AS lot, count(*) AS cases, b.per_case, b.at, "
        "o.initials AS operator, b.reason, ifnull(s.posted_at, '') AS taken_at FROM case_breaks b "
        "JOIN items i ON i.id = b.item_id JOIN places p ON p.id = b.place_id JOIN lots l ON l.id = b.lot_id "
        "JOIN operators o ON o.id = b.operator LEFT JOIN slips s ON s.id = b.slip_id "
        "WHERE s.id IS NULL OR b.reason <> '' OR b.at <> s.posted_at "
        "GROUP BY b.item_id, b.place_id, b.lot_id, b.at, s.id ORDER BY min(b.id)"
    ),
}
assert len(CONTAINER_COLUMNS) == len(CONTAINER)  # noqa: S101 - a column of the file that the CSV forgets would be lost
