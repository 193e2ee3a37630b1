"""Where label n goes: the position on sheet or roll, part-used sheets, and a printer's own nudge and scale."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from typing import NamedTuple

from partsbin.errors import Refused
from partsbin.printing.stock import LabelStock

_MOST_NUDGE_MM = 15.0
_BEYOND_MM = 0.1
_LEAST_SCALE, _MOST_SCALE = 0.95, 1.05


@dataclass(frozen=True)
class Nudge:
    """How far one printer misses on one stock: ``x_mm`` right, ``y_mm`` down, and how much it stretches each way.

    From the calibration page: ``scale_x = 100 / the length measured across``, likewise down. Labels are moved, their
    symbols keep whole dots. Raises Refused for figures no printer has.
    """

    x_mm: float = 0.0
    y_mm: float = 0.0
    scale_x: float = 1.0
    scale_y: float = 1.0

    def __post_init__(self) -> None:
        for way, moved in (("across", self.x_mm), ("down", self.y_mm)):
            if not abs(moved) <= _MOST_NUDGE_MM:  # so that no figure at all (nan) is refused too
                raise Refused(
                    f"A nudge {way} of {moved:g} mm is more than a printer misses by; at most {_MOST_NUDGE_MM:g} mm."
                )
        for way, scale in (("across", self.scale_x), ("down", self.scale_y)):
            if not _LEAST_SCALE <= scale <= _MOST_SCALE:
                raise Refused(
                    f"A scale {way} of {scale:g} is outside {_LEAST_SCALE:g} to {_MOST_SCALE:g}:"
                    " switch off 'fit to page' in the printer's settings and print the calibration page again."
                )

    @classmethod
    def measured(cls, right_mm: float, down_mm: float, across_mm: float, along_mm: float) -> Nudge:
        """The nudge from the ticks that a label's left and upper edge lie on, and what the 100 mm lines measure."""
        if across_mm <= 0 or along_mm <= 0:
            raise Refused("The lines on the calibration page are 100 mm long; type what the ruler says, such as 99.5.")
        return cls(right_mm, down_mm, 100 / across_mm, 100 / along_mm)


class Slot(NamedTuple):
    """One label's place: sheet from 0, column and row from 0, upper left corner in mm from the sheet's upper left."""

    page: int
    column: int
    row: int
    x_mm: float
    y_mm: float

    def number(self, stock: LabelStock) -> int:
        """Its number on the sheet, 1 at the upper left, counted along the rows."""
        return self.row * stock.columns + self.column + 1


def slot(stock: LabelStock, index: int, nudge: Nudge = Nudge()) -> Slot:
    """The place of the label counted ``index`` from the first position of the first sheet."""
    page, place = divmod(index, stock.per_page)
    row, column = divmod(place, stock.columns)
    x = stock.left + column * stock.pitch[0]
    y = stock.top + row * stock.pitch[1]
    return Slot(page, column, row, nudge.x_mm + x * nudge.scale_x, nudge.y_mm + y * nudge.scale_y)


def slots(
    stock: LabelStock, start: int = 1, skip: frozenset[int] = frozenset(), nudge: Nudge = Nudge()
) -> Iterator[Slot]:
    """Every place to print on, endlessly: from ``start`` on the first sheet, leaving out the ``skip`` numbers there.

    Raises Refused for a start or skip the sheet has not got, when no position is left on the first sheet, and for a
    nudge that moves print off the page.
    """
    most = stock.per_page
    wrong = [number for number in (start, *sorted(skip)) if not 1 <= number <= most]
    if wrong:
        raise Refused(f"{stock.name} has positions 1 to {most}; {wrong[0]} is not one of them.")
    if not set(range(start, most + 1)) - skip:
        raise Refused(
            f"Every position from {start} to {most} of the first sheet is marked as used. Take a fresh sheet."
        )
    _check_on_page(stock, nudge)
    return (slot(stock, index, nudge) for index in count(start - 1) if index >= most or index + 1 not in skip)


def _check_on_page(stock: LabelStock, nudge: Nudge) -> None:
    """Refuse a nudge that moves what is inside a label's inset over the edge of the page, where a printer drops it."""
    first, last = slot(stock, 0, nudge), slot(stock, stock.per_page - 1, nudge)
    for axis, edge in ((0, "right"), (1, "lower")):
        begins, ends = (first.x_mm, last.x_mm) if axis == 0 else (first.y_mm, last.y_mm)
        page, inset = stock.page[axis], stock.inset[axis]
        over = max(-(begins + inset), ends + stock.label[axis] - inset - page if page else 0.0)
        if over > _BEYOND_MM:
            side = edge if begins + inset >= 0 else {"right": "left", "lower": "upper"}[edge]
            raise Refused(
                f"With this nudge {stock.name} would print {over:.1f} mm beyond the {side} edge of the page."
                " Move the stock in the printer's tray or guide, and print the calibration page again."
            )
