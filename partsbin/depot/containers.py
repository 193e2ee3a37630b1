"""Containers, their cases and lane types as rows of the file; other rooms make their own types of them."""

from __future__ import annotations

from collections.abc import Mapping

from partsbin.depot.file import Depot, Value
from partsbin.errors import Refused

CONTAINER_COLUMNS = (
    *("code", "name", "kind", "nominal_ml", "fluid_oz", "style", "shape", "can_code", "body_mm", "tolerance_mm"),
    *("basis", "height_mm", "height_tolerance_mm", "gross_g", "words", "source"),
)
LANE_TYPE_COLUMNS = (
    *("code", "family", "width_mm", "depth_mm", "shelf_pitch_mm", "front_gap_mm", "coil_pitch_mm", "turns"),
    *("spacer_side", "max_per_side", "coupled"),
)


def container_rows(depot: Depot) -> list[dict[str, str]]:
    """Return the containers as texts under the columns of their CSV, by code."""
    rows = depot.all(f"SELECT {', '.join(CONTAINER_COLUMNS)} FROM containers ORDER BY code")
    return [_texts(CONTAINER_COLUMNS, tuple(row), {"code": "container"}) for row in rows]


def case_rows(depot: Depot) -> list[dict[str, str]]:
    """Return the case forms as texts under the columns of their CSV, by container and size."""
    columns = ("container", "quantity", "wrap", "gross_g")
    rows = depot.all(f"SELECT {', '.join(columns)} FROM case_forms ORDER BY container, quantity, wrap")
    return [_texts(columns, tuple(row), {}) for row in rows]


def lane_type_rows(depot: Depot) -> list[dict[str, str]]:
    """Return the lane types as texts under the columns of their CSV, by code."""
    rows = depot.all(f"SELECT {', '.join(LANE_TYPE_COLUMNS)} FROM lane_types ORDER BY code")
    return [_texts(LANE_TYPE_COLUMNS, tuple(row), {"code": "lane_type"}) for row in rows]


def _texts(columns: tuple[str, ...], values: tuple[object, ...], names: Mapping[str, str]) -> dict[str, str]:
    return {names.get(column, column): _text(column, value) for column, value in zip(columns, values, strict=True)}


def _text(column: str, value: object) -> str:
    if column == "coupled":
        return "yes" if value else ""
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def put_container(depot: Depot, values: Mapping[str, Value]) -> None:
    """Write a container, or bring the one with this code up to date. Call inside ``write()``."""
    _put(depot, "containers", CONTAINER_COLUMNS, ("code",), values)


def put_case(depot: Depot, values: Mapping[str, Value]) -> None:
    """Write a case form of a container that is here. Call inside ``write()``."""
    _put(depot, "case_forms", ("container", "quantity", "wrap", "gross_g"), ("container", "quantity", "wrap"), values)


def put_lane_type(depot: Depot, values: Mapping[str, Value]) -> None:
    """Write a lane type, or bring the one with this code up to date. Call inside ``write()``."""
    _put(depot, "lane_types", LANE_TYPE_COLUMNS, ("code",), values)


def _put(
    depot: Depot, table: str, columns: tuple[str, ...], keys: tuple[str, ...], values: Mapping[str, Value]
) -> None:
    changed = ", ".join(f"{c} = excluded.{c}" for c in columns if c not in keys)
    depot.run(
        f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(f':{c}' for c in columns)}) "
        f"ON CONFLICT DO UPDATE SET {changed}",
        dict(values),
    )


def measured(depot: Depot, code: str, body_mm: float, tolerance_mm: float) -> None:
    """Keep a diameter somebody measured here; a fit with it counts as confirmed. Refuses what cannot be one."""
    if not 20 <= body_mm <= 200 or not 0 <= tolerance_mm <= 20:
        message = f"{body_mm:g} mm with {tolerance_mm:g} mm more or less cannot be right; give 20 to 200, and 0 to 20"
        raise Refused(message)
    with depot.write():
        done = depot.run(
            "UPDATE containers SET body_mm = ?, tolerance_mm = ?, basis = 'measured' WHERE code = ?",
            (body_mm, tolerance_mm, code),
        )
        if not done.rowcount:
            message = f"There is no container {code}."
            raise Refused(message)
