"""Choosing labels: ranges and lists; and what is said of those that are wrong."""

from __future__ import annotations

from itertools import product

import pytest

from partsbin.errors import Refused
from partsbin.printing.choosing import Wanted, in_range, read_list, walking_key

CODES = [
    f"{aisle}-{bay:02d}-{level:02d}-{place}"
    for aisle, bay, level, place in product("AB", range(1, 13), range(1, 4), range(1, 5))
]


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


def test_codes_sort_as_one_walks() -> None:
    assert sorted(["B-1", "A-10", "A-2", "A-2-1"], key=walking_key) == ["A-2", "A-2-1", "A-10", "B-1"]


def test_a_list_with_or_without_header() -> None:
    assert read_list(["A-01-01-1", "", "A-01-01-2,3"]) == [Wanted("A-01-01-1"), Wanted("A-01-01-2", 3)]
    assert read_list(["\ufeffcopies,Bin", "2,A-1", ",A-2"]) == [Wanted("A-1", 2), Wanted("A-2")]
    assert read_list(["part_number,quantity", "MTR-1,500"]) == [Wanted("MTR-1")]
    assert (
        read_list(["bin;copies", "A-1;2", "A-2;"])
        == read_list(["A-1\t2", "A-2\t"])
        == [Wanted("A-1", 2), Wanted("A-2")]
    )


def test_every_bad_line_of_a_list_is_named() -> None:
    with pytest.raises(Refused, match=r"line 2: '0' is no number of labels.*; line 3: no code"):
        read_list(["A-1,1", "A-2,0", ",4"])
    with pytest.raises(Refused, match="empty"):
        read_list(["", " "])
