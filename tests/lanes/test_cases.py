from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.lanes.cases import Pool, as_cases, read_cases
from partsbin.lanes.lifting import FLOOR_LIFT, lifting_caution, recommended_weight_kg


@pytest.mark.parametrize(
    ("text", "each"),
    [
        ("2 cs + 6", 54),
        ("2cs+6", 54),
        ("3 cases", 72),
        ("1 cs and 6 loose", 30),
        ("half case", 12),
        ("half a case", 12),
        ("1.5 cs", 36),
        ("48", 48),
        ("48 cans", 48),
        ("0", 0),
    ],
)
def test_mixed_quantities_are_read(text: str, each: int) -> None:
    assert read_cases(text, 24) == each


@pytest.mark.parametrize("text", ["", "two", "-3 cs", "2 cs +", "2 cs 6", "9999999 cs", "1.3 cs"])
def test_unreadable_quantities_are_refused(text: str) -> None:
    with pytest.raises(Refused):
        read_cases(text, 24)


def test_half_of_an_odd_case_is_refused_not_rounded() -> None:
    with pytest.raises(Refused, match=r"17\.5 units"):
        read_cases("half case", 35)


def test_words_never_round_the_loose_ones_into_a_case() -> None:
    assert Pool(2, 30, 24).words() == "2 cs + 30"
    assert as_cases(54, 24).words() == "2 cs + 6"
    assert as_cases(6, 24).words() == "6"


def test_breaking_is_counted_and_only_when_needed() -> None:
    taken = Pool(3, 2, 24).take(30)
    assert (taken.taken.words(), taken.opened, taken.left.words()) == ("1 cs + 6", 1, "1 cs + 20")
    assert Pool(3, 6, 24).take(30).opened == 0
    with pytest.raises(Refused, match="cannot take"):
        Pool(1, 0, 24).take(25)
    with pytest.raises(Refused, match="cannot open"):
        Pool(1, 0, 24).open_cases(2)


@settings(max_examples=150)
@given(cases=st.integers(0, 20), loose=st.integers(0, 60), per_case=st.integers(1, 40), share=st.integers(0, 100))
def test_taking_and_breaking_lose_nothing(cases: int, loose: int, per_case: int, share: int) -> None:
    pool = Pool(cases, loose, per_case)
    each = pool.each * share // 100
    taken = pool.take(each)
    assert taken.taken.each == each
    assert taken.left.each == pool.each - each
    assert taken.left.cases + taken.taken.cases + taken.opened == cases


def test_cautions_grow_with_the_case() -> None:
    assert lifting_caution(9300) == ""
    assert lifting_caution(11700).startswith("CAUTION 11.7 kg")
    assert "two people" in lifting_caution(16500)
    assert "more than one person may ever lift" in lifting_caution(23100)


def test_no_lift_is_recommended_out_of_reach() -> None:
    assert recommended_weight_kg(FLOOR_LIFT) == pytest.approx(9.9, abs=0.05)
    far = type(FLOOR_LIFT)(reach_cm=70, height_cm=75, travel_cm=25)
    assert recommended_weight_kg(far) == 0
