from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.lanes.cases import Pool, as_cases


def test_words_never_round_the_loose_ones_into_a_case() -> None:
    assert Pool(2, 30, 24).words() == "2 cs + 30"
    assert as_cases(54, 24).words() == "2 cs + 6"
    assert as_cases(6, 24).words() == "6"


@given(cases=st.integers(0, 20), loose=st.integers(0, 60), per_case=st.integers(1, 40), count=st.integers(0, 20))
def test_opening_cases_loses_nothing(cases: int, loose: int, per_case: int, count: int) -> None:
    pool = Pool(cases, loose, per_case)
    if count > cases:
        with pytest.raises(Refused, match="cannot open"):
            pool.open_cases(count)
    else:
        opened = pool.open_cases(count)
        assert (opened.each, opened.cases) == (pool.each, cases - count)
