"""The Monday report on paper: what to order from whom with its sums, and what else the desk should know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, KeepTogether, Paragraph, Spacer

from partsbin.printing import text
from partsbin.printing.documents import (
    BODY,
    COLUMN,
    HAIR,
    HEAD,
    LARGE,
    LARGE_RIGHT,
    PADDING,
    PALE,
    QUIET,
    RIGHT,
    SMALL,
    markup,
    page_width,
    share_out,
    table,
    text_table,
    words,
    write_document,
)
from partsbin.printing.report_chart import Chart, LineChart
from partsbin.printing.slips_marks import WritingLines

_HEADER = ("Order", "Part, theirs", "What", "On hand + order − promised", "Point", "Up to", "Pack", "Each", "Total")
_FIGURES = (0, 3, 4, 5, 6, 7, 8)
_TOTAL_FROM = 3  # the column where the total begins in a supplier's band
_BAND: list[tuple[Any, ...]] = [
    ("SPAN", (0, 0), (_TOTAL_FROM - 1, 0)),
    ("SPAN", (_TOTAL_FROM, 0), (-1, 0)),
    ("BACKGROUND", (0, 0), (-1, 0), PALE),
    ("VALIGN", (0, 0), (-1, 0), "MIDDLE"),
    ("LEFTPADDING", (0, 0), (0, 0), 4),
    ("RIGHTPADDING", (_TOTAL_FROM, 0), (-1, 0), 4),
]
_DEFERS = (
    "Positions are on hand + on order − promised. Cautions remind; they do not replace local codes or licensed work."
)


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
    """The report of a week, ready for paper.

    ``groups`` are to order, ``further`` are tables of plain texts (title, heading, rows); ``charts`` may show what a
    target costs; ``total`` is the sum of all groups as text, empty to leave it out.
    """

    depot: str
    week: str
    monday: str
    currency: str
    groups: tuple[ReportGroup, ...]
    further: tuple[tuple[str, tuple[str, ...], tuple[tuple[str, ...], ...]], ...] = ()
    cautions: tuple[tuple[str, str, str], ...] = ()
    paper: str = "letter"
    charts: tuple[Chart, ...] = ()
    total: str = ""


def write_report(report: ReportPaper, path: Path) -> None:
    """Write the report as PDF; the same report gives the same bytes."""
    story: list[Any] = [Spacer(1, 2 * mm), *_summary(report)]
    for group in report.groups:
        story += _group(group, report)
    for title, header, rows in report.further:
        if rows:
            story += [CondPageBreak(35 * mm), words(title, HEAD), text_table(header, rows, report.paper)]
    for chart in report.charts:
        story += [Spacer(1, 5 * mm), LineChart(chart)]
    if report.cautions:
        story += [CondPageBreak(35 * mm), words("Cautions of what is ordered", HEAD), _cautions(report.cautions)]
    if report.groups:
        story.append(KeepTogether([Spacer(1, 8 * mm), WritingLines(("Ordered by", "Date"))]))
    write_document(path, f"Monday report {report.week}", report.depot, story, report.paper, _DEFERS)


def _summary(report: ReportPaper) -> list[Any]:
    """The week on one glance: whom to order from, how many lines, for how much; and what else there is to see to."""
    lines = sum(len(group.lines) for group in report.groups)
    said = [f"Week of Monday {report.monday}. {_count(lines, 'line')} to order."]
    said += [f"{title}: {len(rows)}." for title, _, rows in report.further if rows]
    story: list[Any] = [words(" ".join(said), BODY), Spacer(1, 2 * mm)]
    if not report.groups:
        return [*story, words("Nothing stands at or below its reorder point.", LARGE)]
    rows = [(_supplier(g), str(len(g.lines)), g.total, g.note) for g in report.groups]
    if report.total:
        rows.append(("All", str(lines), report.total, ""))
    bold = [("LINEABOVE", (0, -1), (-1, -1), 0.8, black)] if report.total else []
    return [*story, table(("Supplier", "Lines", report.currency, ""), rows, (60, 14, 26, 86), right=(1, 2), style=bold)]


def _count(number: int, thing: str) -> str:
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def _supplier(group: ReportGroup) -> str:
    return group.supplier or "No supplier stated: say who sells these"


def _group(group: ReportGroup, report: ReportPaper) -> list[Any]:
    """One supplier: name and total in a band that repeats on every page, then its lines."""
    name = [Paragraph(markup(_supplier(group), bold=True), LARGE)]
    if group.note:
        name.append(words(group.note, SMALL))
    total = Paragraph(markup(f"{_count(len(group.lines), 'line')}  ·  {report.currency} {group.total}"), RIGHT)
    band = [name, *[""] * (_TOTAL_FROM - 1), total, *[""] * (len(_HEADER) - _TOTAL_FROM - 1)]
    return [Spacer(1, 5 * mm), _lines(group.lines, band, page_width(report.paper))]


def _lines(lines: Sequence[ReportLine], band: Sequence[Any], room: float) -> Any:  # noqa: ANN401 - reportlab publishes no types
    """The lines of a supplier; what explains a line stands under it across the page and stays with it."""
    cells: list[list[Any]] = []
    style = list(_BAND)
    for line in lines:
        at = len(cells) + 2  # the band and the heading come first
        cells.append(_line(line))
        below = _below(line)
        if below:
            cells.append(["", "", below, *[""] * (len(_HEADER) - 3)])
            style += [("SPAN", (2, at + 1), (-1, at + 1)), ("NOSPLIT", (0, at), (-1, at + 1))]
            style += [("BOTTOMPADDING", (0, at), (-1, at), 0), ("TOPPADDING", (0, at + 1), (-1, at + 1), 0)]
        style.append(("LINEBELOW", (0, len(cells) + 1), (-1, len(cells) + 1), 0.4, HAIR))
    return table(_HEADER, cells, _widths(lines, room), right=_FIGURES, style=style, band=band, ruled=False)


def _widths(lines: Sequence[ReportLine], room: float) -> list[float]:
    """Columns of figures as wide as their longest; the part number next; the description has the rest."""
    texts = [[_sums(x) for x in lines], [f"{x.reorder_point:,}" for x in lines], [f"{x.order_up_to:,}" for x in lines],
             [f"{x.pack_size:,}" for x in lines], [x.cost for x in lines], [x.total for x in lines]]  # fmt: skip
    figures = [_widest([*column, head], BODY.fontSize) for column, head in zip(texts, _SHORT_HEADS, strict=True)]
    order = _widest([f"{x.quantity:,}" for x in lines] + ["100"], LARGE_RIGHT.fontSize, bold=True)
    part = _widest([x.part_number for x in lines] + [x.their_number for x in lines], BODY.fontSize, bold=True)
    left = room - sum(figures) - order
    part = min(part, left * 0.5)
    return share_out([order, part, left - part, *figures], [0.0] * len(_HEADER), room)


_SHORT_HEADS = ("On hand + order", "Point", "Up to", "Pack", "Each", "Total")


def _widest(plain: Sequence[str], size: float, *, bold: bool = False) -> float:
    return max(text.width(one, size, bold) for one in plain) + 2 * PADDING + 1


def _sums(line: ReportLine) -> str:
    position = line.on_hand + line.on_order - line.promised
    return f"{line.on_hand:,} + {line.on_order:,} − {line.promised:,} = {position:,}"


def _line(line: ReportLine) -> list[Any]:
    part: list[Any] = [words(line.part_number, BODY, bold=True)]
    return [
        words(f"{line.quantity:,}", LARGE_RIGHT),
        [*part, words(line.their_number, QUIET)] if line.their_number else part,
        line.description,
        _sums(line),
        f"{line.reorder_point:,}",
        f"{line.order_up_to:,}",
        f"{line.pack_size:,}",
        line.cost,
        line.total,
    ]


def _below(line: ReportLine) -> list[Any]:
    """What explains a line: a note in black, why the point is what it is in grey, the codes of its cautions."""
    marks = "  ".join(line.cautions)
    below = [words(line.note, SMALL, bold=True)] if line.note else []
    below += [words(line.explanation, QUIET)] if line.explanation else []
    return below + ([words(f"Cautions: {marks}", SMALL)] if marks else [])


def _cautions(cards: Sequence[tuple[str, str, str]]) -> Any:  # noqa: ANN401 - reportlab publishes no types
    rows = [[words(word, BODY, bold=True), words(code, COLUMN), words(said, SMALL)] for code, word, said in cards]
    return table(("", "", ""), rows, (22, 26, 138))
