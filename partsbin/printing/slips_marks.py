"""Small things drawn on slips: a box to tick, a warning sign, lines to sign on. All are reportlab flowables."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from partsbin.printing import text
from partsbin.printing.documents import GREY
from partsbin.printing.pen import Box, Pen
from partsbin.printing.pictograms import draw_pictogram
from partsbin.printing.symbols import Grid

_DOTS_PER_MM = 12.0


class TickBox(Flowable):  # type: ignore[misc]  # reportlab publishes no types
    """An empty box: square to tick, or wider to write a figure in."""

    def __init__(self, width: float = 4.5 * mm, height: float = 4.5 * mm) -> None:
        super().__init__()
        self.width, self.height = width, height

    def draw(self) -> None:
        """Draw the box."""
        self.canv.setLineWidth(0.9)
        self.canv.roundRect(0.5, 0.5, self.width - 1, self.height - 1, 1)


class Sign(Flowable):  # type: ignore[misc]  # reportlab publishes no types
    """A warning sign, the yellow triangle of ``pictograms``; black and white printers lose only the yellow."""

    def __init__(self, name: str, side: float = 9 * mm) -> None:
        super().__init__()
        self.name = name
        self.width = self.height = side

    def draw(self) -> None:
        """Draw the sign."""
        dots = round(self.width / mm * _DOTS_PER_MM)
        self.canv.saveState()
        self.canv.scale(self.width / dots, self.width / dots)
        draw_pictogram(Pen(self.canv, Grid(_DOTS_PER_MM), dots, colour=True), Box(0, 0, dots, dots), self.name)
        self.canv.restoreState()


class WritingLines(Flowable):  # type: ignore[misc]  # reportlab publishes no types
    """Lines across the page to write on, each with its word beneath."""

    def __init__(self, captions: Sequence[str]) -> None:
        super().__init__()
        self.captions = captions

    def wrap(self, wide: float, _high: float) -> tuple[float, float]:
        """Take the whole width."""
        self.width, self.height = wide, 17 * mm
        return self.width, self.height

    def draw(self) -> None:
        """Draw the lines side by side."""
        gap = 6 * mm
        room = (self.width - gap * (len(self.captions) - 1)) / len(self.captions)
        for number, caption in enumerate(self.captions):
            x = number * (room + gap)
            self.canv.setLineWidth(0.6)
            self.canv.line(x, 10, x + room, 10)
            self.canv.setFillColor(GREY)
            text.draw(self.canv, x, 1.5, caption, 7.6)
