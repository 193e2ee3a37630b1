"""Counts as kept: what a place was found to hold, when, by whom, and whether the file had said so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place


@dataclass(frozen=True, slots=True)
class Tally:
    """One item and lot as counted, base units, beside what the file said."""

    item_id: int
    lot_id: int | None
    expected: int
    counted: int


@dataclass(frozen=True, slots=True)
class PlaceCount:
    """A bin or van: how many holdings it has, and when it was last counted (empty: never)."""

    code: str
    holdings: int
    last: str


def note_count(depot: Depot, place: Place, tallies: Sequence[Tally], *, operator: Operator, slip: int | None) -> int:
    """Keep a count of a place, with or without differences; returns its number. Call inside ``write()``."""
    hits = sum(1 for tally in tallies if tally.expected == tally.counted)
    cursor = depot.run(
        "INSERT INTO counts (place_id, counted_at, operator, slip_id, lines, hits) VALUES (?,?,?,?,?,?)",
        (place.id, clock.now(), operator.id, slip, len(tallies), hits),
    )
    count = int(cursor.lastrowid or 0)
    depot.connection.executemany(
        "INSERT INTO count_lines VALUES (?,?,?,?,?)",
        [(count, tally.item_id, tally.lot_id or 0, tally.expected, tally.counted) for tally in tallies],
    )
    return count


_PLACES = """
WITH last AS (SELECT place_id, max(counted_at) AS at FROM counts GROUP BY place_id),
     held AS (SELECT place_id, count(*) AS holdings FROM stock WHERE quantity <> 0 GROUP BY place_id)
SELECT p.code, ifnull(h.holdings, 0), ifnull(l.at, '')
FROM places p LEFT JOIN last l ON l.place_id = p.id LEFT JOIN held h ON h.place_id = p.id
WHERE p.physical = 1 AND p.retired = 0 AND (h.holdings IS NOT NULL OR l.at IS NOT NULL)
ORDER BY l.at IS NOT NULL, l.at, p.walk, p.code
"""


def places_by_count(depot: Depot) -> list[PlaceCount]:
    """Return places that hold something or were counted: never counted ones in walking order, then the longest ago."""
    return [PlaceCount(*tuple(row)) for row in depot.all(_PLACES)]
