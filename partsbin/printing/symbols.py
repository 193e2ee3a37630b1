"""The symbols a scanner reads: Code 128 and QR, counted in modules, and how they share a space in whole printer dots.

A module (the narrowest bar, the X dimension) is always a whole number of printer dots, at least two: a width between
dots is rounded bar by bar by the printer and the symbol stops reading. The code words come from reportlab and segno.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor

import segno
from reportlab.graphics.barcode.code128 import Code128

from partsbin.errors import Refused

FNC1 = "\xf1"  # how reportlab's encoder is given function character 1
CODE128_QUIET = 10  # modules left and right: ISO/IEC 15417, as repeated in the GS1 General Specifications 5.4.4.2
QR_QUIET = 4  # modules on all four sides: ISO/IEC 18004, from memory
_ALPHANUMERIC = re.compile(r"[0-9A-Z $%*+\-./:]+")  # the QR mode of 5.5 bits a character
_LEAST_MODULE_MM = 0.165  # two dots of a 300 dpi head; finer modules failed the read trials whatever the head
_MOST_MODULE_MM = 1.0
_LEAST_BAR_MM = 5.0  # or 15 % of the symbol's length, whichever is more: common practice, from memory
_GAP_MM = 1.0  # between words and bars; bars need no quiet zone above and below
_CORNER_SHARE = 0.42  # of the label's width that a QR symbol may take above the bars
_COLUMN_SHARE = 0.36  # the same when it stands alone beside all the words
_LEAST_COLUMN_MM = 14.0  # width words need beside a QR symbol


@dataclass(frozen=True)
class Symbol:
    """One encoded symbol in modules, origin top left, quiet zones not counted in ``columns`` and ``rows``.

    ``runs`` are the dark rectangles ``(column, row, columns, rows)``. A Code 128 symbol has one row, drawn as high
    as wanted.
    """

    text: str
    kind: str
    columns: int
    rows: int
    quiet: int
    runs: tuple[tuple[int, int, int, int], ...]

    @property
    def wide(self) -> int:
        """Modules from the outer edge of one quiet zone to the other."""
        return self.columns + 2 * self.quiet


@lru_cache(maxsize=128)  # copies of a label follow one another; a bin label comes once
def code128(text: str) -> Symbol:
    """Encode ``text`` (printable ASCII, or FNC1) as Code 128.

    Raises Refused for a character the symbology has not got.
    """
    if not text or not all(" " <= letter <= "~" or letter == FNC1 for letter in text):
        raise Refused(
            f"A bar symbol holds plain letters, digits and signs only; {text!r} has something else. Give it a code."
        )
    encoder = Code128(text, quiet=False)
    encoder.validate()
    encoder.encode()
    runs, column = [], 0
    for element in encoder.decompose():  # upper case a bar, lower case a space, A = one module
        wide = ord(element.lower()) - ord("a") + 1
        if element.isupper():
            runs.append((column, 0, wide, 1))
        column += wide
    return Symbol(text, "Code 128", column, 1, CODE128_QUIET, tuple(runs))


@lru_cache(maxsize=128)  # copies of a label follow one another; a bin label comes once
def qr(text: str) -> Symbol:
    """Encode ``text`` as the smallest QR symbol of error level M, then the highest level that costs no room.

    The mask is fixed (0): choosing among the eight by penalty takes six times as long and readers undo any of them.
    """
    if not text:
        raise Refused("A label needs a code to scan; this one is empty.")
    mode = "alphanumeric" if _ALPHANUMERIC.fullmatch(text) else "byte"
    try:
        code = segno.make(text, error="m", micro=False, mask=0, mode=mode)
    except segno.DataOverflowError as fault:
        raise Refused(
            f"A code of {len(text)} characters is more than any symbol holds. Give it a shorter one."
        ) from fault
    runs = [run for row, line in enumerate(code.matrix) for run in _dark_runs(row, line)]
    return Symbol(text, "QR", len(code.matrix), len(code.matrix), QR_QUIET, tuple(runs))


def _dark_runs(row: int, line: bytearray) -> Iterator[tuple[int, int, int, int]]:
    for dark in re.finditer(rb"\x01+", bytes(line)):
        yield dark.start(), row, dark.end() - dark.start(), 1


@dataclass(frozen=True)
class Grid:
    """A printer's dots. 8 a millimetre is the usual thermal head ("203 dpi"), and right for lasers of unknown dpi."""

    dots_per_mm: float = 8.0

    @property
    def least(self) -> int:
        """Fewest dots a module may have."""
        return max(2, ceil(_LEAST_MODULE_MM * self.dots_per_mm - 1e-9))

    @property
    def most(self) -> int:
        """Most dots a module may have; larger symbols read no better and crowd the words."""
        return max(self.least, floor(_MOST_MODULE_MM * self.dots_per_mm))

    def dots(self, millimetres: float) -> int:
        """Whole dots nearest to a length."""
        return round(millimetres * self.dots_per_mm)

    def bar_height(self, bars: Symbol, module: int) -> int:
        """Least height in dots of a bar symbol whose module has that many dots."""
        return ceil(max(_LEAST_BAR_MM * self.dots_per_mm, 0.15 * bars.columns * module))


