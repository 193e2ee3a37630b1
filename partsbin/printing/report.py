"""The Monday report on paper: what to order from whom with its sums, and what else the desk should know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.platypus import CondPageBreak

from partsbin.printing.documents import BODY, HEAD, LARGE, RIGHT, SMALL, table, words, write_document


@dataclass(frozen=True, slots=True)
class ReportLine:
    """One line to order. Quantities in base units, money as text in major units."""

    part_number: str
    their_number: str
    description: str
    on_hand: int
    on_order: int
    promised: int
    reorder_point: int
    order_up_to: int
    quantity: int
    pack_size: int
    cost: str
    total: str
    note: str = ""
    explanation: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReportGroup:
    """One supplier's lines with their total; an empty name is “no supplier stated”."""

    supplier: str
    total: str
    lines: tuple[ReportLine, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReportPaper:
    """The report of a week, ready for paper: groups to order, and further tables of plain texts by title."""

    depot: str
    week: str
    monday: str
    currency: str
    groups: tuple[ReportGroup, ...]
    further: tuple[tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]], ...] = ()
    cautions: tuple[tuple[str, str, str], ...] = ()
    paper: str = "letter"


def write_report(report: ReportPaper, path: Path) -> None:
    """Write the report as PDF; the same report gives the same bytes."""
    story: list[Any] = []
    lines = sum(len(group.lines) for group in report.groups)
    story.append(words(f"Week of Monday {report.monday}: {lines} lines to order. Money in {report.currency}.", BODY))
    if not report.groups:
        story.append(words("Nothing stands at or below its reorder point.", LARGE))
    for group in report.groups:
        story += _group(group)
    for title, header, rows in report.further:
        if rows:
            story += [CondPageBreak(90), words(title, HEAD), _plain(header, rows)]
    if report.cautions:
        story += [CondPageBreak(90), words("Cautions of what is ordered", HEAD)]
        story += [words(f"[{code}] {word}: {text}", SMALL) for code, word, text in report.cautions]
    write_document(path, f"Monday report {report.week}", report.depot, story, report.paper)


def _group(group: ReportGroup) -> list[Any]:
    name = group.supplier or "No supplier stated: say who sells these"
    head = words(f"{name}  ({len(group.lines)} lines, {group.total})", HEAD)
    note = [words(group.note, SMALL)] if group.note else []
    rows = [_line(line) for line in group.lines]
    header = ("Order", "Part, theirs", "What", "Hand + order − promised", "Point / up to", "Pack", "Each", "Total")
    return [CondPageBreak(90), head, *note, table(header, rows, (14, 34, 58, 28, 18, 10, 12, 14))]


def _line(line: ReportLine) -> list[Any]:
    position = line.on_hand + line.on_order - line.promised
    sums = f"{line.on_hand} + {line.on_order} − {line.promised} = {position}"
    what: list[Any] = [words(line.description, BODY)]
    marks = "  ".join(f"[{code}]" for code in line.cautions)
    what += [words(text, SMALL) for text in (line.note, line.explanation, marks) if text]
    return [
        words(str(line.quantity), LARGE),
        [words(line.part_number, BODY, bold=True), words(line.their_number, SMALL)],
        what,
        words(sums, SMALL),
        words(f"{line.reorder_point} / {line.order_up_to}", SMALL),
        words(str(line.pack_size), SMALL),
        words(line.cost, SMALL),
        words(line.total, RIGHT),
    ]


def _plain(header: Sequence[str], rows: Sequence[Sequence[str]]) -> Any:  # noqa: ANN401 - reportlab publishes no types
    wide = 186 / len(header)
    return table(header, rows, [wide] * len(header))
