"""What a rule stopped, written down in a chain of its own: the count plan and the lead look here."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from contextlib import suppress

from partsbin.depot import clock
from partsbin.depot.file import Depot, Row
from partsbin.depot.operators import Operator
from partsbin.depot.plain_text import plain
from partsbin.errors import Refused

BIN_SHORT = "bin held less than the file says"
"""What a pick that found less than it should is written down as: the count plan asks for the bin."""

_COLUMNS = "id, at, operator, what, item_id, place_id, message"


def note_refusal(
    depot: Depot,
    operator: Operator | None,
    what: str,
    message: str,
    item_id: int | None = None,
    place_id: int | None = None,
) -> None:
    """Write down what a rule stopped."""
    with depot.write():
        last = depot.one("SELECT id, hash FROM refusals ORDER BY id DESC LIMIT 1")
        number, previous = (last["id"] + 1, last["hash"]) if last else (1, "")
        row = (number, clock.now(), operator.id if operator else None, plain(what), item_id, place_id, plain(message))
        depot.run(
            f"INSERT INTO refusals ({_COLUMNS}, hash) VALUES (?,?,?,?,?,?,?,?)", (*row, refusal_hash(previous, row))
        )


def note_afterwards(depot: Depot, operator: Operator | None, what: str, message: str) -> None:
    """Write down what was refused once the present transaction has ended: what it began is undone, the note is not."""

    def note() -> None:
        with suppress(Refused):  # what was refused stays refused, should the disk be full
            note_refusal(depot, operator, what, message)

    depot.afterwards(note)


def refusal_hash(previous: str, row: Sequence[object]) -> str:
    """Return the SHA-256 that ties a refusal to the one before."""
    return hashlib.sha256(json.dumps([previous, *row], separators=(",", ":")).encode()).hexdigest()


def refusals(depot: Depot, limit: int = 100) -> list[Row]:
    """Return the latest refusals with the initials of who was stopped, newest first."""
    return depot.all(
        "SELECT r.at, ifnull(o.initials, '') AS initials, r.what, r.message FROM refusals r "
        "LEFT JOIN operators o ON o.id = r.operator ORDER BY r.id DESC LIMIT ?",
        (limit,),
    )


def chain_faults(depot: Depot) -> Iterator[str]:
    """Name the first refusal that does not follow from the one before; those from before the chain have no hash."""
    if depot.value("SELECT 1 FROM pragma_table_info('refusals') WHERE name = 'hash'") is None:
        return  # a backup of an edition before the chain
    previous = ""
    for row in depot.connection.execute(f"SELECT {_COLUMNS}, hash FROM refusals ORDER BY id"):
        if (row["hash"] or previous) and refusal_hash(previous, tuple(row)[:-1]) != row["hash"]:
            yield f"refusal {row['id']}: the list of refusals breaks here; it was changed or shortened by hand"
            return
        previous = row["hash"]
