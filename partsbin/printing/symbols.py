"""The symbols a scanner reads: Code 128 and QR, counted in modules, and how they share a space in whole printer dots.

A module (the narrowest bar, the X dimension) is always a whole number of printer dots, at least two: a width between dots
is rounded bar by bar by the printer and the symbol stops reading. The code words come from reportlab and segno.
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
_BETWEEN_MM = 1.0  # between stacked symbols; bars need no quiet zone above and below


@dataclass(frozen=True)
class Symbol:
    """One encoded symbol in modules, origin top left, quiet zones not counted in ``columns`` and ``rows``.

    ``runs`` are the dark rectangles ``(column, row, columns, rows)``. A Code 128 symbol has one row, drawn as high as wanted.
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


@lru_cache(maxsize=2048)
def code128(text: str) -> Symbol:
    """Encode ``text`` (printable ASCII, or FNC1) as Code 128.

    Raises Refused for a character the symbology has not got.
    """
    if not text or not all(" " <= letter <= "~" or letter == FNC1 for letter in text):
        raise Refused(f"A bar symbol holds plain letters, digits and signs only; {text!r} has something else. Give it a code.")
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


@lru_cache(maxsize=2048)
def qr(text: str) -> Symbol:
    """Encode ``text`` as the smallest QR symbol of error level M, then the highest level that costs no room.

    The mask is fixed (0): choosing among the eight by penalty takes six times as long and readers undo any of them.
    """
    if not text:
        raise Refused("A label needs a code to scan; this one is empty.")
    mode = "alphanumeric" if _ALPHANUMERIC.fullmatch(text) else "byte"
    code = segno.make(text, error="m", micro=False, mask=0, mode=mode)
    runs = [run for row, line in enumerate(code.matrix) for run in _dark_runs(row, line)]
    return Symbol(text, "QR", len(code.matrix), len(code.matrix), QR_QUIET, tuple(runs))


def _dark_runs(row: int, line: bytearray) -> Iterator[tuple[int, int, int, int]]:
    for dark in re.finditer(rb"\x01+", bytes(line)):
        yield dark.start(), row, dark.end() - dark.start(), 1


@dataclass(frozen=True)
class Grid:
    """A printer's dots. 8 a millimetre is the usual thermal head ("203 dpi"); also right for laser sheets of unknown dpi."""

    dots_per_mm: float = 8.0

    @property
    def least(self) -> int:
        """Fewest dots a module may have."""
        return max(2, ceil(_LEAST_MODULE_MM * self.dots_per_mm - 1e-9))

    @property
    def most(self) -> int:
        """Most dots a module may have; larger symbols read no better and crowd the words."""
        return max(self.least, floor(_MOST_MODULE_MM * self.dots_per_mm))

    def snap(self, wanted_mm: float) -> int:
        """Whole dots nearest to a wanted module width, never below two."""
        return max(2, round(wanted_mm * self.dots_per_mm))

    def dots(self, millimetres: float) -> int:
        """Whole dots nearest to a length."""
        return round(millimetres * self.dots_per_mm)

    def bar_height(self, bars: Symbol, module: int) -> int:
        """Least height in dots of a bar symbol whose module has that many dots."""
        return ceil(max(_LEAST_BAR_MM * self.dots_per_mm, 0.15 * bars.columns * module))


@dataclass(frozen=True)
class Placed:
    """A symbol put somewhere: quiet zone's outer corner ``x, y`` from the top left, dots a module, height of its bars."""

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
    """Symbols sharing a space of ``width`` by ``height`` dots, of which they use the upper ``used``."""

    placed: tuple[Placed, ...]
    used: int


def arrange(bars: Symbol, matrix: Symbol, width: int, height: int, grid: Grid) -> Arrangement | None:
    """Fit both symbols into ``width`` by ``height`` dots with the coarsest modules; None when two dots are too many.

    Side by side (bars left) is preferred to stacked when both give the same modules.
    """
    choices = [*_beside(bars, matrix, width, height, grid), *_stacked(bars, matrix, width, height, grid)]
    return max(choices, key=lambda choice: choice[0])[1] if choices else None


_Choice = tuple[tuple[int, int], Arrangement]


def _score(bars: int, matrix: int) -> tuple[int, int]:
    return min(bars, matrix), bars + matrix


def _beside(bars: Symbol, matrix: Symbol, width: int, height: int, grid: Grid) -> Iterator[_Choice]:
    for fine in range(grid.least, min(grid.most, height // matrix.wide) + 1):
        side = matrix.wide * fine
        coarse = min(grid.most, (width - side) // bars.wide)
        if coarse < grid.least or grid.bar_height(bars, coarse) > height:
            continue
        high = max(side - 2 * matrix.quiet * fine, grid.bar_height(bars, coarse))
        used = max(side, high)
        placed = (
            Placed(bars, 0, (used - high) // 2, coarse, high),
            Placed(matrix, width - side, (used - side) // 2, fine, side),
        )
        yield _score(coarse, fine), Arrangement(placed, used)


def _stacked(bars: Symbol, matrix: Symbol, width: int, height: int, grid: Grid) -> Iterator[_Choice]:
    for coarse in range(grid.least, min(grid.most, width // bars.wide) + 1):
        high = grid.bar_height(bars, coarse)
        below = high + grid.dots(_BETWEEN_MM)
        fine = min(grid.most, (height - below) // matrix.wide, width // matrix.wide)
        if fine < grid.least:
            continue
        side = matrix.wide * fine
        placed = (
            Placed(bars, (width - bars.wide * coarse) // 2, 0, coarse, high),
            Placed(matrix, (width - side) // 2, below, fine, side),
        )
        yield _score(coarse, fine), Arrangement(placed, below + side)


def alone(symbol: Symbol, width: int, height: int, grid: Grid) -> Arrangement | None:
    """Fit one symbol, coarsest modules first, centred in ``width``; None when it does not fit."""
    for module in range(min(grid.most, width // symbol.wide), grid.least - 1, -1):
        high = grid.bar_height(symbol, module) if symbol.rows == 1 else symbol.wide * module
        if high <= height:
            x = (width - symbol.wide * module) // 2
            return Arrangement((Placed(symbol, x, 0, module, high),), high)
    return None
