"""The calibration page: scales on the corners of the outermost labels, lines of known length, bars of known width.

Print it on the label stock itself. Tick 0 of each corner's scales belongs on the label's edge. Where the edge really
lies is the nudge; what the lines really measure gives the scale (``Nudge.measured``).
"""

from __future__ import annotations

import io
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from reportlab.pdfgen.canvas import Canvas

from partsbin.printing.output import write_whole
from partsbin.printing.sheets import Nudge, slot
from partsbin.printing.stock import LabelStock
from partsbin.printing.symbols import Placed, code128
from partsbin.printing.text import draw
from partsbin.resources import shipped

_POINTS_PER_MM = 72 / 25.4
_CONTINUOUS_MM = 100.0
_THIN, _THICK = 0.1, 0.25  # mm


@dataclass(frozen=True)
class CalibrationPage:
    """What the page that was written measures with: the lengths in mm its two lines should have."""

    across_mm: float
    down_mm: float

    def nudge(self, right_mm: float, down_mm: float, across_measured: float, down_measured: float) -> Nudge:
        """The nudge from four figures: the tick that the label's left and upper edge lie on, and both lines."""
        return Nudge.measured(
            right_mm, down_mm, across_measured * 100 / self.across_mm, down_measured * 100 / self.down_mm
        )


def write_calibration(stock: LabelStock, out: BinaryIO | Path, nudge: Nudge = Nudge()) -> CalibrationPage:  # noqa: B008 - frozen
    """Write one calibration page for ``stock`` as PDF; with a ``nudge`` it shows whether that nudge is right."""
    settings = tomllib.loads((shipped("labels") / "calibration.toml").read_text(encoding="utf-8"))
    page = (stock.page[0], stock.page[1] or _CONTINUOUS_MM)
    paper = io.BytesIO()
    canvas = Canvas(paper, pagesize=(page[0] * _POINTS_PER_MM, page[1] * _POINTS_PER_MM), invariant=1)
    canvas.setTitle(f"Calibration page, {stock.name}")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.translate(0, page[1] * _POINTS_PER_MM)
    canvas.scale(_POINTS_PER_MM, _POINTS_PER_MM)
    sheet = _Sheet(canvas, page)
    _corners(sheet, stock, nudge, settings)
    lines = _lines(sheet, float(settings["line"]))
    _samples(sheet, stock, settings["modules"])
    _words(sheet, stock)
    canvas.save()
    if isinstance(out, Path):
        write_whole(out, paper.getvalue())
    else:
        out.write(paper.getvalue())
    return lines


@dataclass
class _Sheet:
    """A page in mm, y downward from its upper edge."""

    canvas: Any
    page: tuple[float, float]

    def line(self, x1: float, y1: float, x2: float, y2: float, weight: float = _THIN) -> None:
        self.canvas.setLineWidth(weight)
        self.canvas.line(x1, -y1, x2, -y2)

    def write(self, x: float, y: float, text: str, size: float, align: str = "left") -> None:
        draw(self.canvas, x, -y, text, size, align=align)


def _corners(sheet: _Sheet, stock: LabelStock, nudge: Nudge, settings: dict[str, Any]) -> None:
    """A pair of scales on the outer corner of each of the four outermost labels."""
    columns, rows = stock.columns, stock.rows
    wide, high = stock.label[0], stock.label[1] or sheet.page[1]
    least = min(wide, high) / 3
    reach = (float(settings["scale_out"]), min(float(settings["scale_in"]), least))
    for column, inward_x in ((0, 1), (columns - 1, -1)):
        for row, inward_y in ((0, 1), (rows - 1, -1)):
            where = slot(stock, row * columns + column, nudge)
            x = where.x_mm + (0 if inward_x > 0 else wide * nudge.scale_x)
            y = where.y_mm + (0 if inward_y > 0 else high * nudge.scale_y)
            _scales(sheet, x, y, inward_x, inward_y, reach)


