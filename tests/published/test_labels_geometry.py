"""Label sheets against published and customary figures, and positions against plain arithmetic."""

from __future__ import annotations

import json
from itertools import islice
from pathlib import Path

import pytest

from partsbin.errors import Refused
from partsbin.printing.label_run import reading_distance
from partsbin.printing.sheets import slots
from partsbin.printing.stock import load_stock, stock_names

FACTS = json.loads((Path(__file__).parent / "labels_cases.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", FACTS["geometry"], ids=lambda case: case["id"])
def test_sheets_have_the_published_figures(case: dict[str, float]) -> None:
    """Each figure within 0.01 mm; sources in the data file."""
    stock = load_stock(str(case["id"]))
    assert stock.page == pytest.approx(tuple(case["page_mm"]), abs=0.01)  # type: ignore[arg-type]
    assert (stock.columns, stock.rows) == (case["cols"], case["rows"])
    mine = (*stock.label, stock.left, stock.top, stock.right, stock.bottom, *stock.pitch)
    names = ("w_mm", "h_mm", "left_mm", "top_mm", "right_mm", "bottom_mm", "pitch_x_mm", "pitch_y_mm")
    assert mine == pytest.approx([case[name] for name in names], abs=0.01)


@pytest.mark.parametrize("name", [name for name in stock_names() if not name.startswith("roll")])
def test_sheets_add_up_to_letter_or_a4(name: str) -> None:
    """ISO 216 A4 is 210 x 297 mm; US letter is 8.5 x 11 in (ANSI/ASME Y14.1). Summed here from the parts."""
    stock = load_stock(name)
    page = (210.0, 297.0) if name.startswith("a4") else (8.5 * 25.4, 11 * 25.4)
    across = stock.left + (stock.columns - 1) * stock.pitch[0] + stock.label[0] + stock.right
    down = stock.top + (stock.rows - 1) * stock.pitch[1] + stock.label[1] + stock.bottom
    assert (across, down) == pytest.approx(page, abs=0.05)


@pytest.mark.parametrize(
    ("name", "inches"), [("roll-2x1", (2, 1)), ("roll-3x1", (3, 1)), ("roll-4x2", (4, 2)), ("roll-4x6", (4, 6))]
)
def test_rolls_have_their_inches(name: str, inches: tuple[float, float]) -> None:
    """Trade sizes are named in inches of 25.4 mm exactly; common practice."""
    assert load_stock(name).label == pytest.approx(tuple(side * 25.4 for side in inches))


@pytest.mark.parametrize(
    "case", FACTS["position"], ids=lambda case: f"{case['geometry']}-{case['start_label']}-{case['k']}"
)
def test_positions_by_arithmetic(case: dict[str, float]) -> None:
    """Along the rows, label 1 at the upper left, start on the first sheet only; common practice, worked by hand."""
    stock = load_stock(str(case["geometry"]))
    index = int(case["k"])
    (where,) = islice(slots(stock, int(case["start_label"])), index, index + 1)
    assert (where.page, where.column, where.row) == (case["page"], case["col"], case["row"])
    assert (where.x_mm, where.y_mm) == pytest.approx((case["x_mm"], case["y_top_mm"]), abs=0.01)


@pytest.mark.parametrize("case", FACTS["position_refused"], ids=str)
def test_starts_that_are_not_on_the_sheet(case: dict[str, int]) -> None:
    with pytest.raises(Refused):
        slots(load_stock(str(case["geometry"])), int(case["start_label"]))


@pytest.mark.parametrize(
    ("metres", "cap_mm"), [(0.4, 2.6), (0.7, 4.5), (1.0, 6.4), (1.5, 9.6), (2.0, 12.8), (3.0, 19.2)]
)
def test_reading_distance(metres: float, cap_mm: float) -> None:
    """Capital height for 22 minutes of arc, the upper preferred figure of ISO 9241-3 (as quoted), worked by hand."""
    assert reading_distance(cap_mm) == pytest.approx(metres, rel=0.02)  # the heights are rounded to 0.1 mm
