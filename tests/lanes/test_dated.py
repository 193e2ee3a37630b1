from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.lanes.dated import Lot, most_to_order, near_date, sellable

TODAY = date(2026, 3, 2)


def lot(code: str, days: int | None, quantity: int, place: str = "") -> Lot:
    return Lot(code, None if days is None else TODAY + timedelta(days), quantity, place)


def test_near_date_counts_what_sales_leave_behind() -> None:
    rows = near_date([lot("A", 14, 30), lot("B", 70, 30)], 10, TODAY)
    assert [(r.lot.code, r.weeks_left, r.will_sell, r.at_risk) for r in rows] == [("A", 2.0, 20, 10)]


def test_sellable_takes_the_margin_off_each_date() -> None:
    lots = [lot("A", 14, 30), lot("B", 70, 100), lot("X", -1, 50)]
    assert sellable(lots, 10, 0, TODAY) == 100
    assert sellable(lots, 10, 1, TODAY) == 90
    assert sellable(lots, 0, 0, TODAY) == 0


def test_order_never_exceeds_what_the_date_can_sell() -> None:
    arrives = TODAY + timedelta(7)
    assert most_to_order([], 10, TODAY, arrives=arrives, life_weeks=12, margin_weeks=2) == 100
    assert most_to_order([lot("A", 70, 50)], 10, TODAY, arrives=arrives, life_weeks=12) == 60
    assert most_to_order([lot("A", 70, 50)], 10, TODAY, arrives=arrives, life_weeks=12, on_order=80) == 0
    assert most_to_order([], 10, TODAY, arrives=arrives, life_weeks=1) == 0
    with pytest.raises(Refused, match="weekly sales"):
        most_to_order([], float("nan"), TODAY, arrives=arrives, life_weeks=1)


lots = st.lists(st.tuples(st.one_of(st.none(), st.integers(-20, 200)), st.integers(0, 40)), max_size=8).map(
    lambda rows: [lot(f"L{n}", days, quantity) for n, (days, quantity) in enumerate(rows)]
)


@settings(max_examples=100, deadline=None)
@given(have=lots, rate=st.integers(0, 60), margin=st.integers(0, 4))
def test_sellable_never_exceeds_stock_nor_sales_to_the_last_date(have: list[Lot], rate: int, margin: int) -> None:
    dated = [x for x in have if x.best_before]
    units = sellable(dated, rate, margin, TODAY)
    assert 0 <= units <= sum(x.quantity for x in dated if not x.expired(TODAY))
    last = max(((x.best_before or TODAY) - TODAY for x in dated), default=timedelta())
    assert units <= rate * max(0.0, last.days / 7 - margin) + 1e-6
