"""Symbols share their space in whole dots, quiet zones kept; what cannot be coarse enough is not drawn."""

from __future__ import annotations

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from partsbin.errors import Refused
from partsbin.printing.symbols import Arrangement, Grid, Placed, arrange, code128, qr

CODES = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-", min_size=1, max_size=20)


def outer(placed: Placed) -> tuple[int, int, int, int]:
    """A placed symbol with its quiet zone: left, top, right, bottom."""
    return placed.x, placed.y, placed.x + placed.symbol.wide * placed.module, placed.y + placed.height


def apart(a: tuple[int, int, int, int], b: tuple[int, int, int, int]) -> bool:
    return a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def paint(arrangement: Arrangement, width: int, height: int) -> Image.Image:
    image = Image.new("L", (width + 8, height + 8), 255)
    pencil = ImageDraw.Draw(image)
    for placed in arrangement.placed:
        for x, y, w, h in placed.rectangles():
            pencil.rectangle((x + 4, y + 4, x + 3 + w, y + 3 + h), fill=0)
    return image


@settings(max_examples=150, deadline=None)
@given(CODES, st.integers(100, 900), st.integers(60, 1200), st.sampled_from([8.0, 11.811, 12.0, 23.622]))
def test_symbols_keep_to_their_space_and_apart(text: str, width: int, height: int, dots: float) -> None:
    grid = Grid(dots)
    arrangement = arrange(text, width, height, grid, least_words=round(5 * dots))
    if arrangement is None:
        return
    zones = [outer(placed) for placed in arrangement.placed]
    x, y, w, h = arrangement.words
    assert w > 0 and h > 0
    for zone, placed in zip(zones, arrangement.placed, strict=True):
        assert placed.module >= grid.least >= 2
        assert zone[0] >= 0 and zone[1] >= 0 and zone[2] <= width and zone[3] <= height
        assert apart(zone, (x, y, x + w, y + h))
        if placed.symbol.rows == 1:
            assert placed.height >= max(5 * dots, 0.15 * placed.symbol.columns * placed.module)
    assert len(zones) == 1 or apart(*zones)
    assert bool(arrangement.lacks) == (len(zones) == 1)


@settings(max_examples=30, deadline=None)
@given(CODES)
def test_every_arrangement_reads(text: str) -> None:
    arrangement = arrange(text, 800, 400, Grid(), 40)
    assert arrangement is not None
    # At its own size: halved, as the decoder would try too, "F00400L" loses a dot and reads as something else besides.
    found = zxingcpp.read_barcodes(paint(arrangement, 800, 400), try_downscale=False)
    assert {one.text for one in found} == {text}
    assert len(found) == len(arrangement.placed)


@settings(max_examples=30, deadline=None)
@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=24))
def test_any_printable_text_encodes_both_ways(text: str) -> None:
    for symbol in (code128(text), qr(text)):
        dots = 2
        high = 60 if symbol.rows == 1 else symbol.wide * dots
        picture = paint(Arrangement((Placed(symbol, 0, 0, dots, high),), (0, 0, 1, 1)), symbol.wide * dots, high)
        assert [one.text for one in zxingcpp.read_barcodes(picture, text_mode=zxingcpp.TextMode.Plain)] == [text]


@pytest.mark.parametrize("text", ["", "Ä-01", "A\t1", "A\x1d1", "棚"])
def test_bars_refuse_what_they_cannot_hold(text: str) -> None:
    with pytest.raises(Refused, match="plain letters"):
        code128(text)


def test_a_code_longer_than_any_symbol_is_refused() -> None:
    with pytest.raises(Refused, match="5000 characters"):
        qr("A" * 5000)


def test_an_empty_code_is_no_symbol() -> None:
    with pytest.raises(Refused, match="empty"):
        qr("")


@pytest.mark.parametrize(("dots", "least"), [(8.0, 2), (11.811, 2), (12.0, 2), (23.622, 4)])
def test_finer_heads_still_print_readable_modules(dots: float, least: int) -> None:
    assert Grid(dots).least == least


def test_the_qr_symbol_is_the_smallest_and_its_error_level_the_highest_that_fits() -> None:
    assert qr("A030702").columns == 21  # version 1
    assert qr("A" * 21).columns == 25  # 20 letters and digits are the most of version 1-M


def test_bars_get_coarser_with_room() -> None:
    modules = []
    for width in (230, 340, 450, 700):
        arrangement = arrange("A030702", width, 200, Grid(), 40)
        assert arrangement is not None
        modules.append(arrangement.placed[0].module)
    assert modules == sorted(modules) and modules[0] >= 2 and modules[-1] > modules[0]


def test_no_room_is_none() -> None:
    assert arrange("A030702", 100, 40, Grid(), 8) is None


def test_reading_is_by_bytes_not_by_luck() -> None:
    """The decoder itself tells a spoiled picture from a good one: a check that always passes checks nothing."""
    arrangement = arrange("A030702", 500, 200, Grid(), 10)
    assert arrangement is not None
    picture = paint(arrangement, 500, 200)
    left, top, right, low = outer(arrangement.placed[0])
    third = (right - left) // 3
    ImageDraw.Draw(picture).rectangle((left + third, top, right - third, low + 8), fill=255)
    assert [str(one.format) for one in zxingcpp.read_barcodes(picture)] == ["QR Code"]
