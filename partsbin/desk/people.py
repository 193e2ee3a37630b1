"""Who works here: signing on, adding people, their roles, badges and PINs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from partsbin.depot.file import Depot
from partsbin.depot.operators import ROLES, Operator, pin_hash, signed_on, the_operator
from partsbin.depot.rights import require
from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class Person:
    """Someone who works here, as the list shows them."""

    initials: str
    name: str
    role: str
    badge: str
    van: str
    has_pin: bool
    locked_until: str


def people(depot: Depot) -> list[Person]:
    """Return everybody who works here, by initials."""
    rows = depot.all(
        "SELECT o.initials, o.name, o.role, ifnull(o.badge, ''), ifnull(p.code, ''), o.pin_hash <> '', o.locked_until "
        "FROM operators o LEFT JOIN places p ON p.id = o.van WHERE o.retired = 0 ORDER BY o.initials"
    )
    return [Person(row[0], row[1], row[2], row[3], row[4], bool(row[5]), row[6]) for row in rows]


def must_sign_on(depot: Depot) -> bool:
    """Say whether somebody must say who they are: where several work here and a PIN is set, or the setting asks it."""
    if depot.setting("sign_on") == "yes":
        return True
    count, pins = tuple(depot.one("SELECT count(*), sum(pin_hash <> '') FROM operators WHERE retired = 0") or (0, 0))
    return count > 1 and bool(pins)


def at_desk(depot: Depot, initials: str, ask_pin: Callable[[Operator], str]) -> Operator:
    """Return who is at the desk; asks for the PIN of somebody who has one.

    Without initials it is the first lead, unless the setting ``sign_on`` is yes: then it is refused.
    """
    if not initials and depot.setting("sign_on") == "yes":
        message = "Say who you are: --operator INITIALS, or PARTSBIN_OPERATOR."
        raise Refused(message)
    operator = the_operator(depot, initials)
    return signed_on(depot, operator.initials, ask_pin(operator)) if operator.has_pin else operator


def add_person(
    depot: Depot, by: Operator, initials: str, name: str = "", *, role: str = "clerk", badge: str = ""
) -> Operator:
    """Add somebody; refuses initials or a badge already taken."""
    short = initials.strip().upper()
    if not (short.isalnum() and len(short) <= 8):
        message = f"“{initials}” are no initials: up to 8 letters and digits, such as KM."
        raise Refused(message)
    _require_role(role)
    with depot.write():
        require(depot, by, "people")
        if depot.value("SELECT 1 FROM operators WHERE initials = ?", (short,)):
            message = f"{short} are the initials of somebody here, or of somebody who was; choose others."
            raise Refused(message)
        depot.run("INSERT INTO operators (initials, name, role) VALUES (?,?,?)", (short, name.strip(), role))
        if badge:
            set_badge(depot, by, short, badge)
    return the_operator(depot, short)


def set_role(depot: Depot, by: Operator, initials: str, role: str) -> Operator:
    """Give somebody another role; refuses to leave the depot without a lead."""
    _require_role(role)
    with depot.write():
        require(depot, by, "people")
        operator = the_operator(depot, initials)
        if role != "lead":
            _require_other_lead(depot, operator)
        depot.run("UPDATE operators SET role = ? WHERE id = ?", (role, operator.id))
    return the_operator(depot, initials)


def set_badge(depot: Depot, by: Operator, initials: str, badge: str) -> Operator:
    """Give somebody a badge, or none with the empty text; refuses one that somebody else wears."""
    worn = badge.strip()
    if not worn.isprintable() or len(worn) > 40:
        message = "A badge is up to 40 printable characters."
        raise Refused(message)
    with depot.write():
        require(depot, by, "people")
        operator = the_operator(depot, initials)
        other = depot.value("SELECT initials FROM operators WHERE badge = ? AND id <> ?", (worn, operator.id))
        if worn and other:
            message = f"Badge {worn} is {other}'s; give {operator.initials} another."
            raise Refused(message)
        depot.run("UPDATE operators SET badge = ? WHERE id = ?", (worn or None, operator.id))
    return the_operator(depot, initials)


def set_pin(depot: Depot, by: Operator, initials: str, pin: str) -> Operator:
    """Set somebody's PIN, or take it away with the empty text; a wait after wrong PINs ends with it.

    A lead sets anybody's; who has signed on may set their own anew, but not take it away.
    """
    kept = pin_hash(pin) if pin else ""
    with depot.write():
        operator = the_operator(depot, initials)
        if operator.id != by.id or not pin:
            require(depot, by, "people")
        depot.run("UPDATE operators SET pin_hash = ?, failed = 0, locked_until = '' WHERE id = ?", (kept, operator.id))
    return the_operator(depot, initials)


def retire_person(depot: Depot, by: Operator, initials: str) -> None:
    """Let somebody go: they sign on no more, their slips keep their name; refuses the last lead."""
    with depot.write():
        require(depot, by, "people")
        operator = the_operator(depot, initials)
        _require_other_lead(depot, operator)
        depot.run("UPDATE operators SET retired = 1, badge = NULL, pin_hash = '' WHERE id = ?", (operator.id,))


def _require_role(role: str) -> None:
    if role not in ROLES:
        message = f"“{role}” is not a role; roles are {', '.join(ROLES)}."
        raise Refused(message)


def _require_other_lead(depot: Depot, operator: Operator) -> None:
    if not depot.value("SELECT 1 FROM operators WHERE role = 'lead' AND retired = 0 AND id <> ?", (operator.id,)):
        message = f"{operator.initials} is the only lead; make somebody else a lead first."
        raise Refused(message)
