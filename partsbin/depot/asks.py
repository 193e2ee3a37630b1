"""Requests as kept: the words, the lines read out of them, what was promised and is still owed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class Asked:
    """One line to keep: the words, and what they were taken to mean."""

    text: str
    item_id: int | None
    quantity: int | None
    promised: bool = False


@dataclass(frozen=True, slots=True)
class Owed:
    """A promised line not yet supplied in full."""

    id: int
    request_id: int
    asked_at: str
    van: str
    job: str
    item_id: int
    part_number: str
    description: str
    quantity: int
    supplied: int

    @property
    def due(self) -> int:
        """What is still owed."""
        return self.quantity - self.supplied


def keep_request(
    depot: Depot,
    text: str,
    lines: Sequence[Asked],
    *,
    operator: Operator,
    van: int | None = None,
    job: str = "",
    site: str = "",
) -> int:
    """Keep a request and its lines; returns its number."""
    with depot.write():
        cursor = depot.run(
            "INSERT INTO requests (asked_at, text, van, job, site, operator) VALUES (?,?,?,?,?,?)",
            (clock.now(), text.strip(), van, job.strip(), site.strip(), operator.id),
        )
        request = int(cursor.lastrowid or 0)
        for number, line in enumerate(lines, 1):
            depot.run(
                "INSERT INTO request_lines (request_id, line, text, item_id, quantity, status) VALUES (?,?,?,?,?,?)",
                (
                    *(request, number, line.text.strip(), line.item_id, line.quantity),
                    "promised" if line.promised else "asked",
                ),
            )
    return request


def owed(depot: Depot, *, van: int | None = None) -> list[Owed]:
    """Return the promised lines not yet supplied, oldest first; of one van, or of all."""
    where = " AND r.van = ?" if van is not None else ""
    rows = depot.all(
        "SELECT l.id, r.id, r.asked_at, ifnull(p.code, ''), r.job, l.item_id, i.part_number, i.description, "
        "l.quantity, l.supplied FROM request_lines l JOIN requests r ON r.id = l.request_id "
        "JOIN items i ON i.id = l.item_id "
        f"LEFT JOIN places p ON p.id = r.van WHERE l.status = 'promised'{where} ORDER BY r.asked_at, l.id",
        (van,) if van is not None else (),
    )
    return [Owed(*tuple(row)) for row in rows]


def withdraw(depot: Depot, line_id: int) -> None:
    """Take back a promise: the line is no longer owed."""
    with depot.write():
        cursor = depot.run(
            "UPDATE request_lines SET status = 'withdrawn' WHERE id = ? AND status IN ('asked', 'promised')", (line_id,)
        )
        if not cursor.rowcount:
            message = "This line is already supplied or withdrawn."
            raise Refused(message)


def promise(depot: Depot, line_id: int, item_id: int, quantity: int) -> None:
    """Promise a line that was only asked: Monday's report counts it from now on."""
    with depot.write():
        depot.run(
            "UPDATE request_lines SET status = 'promised', item_id = ?, quantity = ? WHERE id = ? AND status = 'asked'",
            (item_id, quantity, line_id),
        )
