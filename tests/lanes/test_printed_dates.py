from __future__ import annotations

from datetime import date

import pytest

from partsbin.errors import Refused
from partsbin.lanes.printed_dates import read_best_before

TODAY = date(2026, 3, 2)
LAST_OF_MAY = date(2026, 5, 31)


@pytest.mark.parametrize(
    "text",
    [
        "2026-05-31",
        "20260531",
        "260531",
        "260500",
        "31 MAY 26",
        "31may2026",
        "MAY3126",
        "May 31, 2026",
        "MAY 2026",
        "2026-05",
        "31/05/26",
        "05/31/2026",
        " 31.05.2026 ",
    ],
)
def test_one_date_however_it_is_printed(text: str) -> None:
    assert read_best_before(text, TODAY) == LAST_OF_MAY


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("04/05/26", "day first or month first"),
        ("MAY2026", "20th or the whole month"),
        ("", "no date"),
        ("soon", "no date"),
        ("260231", "no day of the calendar"),
        ("261332", "no day of the calendar"),
        ("261300", "no day of the calendar"),
        ("32 MAY 26", "no day of the calendar"),
        ("1926-03-05", "the year 1926 is not between 2000 and 2099"),
        ("0000-00-00", "no day of the calendar"),
        ("9" * 500, "no date"),
    ],
)
def test_what_cannot_be_told_is_refused(text: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_best_before(text, TODAY)


def test_same_day_and_month_is_no_riddle() -> None:
    assert read_best_before("05/05/26", TODAY) == date(2026, 5, 5)
