"""The clearances lanes are set up by, stated or as the lead changed them; and what lanes hold by them."""

from __future__ import annotations

from dataclasses import fields, replace

from partsbin.depot.containers import container_rows, lane_type_rows
from partsbin.depot.file import Depot
from partsbin.depot.machines import all_lanes
from partsbin.depot.operators import Operator
from partsbin.depot.rights import require
from partsbin.errors import Refused
from partsbin.lanes.containers import Container, Kind
from partsbin.lanes.fit import lane_capacity
from partsbin.lanes.lane_types import USUAL_LIMITS, Limits
from partsbin.lanes.tables import read_containers, read_lane_types

_MOST = 500.0
_NAMES = {
    field.name: field.name.removesuffix("_mm").replace("swell_percent", "swell").replace("_", "-")
    for field in fields(Limits)
}
_FIELDS = {name: field for field, name in _NAMES.items()}


def limits_of(depot: Depot, container: Container) -> Limits:
    """Return the clearances for a container's kind, in mm. Refuses kept ones that make no sense, naming the setting."""
    kept = depot.setting(_key(container.kind))
    try:
        return read_limits(kept, container.kind)
    except Refused as refused:
        message = f"The setting {_key(container.kind)} cannot be used: {refused}"
        raise Refused(message) from refused


def settle_lanes(depot: Depot) -> None:
    """Give lanes that came without them the container of their drink, and what they hold of it."""
    with depot.write():
        depot.run(
            "UPDATE lanes SET container = (SELECT c.code FROM items i JOIN containers c ON c.code = i.container "
            "COLLATE NOCASE WHERE i.id = lanes.item_id) WHERE container IS NULL AND item_id IS NOT NULL"
        )
        kinds = {kind.code: kind for kind in read_lane_types(lane_type_rows(depot))}
        known = {container.code: container for container in read_containers(container_rows(depot))}
        for row in all_lanes(depot):
            container = known.get(row.container.upper())
            if container is not None and not row.capacity:
                holds, _ = lane_capacity(container, kinds[row.lane_type.upper()], limits_of(depot, container))
                depot.run("UPDATE lanes SET capacity = ? WHERE asset = ? AND lane = ?", (holds, row.asset, row.lane))


def kept_words(depot: Depot, kind: Kind) -> str:
    """Return what is kept for cans or bottles, sense or not, as it is keyed; the usual ones where nothing is."""
    return depot.setting(_key(kind)) or limits_words(USUAL_LIMITS[kind])


def limits_words(limits: Limits) -> str:
    """Return clearances as they are keyed: ``min-slack 4 max-slack 10 …``, in mm; swell in per cent."""
    values = ((name, getattr(limits, field)) for field, name in _NAMES.items())
    return " ".join(f"{name} {value:g}" for name, value in values if value is not None)


def read_limits(text: str, kind: Kind) -> Limits:
    """Read ``name figure`` pairs, mm (swell: per cent); what is not named keeps its usual figure."""
    words = text.replace(",", " ").replace("=", " ").split()
    if len(words) % 2:
        message = f"“{text}” should be names and figures in turn: {limits_words(USUAL_LIMITS[kind])}"
        raise Refused(message)
    changed = {_field(name): _figure(name, figure) for name, figure in zip(words[::2], words[1::2], strict=True)}
    limits = replace(USUAL_LIMITS[kind], **changed)
    if limits.min_pitch_over_mm > limits.max_pitch_over_mm:
        raise Refused("min-pitch-over is greater than max-pitch-over; give the smaller first")
    if not limits.min_slack_mm <= limits.target_mm <= limits.max_slack_mm:
        raise Refused("target-slack lies outside min-slack to max-slack")
    return limits


def set_limits(depot: Depot, operator: Operator, kind: Kind, text: str) -> Limits:
    """Keep clearances for cans or bottles; an empty text goes back to the usual ones."""
    require(depot, operator, "catalogue")
    limits = read_limits(text, kind)
    depot.set_setting(_key(kind), limits_words(limits) if text.strip() else "")
    return limits


def _key(kind: Kind) -> str:
    return f"lane_limits:{kind.value}"


def _field(name: str) -> str:
    try:
        return _FIELDS[name.lower()]
    except KeyError:
        message = f"“{name}” is no clearance; there are {', '.join(_FIELDS)}"
        raise Refused(message) from None


def _figure(name: str, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= _MOST:
        message = f"{name} of “{text}” cannot be right; give 0 to {_MOST:g} mm"
        raise Refused(message)
    return value
