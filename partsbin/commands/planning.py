"""Planning: the Monday report, set points, van kits, what to count."""

from __future__ import annotations

import argparse
from pathlib import Path

from partsbin.commands.files import Add
from partsbin.commands.session import Session, table
from partsbin.depot import clock
from partsbin.depot.plain_text import counted
from partsbin.desk.monday import MondayReport, Reorder, monday_report, order_from_report, write_csv
from partsbin.desk.today import today
from partsbin.exchange.values import major


def add(command: Add) -> None:
    """Declare these commands."""
    plan = command("plan", plan_, "recompute set points from the depot's history and explain each")
    plan.add_argument("parts", metavar="PART", nargs="*", help="only these (default: all)")
    plan.add_argument("--apply", action="store_true", help="make the proposals the set points, after review")
    plan.add_argument("--target", metavar="SHARE", type=float, help="share of units at once, such as 0.95, for all")
    plan.add_argument(
        "--class-targets", metavar="SHARES", help="keep targets in %% for fast, medium, slow, other: '98 95 90 95'"
    )
    plan.add_argument("--van", metavar="VAN", help="propose this van's kit instead")
    plan.add_argument("--budget", metavar="MONEY", help="what may ride on the van (default: what its par costs now)")
    plan.add_argument("--load", metavar="KG", help="weight that may ride on the van (default: no limit)")
    plan.add_argument("--what-if", action="store_true", help="stock money and shortages at several targets")
    plan.add_argument("--counts", action="store_true", help="what to count this week, and how true the records are")
    plan.add_argument("--pdf", metavar="F", type=Path, help="write the proposals with their sums and the what-if chart")

    monday = command("monday", monday_, "the reorder report of a week")
    monday.add_argument("--date", metavar="D", help="any day of the week (default: today)")
    monday.add_argument("--pdf", metavar="F", type=Path)
    monday.add_argument("--csv", metavar="F", type=Path)
    monday.add_argument("--order", metavar="SUPPLIER", help="turn this supplier's lines into a purchase order")


def plan_(session: Session, options: argparse.Namespace) -> int:
    """Propose set points, a van's kit, the what-if curve or the count list; apply where asked."""
    from partsbin.commands import plans

    if options.class_targets:
        return plans.class_targets(session, options.class_targets)
    if options.counts:
        return plans.counts(session)
    if options.what_if:
        return plans.what_if(session)
    if options.van:
        return plans.van(session, options.van, options.budget, options.load, apply=options.apply)
    return plans.shelf(session, options.parts, options.target, apply=options.apply, pdf=options.pdf)


def monday_(session: Session, options: argparse.Namespace) -> int:
    """Make the report; write it where asked."""
    with session.open() as depot:
        day = clock.iso_date(options.date) if options.date else today(depot)
        report = monday_report(depot, day)
        document = as_json(report)
        if options.csv:
            write_csv(depot, report, options.csv)
        if options.pdf:
            from partsbin.desk.papers import write_monday

            write_monday(depot, report, options.pdf)
        if options.order:
            document["order"] = order_from_report(depot, session.operator(depot), report, options.order)
    return session.answer(document, _text(report, document.get("order")))


def as_json(report: MondayReport) -> dict[str, object]:
    """Return the report as a document: quantities in base units, money in major units as text."""
    suppliers = [
        {
            "supplier": name,
            "total": major(sum(line.value or 0 for line in lines)),
            "lines": [_line(line) for line in lines],
        }
        for name, lines in report.by_supplier()
    ]
    return {"week": report.week, "suppliers": suppliers, **_further(report)}


def _line(line: Reorder) -> dict[str, object]:
    x = line.low
    return {
        "part_number": x.part_number,
        "supplier_part_number": x.their_number,
        "description": x.description,
        "on_hand": x.on_hand,
        "on_order": x.on_order,
        "promised": x.promised,
        "position": x.position,
        "reorder_point": x.reorder_point,
        "order_up_to": x.order_up_to,
        "quantity": line.quantity,
        "pack_size": x.pack_size,
        "cost": major(x.cost),
        "line_total": major(line.value),
        "note": line.note,
    }


def _further(report: MondayReport) -> dict[str, object]:
    def picked(row: object, *names: str) -> dict[str, object]:
        return {name: getattr(row, name) for name in names}

    short = [
        {
            "request": x.owed.request_id,
            **picked(x.owed, "van", "job", "part_number", "due"),
            "on_shelf": x.on_shelf,
        }
        for x in report.short
    ]
    return {
        "overdue": [picked(x, "order", "supplier", "part_number", "due", "expected_on") for x in report.overdue],
        "short_requests": short,
        "dated": [picked(x, "part_number", "lot", "best_before", "quantity", "left_over") for x in report.dated],
    }


def _text(report: MondayReport, order: object) -> list[str]:
    out = [f"Monday report {report.week}"]
    for name, lines in report.by_supplier():
        total = major(sum(line.value or 0 for line in lines))
        out += ["", f"{name or 'No supplier stated: say who sells these'}  ({counted(len(lines), 'line')}, {total})"]
        out += table(
            ("ORDER", "PART", "DESCRIPTION", "HAND+ORDER-PROMISED", "POINT", "UP TO", "NOTE"),
            [
                (
                    *(x.quantity, x.low.part_number, x.low.description),
                    f"{x.low.on_hand}+{x.low.on_order}-{x.low.promised}={x.low.position}",
                    *(x.low.reorder_point, x.low.order_up_to, x.note),
                )
                for x in lines
            ],
        )
    for title, rows in _also(report).items():
        if rows:
            out += ["", title, *rows]
    if not report.lines:
        out += ["", "Nothing stands at or below its reorder point."]
    if order:
        out += ["", f"Order {order} placed."]
    return out


def _also(report: MondayReport) -> dict[str, list[str]]:
    """What else the desk should know, a list of lines under each title."""
    return {
        "Overdue": [
            f"{x.order} {x.supplier}: {x.due} {x.part_number}, expected {x.expected_on}" for x in report.overdue
        ],
        "Short requests": [
            f"{x.owed.van or x.owed.job or 'desk'}: {x.owed.due} {x.owed.part_number}, {x.on_shelf} here"
            for x in report.short
        ],
        "Will not sell in time": [
            f"{x.part_number} lot {x.lot}, {x.best_before}: {x.left_over} of {x.quantity}" for x in report.dated
        ],
    }
