"""Labels on paper."""

from __future__ import annotations

import argparse
from pathlib import Path

from partsbin.commands.files import Add
from partsbin.commands.session import Session
from partsbin.desk.labelling import WHAT, choose
from partsbin.errors import Refused


def add(command: Add) -> None:
    """Declare these commands."""
    labels = command("labels", labels_, "print labels that scan")
    labels.add_argument("what", metavar="WHAT", nargs="+", help=WHAT)
    labels.add_argument("--stock", metavar="NAME", default="letter-30", help="label sheet or roll (default letter-30)")
    labels.add_argument("--start", metavar="N", type=int, default=1, help="first free label of a part-used sheet")
    labels.add_argument("--pdf", metavar="F", type=Path, help="write the PDF here")
    labels.add_argument("--printer", metavar="URI", help="send to a printer, such as ipp://localhost:631/printers/x")


def labels_(session: Session, options: argparse.Namespace) -> int:
    """Write labels as PDF, or send them to a printer."""
    from partsbin.printing.labels import write_labels
    from partsbin.printing.stock import load_stock

    if not options.pdf and not options.printer:
        message = "Say where they go: --pdf FILE or --printer URI."
        raise Refused(message)
    with session.open() as depot:
        stock = load_stock(options.stock, session.path.parent)
        chosen = choose(depot, options.what)
    target = options.pdf
    run = write_labels(chosen, stock, target, start=options.start)
    document = {
        "labels": run.count,
        "sheets": run.pages,
        "stock": stock.name,
        "pdf": str(target),
        "notes": list(run.notes),
    }
    lines = [f"{run.count} labels on {run.pages} sheet(s) of {stock.name}: {target}", *run.notes]
    return session.answer(document, lines)
