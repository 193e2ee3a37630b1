"""Bins, vans, drawers and the outside places: codes, walking order, finding."""

from __future__ import annotations

import re
from dataclasses import dataclass

from partsbin.depot.file import Depot, Row
from partsbin.errors import Refused

_BIN = re.compile(r"([A-Z]{1,2})-?(\d{2})-?(\d{2})-?(\d{1,2})", re.IGNORECASE)
_NOT_PLAIN = re.compile(r"[^0-9A-Z]")
PHYSICAL = ("bin", "van", "drawer")
_FOREIGN_WALK = 10**9


@dataclass(frozen=True, slots=True)
class Place:
    """Where stock can be, or come from and go to."""

    id: int
    code: str
    kind: str
    name: str = ""
    parent: int | None = None
    zone: str = ""
    walk: int = 0
    retired: bool = False

    @property
    def physical(self) -> bool:
        """Whether stock there can be touched, and so never goes below zero."""
        return self.kind in PHYSICAL


def scan_code(code: str) -> str:
    """Return what a label encodes for a place: upper case, letters and digits only, all of a bin (``A030702``)."""
    parts = bin_parts(code)
    if parts is not None:
        aisle, bay, level, position = parts
        return f"{aisle}{bay:02d}{level:02d}{position:02d}"
    return _NOT_PLAIN.sub("", code.upper())


def bin_parts(code: str) -> tuple[str, int, int, int] | None:
    """Read aisle, bay, level and position from ``A-03-07-2`` or ``A030702``; None for any other code."""
    match = _BIN.fullmatch(code.strip())
    if match is None:
        return None
    aisle, bay, level, position = match.groups()
    return aisle.upper(), int(bay), int(level), int(position)


def printed_bin(code: str) -> str:
    """Return a bin code as printed (``A-03-07-2``); any other code comes back trimmed and in upper case."""
    parts = bin_parts(code)
    if parts is None:
        return code.strip().upper()
    aisle, bay, level, position = parts
    return f"{aisle}-{bay:02d}-{level:02d}-{position}"


def walk_order(code: str) -> int:
    """Return where a bin comes on a walk: aisle by aisle, up one and down the next, low levels first.

    Codes of another style walk last, among themselves by name.
    """
    parts = bin_parts(code)
    if parts is None:
        return _FOREIGN_WALK
    aisle, bay, level, position = parts
    row = 0
    for letter in aisle:
        row = row * 26 + ord(letter) - ord("A") + 1
    along = bay if row % 2 else 99 - bay
    return ((row * 100 + along) * 100 + level) * 100 + position


def _place(row: Row) -> Place:
    return Place(
        row["id"],
        row["code"],
        row["kind"],
        row["name"],
        row["parent"],
        row["zone"],
        row["walk"],
        bool(row["retired"]),
    )


def place_by_id(depot: Depot, place_id: int) -> Place:
    """Return a place known to exist."""
    row = depot.one("SELECT * FROM places WHERE id = ?", (place_id,))
    if row is None:
        message = f"place number {place_id} is not in this depot"
        raise Refused(message)
    return _place(row)


def find_place(depot: Depot, text: str) -> Place | None:
    """Return the place whose printed or encoded code is ``text``, in any case, or None."""
    code = text.strip()
    row = depot.one("SELECT * FROM places WHERE code = ? OR scan = ?", (printed_bin(code), scan_code(code) or " "))
    row = row or depot.one("SELECT * FROM places WHERE code = ?", (code,))
    return _place(row) if row else None


def the_place(depot: Depot, text: str, *, kinds: tuple[str, ...] = ()) -> Place:
    """Return the place called ``text``; refuses an unknown one with the nearest three, and one of the wrong kind."""
    place = find_place(depot, text)
    if place is None:
        message = f"There is no place “{text}”.{_nearest(depot, text, kinds)}"
        raise Refused(message)
    if kinds and place.kind not in kinds:
        message = f"{place.code} is a {place.kind}, not a {' or '.join(kinds)}.{_nearest(depot, text, kinds)}"
        raise Refused(message)
    if place.retired:
        message = f"{place.code} is retired; choose another place."
        raise Refused(message)
    return place


