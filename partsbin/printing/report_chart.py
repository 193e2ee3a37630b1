"""A line chart for the report: a few series, told apart by dash, mark and a word at the line's end, not by colour."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor, log10

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from partsbin.printing import text
from partsbin.printing.documents import GREY, HAIR

_HIGH = 52 * mm
_LEFT, _FOOT, _HEAD, _ENDS = 14 * mm, 9 * mm, 6 * mm, 34 * mm
_DASHES: tuple[tuple[float, ...], ...] = ((), (5, 2), (1, 2), (7, 2, 1, 2))
_TICKS = 5
_SIZE = 7.6


@dataclass(frozen=True, slots=True)
class Series:
    """A named line through ``points`` (x, y), x rising."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart: what it shows, what its axes count, its lines."""

    title: str
    x_label: str
    y_label: str
    series: tuple[Series, ...]


def steps(low: float, high: float, most: int = _TICKS) -> list[float]:
    """Round numbers, 1, 2 or 5 times a power of ten apart, that cover ``low`` to ``high``."""
    if high <= low:
        low, high = low - 0.5, low + 0.5
    rough = (high - low) / most
    power = 10.0 ** floor(log10(rough))
    step = next(power * factor for factor in (1, 2, 5, 10) if power * factor >= rough * 0.999)
    first, last = floor(low / step + 1e-9), -floor(-high / step + 1e-9)
    return [round(number * step, 10) for number in range(first, last + 1)]


class LineChart(Flowable):  # type: ignore[misc]  # reportlab publishes no types
    """``Chart`` as wide as the page; draws only its title when there is nothing to show."""

    def __init__(self, chart: Chart) -> None:
        super().__init__()
        self.chart = chart

    def wrap(self, wide: float, _high: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width, self.height = wide, _HIGH
        return self.width, self.height

    def draw(self) -> None:
        """Draw grid, axes, lines and the words at their ends."""
        points = [point for line in self.chart.series for point in line.points]
        text.draw(self.canv, 0, _HIGH - 9, self.chart.title, 9, bold=True)
        if not points:
            return
        across = steps(min(x for x, _ in points), max(x for x, _ in points))
        up = steps(min(0.0, *(y for _, y in points)), max(y for _, y in points))
        x_at = _scale(across, _LEFT, self.width - _ENDS)
        y_at = _scale(up, _FOOT, _HIGH - _HEAD - 12)
        self._grid(across, up, x_at, y_at)
        ends: list[float] = []
        for number, line in enumerate(self.chart.series):
            self._line([(x_at(x), y_at(y)) for x, y in line.points], line.name, number, ends)

    def _grid(
        self,
        across: Sequence[float],
        up: Sequence[float],
        x_at: Callable[[float], float],
        y_at: Callable[[float], float],
    ) -> None:
        canvas = self.canv
        canvas.setStrokeColor(HAIR)
        canvas.setLineWidth(0.4)
        for value in up:
            canvas.line(_LEFT, y_at(value), self.width - _ENDS, y_at(value))
        canvas.setFillColor(GREY)
        for value in up:
            text.draw(canvas, _LEFT - 3, y_at(value) - 2.5, f"{value:,g}", _SIZE, align="right")
        for value in across:
            text.draw(canvas, x_at(value), _FOOT - 9, f"{value:,g}", _SIZE, align="centre")
        text.draw(canvas, self.width - _ENDS, _FOOT - 18, self.chart.x_label, _SIZE, align="right")
        text.draw(canvas, _LEFT, _HIGH - _HEAD - 7, self.chart.y_label, _SIZE)

    def _line(self, points: Sequence[tuple[float, float]], name: str, number: int, ends: list[float]) -> None:
        canvas = self.canv
        canvas.setStrokeColorRGB(0, 0, 0)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.setLineWidth(1.1)
        canvas.setDash(*((list(_DASHES[number % len(_DASHES)]), 0) if _DASHES[number % len(_DASHES)] else ()))
        canvas.lines([(*a, *b) for a, b in pairwise(points)])
        canvas.setDash()
        for x, y in points:
            _mark(canvas, x, y, number)
        if not points:
            return
        y = points[-1][1]
        while any(abs(y - taken) < _SIZE for taken in ends):  # two names never on one another
            y += _SIZE
        ends.append(y)
        text.draw(canvas, points[-1][0] + 5, y - 2.5, text.shorten(name, _ENDS - 6, _SIZE), _SIZE)


def _mark(canvas: object, x: float, y: float, number: int) -> None:
    """A dot, a square, a ring or an open square, by the number of the line."""
    size, filled = 1.6, int(number % 4 < 2)
    if number % 2:
        canvas.rect(x - size, y - size, 2 * size, 2 * size, stroke=1, fill=filled)  # type: ignore[attr-defined]
    else:
        canvas.circle(x, y, size, stroke=1, fill=filled)  # type: ignore[attr-defined]


def _scale(ticks: Sequence[float], low: float, high: float) -> Callable[[float], float]:
    span = ticks[-1] - ticks[0]
    return lambda value: low + (value - ticks[0]) / span * (high - low)
