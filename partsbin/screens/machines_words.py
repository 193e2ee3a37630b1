"""A machine and its lanes in words."""

from __future__ import annotations

import re

from partsbin.depot.catalogue import find_item
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, MachineRow
from partsbin.desk.finding import stock_of
from partsbin.errors import Refused
from partsbin.lengths import FIGURE, UNIT, millimetres

_MEASURE = re.compile(rf"({FIGURE}\s*{UNIT}?)(?:\s*(?:±|\s)\s*({FIGURE}\s*{UNIT}?))?", re.IGNORECASE)


def machine_line(machine: MachineRow) -> str:
    """Return a machine in one line."""
    stop = f"{machine.round_name} round, stop {machine.stop}" if machine.round_name else "in no round"
    van = f", filled by {machine.van_code}" if machine.van_code else ", no van fills it yet (V)"
    return f"{machine.asset}  {machine.site}  {machine.family}  {stop}{van}"


def lane_words(depot: Depot, lane: LaneRow) -> str:
    """Return a lane in full: type, drink, container, count, last change, the parts in it."""
    selection = f" · selection {lane.selection}" if lane.selection and lane.selection != lane.lane else ""
    kind = depot.one("SELECT width_mm, coil_pitch_mm FROM lane_types WHERE code = ?", (lane.lane_type,))
    size = f" {kind['width_mm']:g} mm wide, built with {kind['coil_pitch_mm']:g} mm coil pitch" if kind else ""
    out = [f"Lane {lane.lane} · {lane.lane_type}{size}{selection} · shelf {lane.shelf} place {lane.position}"]
    if lane.item_id is not None:
        where = ", ".join(f"{place} {held}" for place, held in stock_of(depot, lane.item_id)[:4]) or "none in the depot"
        out.append(f"{lane.part_number}  {lane.description}  [{where}]")
    else:
        out.append("No drink is set for this lane: C gives it one.")
    held = "not counted" if lane.count is None else f"{lane.count} of {lane.capacity}"
    changed = f", changed {lane.changed_on}" if lane.changed_on else ""
    out.append(f"{_container_words(depot, lane.container)} · holds {held}{changed}")
    for part, quantity in lane.fitted:
        item = find_item(depot, part)
        out.append(f"  {quantity} x {part}  {item.description if item else ''}")
    return "\n".join(out if lane.fitted else [*out, "  no parts on record in it"])


def _container_words(depot: Depot, code: str) -> str:
    row = depot.one("SELECT name, body_mm, tolerance_mm, basis FROM containers WHERE code = ?", (code,))
    if row is None:
        return "no container"
    sure = "" if row["basis"] in ("measured", "standard") else ", unconfirmed: measure it (M)"
    return f"{code} {row['name']} {row['body_mm']:g} ±{row['tolerance_mm']:g} mm, {row['basis']}{sure}"


def read_measure(text: str) -> tuple[float, float]:
    """Read ``66.1``, ``66.1 0.3`` or ``2 5/8 in``: diameter and spread in mm. Refuses anything else in words."""
    said = _MEASURE.fullmatch(text.strip())
    body, spread = (millimetres(figure or "0") for figure in said.groups()) if said else (None, None)
    if body is None or spread is None or not 20 <= body <= 200:
        message = "Key the diameter in mm, 20 to 200, and how much it varies, such as 66.1 0.3; inches as 2 5/8 in."
        raise Refused(message)
    return round(body, 2), round(spread, 2)
