"""Machines in the field and their lane charts: what stands in every lane, and what is fitted there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from rapidfuzz import fuzz, process

from partsbin.depot.file import Depot, Row, Value
from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class MachineRow:
    """A machine: asset number, family, site, serial, its stop in a round, and the van that fills it (id, or None)."""

    asset: str
    family: str
    site: str = ""
    serial: str = ""
    round_name: str = ""
    stop: int = 0
    van: int | None = None
    van_code: str = ""


@dataclass(frozen=True, slots=True)
class LaneRow:
    """One lane as kept. ``fitted`` are (part number, quantity); ``count`` None means nobody counted it."""

    asset: str
    lane: str
    selection: str
    shelf: int
    position: int
    lane_type: str
    item_id: int | None
    part_number: str
    description: str
    container: str
    capacity: int
    count: int | None
    changed_on: str
    fitted: tuple[tuple[str, int], ...] = ()

    @property
    def keyed(self) -> str:
        """The selection, which is the lane's own number unless the lane is coupled."""
        return self.selection or self.lane


_MACHINES = (
    "SELECT m.asset, m.family, m.site, m.serial, m.round, m.stop, m.van, ifnull(p.code, '') "
    "FROM machines m LEFT JOIN places p ON p.id = m.van"
)


def machines(depot: Depot) -> list[MachineRow]:
    """Return every machine, round by round in the order of the stops."""
    return [_machine(row) for row in depot.all(f"{_MACHINES} ORDER BY m.round, m.stop, m.asset")]


def _machine(row: Row) -> MachineRow:
    return MachineRow(*tuple(row))


def find_machine(depot: Depot, text: str) -> MachineRow | None:
    """Return the machine with this asset number or serial, or None."""
    row = depot.one(
        f"{_MACHINES} WHERE m.asset = :text OR (m.serial <> '' AND m.serial = :text) ORDER BY m.asset <> :text",
        {"text": text.strip()},
    )
    return _machine(row) if row else None


def the_machine(depot: Depot, text: str) -> MachineRow:
    """Return the machine called ``text``: asset number, serial, or words of its site that fit only one.

    Refuses an unknown one with the nearest three.
    """
    found = find_machine(depot, text)
    if found is not None:
        return found
    listed = machines(depot)
    by_site = [m for m in listed if text.strip() and text.strip().lower() in m.site.lower()]
    if len(by_site) == 1:
        return by_site[0]
    names = {m.asset: f"{m.asset} {m.site}".lower() for m in by_site or listed}
    close = [key for _, _, key in process.extract(text.lower(), names, scorer=fuzz.WRatio, limit=3)]
    offer = "; ".join(f"{m.asset} {m.site}" for m in listed if m.asset in close)
    message = f"There is no machine “{text}”." + (f" Nearest: {offer}." if offer else " Import machines first.")
    raise Refused(message)


_LANES = (
    "SELECT l.asset, l.lane, l.selection, l.shelf, l.position, l.lane_type, l.item_id, ifnull(i.part_number, ''), "
    "ifnull(i.description, ''), ifnull(l.container, ''), l.capacity, l.count, l.changed_on "
    "FROM lanes l LEFT JOIN items i ON i.id = l.item_id"
)


def lanes_of(depot: Depot, asset: str) -> list[LaneRow]:
    """Return a machine's lanes, shelf by shelf from the top, left to right."""
    rows = depot.all(f"{_LANES} WHERE l.asset = ? ORDER BY l.shelf, l.position", (asset,))
    return _with_parts(depot, rows, "WHERE f.asset = ?", (asset,))


def all_lanes(depot: Depot) -> list[LaneRow]:
    """Return the lanes of every machine, by asset, shelf and position."""
    return _with_parts(depot, depot.all(f"{_LANES} ORDER BY l.asset, l.shelf, l.position"), "", ())


def _with_parts(depot: Depot, rows: Sequence[Row], where: str, values: tuple[str, ...]) -> list[LaneRow]:
    fitted: dict[tuple[str, str], list[tuple[str, int]]] = {}
    sql = (
        "SELECT f.asset, f.lane, i.part_number, f.quantity FROM lane_parts f JOIN items i ON i.id = f.item_id "
        f"{where} ORDER BY f.asset, f.lane, i.part_number"
    )
    for asset, lane, part, quantity in depot.all(sql, values):
        fitted.setdefault((asset, lane), []).append((part, quantity))
    return [replace(LaneRow(*tuple(row)), fitted=tuple(fitted.get((row["asset"], row["lane"]), ()))) for row in rows]


def put_machine(depot: Depot, values: Mapping[str, Value]) -> None:
    """Write a machine, or bring the one with this asset number up to date. Call inside ``write()``."""
    depot.run(
        "INSERT INTO machines (asset, family, site, serial, round, stop, van) "
        "VALUES (:asset, :family, :site, :serial, :round, :stop, :van) ON CONFLICT DO UPDATE SET "
        "family = excluded.family, site = excluded.site, serial = excluded.serial, round = excluded.round, "
        "stop = excluded.stop, van = excluded.van",
        dict(values),
    )


def put_lane(depot: Depot, values: Mapping[str, Value], fitted: Iterable[tuple[int, int]]) -> None:
    """Write a lane, or bring it up to date; ``fitted`` are (item id, quantity). Call inside ``write()``."""
    depot.run(
        "INSERT INTO lanes (asset, lane, selection, shelf, position, lane_type, item_id, container, capacity, count, "
        "changed_on) VALUES (:asset, :lane, :selection, :shelf, :position, :lane_type, :item_id, :container, "
        ":capacity, :count, :changed_on) ON CONFLICT (asset, lane) DO UPDATE SET selection = excluded.selection, "
        "shelf = excluded.shelf, position = excluded.position, lane_type = excluded.lane_type, "
        "item_id = excluded.item_id, container = excluded.container, capacity = excluded.capacity, "
        "count = excluded.count, changed_on = excluded.changed_on",
        dict(values),
    )
    key = (str(values["asset"]), str(values["lane"]))
    depot.run("DELETE FROM lane_parts WHERE asset = ? AND lane = ?", key)
    for item_id, quantity in fitted:
        depot.run("INSERT INTO lane_parts VALUES (?,?,?,?)", (*key, item_id, quantity))


def set_lane_count(depot: Depot, asset: str, lane: str, count: int | None) -> None:
    """Keep what a lane holds now; None when nobody knows. Refuses more than it can hold."""
    with depot.write():
        capacity = depot.value("SELECT capacity FROM lanes WHERE asset = ? AND lane = ?", (asset, lane))
        if capacity is None or (count is not None and not 0 <= count <= capacity):
            message = f"Lane {lane} of {asset} holds 0 to {capacity or 0}, not {count}; count it again."
            raise Refused(message)
        depot.run("UPDATE lanes SET count = ? WHERE asset = ? AND lane = ?", (count, asset, lane))


def set_van(depot: Depot, asset: str, van: int | None) -> None:
    """Say which van fills a machine."""
    with depot.write():
        depot.run("UPDATE machines SET van = ? WHERE asset = ?", (van, asset))
