"""Code 128 symbols against worked examples, the symbology's own self-checks, and another library's encoder."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import zxingcpp

from partsbin.printing.symbols import CODE128_QUIET, FNC1, Symbol, code128

FACTS = json.loads((Path(__file__).parent / "labels_cases.json").read_text(encoding="utf-8"))
BINS = [
    f"{aisle}{bay:02d}{level:02d}{place:02d}"
    for aisle in "AKZ"
    for bay in (1, 17, 40)
    for level in (1, 9)
    for place in (0, 3)
]
OTHERS = ["MTR-24V-007", "SPC-0412-L", "12345", "0000", "A1", "VAN3", "x y~z", "00123456789012345675"]


def elements(symbol: Symbol) -> list[int]:
    """Widths of bars and spaces in turn, in modules."""
    widths, column = [], 0
    for left, _, wide, _ in symbol.runs:
        widths += [left - column] if left > column else []
        widths.append(wide)
        column = left + wide
    return widths


@pytest.mark.parametrize("case", FACTS["code128"], ids=lambda case: case["text"])
def test_worked_examples(case: dict[str, object]) -> None:
    """Element widths of published worked examples (sources in the data file).

    The first was worked in code set A, ours starts in B: start and check character differ, all data characters agree,
    as the two sets are the same from space to underscore.
    """
    mine = elements(code128((FNC1 if case["fnc1_first"] else "") + str(case["text"])))
    theirs = [int(digit) for digit in str(case["widths"])]
    if case["start"] == "A":
        mine, theirs = mine[6:-13], theirs[6:-13]
    assert mine == theirs


@pytest.mark.parametrize("case", FACTS["length"], ids=lambda case: case["text"])
def test_lengths_in_modules(case: dict[str, object]) -> None:
    assert code128(str(case["text"])).columns == case["modules"]


@pytest.mark.parametrize("text", BINS + OTHERS)
def test_every_character_has_eleven_modules_and_an_even_sum_of_bars(text: str) -> None:
    """ISO/IEC 15417, from memory: each character 11 modules of 3 bars and 3 spaces, bars summing to an even number (its
    parity); stop 13 modules of 4 bars, ending 2-3-3-1-1-1-2; the check character is mod 103, checked by the decoder
    below.
    """
    widths = elements(code128(text))
    characters, stop = [widths[n : n + 6] for n in range(0, len(widths) - 7, 6)], widths[-7:]
    assert stop == [2, 3, 3, 1, 1, 1, 2]
    for character in characters:
        assert len(character) == 6 and sum(character) == 11
        assert sum(character[::2]) % 2 == 0
        assert all(1 <= element <= 4 for element in character)


@pytest.mark.parametrize("text", BINS + OTHERS)
def test_no_longer_than_another_encoder_makes_it(text: str) -> None:
    """zxing-cpp 3.1 as reference encoder: same or fewer modules, and its decoder reads ours."""
    reference = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128)
    theirs = np.asarray(reference.to_image(scale=1, add_quiet_zones=False)).shape[1]
    mine = code128(text)
    assert mine.columns <= theirs
    line = np.full(mine.wide * 2, 255, np.uint8)
    for column, _, wide, _ in mine.runs:
        line[(column + CODE128_QUIET) * 2 : (column + CODE128_QUIET + wide) * 2] = 0
    (read,) = zxingcpp.read_barcodes(np.tile(line, (40, 1)))
    assert (read.text, read.symbology_identifier) == (text, "]C0")


def test_function_character_one_first_makes_it_a_gs1_symbol() -> None:
    """AIM identifier ]C1: ISO/IEC 15417 and the GS1 General Specifications; read by zxing-cpp 3.1."""
    mine = code128(FNC1 + "0109521234543213")
    line = np.full(mine.wide * 2, 255, np.uint8)
    for column, _, wide, _ in mine.runs:
        line[(column + CODE128_QUIET) * 2 : (column + CODE128_QUIET + wide) * 2] = 0
    (read,) = zxingcpp.read_barcodes(np.tile(line, (40, 1)))
    assert read.symbology_identifier == "]C1" and read.bytes == b"0109521234543213"


def test_the_quiet_zone_is_ten_modules() -> None:
    """GS1 General Specifications 5.4.4.2: ten X on either side."""
    assert CODE128_QUIET == 10
