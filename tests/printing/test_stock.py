"""Stock files: those shipped, a user's own, and every way a file can be wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.errors import Refused
from partsbin.printing.stock import load_stock, stock_names

GOOD = """
about = "three across"
page = [210, 297]
columns = 3
rows = 8
label = [63.5, 33.9]
left = 7.25
top = 12.9
right = 7.25
bottom = 12.9
pitch = [66.0, 33.9]
"""


def own(folder: Path, text: str, name: str = "mine") -> Path:
    (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def test_every_shipped_stock_loads() -> None:
    names = stock_names()
    assert {"letter-30", "letter-20", "letter-14", "letter-10", "letter-6"} <= set(names)
    assert {"a4-24", "a4-24e", "a4-21", "a4-40", "a4-65"} <= set(names)
    assert {"roll-2x1", "roll-3x1", "roll-4x2", "roll-4x6", "roll-62c"} <= set(names)
    for name in names:
        stock = load_stock(name)
        assert stock.name == name and stock.about
        per = name.partition("-")[2].rstrip("e")
        assert name.startswith("roll") or stock.per_page == int(per)


def test_an_own_file_is_found_beside_the_depot_and_wins(tmp_path: Path) -> None:
    own(tmp_path, GOOD)
    own(tmp_path, GOOD.replace("three across", "ours"), "letter-30")
    assert "mine" in stock_names(tmp_path)
    assert load_stock("mine", tmp_path).per_page == 24
    assert load_stock("letter-30", tmp_path).about == "ours"
    assert load_stock("letter-30").about != "ours"


def test_no_folder_beside_the_depot_is_no_fault(tmp_path: Path) -> None:
    assert load_stock("a4-65", tmp_path / "none").per_page == 65


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("right = 7.25", "right = 9"), r"mine\.toml: width: .* = 211\.75 mm, but the page is 210 mm"),
        (("rows = 8", "rows = 7"), r"height: .* but the page is 297 mm"),
        (("pitch = [66.0, 33.9]", "pitch = [60.0, 33.9]"), "overlap"),
        (("label = [63.5, 33.9]", "label = 63.5"), "label must be two numbers"),
        (("columns = 3", "columns = 0"), "columns cannot be 0"),
        (("columns = 3", 'columns = "3"'), "columns cannot be '3'"),
        (("columns = 3", "columns = true"), "columns cannot be True"),
        (("left = 7.25", "left = -1"), "left cannot be -1"),
        (("left = 7.25", "lefft = 7.25"), "lefft is not a stock figure"),
        (('about = "three across"', ""), "about is missing"),
        (("rows = 8", "rows = 8 8"), "not readable as TOML"),
        (("rows = 8", "rows = " + "[" * 3000), "not readable as TOML"),
        (("left = 7.25", "left = 7.25\ninset = [30, 1]"), "leaves no room"),
        (("left = 7.25", "left = 7.25\ndots_per_mm = 2"), "label printer has 8"),
        (("page = [210, 297]", "page = [210, 0]"), "continuous roll"),
        (("page = [210, 297]", "page = [nan, 297]"), "page must be two numbers"),
    ],
)
def test_a_wrong_file_is_refused_with_the_reason(tmp_path: Path, change: tuple[str, str], says: str) -> None:
    own(tmp_path, GOOD.replace(*change))
    with pytest.raises(Refused, match=says):
        load_stock("mine", tmp_path)


@pytest.mark.parametrize("name", ["nothing", "../labels/letter-30", "", "calibration"])
def test_an_unknown_name_lists_those_there_are(name: str) -> None:
    with pytest.raises(Refused, match="letter-30") as refusal:
        load_stock(name)
    assert repr(name) in str(refusal.value)
