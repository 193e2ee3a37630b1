"""The door chart: one page whatever the machine, every lane on it, odd texts drawn as they are."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from partsbin.printing.lane_chart import ChartCell, ChartPaper, write_lane_chart


def chart(shelves: int, lanes: int, **more: str) -> ChartPaper:
    row = [
        ChartCell(f"{n}", "Cola <b> & lemon zero sugar", "CAN355", "15 mm LEFT", 7, "since 2026-03-01")
        for n in range(lanes)
    ]
    cells = tuple(tuple(row) for _ in range(shelves))
    cautions = ("DANGER: Unplug the machine.", "DANGER: Never rock it.")
    return ChartPaper("A1 [/x]", "Hall · Teal", "Depot", "2026-11-25", cells, cautions, **more)


@pytest.mark.parametrize(("shelves", "lanes"), [(1, 1), (5, 8), (6, 9), (9, 12), (12, 16)])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_machine_is_one_page(tmp_path: Path, shelves: int, lanes: int, paper: str) -> None:
    path = tmp_path / "chart.pdf"
    write_lane_chart(chart(shelves, lanes, paper=paper), path)
    document = pypdfium2.PdfDocument(path)
    assert len(document) == 1
    words = document[0].get_textpage().get_text_range()
    assert words.count("CAN355") == shelves * lanes
    assert "Unplug" in words


def test_the_same_chart_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        write_lane_chart(chart(5, 8), tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
