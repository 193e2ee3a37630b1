"""Restocking a van."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.commands.files import Add
from partsbin.commands.session import Session, table
from partsbin.depot.places import the_place
from partsbin.desk.today import today

if TYPE_CHECKING:
    from partsbin.desk.restock import Proposal


def add(command: Add) -> None:
    """Declare this command."""
    restock = command("restock", restock_, "propose the checkout that brings a van to par")
    restock.add_argument("van", metavar="VAN")
    restock.add_argument("--post", action="store_true", help="post it")
    restock.add_argument("--pdf", metavar="F", type=Path, help="write the pick slip")


def restock_(session: Session, options: argparse.Namespace) -> int:
    """Propose a van's checkout, and post it where asked."""
    from partsbin.desk.restock import check_out, propose

    with session.open() as depot:
        van = the_place(depot, options.van, kinds=("van",))
        proposal = propose(depot, van, str(today(depot)))
        slip = None
        if options.post:
            slip = check_out(depot, session.operator(depot), van, proposal.picks, proposal.missing)
        if options.pdf:
            from partsbin.desk.papers import write_pick_slip

            write_pick_slip(depot, proposal, slip, options.pdf, session.initials)
    return session.answer({"van": van.code, "slip": slip, **_document(proposal)}, _text(proposal, slip))


def _document(proposal: Proposal) -> dict[str, object]:
    lines = [
        {
            "part_number": p.item.part_number,
            "description": p.item.description,
            "from": p.source.code,
            "to": p.target.code,
            "quantity": p.quantity,
            "lot": p.lot,
            "best_before": p.best_before,
            "par": p.par,
            "on_van": p.aboard,
            "cautions": [c.code for c in p.cautions],
        }
        for p in proposal.picks
    ]
    short = [
        {
            "part_number": m.item.part_number,
            "quantity": m.quantity,
            "elsewhere": [{"place": place, "quantity": quantity} for place, quantity in m.elsewhere],
        }
        for m in proposal.missing
    ]
    return {"lines": lines, "short": short}


def _text(proposal: Proposal, slip: int | None) -> list[str]:
    text = table(
        ("FROM", "TAKE", "PART", "DESCRIPTION", "LOT"),
        [(p.source.code, p.quantity, p.item.part_number, p.item.description, p.lot) for p in proposal.picks],
    )
    text += [f"short: {m.quantity} {m.item.part_number} {m.item.description}" for m in proposal.missing]
    return [*text, f"Slip {slip} posted." if slip else "Nothing posted; add --post to post it."]
