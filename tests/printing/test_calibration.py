"""The calibration page on every stock: size, bars that scan, lines as long as they claim, the nudge they give."""

from __future__ import annotations

import io

import pypdfium2
import pytest
from reading import pages, read, words_of

from partsbin.printing.calibration import write_calibration
from partsbin.printing.sheets import Nudge
from partsbin.printing.stock import load_stock, stock_names


@pytest.mark.parametrize("name", stock_names())
def test_a_page_for_every_stock(name: str) -> None:
    out = io.BytesIO()
    stock = load_stock(name)
    page = write_calibration(stock, out)
    wide, high = (side / 72 * 25.4 for side in pypdfium2.PdfDocument(out.getvalue())[0].get_size())
    assert (wide, high) == (pytest.approx(stock.page[0], abs=0.01), pytest.approx(stock.page[1] or 100, abs=0.01))
    assert page.across_mm <= wide and page.down_mm <= high
    assert f"{page.across_mm:g} mm" in words_of(out.getvalue())
    if stock.per_page > 1:
        assert {text for _, text in read(out.getvalue(), 203)} == {"2DOTS", "3DOTS", "4DOTS"}


def test_the_line_is_as_long_as_it_says() -> None:
    """Measured on paper: the middle line of the rastered page spans 100 mm."""
    out = io.BytesIO()
    stock = load_stock("letter-30")
    write_calibration(stock, out)
    (page,) = pages(out.getvalue(), 254)  # ten dots a mm
    row = page.height // 2
    dark = [x for x in range(page.width) if page.getpixel((x, row)) == 0]
    assert dark[-1] - dark[0] + 1 == pytest.approx(1000, abs=4)


def test_tick_nought_is_on_the_label_edge() -> None:
    """The upper left scales cross at the corner of label 1, nudge and all."""
    out = io.BytesIO()
    stock, nudge = load_stock("letter-30"), Nudge(1.0, 2.0)
    write_calibration(stock, out, nudge)
    (page,) = pages(out.getvalue(), 254)
    x, y = round((stock.left + 1.0) * 10), round((stock.top + 2.0) * 10)
    assert all(page.getpixel((x + step, y)) == 0 and page.getpixel((x, y + step)) == 0 for step in range(2, 80))


def test_four_figures_make_the_nudge() -> None:
    page = write_calibration(load_stock("roll-4x2"), io.BytesIO())
    assert (page.across_mm, page.down_mm) == (90.0, 40.0)
    nudge = page.nudge(0.5, -1, 90.9, 39.6)
    assert (nudge.x_mm, nudge.y_mm) == (0.5, -1)
    assert (nudge.scale_x, nudge.scale_y) == (pytest.approx(90 / 90.9), pytest.approx(40 / 39.6))
