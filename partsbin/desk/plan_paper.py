"""The plan on paper: every proposed set point with its sums, and the what-if chart."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsbin.depot.file import Depot
from partsbin.desk.plan import Planned
from partsbin.exchange.values import major

if TYPE_CHECKING:
    from partsbin.planning import WhatIf


def write_plan(depot: Depot, planned: Sequence[Planned], points: Sequence[WhatIf], path: Path) -> None:
    """Write the proposals that change something, with their explanations, and the chart of targets, as PDF."""
    from reportlab.lib.pagesizes import A4, letter
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import KeepTogether, Paragraph, SimpleDocTemplate, Spacer

    from partsbin.printing.output import write_whole

    styles = getSampleStyleSheet()
    story: list[Any] = [Paragraph(f"Proposed set points, {_safe(depot.setting('depot_name'))}", styles["Title"])]
    if points:
        story += [Paragraph("What a target costs", styles["Heading2"]), _chart(points), Spacer(1, 12)]
    changing = [one for one in planned if one.changes]
    story.append(Paragraph(f"{len(changing)} of {len(planned)} would change", styles["Heading2"]))
    for one in changing:
        head = Paragraph(f"<b>{_safe(one.part_number)}</b> {_safe(one.description)}", styles["BodyText"])
        lines = [Paragraph(_safe(line), styles["BodyText"]) for line in one.words.splitlines()]
        story.append(KeepTogether([head, *lines, Spacer(1, 6)]))

    paper = io.BytesIO()
    page = A4 if depot.setting("paper").lower() == "a4" else letter
    SimpleDocTemplate(paper, pagesize=page, title="Proposed set points", invariant=1).build(story)
    write_whole(path, paper.getvalue())


def _safe(text: str) -> str:
    from xml.sax.saxutils import escape

    return escape("".join(sign if sign.isprintable() else "·" for sign in text))


def _chart(points: Sequence[WhatIf]) -> Any:  # noqa: ANN401 - reportlab publishes no types
    """Money on the shelf (bars) for each target, with the shortages a year written on each bar."""
    from reportlab.graphics.shapes import Drawing, Rect, String

    wide, high, step = 460, 150, 460 / max(len(points), 1)
    most = max(point.stock_money for point in points) or 1
    drawing = Drawing(wide, high + 30)
    for place, point in enumerate(points):
        tall = (high - 30) * point.stock_money / most
        x = place * step + 6
        drawing.add(Rect(x, 16, step - 12, tall, fillColor=None, strokeWidth=1))
        drawing.add(String(x, 3, f"{point.target:.0%}", fontSize=8))
        drawing.add(String(x, 20 + tall, major(round(point.stock_money)), fontSize=7))
        drawing.add(String(x + 2, 20, f"{point.short_a_year:,.0f}", fontSize=7))
    drawing.add(String(0, high + 16, "money on the shelf; inside: units short a year", fontSize=8))
    return drawing
