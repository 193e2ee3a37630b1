"""What draws one label: boxes cut into smaller ones, and a pen that works in whole printer dots, y downward."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from partsbin.errors import Refused
from partsbin.printing import text as words
from partsbin.printing.symbols import Arrangement, Grid, arrange, code128, qr

BLACK = (0.0, 0.0, 0.0)
LEAST_CAP_MM = 1.0  # capitals; the small print of a medicine box
LEAST_TEXT_MM = 2.3  # font size: smaller than this nobody reads at arm's length in a van
MOST_TEXT_MM = 8.0
WHITE = (1.0, 1.0, 1.0)
Colour = tuple[float, float, float]


class Box(NamedTuple):
    """A space on the label in dots; ``x, y`` is its upper left corner."""

    x: int
    y: int
    w: int
    h: int

    def split_top(self, height: float, gap: float = 0) -> tuple[Box, Box]:
        """The upper ``height`` dots, and the rest below a gap."""
        cut, rest = round(height), round(height + gap)
        return self._replace(h=cut), Box(self.x, self.y + rest, self.w, max(0, self.h - rest))

    def split_left(self, width: float, gap: float = 0) -> tuple[Box, Box]:
        """The left ``width`` dots, and the rest beyond a gap."""
        cut, rest = round(width), round(width + gap)
        return self._replace(w=cut), Box(self.x + rest, self.y, max(0, self.w - rest), self.h)

    def shrink(self, by: float) -> Box:
        """The box less a border."""
        edge = round(by)
        return Box(self.x + edge, self.y + edge, max(0, self.w - 2 * edge), max(0, self.h - 2 * edge))


@dataclass
class Pen:
    """Draws inside one label of ``high`` dots. ``canvas`` is already moved so that one unit is one dot.

    ``notes`` gathers what the person printing should know; ``cap_mm`` is the height of the largest capitals drawn.
    """

    canvas: Any
    grid: Grid
    high: int
    colour: bool
    notes: list[tuple[str, str]] = field(default_factory=list)
    cap_mm: float = 0.0

    def note(self, subject: str, remark: str) -> None:
        """Remember something about ``subject`` for the one who prints; like remarks are said once."""
        self.notes.append((subject, remark))

    def mm(self, millimetres: float) -> int:
        """Whole dots for a length."""
        return self.grid.dots(millimetres)

    def write(self, x: float, baseline: float, text: str, size: float, *, bold: bool = False, align: str = "left",
              ink: Colour = BLACK) -> None:  # fmt: skip
        """Write ``text`` at font size ``size`` dots; see ``text.draw`` for ``align``."""
        self.canvas.setFillColorRGB(*ink)
        words.draw(self.canvas, x, self.high - baseline, text, size, bold, align)

    def write_in(self, box: Box, text: str, *, bold: bool = True, align: str = "left", ink: Colour = BLACK,
                 tallest: float = 1e9, like: str = "") -> float:  # fmt: skip
        """Write ``text`` as large as ``box`` allows, capitals no taller than ``tallest`` dots, centred in its height.

        ``like`` sizes it as if it were that text, so that neighbours come out alike. Returns the height of the
        capitals.
        """
        size = words.size_to_fit(like or text, box.w, min(box.h, tallest), bold)
        cap = size * words.CAP_HEIGHT
        x = {"left": box.x, "centre": box.x + box.w / 2, "right": box.x + box.w}[align]
        self.write(x, box.y + (box.h + cap) / 2, text, size, bold=bold, align=align, ink=ink)
        self.cap_mm = max(self.cap_mm, cap / self.grid.dots_per_mm)
        return cap

    def write_title(self, box: Box, text: str, *, align: str = "left", tallest: float = 1e9, like: str = "") -> None:
        """Write what the label is known by. Raises Refused when it would be too small to read."""
        cap = self.write_in(box, text, align=align, tallest=tallest, like=like)
        if cap < LEAST_CAP_MM * self.grid.dots_per_mm:
            raise Refused(
                f"{words.clipped(text)} is so long that it would print {cap / self.grid.dots_per_mm:.1f} mm high,"
                " which nobody reads. Use larger stock or shorten it."
            )

    def write_lines(self, box: Box, text: str, size: float, *, bold: bool = False, align: str = "left") -> bool:
        """Write ``text`` over the lines ``box`` holds, cut with an ellipsis; returns whether all of it fitted."""
        lines = words.wrap(text, box.w, size, bold, max(1, words.lines_in(box.h, size)))
        x = box.x + (box.w / 2 if align == "centre" else 0)
        for number, line in enumerate(lines):
            base = box.y + size * (words.CAP_HEIGHT + 0.06 + words.LEADING * number)
            self.write(x, base, line, size, bold=bold, align=align)
        return " ".join(lines) == " ".join(words.printable(text).text.split())

    def block(self, box: Box, ink: Colour = BLACK) -> None:
        """Fill ``box``."""
        self.canvas.setFillColorRGB(*ink)
        self.canvas.rect(box.x, self.high - box.y - box.h, box.w, box.h, stroke=0, fill=1)

    def rule(self, x: float, y: float, width: float, weight: float = 2) -> None:
        """Draw a horizontal rule."""
        self.block(Box(round(x), round(y), round(width), round(weight)))

    def polygon(self, points: Iterable[tuple[float, float]], ink: Colour | None, edge: Colour | None = None,
                weight: float = 0) -> None:  # fmt: skip
        """Draw a closed polygon with round corners on its edge; ``ink`` None leaves it open."""
        path = self.canvas.beginPath()
        for number, (x, y) in enumerate(points):
            (path.lineTo if number else path.moveTo)(x, self.high - y)
        path.close()
        self._paint(ink, edge, weight)
        self.canvas.drawPath(path, stroke=int(edge is not None), fill=int(ink is not None))

    def disc(self, x: float, y: float, radius: float, ink: Colour | None, edge: Colour | None = None,
             weight: float = 0) -> None:  # fmt: skip
        """Draw a circle."""
        self._paint(ink, edge, weight)
        self.canvas.circle(x, self.high - y, radius, stroke=int(edge is not None), fill=int(ink is not None))

    def line(self, points: Sequence[tuple[float, float]], weight: float, edge: Colour = BLACK) -> None:
        """Draw an open line through ``points`` with round ends."""
        self._paint(None, edge, weight)
        path = self.canvas.beginPath()
        for number, (x, y) in enumerate(points):
            (path.lineTo if number else path.moveTo)(x, self.high - y)
        self.canvas.drawPath(path, stroke=1, fill=0)

    def _paint(self, ink: Colour | None, edge: Colour | None, weight: float) -> None:
        if ink is not None:
            self.canvas.setFillColorRGB(*ink)
        if edge is not None:
            self.canvas.setStrokeColorRGB(*edge)
            self.canvas.setLineWidth(weight)
            self.canvas.setLineJoin(1)
            self.canvas.setLineCap(1)

    def symbols_and_words(
        self, code: str, known_as: str, box: Box, least_words_mm: float, share: float = 0.5, in_bars: str = ""
    ) -> Box:
        """Draw the symbols of ``code`` in ``box``, bars with ``in_bars`` if given, and return the room left for words.

        A symbol without room is noted of ``known_as``. Raises Refused when neither fits at two printer dots a module.
        """
        arrangement = arrange(code, box.w, box.h, self.grid, self.mm(least_words_mm), share, in_bars)
        if arrangement is None:
            raise _no_room(code, box, self.grid)
        if arrangement.lacks:
            self.note(known_as, f"no room for the {arrangement.lacks} symbol, only the other is printed")
        self.symbols(arrangement, box.x, box.y)
        x, y, w, h = arrangement.words
        return Box(box.x + x, box.y + y, w, h)

    def symbols(self, arrangement: Arrangement, x: int, y: int) -> None:
        """Fill all bars and modules of ``arrangement`` as one path of whole dots, its upper left corner at ``x, y``.

        Written as PDF operators: three times faster than building a path object, and the numbers stay integers.
        """
        foot = self.high - y
        path = [
            f"{x + left} {foot - top - high} {wide} {high} re"
            for placed in arrangement.placed
            for left, top, wide, high in placed.rectangles()
        ]
        self.canvas.addLiteral("0 g " + " ".join(path) + " f")


def _no_room(code: str, box: Box, grid: Grid) -> Refused:
    """The sentence for a code whose symbols cannot be printed coarsely enough to scan."""
    module = grid.least / grid.dots_per_mm
    room = f"{box.w / grid.dots_per_mm:.1f} x {box.h / grid.dots_per_mm:.1f} mm"
    return Refused(
        f"{words.clipped(code)} does not fit: its bars need {code128(code).wide * module:.1f} mm across and its QR"
        f" symbol {qr(code).wide * module:.1f} mm square beside the words at {grid.least} printer dots a module, the"
        f" least that scans; the label has {room} inside its edge. Use larger stock or a shorter code."
    )
