"""Slips on paper: read back as a person would, and scanned as a scanner would."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from reading import pages, texts

from partsbin.exchange import read_scan
from partsbin.printing.count_sheet import BlindRow, write_count_sheet
from partsbin.printing.slips import ShortRow, SlipCaution, SlipPaper, SlipRow, write_slip

MAINS = SlipCaution("MAINS", "DANGER", "Unplug the machine and keep the plug in sight.", 1)
LIFT = SlipCaution("LIFT", "WARNING", "Two people or a lift table.", 2)
ROWS = (
    SlipRow("A-01-02-3", "VAN1", "DLV-SHM-S-LH", "Spacer, slim can", 2, "LH"),
    SlipRow(
        "A-03-07-2", "VAN1", "DLV-MTR-24-RH", "Gear motor 24 V", 1, "RH", note="job J-204", cautions=("LIFT", "MAINS")
    ),
    SlipRow("B-09-01-2", "VAN1", "DRK-0012", "Spring water", 1200, lot="L26-118", best_before="2026-12-04"),
)
SLIP = SlipPaper(
    "Pick slip VAN1",
    "Northgate depot",
    1042,
    (("Van", "VAN1 Ann"), ("By", "AK"), ("Reference", "")),
    ROWS,
    (LIFT, MAINS),
    (ShortRow("DLV-MTR-24-LH", "Gear motor 24 V, left", 3, "VAN3 has 2"),),
    ("Cut the supply.", "Test vend twice."),
)


def written(slip: SlipPaper, tmp_path: Path) -> bytes:
    path = tmp_path / "slip.pdf"
    write_slip(slip, path)
    return path.read_bytes()


def page_texts(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    finally:
        document.close()


def in_order(text: str, *wanted: str) -> bool:
    at = 0
    for one in wanted:
        at = text.find(one, at)
        if at < 0:
            return False
        at += len(one)
    return True


def assert_margins_are_clear(pdf: bytes, clear_mm: float = 10.0) -> None:
    """No ink nearer to the edge than the margin allows; a printer would cut it off."""
    for page in pages(pdf, 100):
        edge = int(clear_mm / 25.4 * 100)
        wide, high = page.size
        for box in ((0, 0, edge, high), (wide - edge, 0, wide, high), (0, 0, wide, edge), (0, high - edge, wide, high)):
            assert page.crop(box).convert("L").getextrema() == (255, 255)


def test_everything_to_know_stands_on_the_slip_in_order(tmp_path):
    (page,) = page_texts(written(SLIP, tmp_path))
    assert in_order(page, "Pick slip VAN1", "Northgate depot", "slip 1042")
    assert in_order(page, "A-01-02-3", "DLV-SHM-S-LH", "A-03-07-2", "DLV-MTR-24-RH", "B-09-01-2", "1,200", "DRK-0012")
    for words in ("LEFT", "RIGHT", "lot L26-118", "best before 2026-12-04", "job J-204", "Picked by", "Taken by"):
        assert words in page
    assert in_order(page, "Short", "DLV-MTR-24-LH", "VAN3 has 2")
    assert in_order(page, "Order of work", "1", "Cut the supply.", "2", "Test vend twice.")
    assert "page 1 of 1" in page


def test_cautions_come_first_and_mark_their_lines_most_severe_first(tmp_path):
    (page,) = page_texts(written(SLIP, tmp_path))
    assert in_order(page, "DANGER", "MAINS", MAINS.text, "WARNING", "LIFT", LIFT.text, "A-01-02-3")
    assert in_order(page, "DLV-MTR-24-RH", "DANGER", "MAINS", "WARNING", "LIFT", "B-09-01-2")
    assert "local codes" in page


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("number", [1, 1042, 99_999_999])
def test_the_number_scans_and_comes_back_as_a_slip(tmp_path, number, dpi):
    pdf = written(replace(SLIP, number=number), tmp_path)
    found = [text for page in pages(pdf, dpi) for _, text in texts(page)]
    assert len(found) == 1
    scan = read_scan(found[0])
    assert (scan.kind, scan.slip) == ("slip", str(number))


def test_a_proposal_says_so_and_has_nothing_to_scan(tmp_path):
    pdf = written(replace(SLIP, number=None), tmp_path)
    assert "proposal, not posted" in page_texts(pdf)[0]
    assert [found for page in pages(pdf, 203) for found in texts(page)] == []


def test_the_same_slip_gives_the_same_bytes(tmp_path):
    assert written(SLIP, tmp_path) == written(SLIP, tmp_path)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_three_hundred_lines_repeat_heading_and_head_and_keep_the_margins(tmp_path, paper):
    rows = tuple(
        SlipRow(
            f"{'AB'[n // 150]}-{n % 99 + 1:02d}-01-1", f"VAN1-D{n % 7}", f"PART-{n:04d}", "Spacer", n + 1, lot=f"L{n}"
        )
        for n in range(300)
    )
    pdf = written(replace(SLIP, rows=rows, paper=paper), tmp_path)
    shown = page_texts(pdf)
    assert len(shown) > 5
    for number, page in enumerate(shown, 1):
        assert "Pick slip VAN1" in page
        assert f"page {number} of {len(shown)}" in page
        assert ("PART-" not in page) or ("Lot, best before" in page)
    assert sum(page.count("PART-") for page in shown) == 300
    assert_margins_are_clear(pdf)


def test_long_and_foreign_and_hostile_texts_neither_break_nor_vanish(tmp_path):
    hostile = '<b>&amp; </para> <img src="x"/> ' + "sprężyna " * 45
    rows = (
        SlipRow("A-01-01-1", "VAN1", "W" * 60, hostile, 1, cautions=("NONE-SUCH",)),
        SlipRow("A-01-01-2", "VAN1", "P2", "عربي 🚚 Ελληνικά 漢字", 1),
    )
    pdf = written(replace(SLIP, title="T" * 200, rows=rows), tmp_path)
    page = " ".join(page_texts(pdf))
    for words in (
        "<b>&amp;",
        "</para>",
        "sprężyna",
        "[Arabic text]",
        "[delivery truck]",
        "Ελληνικά",
        "[CJK text]",
        "NONE-SUCH",
    ):
        assert words in page
    assert_margins_are_clear(pdf)


def test_one_target_is_said_once_and_several_on_their_lines(tmp_path):
    (page,) = page_texts(written(SLIP, tmp_path))
    assert "All to VAN1" in page
    two = (ROWS[0], replace(ROWS[1], target="VAN1-D3"))
    (page,) = page_texts(written(replace(SLIP, rows=two), tmp_path))
    assert "All to" not in page
    assert "VAN1-D3" in page


def test_an_empty_slip_says_so(tmp_path):
    (page,) = page_texts(written(SlipPaper("Pick slip", "Depot", None, (), ()), tmp_path))
    assert "Nothing to move." in page


def test_a_count_sheet_is_blind_and_names_the_place_on_every_line(tmp_path):
    rows = [BlindRow("A-03-07-2", f"PART-{n}", "Gear motor", f"L{n}") for n in range(40)]
    write_count_sheet("Count A-03", "Northgate depot", rows, tmp_path / "count.pdf", "a4")
    pdf = (tmp_path / "count.pdf").read_bytes()
    assert sum(page.count("A-03-07-2") for page in page_texts(pdf)) == 40
    assert_margins_are_clear(pdf)
