"""Positions on sheets: part-used ones, nudged ones, and those that are not there."""

from __future__ import annotations

from itertools import islice

import pytest

from partsbin.errors import Refused
from partsbin.printing.sheets import Nudge, slot, slots
from partsbin.printing.stock import load_stock

SHEET = load_stock("letter-30")


def numbers(count: int, **options: object) -> list[tuple[int, int]]:
    return [(one.page, one.number(SHEET)) for one in islice(slots(SHEET, **options), count)]  # type: ignore[arg-type]


def test_positions_run_along_the_rows() -> None:
    assert numbers(4) == [(0, 1), (0, 2), (0, 3), (0, 4)]
    fourth = slot(SHEET, 3)
    assert (fourth.column, fourth.row) == (0, 1)


def test_the_start_and_the_used_positions_count_on_the_first_sheet_only() -> None:
    assert numbers(4, start=28, skip=frozenset({29})) == [(0, 28), (0, 30), (1, 1), (1, 2)]


@pytest.mark.parametrize("start", [0, 31, -1])
def test_a_start_off_the_sheet_is_refused(start: int) -> None:
    with pytest.raises(Refused, match="positions 1 to 30"):
        slots(SHEET, start)


def test_a_used_position_off_the_sheet_is_refused() -> None:
    with pytest.raises(Refused, match="31 is not one"):
        slots(SHEET, 1, frozenset({31}))


def test_a_sheet_with_nothing_left_is_refused() -> None:
    with pytest.raises(Refused, match="fresh sheet"):
        slots(SHEET, 29, frozenset({29, 30}))


def test_a_nudge_moves_and_stretches_from_the_corner() -> None:
    plain, moved = slot(SHEET, 29), slot(SHEET, 29, Nudge(1.0, -0.5, 0.99, 1.01))
    assert moved.x_mm == pytest.approx(1.0 + plain.x_mm * 0.99)
    assert moved.y_mm == pytest.approx(-0.5 + plain.y_mm * 1.01)


def test_a_nudge_from_a_calibration_page() -> None:
    assert Nudge.measured(0.5, -1.0, 99.0, 100.5) == Nudge(0.5, -1.0, 100 / 99, 100 / 100.5)


@pytest.mark.parametrize(
    "figures", [(20, 0, 100, 100), (0, -20, 100, 100), (0, 0, 80, 100), (0, 0, 100, 0), (0, 0, -5, 100)]
)
def test_a_nudge_no_printer_needs_is_refused(figures: tuple[float, ...]) -> None:
    with pytest.raises(Refused):
        Nudge.measured(*figures)
