"""The demo's walk through the main job: request → checkout → Monday report → labels, told line by line."""

from __future__ import annotations

from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import places_of
from partsbin.depot.plain_text import counted
from partsbin.desk.finding import Finder, stock_of
from partsbin.desk.labelling import choose
from partsbin.desk.monday import monday_report, write_csv
from partsbin.desk.papers import write_monday, write_pick_slip
from partsbin.desk.restock import check_out, propose
from partsbin.desk.supplying import Wanted, supply
from partsbin.desk.today import today
from partsbin.printing.labels import write_labels
from partsbin.printing.stock import load_stock

REQUEST = """Hi, Van 2 here, job 4711.
two 10 mm left shims for the Drift 9
a 24 volt motor, left hand, for the Cascade 54
a dozen can retainer clips left for the drift
and the door gasket for the Borealis
cheers
"""


def walk(path: Path, folder: Path) -> tuple[dict[str, object], list[str]]:
    """Walk the main job on the demo depot; returns (document, lines) and leaves the papers in ``folder``."""
    with Depot.open(path) as depot:
        told = [f"The demo depot “{depot.setting('depot_name')}” lies at {path}.", ""]
        request = _request(depot, told)
        restock = _restock(depot, folder, told)
        monday = _monday(depot, folder, told)
        labels = _labels(depot, folder, told)
    told += ["", f"Open it in a terminal:  partsbin --depot {path}"]
    return {"depot": str(path), "request": request, "restock": restock, "monday": monday, "labels": labels}, told


def _request(depot: Depot, told: list[str]) -> dict[str, object]:
    told += ["A technician writes:", *(f"  | {line}" for line in REQUEST.strip().splitlines()), "The desk reads:"]
    finder = Finder(depot)
    message, answers = finder.read(REQUEST)
    wanted = []
    for answer in answers:
        first = answer.candidates[0] if answer.candidates else None
        what = f"{first.part_number} {first.description}" if first else "nothing the depot stocks"
        told.append(f"  {answer.quantity or '?':>3} × {what}  [{answer.status}]")
        if answer.status == "ask":
            told.append(f"        ask: {answer.question}")
        elif first:
            there = ", ".join(f"{place} {held}" for place, held in stock_of(depot, first.item_id)[:3]) or "none"
            told.append(f"        {first.why}; stock: {there}")
            if answer.status == "sure" and answer.quantity:
                wanted.append(Wanted(answer.line.text, first.item_id, answer.quantity))
    van = places_of(depot, "van")[1]
    if not wanted:
        told.append("No line is sure: the desk asks before anything moves.")
        return {"slip": None, "lines": 0}
    done = supply(depot, the_operator(depot), REQUEST, wanted, target=van, job=message.job)
    owed = "; ".join(f"{quantity} {item.part_number}" for item, quantity in done.owed) or "nothing"
    told += [f"What is sure goes to {van.code} on slip {done.slip}; promised for later: {owed}.", ""]
    return {"slip": done.slip, "lines": len(wanted)}


def _restock(depot: Depot, folder: Path, told: list[str]) -> dict[str, object]:
    van = places_of(depot, "van")[0]
    proposal = propose(depot, van, str(today(depot)))
    slip = check_out(depot, the_operator(depot), van, proposal.picks, proposal.missing) if proposal.picks else None
    pdf = folder / f"pick-slip-{van.code}.pdf"
    write_pick_slip(depot, proposal, slip, pdf, "")
    short = "; ".join(f"{m.quantity} {m.item.part_number}" for m in proposal.missing) or "nothing"
    lines = counted(len(proposal.picks), "line")
    told += [
        f"{van.code} is brought to par: {lines} in walking order on slip {slip}; short: {short}.",
        f"  pick slip: {pdf}",
        "",
    ]
    return {"slip": slip, "lines": len(proposal.picks), "pdf": str(pdf)}


def _monday(depot: Depot, folder: Path, told: list[str]) -> dict[str, object]:
    report = monday_report(depot, today(depot))
    pdf, csv = folder / f"monday-{report.week}.pdf", folder / f"monday-{report.week}.csv"
    write_monday(depot, report, pdf)
    write_csv(depot, report, csv)
    told.append(f"Monday report {report.week}: {counted(len(report.lines), 'line')} to order.")
    told += [f"  {name or 'no supplier stated'}: {counted(len(lines), 'line')}" for name, lines in report.by_supplier()]
    told += [
        f"  overdue {len(report.overdue)}, short requests {len(report.short)}, "
        f"will not sell in time {len(report.dated)}",
        f"  report: {pdf}  {csv}",
        "",
    ]
    return {"week": report.week, "lines": len(report.lines), "pdf": str(pdf), "csv": str(csv)}


def _labels(depot: Depot, folder: Path, told: list[str]) -> dict[str, object]:
    pdf = folder / "bin-labels.pdf"
    run = write_labels(choose(depot, ["bins"]), load_stock("letter-30"), pdf)
    told.append(f"{run.count} bin labels on {run.pages} sheets: {pdf}")
    return {"count": run.count, "sheets": run.pages, "pdf": str(pdf)}
