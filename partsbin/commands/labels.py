"""Labels on paper."""

from __future__ import annotations

import argparse
from pathlib import Path

from partsbin.commands.files import Add
from partsbin.commands.session import Session, tell_once
from partsbin.commands.working import working
from partsbin.depot.file import Depot
from partsbin.desk.arrival_labels import usual_stock
from partsbin.desk.label_jobs import (
    Sheet,
    drop_job,
    make_job,
    nudge_for,
    open_jobs,
    preview,
    save_job,
    set_nudge,
    stock_for,
)
from partsbin.desk.label_sending import send_job
from partsbin.desk.labelling import WHAT, choose
from partsbin.errors import Refused


def add(command: Add) -> None:
    """Declare these commands."""
    labels = command("labels", labels_, "print labels that scan")
    labels.add_argument("what", metavar="WHAT", nargs="*", help=WHAT)
    labels.add_argument("--stock", metavar="NAME", default="", help="label sheet or roll (default: the one last used)")
    labels.add_argument("--start", metavar="N", type=int, default=1, help="first free label of a part-used sheet")
    labels.add_argument("--skip", metavar="N,N…", default="", help="other used labels of that sheet")
    labels.add_argument("--pdf", metavar="F", type=Path, help="write the PDF here")
    labels.add_argument("--printer", metavar="URI", help="send to a printer: ipp://localhost:631/printers/x")
    labels.add_argument("--preview", action="store_true", help="say what, how many and on which sheet; print nothing")
    labels.add_argument("--calibrate", action="store_true", help="write the calibration page of this stock to --pdf")
    labels.add_argument("--nudge", metavar="MM", help="what --printer misses by on this stock: '0.5 -1 99.6 100.2'")
    labels.add_argument("--jobs", action="store_true", help="list the jobs that did not come out")
    labels.add_argument("--job", metavar="N", type=int, help="print a kept job to --pdf or --printer")
    labels.add_argument("--strike", metavar="N", type=int, help="strike a kept job off")


def labels_(session: Session, options: argparse.Namespace) -> int:
    """Preview labels, write them as PDF, or send them to a printer and follow them."""
    with session.open() as depot:
        sheet = Sheet(options.stock or usual_stock(depot), options.start, _skip(options.skip), options.printer or "")
        if options.jobs:
            return _jobs(session, depot)
        if options.strike is not None:
            drop_job(depot, options.strike)
            return session.answer({"struck_off": options.strike}, f"Job {options.strike} is struck off.")
        if options.nudge is not None:
            return _nudge(session, depot, sheet, options.nudge)
        if options.calibrate:
            return _calibrate(session, depot, options, sheet)
        if options.preview:
            run = preview(depot, choose(depot, options.what), sheet, progress=working.labels)
            return session.answer({"labels": run.count, "sheets": run.pages, "notes": list(run.notes)}, run.lines())
        return _print(session, depot, options, sheet)


def _print(session: Session, depot: Depot, options: argparse.Namespace, sheet: Sheet) -> int:
    """Print what was chosen, or a kept job: to a printer, to a file, or both."""
    from partsbin.printing.ipp import require_address

    if not options.pdf and not options.printer:
        message = "Say where they go: --pdf FILE or --printer URI."
        raise Refused(message)
    if options.printer:
        require_address(options.printer)
    document: dict[str, object] = {"job": options.job}
    lines: list[str] = []
    if options.job is None:
        chosen = choose(depot, options.what)
        job, run = make_job(
            depot, session.operator(depot), " ".join(options.what), chosen, sheet, progress=working.labels
        )
        document = {"labels": run.count, "sheets": run.pages, "stock": run.stock.name, "job": job}
        lines = run.lines()
    else:
        job = options.job
    if options.pdf:
        save_job(depot, job, options.pdf, keep=bool(options.printer))
        document["pdf"] = str(options.pdf)
        lines.append(f"Written to {options.pdf}.")
    if options.printer:
        document["said"] = send_job(depot, job, options.printer, tell_once())
        lines.append(f"{options.printer}: {document['said']}")
    return session.answer(document, lines)


def _jobs(session: Session, depot: Depot) -> int:
    jobs = open_jobs(depot)
    shown = [{"job": j.id, "what": j.what, "labels": j.labels, "stock": j.stock, "state": j.state, "said": j.said,
              "printer": j.printer} for j in jobs]  # fmt: skip
    return session.answer({"jobs": shown}, [job.words() for job in jobs] or ["Every label job came out."])


def _nudge(session: Session, depot: Depot, sheet: Sheet, text: str) -> int:
    nudge = set_nudge(depot, sheet, text)
    where = sheet.printer or "the printer that PDFs go to"
    figures = {"x_mm": nudge.x_mm, "y_mm": nudge.y_mm, "scale_x": nudge.scale_x, "scale_y": nudge.scale_y}
    said = f"Labels on {sheet.stock} for {where} are moved {nudge.x_mm:g} mm right and {nudge.y_mm:g} mm down."
    return session.answer({"stock": sheet.stock, "printer": sheet.printer, **figures}, said)


def _skip(text: str) -> frozenset[int]:
    try:
        return frozenset(int(word) for word in text.replace(",", " ").split())
    except ValueError as error:
        message = f"--skip {text}: give the numbers of used labels, such as 3,4,9"
        raise Refused(message) from error


def _calibrate(session: Session, depot: Depot, options: argparse.Namespace, sheet: Sheet) -> int:
    from partsbin.printing.calibration import write_calibration

    if not options.pdf:
        message = "Say where the calibration page goes: --pdf FILE."
        raise Refused(message)
    write_calibration(stock_for(depot, sheet), options.pdf, nudge_for(depot, sheet))
    return session.answer({"pdf": str(options.pdf)}, f"Calibration page written to {options.pdf}.")
