"""Proving a depot: every stock figure recomputed from the moves, the file's own checks, the chain of slips."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import cache
from itertools import groupby
from pathlib import Path

from partsbin.depot import migrations
from partsbin.depot.faults import sentence
from partsbin.depot.file import Depot, Row
from partsbin.depot.ledger import slip_hash
from partsbin.depot.refusals import chain_faults

_DIFFERENCES = """
SELECT i.part_number, p.code, d.kept, d.summed FROM (
  SELECT item_id, place_id, sum(kept) AS kept, sum(summed) AS summed FROM (
    SELECT item_id, place_id, lot_id, quantity AS kept, 0 AS summed FROM stock
    UNION ALL
    SELECT item_id, to_place, ifnull(lot_id, 0), 0, quantity FROM moves
    UNION ALL
    SELECT item_id, from_place, ifnull(lot_id, 0), 0, -quantity FROM moves)
  GROUP BY item_id, place_id, lot_id
  HAVING sum(kept) <> sum(summed)) d
LEFT JOIN items i ON i.id = d.item_id LEFT JOIN places p ON p.id = d.place_id
ORDER BY i.part_number, p.code
"""

_TRIGGERS = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
_SLIPS = "SELECT id, kind, posted_at, operator, reference, reason, reverses, previous, hash FROM slips ORDER BY id"
_MOVES = (
    "SELECT slip_id, line, item_id, lot_id, serial_id, from_place, to_place, quantity, entered FROM moves "
    "ORDER BY slip_id, line"
)


def differences(depot: Depot, progress: Callable[[str], None] = lambda _what: None) -> list[str]:
    """Return every difference found, one sentence each; an empty list proves the file.

    ``progress`` is told what is being looked at, and may raise to stop the check.
    """
    found: list[str] = []
    for what, look in (
        ("the file", _file_faults),
        ("the file's triggers", _trigger_faults),
        ("stock against moves", _stock_faults),
        ("places below zero", _negatives),
        ("the chain of slips", _chain_faults),
        ("the list of refusals", chain_faults),
        ("orders and promises", _counter_faults),
    ):
        progress(what)
        found += _looked(what, look, depot)
    return found


def _looked(what: str, look: Callable[[Depot], Iterator[str]], depot: Depot) -> list[str]:
    """Take one look; where the file is too damaged to be read, that is what was found."""
    found: list[str] = []
    try:
        found.extend(look(depot))
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:
        if isinstance(error, sqlite3.OperationalError) and sentence(error, depot.path):
            raise  # a disk that does not answer is no damage of the file
        found.append(f"{what}: part of the file cannot be read; bring a backup back with “partsbin restore”")
    return found


def _file_faults(depot: Depot) -> Iterator[str]:
    faults = [row[0] for row in depot.all("PRAGMA integrity_check(100)") if row[0] != "ok"]
    if faults:
        count = sum(len(fault.splitlines()) for fault in faults)
        yield f"the file is damaged inside ({count} faults): bring a backup back with “partsbin restore”"
    for row in depot.all("PRAGMA foreign_key_check"):
        yield f"{row['table']} row {row['rowid']} points to a missing row of {row['parent']}"


def _trigger_faults(depot: Depot) -> Iterator[str]:
    """Name the triggers that are not as the program writes them: without them posted moves can be changed by hand."""
    theirs, ours = set(map(tuple, depot.all(_TRIGGERS))), _own_triggers(tuple(migrations.known()))
    if names := ", ".join(sorted({name for name, _ in theirs ^ ours})):
        yield f"triggers missing, changed or added: {names}; somebody opened the file past the program"


@cache
def _own_triggers(_changes: tuple[Path, ...]) -> frozenset[tuple[str, str]]:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
        migrations.apply(fresh)
        return frozenset(fresh.execute(_TRIGGERS).fetchall())


def _stock_faults(depot: Depot) -> Iterator[str]:
    for row in depot.all(_DIFFERENCES):
        part, place, kept, summed = tuple(row)
        yield f"{part} at {place}: the file says {kept}, its moves add up to {summed}"


def _negatives(depot: Depot) -> Iterator[str]:
    sql = (
        "SELECT i.part_number, p.code, s.quantity FROM stock s JOIN items i ON i.id = s.item_id "
        "JOIN places p ON p.id = s.place_id WHERE s.quantity < 0 AND p.physical = 1"
    )
    for row in depot.all(sql):
        yield f"{row[0]} at {row[1]}: {row[2]} is below zero"


def _chain_faults(depot: Depot) -> Iterator[str]:
    """Name the first slip whose hash does not follow from its content and the slip before."""
    cursor = depot.connection.execute(_MOVES)
    grouped = groupby(cursor, key=_slip_of)
    pending = next(grouped, None)
    previous, expected = "", 1
    for slip in depot.connection.execute(_SLIPS):
        while pending is not None and pending[0] < slip["id"]:
            yield f"moves of slip {pending[0]}: the slip itself is missing"
            pending = next(grouped, None)
        lines: list[tuple[object, ...]] = []
        if pending is not None and pending[0] == slip["id"]:
            lines = [tuple(move)[1:] for move in pending[1]]
            pending = next(grouped, None)
        broken = slip["id"] != expected or slip["previous"] != previous
        if broken or slip_hash(previous, tuple(slip)[:7], lines) != slip["hash"]:
            yield f"slip {min(expected, slip['id'])}: the chain of slips breaks here; it was changed or removed by hand"
            return
        previous, expected = slip["hash"], slip["id"] + 1


def _slip_of(move: Row) -> int:
    return int(move["slip_id"])


def _counter_faults(depot: Depot) -> Iterator[str]:
    for table, column, link, base in (
        ("order_lines", "received", "order_line", "t.received_before"),
        ("request_lines", "supplied", "request_line", "0"),
    ):
        sql = (
            f"SELECT t.id, t.{column} AS kept, {base} + ifnull(m.total, 0) AS summed FROM {table} t LEFT JOIN ("
            f"  SELECT v.{link} AS id, sum(iif(s.reverses IS NULL, v.quantity, -v.quantity)) AS total"
            f"  FROM moves v JOIN slips s ON s.id = v.slip_id WHERE v.{link} IS NOT NULL GROUP BY v.{link}"
            f") m ON m.id = t.id WHERE kept <> summed"
        )
        for row in depot.all(sql):
            yield f"{table} {row['id']}: {column} {row['kept']}, its moves add up to {row['summed']}"
