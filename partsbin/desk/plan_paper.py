"""The plan on paper: every proposed set point with its sums, and what other targets would cost."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsbin.depot.file import Depot
from partsbin.desk.plan import Planned
from partsbin.exchange.values import major

if TYPE_CHECKING:
    from partsbin.planning import WhatIf


def write_plan(depot: Depot, planned: Sequence[Planned], points: Sequence[WhatIf], path: Path) -> None:
    """Write the proposals that change something, with their explanations, and the cost of targets, as PDF."""
    from reportlab.platypus import KeepTogether, Spacer

    from partsbin.printing.documents import BODY, HEAD, words, write_document

    paper, changing = depot.setting("paper"), [one for one in planned if one.changes]
    story: list[Any] = _targets(points, paper) if points else []
    story.append(words(f"{len(changing)} of {len(planned)} would change", HEAD))
    for one in changing:
        head = words(f"{one.part_number}  {one.description}", BODY, bold=True)
        story.append(KeepTogether([head, *(words(line, BODY) for line in one.words.splitlines()), Spacer(1, 6)]))
    write_document(path, "Proposed set points", depot.setting("depot_name"), story, paper)


def _targets(points: Sequence[WhatIf], paper: str) -> list[Any]:
    """What each target ties up on the shelf and leaves short in a year: drawn, and as figures."""
    from partsbin.printing.documents import HEAD, text_table, words
    from partsbin.printing.report_chart import Chart, LineChart, Series

    line = Series("money on the shelf", tuple((100 * p.target, p.stock_money / 100) for p in points))
    rows = [
        (f"{p.target:.0%}", major(round(p.stock_money)), f"{p.short_a_year:,.0f}", f"{p.expected_fill:.1%}")
        for p in points
    ]
    header = ("Target", "On the shelf", "Short a year", "Fill expected")
    chart = LineChart(Chart("Money on the shelf by target", "target, %", "money", (line,)))
    return [words("What a target costs", HEAD), chart, text_table(header, rows, paper)]