@dataclass(frozen=True)
class Placed:
    """A symbol put somewhere: its quiet zone's upper left corner, dots a module, height of its bars."""

    symbol: Symbol
    x: int
    y: int
    module: int
    height: int

    def rectangles(self) -> Iterator[tuple[int, int, int, int]]:
        """The dark rectangles in dots: ``(x, y of the upper edge, width, height)``, y downward."""
        left = self.x + self.symbol.quiet * self.module
        if self.symbol.rows == 1:
            for column, _, wide, _ in self.symbol.runs:
                yield left + column * self.module, self.y, wide * self.module, self.height
            return
        top = self.y + self.symbol.quiet * self.module
        for column, row, wide, high in self.symbol.runs:
            yield left + column * self.module, top + row * self.module, wide * self.module, high * self.module


@dataclass(frozen=True)
class Arrangement:
    """Symbols placed in a label's box, and the room ``(x, y, width, height)`` in dots that they leave for words."""

    placed: tuple[Placed, ...]
    words: tuple[int, int, int, int]
    lacks: str = ""


def arrange(
    text: str, width: int, height: int, grid: Grid, least_words: int, share: float = 0.5, in_bars: str = ""
) -> Arrangement | None:
    """Fit the symbols for ``text`` into a box, coarsest modules first; None when two dots are too many.

    Tried in turn: bars and QR side by side in at most ``share`` of the height; bars at the foot with the QR in the
    upper right corner; bars alone; the QR alone at the right. ``least_words`` dots stay for words above the bars.
    The bars may encode ``in_bars`` instead.
    """
    bars, matrix = code128(in_bars or text), qr(text)
    gap = grid.dots(_GAP_MM)
    room = min(height - least_words - gap, round(height * share))
    return (
        _side_by_side(bars, matrix, width, height, room, grid)
        or _in_corner(bars, matrix, width, height, least_words, grid)
        or _bars_alone(bars, width, height, height - least_words - gap, grid)
        or _matrix_alone(matrix, width, height, grid)
    )


def _side_by_side(bars: Symbol, matrix: Symbol, width: int, height: int, room: int, grid: Grid) -> Arrangement | None:
    """Bars left, QR right: the finer of the two modules as coarse as it goes, then their sum."""
    best = (0, 0, 0)
    for fine in range(grid.least, min(grid.most, room // matrix.wide) + 1):
        coarse = min(grid.most, (width - matrix.wide * fine) // bars.wide)
        while coarse >= grid.least and grid.bar_height(bars, coarse) > room:
            coarse -= 1
        if coarse >= grid.least:
            best = max(best, (min(coarse, fine), coarse + fine, fine))
    if not best[0]:
        return None
    fine = best[2]
    coarse, side = best[1] - fine, matrix.wide * fine
    high = max(side - 2 * matrix.quiet * fine, grid.bar_height(bars, coarse))
    used = max(side, high)
    top = height - used
    placed = (
        Placed(bars, 0, top + (used - high) // 2, coarse, high),
        Placed(matrix, width - side, top + (used - side) // 2, fine, side),
    )
    return Arrangement(placed, (0, 0, width, top - grid.dots(_GAP_MM)))


def _in_corner(
    bars: Symbol, matrix: Symbol, width: int, height: int, least_words: int, grid: Grid
) -> Arrangement | None:
    coarse = min(grid.most, width // bars.wide)
    if coarse < grid.least:
        return None
    foot = _bars_alone(bars, width, height, height - least_words - grid.dots(_GAP_MM), grid)
    if foot is None:
        return None
    above = foot.words[3]
    fine = min(grid.most, above // matrix.wide, int(width * _CORNER_SHARE) // matrix.wide)
    if fine < grid.least:
        return None
    side = matrix.wide * fine
    placed = (*foot.placed, Placed(matrix, width - side, 0, fine, side))
    return Arrangement(placed, (0, 0, width - side, above))


def _bars_alone(bars: Symbol, width: int, height: int, room: int, grid: Grid) -> Arrangement | None:
    for module in range(min(grid.most, width // bars.wide), grid.least - 1, -1):
        high = grid.bar_height(bars, module)
        if high <= room:
            top = height - high
            placed = Placed(bars, (width - bars.wide * module) // 2, top, module, high)
            return Arrangement((placed,), (0, 0, width, top - grid.dots(_GAP_MM)), "QR")
    return None


def _matrix_alone(matrix: Symbol, width: int, height: int, grid: Grid) -> Arrangement | None:
    most = min(height, int(width * _COLUMN_SHARE))
    module = max(grid.least, min(grid.most, most // matrix.wide))
    side = matrix.wide * module
    words = width - side
    if side > height or words < grid.dots(_LEAST_COLUMN_MM):
        return None
    placed = Placed(matrix, words, (height - side) // 2, module, side)
    return Arrangement((placed,), (0, 0, words, height), "Code 128")