def _scales(sheet: _Sheet, x: float, y: float, inward_x: int, inward_y: int, reach: tuple[float, float]) -> None:
    out, within = reach
    sheet.line(x - inward_x * out, y, x + inward_x * within, y, _THICK)
    sheet.line(x, y - inward_y * out, x, y + inward_y * within, _THICK)
    for tick in range(-int(out), int(within) + 1):
        long = 2.4 if tick % 5 == 0 else 1.2
        sheet.line(x + inward_x * tick, y, x + inward_x * tick, y + inward_y * long)
        sheet.line(x, y + inward_y * tick, x + inward_x * long, y + inward_y * tick)
        if tick and tick % 5 == 0:
            sheet.write(x + inward_x * tick, y + inward_y * 3.4 + 0.7, str(abs(tick)), 2.0, "centre")
            sheet.write(x + inward_x * 3.6, y + inward_y * tick + 0.7, str(abs(tick)), 2.0, "centre")


def _lines(sheet: _Sheet, wanted: float) -> CalibrationPage:
    """One line each way as near ``wanted`` as the page allows, in whole tens, through the page's middle."""
    lengths = [max(10.0, min(wanted, (side - 8) // 10 * 10)) for side in sheet.page]
    x, y = (sheet.page[0] - lengths[0]) / 2, sheet.page[1] * 0.5
    sheet.line(x, y, x + lengths[0], y, _THICK)
    left, top = sheet.page[0] * 0.5, (sheet.page[1] - lengths[1]) / 2
    sheet.line(left, top, left, top + lengths[1], _THICK)
    for tick in range(0, int(lengths[0]) + 1, 10):
        sheet.line(x + tick, y - 1, x + tick, y + 1, _THICK if tick in (0, lengths[0]) else _THIN)
    for tick in range(0, int(lengths[1]) + 1, 10):
        sheet.line(left - 1, top + tick, left + 1, top + tick, _THICK if tick in (0, lengths[1]) else _THIN)
    sheet.write(x + lengths[0], y - 1.6, f"{lengths[0]:g} mm", 2.6, "right")
    sheet.write(left + 1.4, top + lengths[1], f"{lengths[1]:g} mm", 2.6)
    return CalibrationPage(lengths[0], lengths[1])


def _samples(sheet: _Sheet, stock: LabelStock, modules: Sequence[int]) -> None:
    """Bars of each fineness, one under the other in the lower left quarter, where they fit; each scans as its name."""
    dot = 1 / stock.dots_per_mm
    y = sheet.page[1] * 0.5 + 4
    for module in modules:
        bars = code128(f"{module}DOTS")
        wide = bars.wide * module * dot
        if y + 9 > sheet.page[1] - stock.top - 4 or wide > sheet.page[0] * 0.5 - 2:
            return
        x = sheet.page[0] * 0.25 - wide / 2
        path = sheet.canvas.beginPath()
        for left, top, across, high in Placed(bars, 0, 0, module, round(6 / dot)).rectangles():
            path.rect(x + left * dot, -(y + (top + high) * dot), across * dot, high * dot)
        sheet.canvas.drawPath(path, stroke=0, fill=1)
        sheet.write(x + wide / 2, y + 8.4, f"{module} dots = {module * dot:.3g} mm", 2.4, "centre")
        y += 13


_ADVICE = (
    "Print at 100 %, 'fit to page' off, on the label stock.",
    "1. Tick 0 at each corner belongs on the label's edge. At the upper left read",
    "    on which tick the edge really lies: right and down are plus.",
    "2. Measure both long lines with a ruler.",
    "3. Type the four figures. Print again to see that tick 0 is on the edge.",
    "Scan the bars: use the finest that reads at once.",
)


def _words(sheet: _Sheet, stock: LabelStock) -> None:
    """The instructions, upper right, where the page has room for them."""
    sheet.write(sheet.page[0] * 0.5 + 3, sheet.page[1] * 0.5 - 1.6, stock.name, 2.6)
    if min(sheet.page) < 130:
        return
    for number, line in enumerate((f"Calibration page for {stock.about}", "", *_ADVICE)):
        sheet.write(sheet.page[0] * 0.5 + 4, sheet.page[1] * 0.22 + number * 4.6, line, 2.6)
