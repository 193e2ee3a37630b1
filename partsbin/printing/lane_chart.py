"""The lane chart for a machine's door: every shelf with its lanes on one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Spacer, Table, TableStyle

from partsbin.printing.documents import BODY, MARGIN, PAPERS, words, write_document

_HEAD_AND_FOOT = 42 * mm
_NUMBER = ParagraphStyle("lane", parent=BODY, fontName="Helvetica-Bold", fontSize=10, leading=11)


@dataclass(frozen=True, slots=True)
class ChartCell:
    """One lane as the door shows it: number, drink, container, spacers in words, what it holds, last change."""

    lane: str
    drink: str
    container: str
    spacers: str
    capacity: int
    changed_on: str


@dataclass(frozen=True, slots=True)
class ChartPaper:
    """A machine's chart: ``shelves`` from the top, each from the left, as seen with the door open."""

    asset: str
    about: str
    depot: str
    printed_on: str
    shelves: tuple[tuple[ChartCell, ...], ...]
    cautions: tuple[str, ...] = ()
    paper: str = "letter"


def write_lane_chart(chart: ChartPaper, path: Path) -> None:
    """Write the chart as a PDF of one page; lanes share the width of the page, so letters shrink where many do."""
    wide, high = PAPERS.get(chart.paper.lower(), PAPERS["letter"])
    most = max((len(row) for row in chart.shelves), default=1)
    room = (high - 2 * MARGIN - _HEAD_AND_FOOT - len(chart.cautions) * 10 * mm) / max(len(chart.shelves), 1)
    size = min(8.0, 8.0 * 9 / max(most, 1), room / 9)
    small = ParagraphStyle("cell", parent=BODY, fontSize=size, leading=size * 1.12)
    story: list[Any] = [words(chart.about), Spacer(1, 2 * mm)]
    story += [words(caution, bold=True) for caution in chart.cautions]
    story.append(Spacer(1, 2 * mm))
    story += [_shelf(row, (wide - 2 * MARGIN) / most, room, small, most) for row in chart.shelves]
    write_document(path, f"Lane chart {chart.asset}", f"{chart.depot} · {chart.printed_on}", story, chart.paper)


def _shelf(row: Sequence[ChartCell], width: float, height: float, small: ParagraphStyle, most: int) -> Table:
    cells: list[Any] = [_cell(cell, small, width, height) for cell in row]
    cells += [""] * (most - len(row))
    made = Table([cells], colWidths=[width] * most, rowHeights=[height - 1])
    made.setStyle(
        TableStyle(
            [
                ("BOX", (0, 0), (len(row) - 1, 0), 1.2, black),
                ("INNERGRID", (0, 0), (len(row) - 1, 0), 0.4, black),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 2),
                ("RIGHTPADDING", (0, 0), (-1, -1), 2),
                ("TOPPADDING", (0, 0), (-1, -1), 1),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
            ]
        )
    )
    return made


def _cell(cell: ChartCell, small: ParagraphStyle, width: float, height: float) -> list[Any]:
    """A lane's lines, cut to what its box takes: number first, then what matters most when filling."""
    lines = [cell.container, f"holds {cell.capacity}", cell.spacers, cell.drink, cell.changed_on]
    made: list[Any] = [words(cell.lane, _NUMBER)]
    left = height - 1 - 4 - _NUMBER.leading
    for line in lines:
        if not line:
            continue
        flowable = words(line, small)
        _, takes = flowable.wrap(width - 4, left)
        if takes > left:
            break
        left -= takes
        made.append(flowable)
    return made
