"""The Monday report on paper: every sum to be followed, whatever the figures and words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from test_slips import assert_margins_are_clear, in_order, page_texts

from partsbin.printing.documents import share_out
from partsbin.printing.report import ReportGroup, ReportLine, ReportPaper, write_report
from partsbin.printing.report_chart import Chart, Series, steps

LINE = ReportLine("DLV-SHM-001", "K-88001", "Spacer, slim can", 3, 12, 4, 14, 40, 36, 12, "1.20", "43.20")
REPORT = ReportPaper(
    "Northgate depot",
    "2026-W48",
    "2026-11-23",
    "EUR",
    (
        ReportGroup("Kestrel Vend Parts", "43.20", (LINE,), "8.00 short of free carriage"),
        ReportGroup(
            "", "0.00", (replace(LINE, part_number="P-7", cost="", total="", note="cut from 60", cautions=("LIFT",)),)
        ),
    ),
    (
        ("Overdue", ("Order", "Part", "Still due"), (("PO-7", "DLV-MTR-24", "12"),)),
        ("Short requests", ("For", "Part", "Owed"), ()),
    ),
    (("LIFT", "WARNING", "Two people or a lift table."),),
    total="43.20",
)


def written(report: ReportPaper, tmp_path: Path) -> bytes:
    path = tmp_path / "report.pdf"
    write_report(report, path)
    return path.read_bytes()


def test_the_report_shows_whom_what_why_and_what_else(tmp_path):
    text = " ".join(page_texts(written(REPORT, tmp_path)))
    assert "Monday report 2026-W48" in text
    assert in_order(text, "Week of Monday 2026-11-23", "2 lines to order", "Overdue: 1")
    assert in_order(
        text, "Kestrel Vend Parts", "1 line · EUR 43.20", "DLV-SHM-001", "Spacer", "43.20", "No supplier stated"
    )
    assert "3 + 12 − 4 = 11" in text
    assert in_order(text, "P-7", "cut from 60", "Cautions: LIFT")
    assert in_order(text, "Overdue", "PO-7", "12", "WARNING", "Two people", "Ordered by")
    assert "Short requests" not in text


def test_a_quiet_week_says_so(tmp_path):
    text = " ".join(page_texts(written(ReportPaper("Depot", "2026-W48", "2026-11-23", "EUR", ()), tmp_path)))
    assert "Nothing stands at or below its reorder point." in text
    assert "Ordered by" not in text


def test_the_same_report_gives_the_same_bytes(tmp_path):
    assert written(REPORT, tmp_path) == written(REPORT, tmp_path)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_long_group_repeats_supplier_and_heading_and_keeps_explanations_with_their_lines(tmp_path, paper):
    lines = tuple(replace(LINE, part_number=f"PART-{n:03d}", explanation=f"because-{n:03d} " * 12) for n in range(120))
    report = replace(REPORT, groups=(ReportGroup("Kestrel Vend Parts", "5,184.00", lines),), paper=paper)
    pdf = written(report, tmp_path)
    shown = page_texts(pdf)
    assert len(shown) > 3
    for page in shown:
        parts = {word[5:8] for word in page.split() if word.startswith("PART-")}
        reasons = {word[8:11] for word in page.split() if word.startswith("because-")}
        assert parts == reasons
        assert not parts or ("Kestrel Vend Parts" in page and "Up to" in page)
    assert sum(page.count("PART-") for page in shown) == 120
    assert_margins_are_clear(pdf)


def test_large_figures_stay_on_one_line_and_long_words_wrap(tmp_path):
    wide = replace(LINE, part_number="REF-DECK-290-A-VERY-LONG-NUMBER-" * 2, description="ą" * 400, quantity=100_000,
                   on_hand=-1, on_order=999_999, promised=888_888, order_up_to=1_000_000, cost="12,410.00",
                   total="1,241,000,000.00")  # fmt: skip
    pdf = written(replace(REPORT, groups=(ReportGroup("S" * 90, "1,241,000,000.00", (wide,)),)), tmp_path)
    text = " ".join(page_texts(pdf))
    for figure in ("100,000", "-1 + 999,999 − 888,888 = 111,110", "1,000,000", "12,410.00", "1,241,000,000.00"):
        assert figure in text
    assert_margins_are_clear(pdf)


def test_a_chart_names_its_lines_and_axes(tmp_path):
    lines = (Series("all", ((90, 4200), (99, 10400))), Series("fast", ((90, 1), (99, 10400))))
    chart = Chart("What a target costs", "target, %", "money", lines)
    empty = Chart("Nothing yet", "", "", ())
    text = " ".join(page_texts(written(replace(REPORT, charts=(chart, empty)), tmp_path)))
    for words in ("What a target costs", "target, %", "money", "all", "fast", "10,000", "Nothing yet"):
        assert words in text


@pytest.mark.parametrize(
    ("low", "high", "wanted"),
    [
        (0, 10, [0, 2, 4, 6, 8, 10]),
        (0, 1, [0, 0.2, 0.4, 0.6, 0.8, 1]),
        (90, 99, [90, 92, 94, 96, 98, 100]),
        (3, 3, None),
    ],
)
def test_axes_have_round_numbers_that_cover_the_figures(low, high, wanted):
    made = steps(low, high)
    assert made[0] <= low <= high <= made[-1]
    assert wanted is None or made == wanted


def test_columns_share_a_page_and_the_widest_gives_way():
    assert sum(share_out([30, 400, 50], [10, 10, 10], 200)) == pytest.approx(200)
    assert share_out([30, 400, 50], [10, 10, 10], 200) == pytest.approx([30, 120, 50])
    assert share_out([30, 50], [10, 10], 100) == pytest.approx([30, 70])
