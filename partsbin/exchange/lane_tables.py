"""Containers, cases, lane types, machines, lanes, event hints and audit readings as CSV, in and out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from partsbin.depot import clock
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
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.sheet import Sheet, listed, open_sheet
from partsbin.exchange.values import decimal, one_of, whole, yes

Cell = Callable[[str, Import], Any]
Writer = Callable[[Import, dict[str, Any]], None]

_CAN_CODE = re.compile(r"[1-9](0\d|1[0-5])(\s*[/x×]\s*[1-9](0\d|1[0-5])){0,2}", re.IGNORECASE)


def _text(text: str, _job: Import) -> str:
    return text


def _named(text: str, _job: Import) -> str:
    if not text:
        message = "is empty"
        raise Refused(message)
    return text


def _code(text: str, job: Import) -> str:
    return _named(text, job).upper()


def _length(low: float, high: float, default: float | None = None) -> Cell:
    def read(text: str, _job: Import) -> float:
        if not text and default is not None:
            return default
        value = decimal(text.replace(",", "."))
        if not low <= value <= high:
            message = f"{value:g} mm cannot be right; give {low:g} to {high:g} mm"
            raise Refused(message)
        return value

    return read


def _whole(least: int, most: int, default: int | None = None) -> Cell:
    return lambda text, _job: default if not text and default is not None else whole(text, least=least, most=most)


def _known(table: str, column: str, what: str, *, needed: bool = True) -> Cell:
    """Read a code that must stand in a table of the file; returns it as it stands there."""

    def read(text: str, job: Import) -> str | None:
        if not text and not needed:
            return None
        found = job.depot.value(f"SELECT {column} FROM {table} WHERE {column} = ? COLLATE NOCASE", (text,))
        if found is None:
            message = f"“{text}” is not {what} of this depot; import those first"
            raise Refused(message)
        return str(found)

    return read


def _item(text: str, job: Import) -> int | None:
    if not text:
        return None
    found = job.depot.value("SELECT id FROM items WHERE part_number = ?", (text,))
    if found is None:
        message = f"“{text}” is not a part number of this depot"
        raise Refused(message)
    return int(found)


def _van(text: str, job: Import) -> int | None:
    from partsbin.depot.places import the_place

    return the_place(job.depot, text, kinds=("van",)).id if text else None


def _can_code(text: str, _job: Import) -> str:
    if text and not _CAN_CODE.fullmatch(text):
        message = f"“{text}” is no can size; write it like 211x413 or 202/211x413: inches, then 00 to 15 sixteenths"
        raise Refused(message)
    return text


def _day(text: str, _job: Import) -> str:
    return str(clock.iso_date(text)) if text else ""


def _fitted(text: str, job: Import) -> list[tuple[int, int]]:
    parts: dict[int, int] = {}
    for entry in listed(text):
        number, star, quantity = entry.partition("*")
        item = _item(number.strip(), job)
        if item is not None:
            parts[item] = parts.get(item, 0) + (whole(quantity.strip(), least=1, most=99) if star else 1)
    return list(parts.items())


_BASES = ("measured", "standard", "published", "estimate")
_CONTAINER: dict[str, Cell] = {
    "container": _code,
    "name": _text,
    "kind": lambda text, _job: one_of(text, ("can", "pet"), "can"),
    "nominal_ml": _whole(0, 100_000, 0),
    "fluid_oz": lambda text, _job: decimal(text) if text else 0.0,
    "style": lambda text, _job: text.lower(),
    "shape": lambda text, _job: text or "round",
    "can_code": _can_code,
    "body_mm": _length(20, 200),
    "tolerance_mm": _length(0, 20, 0.0),
    "basis": lambda text, _job: one_of(text, _BASES, "estimate"),
    "height_mm": _length(30, 500),
    "height_tolerance_mm": _length(0, 50, 0.0),
    "gross_g": _whole(0, 100_000, 0),
    "words": lambda text, _job: "|".join(word.lower() for word in listed(text)),
    "source": _text,
}
_CASE: dict[str, Cell] = {
    "container": _known("containers", "code", "a container"),
    "quantity": _whole(1, 10_000),
    "wrap": _text,
    "gross_g": _whole(0, 1_000_000, 0),
}
_LANE_TYPE: dict[str, Cell] = {
    "lane_type": _code,
    "family": _named,
    "width_mm": _length(20, 2000),
    "depth_mm": _length(50, 2000),
    "shelf_pitch_mm": _length(50, 2000),
    "front_gap_mm": _length(0, 2000, 0.0),
    "coil_pitch_mm": _length(10, 2000),
    "turns": _whole(1, 60),
    "spacer_side": lambda text, _job: one_of(text, ("L", "R", "both"), "L"),
    "max_per_side": _whole(0, 3, 2),
    "coupled": lambda text, _job: yes(text),
}
_MACHINE: dict[str, Cell] = {
    "asset": _code,
    "family": _named,
    "site": _text,
    "serial": _text,
    "round": _text,
    "stop": _whole(0, 10_000, 0),
    "van": _van,
}
_LANE: dict[str, Cell] = {
    "asset": _known("machines", "asset", "a machine"),
    "lane": _code,
    "selection": lambda text, _job: text.upper(),
    "shelf": _whole(1, 99),
    "position": _whole(1, 99),
    "lane_type": _known("lane_types", "code", "a lane type"),
    "part_number": _item,
    "container": _known("containers", "code", "a container", needed=False),
    "capacity": _whole(0, 999, 0),
    "count": lambda text, _job: whole(text, most=999) if text else None,
    "fitted": _fitted,
    "changed_on": _day,
}
_HINT: dict[str, Cell] = {"code": _code, "families": _text, "symptom": _text, "text": _text}
_READING: dict[str, Cell] = {
    "fingerprint": _named,
    "number": _whole(1, 10**9),
    "asset": _known("machines", "asset", "a machine"),
    "serial": _text,
    "board_serial": _text,
    "read_at": _text,
    "taken_at": _named,
    "vends": lambda text, _job: whole(text) if text else None,
    "checked": lambda text, _job: int(text != "no"),
}
_COUNT: dict[str, Cell] = {
    "fingerprint": _known("audit_readings", "fingerprint", "a reading"),
    "selection": _code,
    "product": _text,
    "counter": _whole(0, 10**9),
    "part_number": _item,
    "units": _whole(0, 10**9, 0),
    "filled": _whole(0, 10**9, 0),
}


def _write_container(job: Import, row: dict[str, Any]) -> None:
    put_container(job.depot, {**row, "code": row["container"], "name": row["name"] or row["container"]})


def _write_lane(job: Import, row: dict[str, Any]) -> None:
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


def _write_reading(job: Import, row: dict[str, Any]) -> None:
    job.depot.run(
        f"INSERT OR REPLACE INTO audit_readings VALUES ({', '.join(f':{name}' for name in _READING)})", dict(row)
    )


def _write_count(job: Import, row: dict[str, Any]) -> None:
    job.depot.run(f"INSERT OR REPLACE INTO audit_counts VALUES ({', '.join(f':{name}' for name in _COUNT)})", dict(row))


def _write_hint(job: Import, row: dict[str, Any]) -> None:
    job.depot.run("INSERT OR REPLACE INTO event_hints VALUES (:code, :families, :symptom, :text)", dict(row))


_KINDS: dict[str, tuple[tuple[str, ...], dict[str, Cell], Writer, tuple[str, ...]]] = {
    "containers": (("container", "body_mm", "height_mm"), _CONTAINER, _write_container, ("container",)),
    "case-forms": (
        ("container", "quantity"),
        _CASE,
        lambda job, row: put_case(job.depot, row),
        ("container", "quantity", "wrap"),
    ),
    "lane-types": (
        ("lane_type", "family", "width_mm", "depth_mm", "shelf_pitch_mm", "coil_pitch_mm", "turns"),
        _LANE_TYPE,
        lambda job, row: put_lane_type(job.depot, {**row, "code": row["lane_type"]}),
        ("lane_type",),
    ),
    "machines": (("asset", "family"), _MACHINE, lambda job, row: put_machine(job.depot, row), ("asset",)),
    "lanes": (("asset", "lane", "shelf", "position", "lane_type"), _LANE, _write_lane, ("asset", "lane")),
    "event-hints": (("code",), _HINT, _write_hint, ("code",)),
    "audit-readings": (("fingerprint", "number", "asset", "taken_at"), _READING, _write_reading, ("fingerprint",)),
    "audit-counts": (("fingerprint", "selection", "counter"), _COUNT, _write_count, ("fingerprint", "selection")),
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
    sheet = open_sheet(path, required=required, optional=[name for name in cells if name not in required])
    with job.depot.write():
        count = _take(job, sheet, kind)
        sheet.problems.settle()
    return Report(kind, count, count, (*sheet.warnings, *job.warnings))


def _is_lane_types(path: Path) -> bool:
    sheet = open_sheet(path, required=(), optional=("asset", "lane_type", "width_mm"), lenient=True)
    return "asset" not in sheet.columns and {"lane_type", "width_mm"} <= set(sheet.columns)


def _take(job: Import, sheet: Sheet, kind: str) -> int:
    """Write the rows that can be read and note what is wrong with the others; returns how many were written."""
    _, cells, write, keys = _KINDS[kind]
    seen: dict[tuple[str, ...], int] = {}
    for line, values in sheet.rows(job.progress):
        row = {}
        for name, read in cells.items():
            try:
                row[name] = read(values.get(name, ""), job)
            except Refused as refused:
                sheet.problems.add(line, name, str(refused))
        if len(row) < len(cells):
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


def export_lane_table(depot: Depot, kind: str) -> tuple[tuple[str, ...], Iterator[tuple[object, ...]]]:
    """Return the columns and rows of one of ``KINDS``."""
    columns = tuple(_KINDS[kind][1])
    return columns, (tuple(row[column] for column in columns) for row in _ROWS[kind](depot))


def _machine_rows(depot: Depot) -> list[dict[str, object]]:
    listed_ = sorted(machines(depot), key=lambda m: m.asset)
    return [
        dict(zip(_MACHINE, (m.asset, m.family, m.site, m.serial, m.round_name, m.stop, m.van_code), strict=True))
        for m in listed_
    ]


def _lane_rows(depot: Depot) -> list[dict[str, object]]:
    return [dict(zip(_LANE, _lane_cells(lane), strict=True)) for lane in all_lanes(depot)]


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
}
assert len(CONTAINER_COLUMNS) == len(_CONTAINER)  # noqa: S101 - a column of the file that the CSV forgets would be lost
