from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.lanes.dated import Lot, check_best_before, check_lots, most_to_order, near_date, pick_fefo, sellable

TODAY = date(2026, 3, 2)


def lot(code: str, days: int | None, quantity: int, place: str = "") -> Lot:
    return Lot(code, None if days is None else TODAY + timedelta(days), quantity, place)


def test_oldest_goes_first_and_the_lot_is_named() -> None:
    pick = pick_fefo([lot("B", 60, 24), lot("A", 30, 10)], 20, TODAY)
    assert [(line.lot.code, line.quantity) for line in pick.lines] == [("A", 10), ("B", 10)]
    assert pick.short == 0


def test_expired_stays_and_is_reported_the_printed_day_still_sells() -> None:
    pick = pick_fefo([lot("OLD", -1, 24), lot("TODAY", 0, 5)], 10, TODAY)
    assert [line.lot.code for line in pick.lines] == ["TODAY"]
    assert pick.short == 5
    assert "24 of lot OLD" in pick.notes[0]


def test_newer_lot_needs_a_reason() -> None:
    lots = [lot("A", 30, 10), lot("B", 60, 24)]
    with pytest.raises(Refused, match=r"lot A .* must go before B"):
        pick_fefo(lots, 5, TODAY, wanted="B")
    pick = pick_fefo(lots, 5, TODAY, wanted="B", reason="A is blocked in by a pallet")
    assert [line.lot.code for line in pick.lines] == ["B"]
    assert pick.reason == "A is blocked in by a pallet"
    assert [x.code for x in pick.passed_over] == ["A"]


def test_wanted_needs_no_reason_when_everything_older_goes_too() -> None:
    pick = pick_fefo([lot("A", 30, 10), lot("B", 60, 24)], 34, TODAY, wanted="B")
    assert pick.reason == ""
    assert pick.short == 0


def test_expired_or_unknown_lot_cannot_be_wanted() -> None:
    with pytest.raises(Refused, match="past its date"):
        pick_fefo([lot("A", -3, 10)], 1, TODAY, wanted="A", reason="in a hurry")
    with pytest.raises(Refused, match="not in stock"):
        pick_fefo([lot("A", 3, 10)], 1, TODAY, wanted="Z")


def test_undated_goes_last_with_a_note() -> None:
    pick = pick_fefo([lot("N", None, 10), lot("A", 90, 2)], 5, TODAY)
    assert [line.lot.code for line in pick.lines] == ["A", "N"]
    assert "no date" in pick.notes[0]


def test_a_mistyped_century_and_two_lots_of_one_code_are_refused() -> None:
    with pytest.raises(Refused, match="100 years ago"):
        check_best_before(date(1926, 3, 5), TODAY)
    with pytest.raises(Refused, match="years ahead"):
        check_best_before(date(2062, 3, 5), TODAY)
    with pytest.raises(Refused, match="both called A"):
        check_lots([lot("A", 3, 1), lot("A", 4, 1)])
    check_lots([lot("A", 3, 1, "A-01"), lot("A", 3, 1, "B-01")])
    with pytest.raises(Refused, match="count it first"):
        check_lots([lot("A", 3, -1)])


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


@settings(max_examples=150, deadline=None)
@given(have=lots, quantity=st.integers(0, 200), wanted=st.integers(-1, 7), reason=st.sampled_from(["", "damaged box"]))
def test_no_older_lot_stays_behind_a_newer_without_a_reason(
    have: list[Lot], quantity: int, wanted: int, reason: str
) -> None:
    try:
        pick = pick_fefo(have, quantity, TODAY, wanted=f"L{wanted}" if wanted >= 0 else "", reason=reason)
    except Refused:
        return
    taken = {line.lot.code: line.quantity for line in pick.lines}
    good = [x for x in have if not x.expired(TODAY)]
    assert sum(taken.values()) + pick.short == quantity
    assert pick.short == max(0, quantity - sum(x.quantity for x in good))
    assert all(0 < taken[x.code] <= x.quantity for x in have if x.code in taken)
    assert not any(x.expired(TODAY) for x in have if x.code in taken)
    newest = max((x.best_before or date.max for x in have if x.code in taken), default=date.min)
    older_left = [x for x in good if x.quantity > taken.get(x.code, 0) and (x.best_before or date.max) < newest]
    assert not older_left or pick.reason


@settings(max_examples=100, deadline=None)
@given(have=lots, rate=st.integers(0, 60), margin=st.integers(0, 4))
def test_sellable_never_exceeds_stock_nor_sales_to_the_last_date(have: list[Lot], rate: int, margin: int) -> None:
    dated = [x for x in have if x.best_before]
    units = sellable(dated, rate, margin, TODAY)
    assert 0 <= units <= sum(x.quantity for x in dated if not x.expired(TODAY))
    last = max(((x.best_before or TODAY) - TODAY for x in dated), default=timedelta())
    assert units <= rate * max(0.0, last.days / 7 - margin) + 1e-6
