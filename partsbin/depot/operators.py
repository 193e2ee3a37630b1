"""The people: who is at the desk, and what their role may do."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.file import Depot, Row
from partsbin.errors import Refused

ROLES = ("clerk", "technician", "lead")


@dataclass(frozen=True, slots=True)
class Operator:
    """Someone who posts slips."""

    id: int
    initials: str
    name: str
    role: str
    van: int | None = None


def _operator(row: Row) -> Operator:
    return Operator(row["id"], row["initials"], row["name"], row["role"], row["van"])


def the_operator(depot: Depot, initials: str = "") -> Operator:
    """Return the operator with these initials; without initials, the first lead.

    Refuses initials nobody has, naming who there is.
    """
    if initials:
        row = depot.one("SELECT * FROM operators WHERE initials = ? AND retired = 0", (initials.strip(),))
    else:
        row = depot.one("SELECT * FROM operators WHERE retired = 0 ORDER BY role = 'lead' DESC, id LIMIT 1")
    if row is None:
        known = ", ".join(operator.initials for operator in operators(depot))
        message = f"Nobody here has the initials “{initials}”. Known: {known or 'nobody yet'}."
        raise Refused(message)
    return _operator(row)


def by_badge(depot: Depot, badge: str) -> Operator | None:
    """Return the operator who wears this badge, or None."""
    row = depot.one("SELECT * FROM operators WHERE badge = ? AND retired = 0", (badge.strip(),))
    return _operator(row) if row else None


def operators(depot: Depot) -> list[Operator]:
    """Return everybody, by initials."""
    return [_operator(row) for row in depot.all("SELECT * FROM operators WHERE retired = 0 ORDER BY initials")]
