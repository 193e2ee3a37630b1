"""Containers, lane types, lane parts and lanes of machines as the lane rules see them, from the depot's own rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from rapidfuzz import fuzz, process

from partsbin.depot.catalogue import Item, cautions_of, find_item
from partsbin.depot.containers import case_rows, container_rows, lane_type_rows
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, MachineRow, find_machine, lanes_of
from partsbin.depot.places import Place, aboard, place_by_id
from partsbin.desk.finding import stock_of
from partsbin.errors import Refused
from partsbin.lanes.chart import Lane, Machine
from partsbin.lanes.containers import Container
from partsbin.lanes.kits import LanePart
from partsbin.lanes.lane_parts import ROLES, TOLD_BY, for_family, read_lane_part
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.lookup import containers_named, lane_types_named
from partsbin.lanes.tables import read_cases, read_containers, read_lane_types


def containers(depot: Depot) -> list[Container]:
    """Return every container with its case forms; refuses when none were imported yet."""
    found = read_containers(container_rows(depot), read_cases(case_rows(depot)))
    if not found:
        message = "No containers are known yet: import them (containers.csv)."
        raise Refused(message)
    return found


def lane_types(depot: Depot) -> list[LaneType]:
    """Return every lane type; refuses when none were imported yet."""
    found = read_lane_types(lane_type_rows(depot))
    if not found:
        message = "No lane types are known yet: import them (lane_types.csv)."
        raise Refused(message)
    return found


Listed = tuple[int, LanePart, tuple[str, ...]]
"""A lane part of the catalogue: its item, itself without stock, the machine families it fits."""


def listed_parts(depot: Depot) -> list[Listed]:
    """Return every lane part of the catalogue, known by its family or, where that is none of ours, by its words."""
    by_words = " OR ".join(f"description LIKE '%{word}%'" for word in TOLD_BY)
    rows = depot.all(
        "SELECT id, part_number, family, description, hand, disposition, "
        "(SELECT group_concat(machine, '|') FROM item_fits WHERE item_id = items.id) AS fits FROM items "
        f"WHERE (family IN ({','.join('?' * len(ROLES))}) OR (family NOT LIKE '___-%' AND ({by_words}))) "
        "AND retired = 0 AND superseded_by IS NULL ORDER BY part_number",
        tuple(ROLES),
    )
    return [
        (row["id"], part, tuple(row["fits"].split("|")) if row["fits"] else ())
        for row in rows
        if (part := read_lane_part(*row[1:4], hand=row["hand"], disposition=row["disposition"])) is not None
    ]


def lane_parts(
    depot: Depot, family: str, van: Place | None = None, listed: Iterable[Listed] | None = None
) -> list[LanePart]:
    """Return the lane parts a machine family may take; on hand is the shelf, and ``van`` where given."""
    near = {row["code"] for row in depot.all("SELECT code FROM places WHERE kind = 'bin'")}
    near |= {place_by_id(depot, place_id).code for place_id in aboard(depot, van)} if van else set()
    return [
        _stocked(depot, item_id, part, near, van)
        for item_id, part, fits in (listed_parts(depot) if listed is None else listed)
        if for_family([(part, fits)], family)
    ]


def _stocked(depot: Depot, item_id: int, part: LanePart, near: set[str], van: Place | None) -> LanePart:
    places = stock_of(depot, item_id, van)
    on_hand = sum(quantity for code, quantity in places if code in near)
    codes = tuple(caution.code for caution in cautions_of(depot, item_id))
    return replace(part, on_hand=on_hand, places=tuple(places), cautions=codes)


def the_containers(depot: Depot, text: str) -> tuple[Container, ...]:
    """Return the containers ``text`` may mean: a code, words, or a drink's part number. Refused: the nearest three."""
    known = containers(depot)
    item = find_item(depot, text)
    if item is not None and item.container:
        return (container_of(depot, item),)
    try:
        return containers_named(text, known)
    except Refused:
        names = {c.code: " ".join((c.code, c.name, *c.words)).lower() for c in known}
        close = _nearest(text, names)
        by_code = {c.code: c.name for c in known}
        message = f"No container is called “{text}”. Nearest: {'; '.join(f'{c} {by_code[c]}' for c in close)}."
        raise Refused(message) from None


def the_lane_types(depot: Depot, text: str) -> tuple[LaneType, ...]:
    """Return the lane types ``text`` may mean: a code, a width, a family, or a machine and lane such as ``A0417 12``.

    Refuses an unknown one with the nearest three.
    """
    known = lane_types(depot)
    plain = " ".join(text.lower().replace("lane", " ").replace("tray", " ").split())
    spot = find_lane(depot, plain)
    if spot is not None:
        return tuple(t for t in known if t.code == spot.lane_type)
    try:
        return lane_types_named(plain or text, known)
    except Refused:
        close = _nearest(text, {t.code: f"{t.code} {t.family} {t.width_mm:g}".lower() for t in known})
        by_code = {t.code: t for t in known}
        offer = "; ".join(f"{c} ({by_code[c].family}, {by_code[c].width_mm:g} mm)" for c in close)
        message = f"No lane is called “{text}”. Nearest: {offer}. A width in mm, or machine and lane, works too."
        raise Refused(message) from None


def find_lane(depot: Depot, text: str) -> LaneRow | None:
    """Return the lane meant by ``ASSET LANE``, or None."""
    asset, _, number = text.strip().partition(" ")
    machine = find_machine(depot, asset) if number else None
    if machine is None:
        return None
    return next((x for x in lanes_of(depot, machine.asset) if x.lane.lower() == number.strip().lower()), None)


def _nearest(text: str, names: dict[str, str]) -> list[str]:
    """Return the three keys whose names are most like ``text``, whole words before letters."""
    scored = process.extract(text.lower(), names, scorer=fuzz.token_set_ratio, limit=3)
    return [key for _, _, key in scored]


def container_of(depot: Depot, item: Item) -> Container:
    """Return the container a drink comes in; refuses a drink that names none, or one that is not known."""
    if not item.container:
        message = f"{item.part_number} {item.description} names no container; set it on its card (Items, E)."
        raise Refused(message)
    found = next((c for c in containers(depot) if c.code == item.container.upper()), None)
    if found is None:
        message = f"{item.part_number} comes in {item.container}, which is not a container of this depot."
        raise Refused(message)
    return found


def machine_of(row: MachineRow) -> Machine:
    """Return a kept machine as the lane rules see it."""
    return Machine(row.asset, row.family, row.site, row.serial, row.round_name, row.stop)


def chart(rows: Iterable[LaneRow]) -> list[Lane]:
    """Return kept lanes as the lane rules see them."""
    return [
        Lane(
            asset=x.asset,
            lane=x.lane,
            shelf=x.shelf,
            position=x.position,
            lane_type=x.lane_type,
            selection=x.selection,
            part_number=x.part_number,
            container=x.container,
            fitted=x.fitted,
            capacity=x.capacity,
            count=x.count,
            changed_on=date.fromisoformat(x.changed_on) if x.changed_on else None,
        )
        for x in rows
    ]


def with_partners(rows: Sequence[LaneRow], chosen: Sequence[LaneRow], kind: LaneType) -> list[LaneRow]:
    """Return the chosen lanes of a machine, each once; of coupled ones the whole pair, next to each other."""
    if not kind.coupled:
        return list(dict.fromkeys(chosen))
    keys = dict.fromkeys(row.keyed for row in chosen)
    return [row for key in keys for row in rows if row.keyed == key]
