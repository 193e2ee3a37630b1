"""Posting slips: receive, move, issue, return, scrap, count, reverse."""

from __future__ import annotations

import argparse
from pathlib import Path

from partsbin.commands.files import Add
from partsbin.commands.session import Session, tell
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_lines
from partsbin.depot.ledger import reverse
from partsbin.depot.places import PHYSICAL, the_place
from partsbin.depot.plain_text import counted
from partsbin.desk.amounts import read_amount
from partsbin.desk.counting import by_lot, keep_count
from partsbin.desk.posting import Keyed, count_differences, receive, transfer
from partsbin.errors import Refused
from partsbin.exchange.sheet import open_sheet

_CSV = ("part_number", "quantity", "from_location", "to_location", "place", "lot", "best_before", "serial", "reason")


def add(command: Add) -> None:
    """Declare these commands."""
    for name, help_ in (
        ("receive", "book a delivery onto the shelf"),
        ("move", "move stock between places"),
        ("issue", "issue parts from a van or bin to a job"),
        ("return", "take unused parts back, from a job or a van"),
        ("scrap", "write stock off, with a reason"),
    ):
        parser = command(name, _post, help_)
        parser.set_defaults(slip=name)
        parser.add_argument("part", metavar="PART", nargs="?", help="part number, supplier number aside, or GTIN")
        parser.add_argument("quantity", metavar="QUANTITY", nargs="?", help="12, “2 case”, “1 dozen”, “2 cs + 6”")
        parser.add_argument("--csv", metavar="FILE", type=Path, help=f"many lines: {', '.join(_CSV)}")
        parser.add_argument("--from", dest="source", metavar="PLACE", default="")
        parser.add_argument("--to", dest="target", metavar="PLACE", default="")
        parser.add_argument("--lot", default="")
        parser.add_argument("--best-before", metavar="DATE", default="")
        parser.add_argument("--serial", default="")
        parser.add_argument("--reference", metavar="TEXT", default="", help="delivery note, job number …")
        parser.add_argument("--reason", metavar="TEXT", default="")
        if name == "receive":
            parser.add_argument("--order", metavar="NUMBER", default="", help="the purchase order it answers")
        if name == "issue":
            parser.add_argument("--job", metavar="NUMBER", default="", help="the job; same as --reference")

    count = command("count", count_, "set what a bin or van really holds")
    count.add_argument("place", metavar="PLACE")
    count.add_argument("lines", metavar="PART=QUANTITY", nargs="*")
    count.add_argument("--csv", metavar="FILE", type=Path, help="part_number, quantity, lot")
    count.add_argument("--reason", metavar="TEXT", default="count")
    count.add_argument("--whole", action="store_true", help="what was not counted there is zero")

    undo = command("reverse", reverse_, "take a posted slip back with a slip of its own")
    undo.add_argument("slip", metavar="SLIP", type=int)
    undo.add_argument("--reason", metavar="TEXT", required=True)


def _keyed(options: argparse.Namespace) -> list[Keyed]:
    if options.csv is None:
        if not options.part or options.quantity is None:
            message = "Name a part and a quantity, or give --csv FILE."
            raise Refused(message)
        return [
            Keyed(
                *(options.part, options.quantity, options.source, options.target, options.lot),
                *(options.best_before, options.serial, options.reason),
            )
        ]
    sheet = open_sheet(options.csv, required=("part_number", "quantity"), optional=_CSV[2:])
    for warning in sheet.warnings:
        tell(f"note: {warning}")
    lines = []
    for _, row in sheet.rows():
        place = row.get("place", "")
        source = row.get("from_location", "") or options.source
        target = row.get("to_location", "") or (place if options.slip in ("receive", "return", "move") else "")
        lines.append(
            Keyed(
                *(row["part_number"], row["quantity"], source, target or options.target),
                *(row.get("lot", ""), row.get("best_before", ""), row.get("serial", ""), row.get("reason", "")),
            )
        )
    sheet.problems.settle()
    return lines


