"""Headers of other people's container and lane tables: their words for our columns, and the unit a header names."""

from __future__ import annotations

import re
from typing import Final

_UNIT: Final = re.compile(r"_(mm|cm|in|inch|inches|g|kg|ml)$")
_ASIDE: Final = re.compile(r"\((?!\s*(?:mm|cm|in|inch|inches|g|kg|ml)\b)[^)]*\)?")

# Each of our columns, then what others call it; written as headers are compared: lower case, no unit.
_WORDS: Final = {
    "containers": """
        container: container_id container_code id code
        name: description container_name
        kind: type material container_type
        nominal_ml: nominal volume content contents ml
        fluid_oz: us_fl_oz fl_oz oz ounces fluid_ounces
        style: format
        can_code: can_size can_notation notation size_code can_code_neck_body_x_height
        body_mm: body body_dia body_diameter dia diameter body_od od
        tolerance_mm: tolerance tol dia_tol body_tol body_tolerance diameter_tolerance
        basis: grade measured
        height_mm: height overall_height
        height_tolerance_mm: height_tolerance height_tol
        gross_g: gross gross_weight unit_gross weight
        words: aliases also_called
        cases: case_forms case_packs case_pack_options packs
    """,
    "case-forms": """
        container: container_id container_code
        quantity: pack_qty case_quantity per_case units_per_case
        wrap: pack_form form
        gross_g: gross gross_weight case_gross weight
    """,
    "lane-types": """
        lane_type: type lane tray_type tray code id
        family: machine_family machine model machine_model
        width_mm: width inner_width clear_width lane_width
        depth_mm: depth usable_depth
        shelf_pitch_mm: shelf_pitch usable_height height shelf_height
        front_gap_mm: front_gap door_gap
        coil_pitch_mm: coil_pitch pitch helix_pitch
        turns: coil_turns coil_count
        spacer_side: side spacer_wall
        max_per_side: max_spacers
        coupled: pair coupled_pair dual
    """,
    "machines": """
        asset: asset_number asset_no machine id number
        family: machine_family model
        site: location customer address
        serial: serial_number serial_no
        round: route
        stop: sequence
    """,
    "lanes": """
        asset: asset_number asset_no machine
        lane: lane_number lane_no slot column
        shelf: tray row
        position: pos place
        lane_type: type tray_type
        part_number: product drink item part
        count: holds filled
        changed_on: changed last_change last_changed
        fitted: parts spacers
    """,
}


def _table(words: str) -> dict[str, str]:
    rows = (line.split(":") for line in words.strip().splitlines())
    return {word: column.strip() for column, others in rows for word in others.split()}


_TABLES: Final = {kind: _table(words) for kind, words in _WORDS.items()}


def our_column(kind: str, written: str) -> str:
    """Return our column for a header of a table of ``kind``, or the header itself in our spelling."""
    name = _plain(written)
    table = _TABLES.get(kind, {})
    return table.get(name) or table.get(_UNIT.sub("", name)) or name


def unit_of(written: str) -> str:
    """Return the unit a header names, such as ``in`` for “Inner width (in)”; empty when it names none."""
    match = _UNIT.search(_plain(written))
    return match[1] if match else ""


def _plain(written: str) -> str:
    name = re.sub(r"[^0-9a-z]+", "_", _ASIDE.sub("", written.lower())).strip("_")
    return name.removesuffix("_computed")
