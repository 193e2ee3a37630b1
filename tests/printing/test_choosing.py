"""Choosing labels: ranges, new shelves, lists; and what is said of those that are wrong."""

from __future__ import annotations

import pytest

from partsbin.errors import Refused
from partsbin.printing.choosing import Wanted, in_range, new_shelves, read_list, walking_key

CODES = new_shelves("A..B-01..12-01..03-1..4")


def test_a_range_takes_both_ends_and_orders_by_number() -> None:
    assert in_range(reversed(CODES), "A-02-01-3..A-02-02-2") == ["A-02-01-3", "A-02-01-4", "A-02-02-1", "A-02-02-2"]
    assert len(in_range(CODES, "A-01-01-1..A-03-99-9")) == 3 * 3 * 4
    assert in_range(["A-10-1", "A-9-1", "A-2-1"], "A-2..A-10") == ["A-2-1", "A-9-1", "A-10-1"]


def test_a_beginning_takes_everything_below_it() -> None:
    assert len(in_range(CODES, "b-11")) == 12
    assert in_range(CODES, "A-01-01-1") == ["A-01-01-1"]
    assert len(in_range(CODES, "A..B")) == len(CODES)


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        ("A-03..A-01", "runs backwards"),
        ("C-01..C-02", "No bin lies"),
        ("", "no range"),
        ("..A-1", "no range"),
        ("A-1..", "no range"),
    ],
)
def test_a_wrong_range_is_refused(wanted: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        in_range(CODES, wanted)


def test_new_shelves_keep_the_width_of_their_figures() -> None:
    assert new_shelves("a-08..10-1") == ["A-08-1", "A-09-1", "A-10-1"]
    assert len(new_shelves("A..D-01..10-01..05-1..4")) == 4 * 10 * 5 * 4


@pytest.mark.parametrize("pattern", ["", "A-1..", "A-9..1", "A-1..B", "A--1", "A-Ä", "A-1..99999-1..9", "A-²..³"])
def test_a_wrong_pattern_is_refused(pattern: str) -> None:
    with pytest.raises(Refused):
        new_shelves(pattern)


def test_codes_sort_as_one_walks() -> None:
    assert sorted(["B-1", "A-10", "A-2", "A-2-1"], key=walking_key) == ["A-2", "A-2-1", "A-10", "B-1"]


def test_a_list_with_or_without_header() -> None:
    assert read_list(["A-01-01-1", "", "A-01-01-2,3"]) == [Wanted("A-01-01-1"), Wanted("A-01-01-2", 3)]
    assert read_list(["\ufeffcopies,Bin", "2,A-1", ",A-2"]) == [Wanted("A-1", 2), Wanted("A-2")]
    assert read_list(["part_number,quantity", "MTR-1,500"]) == [Wanted("MTR-1")]


def test_every_bad_line_of_a_list_is_named() -> None:
    with pytest.raises(Refused, match=r"line 2: '0' is no number of labels.*; line 3: no code"):
        read_list(["A-1,1", "A-2,0", ",4"])
    with pytest.raises(Refused, match="empty"):
        read_list(["", " "])
