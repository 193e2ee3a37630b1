"""Labels on paper."""

from __future__ import annotations

import argparse
from pathlib import Path

from partsbin.commands.files import Add
from partsbin.commands.session import Session, tell, tell_once
from partsbin.desk.label_jobs import Sheet, make_job, preview, save_job, send_job, stock_for
from partsbin.desk.labelling import WHAT, choose
from partsbin.errors import Refused


def add(command: Add) -> None:
    """Declare these commands."""
    labels = command("labels", labels_, "print labels that scan")
    labels.add_argument("what", metavar="WHAT", nargs="*", help=WHAT)
    labels.add_argument("--stock", metavar="NAME", default="letter-30", help="label sheet or roll (default letter-30)")
    labels.add_argument("--start", metavar="N", type=int, default=1, help="first free label of a part-used sheet")
    labels.add_argument("--skip", metavar="N,N…", default="", help="other used labels of that sheet")
    labels.add_argument("--pdf", metavar="F", type=Path, help="write the PDF here")
    labels.add_argument("--printer", metavar="URI", help="send to a printer: ipp://localhost:631/printers/x")
    labels.add_argument("--preview", action="store_true", help="say what, how many and on which sheet; print nothing")
    labels.add_argument("--calibrate", action="store_true", help="write the calibration page of this stock to --pdf")


def labels_(session: Session, options: argparse.Namespace) -> int:
    """Preview labels, write them as PDF, or send them to a printer and follow them."""
    sheet = Sheet(options.stock, options.start, _skip(options.skip), options.printer or "")
    with session.open() as depot:
        if options.calibrate:
            return _calibrate(session, options, sheet)
        chosen = choose(depot, options.what)
        if options.preview:
            run = preview(depot, chosen, sheet)
            return session.answer({"labels": run.count, "sheets": run.pages, "notes": list(run.notes)}, run.lines())
        if not options.pdf and not options.printer:
            message = "Say where they go: --pdf FILE or --printer URI."
            raise Refused(message)
        job, run = make_job(depot, session.operator(depot), " ".join(options.what), chosen, sheet)
        document: dict[str, object] = {"labels": run.count, "sheets": run.pages, "stock": run.stock.name, "job": job}
        lines = run.lines()
        if options.printer:
            document["said"] = send_job(depot, job, options.printer, tell_once())
            lines.append(f"{options.printer}: {document['said']}")
        if options.pdf:
            if options.printer:
                tell("note: it was printed; the PDF is of the same labels")
                job, _ = make_job(depot, session.operator(depot), " ".join(options.what), chosen, sheet)
            save_job(depot, job, options.pdf)
            document["pdf"] = str(options.pdf)
            lines.append(f"Written to {options.pdf}.")
    return session.answer(document, lines)


def _skip(text: str) -> frozenset[int]:
    try:
        return frozenset(int(word) for word in text.replace(",", " ").split())
    except ValueError as error:
        message = f"--skip {text}: give the numbers of used labels, such as 3,4,9"
        raise Refused(message) from error


def _calibrate(session: Session, options: argparse.Namespace, sheet: Sheet) -> int:
    from partsbin.desk.label_jobs import nudge_for
    from partsbin.printing.calibration import write_calibration

    if not options.pdf:
        message = "Say where the calibration page goes: --pdf FILE."
        raise Refused(message)
    with session.open() as depot:
        write_calibration(stock_for(depot, sheet), options.pdf, nudge_for(depot, sheet))
    return session.answer({"pdf": str(options.pdf)}, f"Calibration page written to {options.pdf}.")
