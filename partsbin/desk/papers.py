"""Papers the desk hands out: the pick slip of a restock, and the Monday report."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.catalogue import cautions_of
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_head
from partsbin.desk.monday import MondayReport, Reorder
from partsbin.desk.ordering import Terms, terms, terms_words
from partsbin.desk.restock import Proposal
from partsbin.errors import Refused
from partsbin.exchange.values import major

if TYPE_CHECKING:
    from partsbin.printing.report import ReportLine


def paper_path(depot: Depot, name: str) -> Path:
    """Return where a paper called ``name`` is kept: in ``papers`` beside the depot, which is made where it lacks."""
    folder = depot.path.parent / "papers"
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        message = f"{folder} cannot be made ({error.strerror}); papers are kept there."
        raise Refused(message) from error
    return folder / name


def write_pick_slip(depot: Depot, proposal: Proposal, slip: int | None, path: Path, initials: str) -> None:
    """Write the pick slip of a restock, posted (``slip``) or proposed, with the cautions of everything on it."""
    from partsbin.printing.slips import ShortRow, SlipCaution, SlipPaper, SlipRow, write_slip

    cautions = {
        c.code: SlipCaution(c.code, c.word, c.text, c.severity) for pick in proposal.picks for c in pick.cautions
    }
    head = slip_head(depot, slip) if slip else None
    when = f"{clock.local_time(head.posted_at, depot.zone):%Y-%m-%d %H:%M}" if head else ""
    rows = tuple(
        SlipRow(
            source=pick.source.code,
            target=pick.target.code,
            part_number=pick.item.part_number,
            description=pick.item.description,
            quantity=pick.quantity,
            hand=pick.item.hand,
            lot=pick.lot,
            best_before=pick.best_before,
            note=f"for job {pick.job}" if pick.job else "",
            cautions=tuple(c.code for c in pick.cautions),
        )
        for pick in proposal.picks
    )
    short = tuple(
        ShortRow(m.item.part_number, m.item.description, m.quantity, _elsewhere(m.elsewhere, m.instead))
        for m in proposal.missing
    )
    about = (
        ("Van", f"{proposal.van.code} {proposal.van.name}".strip()),
        ("Posted", when),
        ("By", head.operator if head else initials),
        ("Reference", head.reference if head else ""),
    )
    name, paper = depot.setting("depot_name"), depot.setting("paper")
    title = f"Pick slip {proposal.van.code}"
    write_slip(SlipPaper(title, name, slip, about, rows, tuple(cautions.values()), short, paper=paper), path)


def _elsewhere(places: Sequence[tuple[str, int]], instead: Sequence[tuple[str, int]]) -> str:
    words = [f"{place} has {quantity}" for place, quantity in places[:3]]
    words += [f"instead {part} ({quantity} here)" for part, quantity in instead[:2]]
    return "; ".join(words) or "none in the depot"


def write_monday(depot: Depot, report: MondayReport, path: Path) -> None:
    """Write the Monday report with its sums, why planned points are what they are, and the cautions."""
    from partsbin.printing.report import ReportGroup, ReportPaper, write_report

    cautions = {}
    groups = []
    total = 0
    named = terms(depot)
    for supplier, lines in report.by_supplier():
        made = []
        for line in lines:
            own = cautions_of(depot, line.low.item_id)
            cautions.update({c.code: (c.severity, c.code, c.word, c.text) for c in own})
            made.append(_report_line(line, tuple(c.code for c in own)))
        value = sum(line.value or 0 for line in lines)
        total += value
        note = _terms_note(named.get(supplier), value, lines, report.monday)
        groups.append(ReportGroup(supplier, major(value), tuple(made), note))
    write_report(
        ReportPaper(
            depot=depot.setting("depot_name"),
            week=report.week,
            monday=str(report.monday),
            currency=depot.setting("currency"),
            groups=tuple(groups),
            further=_further(report),
            cautions=tuple(card[1:] for card in sorted(cautions.values())),
            paper=depot.setting("paper"),
            total=major(total),
        ),
        path,
    )


def _terms_note(named: Terms | None, value: int, lines: Sequence[Reorder], monday: date) -> str:
    """What stands beside a supplier: the minimum order, free carriage, order days, lines without a price."""
    unpriced = sum(1 for line in lines if line.value is None)
    said = [f"{unpriced} without a price"] if unpriced else []
    if named:
        said += terms_words(value, named)
        said += [f"takes orders on {named.next_day(monday):%A %d %B}"] if named.order_days else []
    return "; ".join(said)


def _report_line(line: Reorder, cautions: tuple[str, ...]) -> ReportLine:
    from partsbin.printing.report import ReportLine

    x = line.low
    return ReportLine(
        part_number=x.part_number,
        their_number=x.their_number,
        description=x.description,
        on_hand=x.on_hand,
        on_order=x.on_order,
        promised=x.promised,
        reorder_point=x.reorder_point,
        order_up_to=x.order_up_to,
        quantity=line.quantity,
        pack_size=x.pack_size,
        cost=major(x.cost),
        total=major(line.value),
        note=line.note,
        explanation=x.explanation.replace("\n", " "),
        cautions=cautions,
    )


Further = tuple[tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]], ...]


def _further(report: MondayReport) -> Further:
    """What else the desk should know, as tables of texts."""
    late = tuple((x.order, x.supplier, x.part_number, str(x.due), x.expected_on) for x in report.overdue)
    short = tuple(
        (x.owed.van or x.owed.job or "desk", x.owed.part_number, x.owed.description, str(x.owed.due), str(x.on_shelf))
        for x in report.short
    )
    dated = tuple(
        (x.part_number, x.description, x.lot, x.best_before, f"{x.left_over} of {x.quantity}", f"{x.weekly_use:.1f}")
        for x in report.dated
    )
    return (
        ("Overdue", ("Order", "Supplier", "Part", "Still due", "Expected"), late),
        ("Short requests", ("For", "Part", "What", "Owed", "On the shelf"), short),
        ("Will not sell in time", ("Part", "What", "Lot", "Best before", "Left over", "Used a week"), dated),
    )
