"""What each role may do. Flows and the ledger ask here; screens need not, so no screen can forget to.

A lead may do everything. What else may be done by whom is data: the setting ``may:DEED`` lists the roles, such as
``may:import`` = ``clerk``; ``lead`` keeps a deed to leads. Anyone may reverse a slip of their own on the day it was
posted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import ROLES, Operator
from partsbin.depot.refusals import note_afterwards
from partsbin.errors import Refused

DEEDS = {
    "adjust": "adjust stock beyond the limit",
    "reverse": "reverse slips of others, or of another day",
    "setpoints": "change set points",
    "retire": "retire items or places",
    "import": "import files",
    "restore": "restore a backup",
    "people": "change who works here and what they may do",
    "order": "place orders with suppliers",
    "catalogue": "change the catalogue, places or lane data",
}
_USUALLY = {"order": "clerk", "catalogue": "clerk"}
"""Who besides a lead, as long as the file says nothing else: a technician's part is the van."""

_VALUE_LIMIT, _QUANTITY_LIMIT = 10_000, 50


class Forbidden(Refused):
    """A role may not do this; written down."""


class _Moved(Protocol):
    @property
    def item_id(self) -> int: ...
    @property
    def quantity(self) -> int: ...


def may(depot: Depot, operator: Operator, deed: str) -> bool:
    """Say whether an operator may do a deed of ``DEEDS``, by the role the file has for them now."""
    role = depot.value("SELECT role FROM operators WHERE id = ? AND retired = 0", (operator.id,))
    return role == "lead" or (role in ROLES and role in _roles(depot, deed))


def _roles(depot: Depot, deed: str) -> list[str]:
    return (depot.setting(f"may:{deed}") or _USUALLY.get(deed, "")).replace(",", " ").split()


def require(depot: Depot, operator: Operator, deed: str, said: str = "") -> None:
    """Refuse a deed that an operator may not do, and write the refusal down."""
    if may(depot, operator, deed):
        return
    role = depot.value("SELECT role FROM operators WHERE id = ?", (operator.id,)) or operator.role
    message = said or f"{operator.initials} is a {role} here and may not {DEEDS[deed]}."
    message = f"{message} Ask a lead to do it or to sign on."
    note_afterwards(depot, operator, f"may not {deed}", message)
    raise Forbidden(message)


def require_adjustment(depot: Depot, operator: Operator, lines: Sequence[_Moved]) -> None:
    """Refuse a count or write-off beyond the limit: by value where costs are known, else by pieces."""
    if may(depot, operator, "adjust"):
        return
    value, pieces = _size(depot, lines)
    most_value = _limit(depot, "adjust_limit_value", _VALUE_LIMIT)
    most_pieces = _limit(depot, "adjust_limit_quantity", _QUANTITY_LIMIT)
    if value > most_value:
        amount = f"by {value / 100:,.2f}, more than the {most_value / 100:,.2f}"
    elif pieces > most_pieces:
        amount = f"by {pieces:,} pieces, more than the {most_pieces:,}"
    else:
        return
    require(depot, operator, "adjust", f"This changes stock {amount} that {operator.initials} may adjust alone.")


def _size(depot: Depot, lines: Sequence[_Moved]) -> tuple[int, int]:
    """Return (value in minor units of what has a cost, pieces of what has none)."""
    value = pieces = 0
    for line in lines:
        cost = depot.value(
            "SELECT cost FROM item_suppliers WHERE item_id = ? AND cost IS NOT NULL ORDER BY preferred DESC LIMIT 1",
            (line.item_id,),
        )
        if cost is None:
            pieces += line.quantity
        else:
            value += cost * line.quantity
    return value, pieces


def _limit(depot: Depot, key: str, usual: int) -> int:
    kept = depot.setting(key)
    return int(kept) if kept.isascii() and kept.isdigit() else usual


def require_reversal(depot: Depot, operator: Operator, slip: int) -> None:
    """Refuse to reverse somebody else's slip, or one of another day, to whoever is no lead."""
    row = depot.one("SELECT operator, posted_at FROM slips WHERE id = ?", (slip,))
    if row is not None and row["operator"] == operator.id:
        zone = depot.zone
        if clock.local_time(row["posted_at"], zone).date() == clock.local_time(clock.now(), zone).date():
            return
    require(depot, operator, "reverse")