def _post(session: Session, options: argparse.Namespace) -> int:
    """Post one slip from arguments or a CSV."""
    reference = options.reference or getattr(options, "job", "")
    with session.open() as depot:
        operator, lines = session.operator(depot), _keyed(options)
        if options.slip == "receive":
            slip = receive(depot, operator, lines, order=options.order, reference=reference)
        elif options.slip == "scrap" and not options.reason:
            message = "A write-off needs --reason: say in a few words why."
            raise Refused(message)
        else:
            kind = {"move": "put-away", "scrap": "correction"}.get(options.slip, options.slip)
            if kind == "put-away":
                kind = _kind_of_move(depot, lines)
            slip = transfer(depot, operator, kind, lines, reference=reference, reason=options.reason)
        moves = slip_lines(depot, slip)
    document = [
        {"part_number": x.part_number, "lot": x.lot, "quantity": x.quantity, "from": x.source, "to": x.target}
        for x in moves
    ]
    lots = [f"   {x.quantity} {x.part_number} lot {x.lot}: {x.source} → {x.target}" for x in moves if x.lot]
    words = [f"Slip {slip} posted: {counted(len(lines), 'line')}.", *lots]
    return session.answer({"slip": slip, "lines": len(lines), "moves": document}, words)


def _kind_of_move(depot: Depot, lines: list[Keyed]) -> str:
    """A move onto a van is a checkout; one off a van is a return; anything else is a put-away."""
    if any(not line.target for line in lines):
        message = "Say where it goes: --to PLACE."
        raise Refused(message)
    targets = {the_place(depot, line.target).kind for line in lines}
    sources = {the_place(depot, line.source).kind for line in lines if line.source}
    if targets <= {"van", "drawer"} and not sources & {"van", "drawer"}:
        return "checkout"
    return "return" if sources and sources <= {"van", "drawer"} and targets == {"bin"} else "put-away"


def count_(session: Session, options: argparse.Namespace) -> int:
    """Post what a count found."""
    with session.open() as depot:
        place = the_place(depot, options.place, kinds=PHYSICAL)
        counted = {}
        for part, quantity, lot in _counted(options):
            item = the_item(depot, part)
            figure = 0 if quantity.strip() == "0" else read_amount(quantity, item)[0]
            counted.update({(item.id, lot): figure} if lot else by_lot(depot, place, item, figure))
        found = count_differences(depot, place, counted, whole_place=options.whole)
        slip = keep_count(depot, session.operator(depot), place, counted, found, options.reason)
    rows = [
        {"part_number": d.item.part_number, "lot": d.lot, "expected": d.expected, "counted": d.counted} for d in found
    ]
    lines = [f"{d.item.part_number} {d.lot}: {d.expected} → {d.counted}" for d in found] or ["Nothing differs."]
    return session.answer({"slip": slip, "differences": rows}, lines)


def _counted(options: argparse.Namespace) -> list[tuple[str, str, str]]:
    found = []
    for text in options.lines:
        part, equals, quantity = text.rpartition("=")
        if not equals:
            message = f"“{text}” is not PART=QUANTITY, such as PN-100=12."
            raise Refused(message)
        found.append((part, quantity, ""))
    if options.csv is not None:
        sheet = open_sheet(options.csv, required=("part_number", "quantity"), optional=("lot",))
        found += [(row["part_number"], row["quantity"], row.get("lot", "")) for _, row in sheet.rows()]
        sheet.problems.settle()
    return found


def reverse_(session: Session, options: argparse.Namespace) -> int:
    """Reverse a slip."""
    with session.open() as depot:
        slip = reverse(depot, options.slip, operator=session.operator(depot), reason=options.reason)
    return session.answer({"slip": slip, "reverses": options.slip}, f"Slip {options.slip} taken back by slip {slip}.")
