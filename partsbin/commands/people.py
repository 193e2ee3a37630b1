"""Who works here: the list, and adding people, their roles, badges and PINs."""

from __future__ import annotations

import argparse

from partsbin.commands.files import Add
from partsbin.commands.session import Session, ask_secret, table
from partsbin.depot.file import Depot
from partsbin.depot.operators import ROLES, Operator
from partsbin.depot.refusals import refusals
from partsbin.desk import people as desk
from partsbin.errors import Refused

_DEEDS = ("list", "add", "role", "badge", "pin", "retire", "refusals")


def add(command: Add) -> None:
    """Declare the command."""
    people = command(
        "people", people_, "who works here: list, add, role, badge, pin, retire; refusals: what was stopped"
    )
    people.add_argument("deed", choices=_DEEDS, nargs="?", default="list")
    people.add_argument("initials", metavar="INITIALS", nargs="?", default="")
    people.add_argument("value", metavar="VALUE", nargs="?", default="", help="the name, role or badge")
    people.add_argument("--role", choices=ROLES, default="clerk", help="with add")
    people.add_argument("--badge", metavar="BADGE", default="", help="with add")
    people.add_argument("--clear", action="store_true", help="with pin: take the PIN away")


def people_(session: Session, options: argparse.Namespace) -> int:
    """List who works here, or change it."""
    with session.open() as depot:
        if options.deed == "refusals":
            return _refusals(session, depot)
        if options.deed != "list":
            if not options.initials:
                message = f"people {options.deed} needs INITIALS."
                raise Refused(message)
            _change(depot, session.operator(depot), options)
        found = desk.people(depot)
    document = [
        {"initials": p.initials, "name": p.name, "role": p.role, "badge": p.badge, "van": p.van, "pin": p.has_pin}
        for p in found
    ]
    rows = [(p.initials, p.name, p.role, p.badge, p.van, "yes" if p.has_pin else "") for p in found]
    return session.answer(document, table(("INITIALS", "NAME", "ROLE", "BADGE", "VAN", "PIN"), rows))


def _change(depot: Depot, by: Operator, options: argparse.Namespace) -> None:
    who, value = options.initials, options.value
    if options.deed == "add":
        desk.add_person(depot, by, who, value, role=options.role, badge=options.badge)
    elif options.deed == "role":
        desk.set_role(depot, by, who, value)
    elif options.deed == "badge":
        desk.set_badge(depot, by, who, value)
    elif options.deed == "retire":
        desk.retire_person(depot, by, who)
    else:
        desk.set_pin(depot, by, who, "" if options.clear else _new_pin(who))


def _new_pin(initials: str) -> str:
    pin = ask_secret(f"New PIN for {initials}: ", "PARTSBIN_NEW_PIN")
    if not pin:
        message = "No PIN was given; --clear takes one away."
        raise Refused(message)
    return pin


def _refusals(session: Session, depot: Depot) -> int:
    rows = refusals(depot)
    document = [dict(zip(row.keys(), tuple(row), strict=True)) for row in rows]
    return session.answer(document, table(("AT", "WHO", "WHAT", "WHY"), [tuple(row) for row in rows]))