def nearest_places(depot: Depot, text: str, kinds: tuple[str, ...] = PHYSICAL) -> list[str]:
    """Return the three codes most like ``text`` among the places of these kinds, fewer where there are fewer."""
    from rapidfuzz import fuzz, process  # here, or every start of the program would wait for it

    marks = ",".join("?" * len(kinds))
    codes = [
        row["code"] for row in depot.all(f"SELECT code FROM places WHERE kind IN ({marks}) AND retired = 0", kinds)
    ]
    return [code for code, _, _ in process.extract(text.upper(), codes, scorer=fuzz.ratio, limit=3)]


def _nearest(depot: Depot, text: str, kinds: tuple[str, ...]) -> str:
    close = nearest_places(depot, text, kinds or PHYSICAL)
    return f" Nearest: {', '.join(close)}." if close else " There are none yet: import places, or add one."


def outside(depot: Depot, kind: str) -> Place:
    """Return the outside place of a kind: supplier, job, scrap, count-difference; also ``shelf``."""
    row = depot.one("SELECT * FROM places WHERE kind = ? ORDER BY id LIMIT 1", (kind,))
    if row is None:
        message = f"this depot has lost its {kind} place; run “partsbin check”"
        raise Refused(message)
    return _place(row)


def add_place(depot: Depot, code: str, kind: str, *, name: str = "", parent: str = "", zone: str = "") -> Place:
    """Add a place, or bring the name and zone of the one with this code up to date.

    Refuses a code whose encoded form another place has, and a drawer without its van.
    """
    printed = printed_bin(code) if kind == "bin" else code.strip().upper()
    parts = bin_parts(printed) if kind == "bin" else None
    with depot.write():
        parent_id = the_place(depot, parent, kinds=("van",)).id if parent else None
        twin = depot.value("SELECT code FROM places WHERE scan = ? AND code <> ?", (scan_code(printed), printed))
        if twin:
            message = f"“{printed}” would scan like {twin}; give it another code."
            raise Refused(message)
        if (kind == "drawer") != bool(parent):
            message = f"{printed}: a drawer belongs to a van, and only a drawer does; say which van is its parent."
            raise Refused(message)
        depot.run(
            "INSERT INTO places (code, scan, kind, name, parent, zone, aisle, bay, walk) VALUES (?,?,?,?,?,?,?,?,?) "
            "ON CONFLICT (code) DO UPDATE SET name = excluded.name, zone = excluded.zone",
            (
                printed,
                scan_code(printed),
                kind,
                name,
                parent_id,
                zone,
                parts[0] if parts else "",
                parts[1] if parts else 0,
                walk_order(printed) if kind == "bin" else _FOREIGN_WALK,
            ),
        )
    return the_place(depot, printed)


def places_of(depot: Depot, *kinds: str) -> list[Place]:
    """Return the places of these kinds that are in use, in walking order; VAN4 comes before VAN12."""
    marks = ",".join("?" * len(kinds))
    rows = depot.all(f"SELECT * FROM places WHERE kind IN ({marks}) AND retired = 0", kinds)
    return sorted(map(_place, rows), key=lambda place: (place.walk, _by_figures(place.code)))


def _by_figures(code: str) -> list[tuple[int, str]]:
    return [(int(part), "") if part.isdecimal() else (0, part) for part in re.split(r"(\d+)", code)]


def aboard(depot: Depot, van: Place) -> list[int]:
    """Return the ids of a van and its drawers: all that rides with it."""
    return [van.id, *(row["id"] for row in depot.all("SELECT id FROM places WHERE parent = ?", (van.id,)))]
