"""Shelf set points: stated answers or questions for whatever the file holds."""

from __future__ import annotations

import dataclasses
import itertools

import numpy as np
import pytest

from partsbin.errors import Refused
from partsbin.planning import PlanInput, PriceBreak, explain, plan_shelf, proposal, what_if


def depot(n=40, weeks=80, **more):
    rng = np.random.default_rng(6)
    history = rng.poisson(rng.gamma(0.8, 0.7, (n, 1)) * np.ones((n, weeks))).astype(float)
    history[:, -3] += 1  # everything is alive
    given = {"lead_weeks": 2.0, "unit_cost": 1500.0, "order_cost": 400.0, **more}
    return PlanInput([f"P{i:03}" for i in range(n)], history, **given)


def with_row(row, plan=None, **more):
    plan = plan or depot()
    history = np.array(plan.history)
    history[0] = row
    return plan_shelf(dataclasses.replace(plan, history=history, **more))[0]


def first(value, rest, n=40):
    return np.array([value, *[rest] * (n - 1)])


def test_the_target_is_reached_by_all_parts_together_on_paper():
    plans = plan_shelf(depot(fill_target=0.9))
    asked = sum(p.weekly_demand * 52 for p in plans)
    assert 1 - sum(p.short_a_year for p in plans) / asked == pytest.approx(0.9, abs=0.07)
    assert all(p.expected_fill >= 0.49 for p in plans)


def test_figures_of_a_proposal_belong_together():
    for p in plan_shelf(depot()):
        assert p.order_up_to == p.reorder_point + p.order_quantity
        assert p.protection_weeks == p.lead_weeks + p.review_weeks == 3
        assert p.money_tied_up == pytest.approx(p.on_shelf * 1500)
        assert p.cover_weeks == pytest.approx(p.on_shelf / p.weekly_demand)
        assert 0 <= p.on_shelf <= p.order_up_to


def test_the_order_quantity_is_explained_by_what_it_costs_and_what_a_date_allows():
    words = explain(with_row([4] * 80, pack=first(12, 1), minimum=first(24, 0)))
    assert "ordering (4.00 a time) and holding (25% a year of 15.00 each) cost least together" in words
    assert "packs of 12; at least 24." in words
    assert "four weeks' use, for its cost is not known" in explain(with_row([4] * 80, unit_cost=np.nan))
    dated = explain(with_row([4] * 80, shelf_life_weeks=first(6.0, np.nan), shelf_margin_weeks=2.0, pack=first(12, 1)))
    assert "sell in the 4.0 weeks before its best-before less the margin" in dated
    assert "Target" not in explain(with_row([0] * 80))


def test_two_weeks_only():
    got = with_row([np.nan] * 78 + [2, 1])
    assert proposal.NEW in got.flags
    assert got.order_up_to > 0
    assert got.known_weeks == 2
    assert got.censored_weeks == 0


def test_little_history_leans_on_a_similar_item_and_says_so():
    row = [np.nan] * 76 + [0, 0, 0, 0]
    low, high = with_row(row), with_row(row, fallback_weekly=first(6.0, np.nan), fallback_from={0: "P900"})
    assert high.weekly_demand > 3 * low.weekly_demand
    assert proposal.FROM_OTHER in high.flags


def test_one_giant_job_is_asked_about():
    got = with_row([0] * 60 + [300] + [0, 0, 1] * 6 + [0])
    assert proposal.ONE_BIG in got.flags
    assert any("One week took 300" in q and "it was counted as 10" in q for q in got.questions)
    assert got.weekly_demand < 1
    assert proposal.ONE_BIG not in with_row([0] * 60 + [30] + [0, 0, 20] * 6 + [0]).flags, "30 beside 20 is no surprise"


def test_what_nobody_asked_for_yet_is_ordered_in_the_smallest_lot():
    got = with_row([np.nan] * 78 + [0, 0], pack=first(3, 1))
    assert got.order_quantity == 3
    assert "the smallest order, for nobody has asked for it yet; packs of 3" in explain(got)


def test_a_year_of_nothing_is_not_restocked_and_is_asked_about():
    got = with_row([2] * 20 + [0] * 60)
    assert (got.reorder_point, got.order_up_to) == (0, 0)
    assert proposal.DEAD in got.flags
    assert got.questions


def test_returns_are_netted_and_a_surplus_is_asked_about():
    assert with_row([3, -3] * 40).weekly_demand < 0.2
    assert proposal.RETURNS in with_row([-1] * 80).flags


def test_a_changed_pack_is_pointed_out_and_the_new_one_used():
    got = with_row([2] * 80, pack=first(12, 1), old_pack=first(10.0, np.nan))
    assert proposal.PACK_CHANGED in got.flags
    assert got.order_quantity % 12 == 0


def test_lead_time_zero_is_taken_and_unknown_is_asked_about():
    lead = first(0.0, 2.0)
    assert with_row([1] * 80, lead_weeks=lead).protection_weeks == 1
    got = with_row([1] * 80, lead_weeks=first(np.nan, 3.0))
    assert got.lead_weeks == 3
    assert proposal.LEAD_UNKNOWN in got.flags
    assert "3.0 weeks were assumed" in " ".join(got.questions)
    assert with_row([1] * 80, lead_weeks=np.nan).lead_weeks == 2


def test_an_item_without_supplier_is_planned_and_asked_about():
    got = with_row([1] * 80, has_supplier=np.arange(40) > 0)
    assert got.order_up_to > 0
    assert proposal.NO_SUPPLIER in got.flags


def test_no_cost_still_gives_a_quantity():
    got = with_row([2] * 80, unit_cost=first(np.nan, 1500.0))
    assert proposal.NO_COST in got.flags
    assert got.order_quantity == pytest.approx(8, abs=1)
    assert got.money_tied_up == 0


def test_weeks_out_of_stock_are_left_out_and_counted():
    row = np.array([2.0] * 80)
    row[10:30] = np.nan
    got = with_row(row)
    assert got.censored_weeks == 20
    assert proposal.CENSORED in got.flags
    assert got.weekly_demand == pytest.approx(2, rel=0.2)


def test_falling_use_is_noticed():
    assert proposal.FALLING in with_row([1, 1, 0] * 22 + [0] * 14).flags


def test_dated_goods_are_ordered_less_at_a_time_not_only_once_the_shelf_is_empty():
    row = np.random.default_rng(4).poisson(10, 80)
    got = with_row(row, shelf_life_weeks=first(8.0, np.nan), shelf_margin_weeks=2.0, order_cost=50_000.0)
    assert proposal.DATED in got.flags
    assert got.reorder_point >= 20  # the two weeks it takes to come
    assert got.order_up_to <= 6 * got.weekly_demand
    assert got.expected_fill > 0.9


def test_dated_goods_are_never_ordered_beyond_what_sells():
    got = with_row([2] * 80, shelf_life_weeks=first(6.0, np.nan), shelf_margin_weeks=2.0, order_cost=50_000.0)
    assert got.order_up_to <= 4 * got.weekly_demand
    assert got.order_quantity <= 4 * got.weekly_demand
    got = with_row([0, 0, 1, 0] * 20, shelf_life_weeks=first(4.0, np.nan), pack=first(24, 1))
    assert proposal.NEVER_SELLS in got.flags
    assert got.order_up_to == 0


def test_what_is_not_kept_is_short_all_year_whatever_the_review():
    for review in (1.0, 2.0):
        got = with_row([0, 0, 1, 0] * 20, shelf_life_weeks=first(4.0, np.nan), pack=first(24, 1), review_weeks=review)
        assert (got.order_up_to, got.expected_fill, got.on_shelf) == (0, 0, 0)
        assert got.short_a_year == pytest.approx(52 * got.weekly_demand)
        assert got.short_a_year > 1


def test_price_breaks_pull_the_quantity_up():
    plain = with_row([10] * 80)
    broken = with_row([10] * 80, price_breaks={0: [PriceBreak(1, 1500.0), PriceBreak(100, 1000.0)]})
    assert broken.order_quantity >= 100 > plain.order_quantity
    assert broken.unit_cost == 1000


def test_a_lot_that_lasts_over_a_year_is_asked_about():
    assert proposal.LOT_FORCED in with_row([0] * 70 + [1] + [0] * 9, minimum=first(50, 0)).flags


def test_an_unsure_lead_time_needs_more_stock():
    sure, unsure = (with_row([3, 2, 4, 3] * 20, lead_sd_weeks=sd) for sd in (0.0, 2.0))
    assert unsure.reorder_point > sure.reorder_point


def test_explanations_name_the_figures():
    text = explain(with_row([2] * 80, old_reorder_point=3.0, old_order_up_to=9.0))
    for word in ("a week", "Target 95%", "delivery", "Before: at 3 up to 9", "What would change it", "tied up"):
        assert word in text
    assert "keep none" in explain(with_row([0] * 80))


def test_the_what_if_curve_rises_in_money_and_falls_in_shortages():
    points = what_if(depot(), [0.8, 0.9, 0.95, 0.99])
    assert all(a.stock_money < b.stock_money for a, b in itertools.pairwise(points))
    assert all(a.short_a_year > b.short_a_year for a, b in itertools.pairwise(points))


def test_an_empty_depot_has_nothing_to_plan():
    assert plan_shelf(PlanInput([], [])) == []
    assert what_if(PlanInput([], []), [0.9])[0].stock_money == 0


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ({"unit_cost": -1.0}, "unit cost of P000"),
        ({"pack": 0}, "pack of P000"),
        ({"fill_target": 1.2}, "fill target"),
        ({"lead_weeks": -1.0}, "Lead time"),
        ({"lead_sd_weeks": -1.0}, "deviation"),
        ({"part_numbers": ["A"]}, "1 part numbers but 40 rows"),
        ({"holding_rate": -0.1}, "holding rate"),
        ({"unit_cost": [1.0, 2.0]}, "unit cost"),
    ],
)
def test_figures_that_cannot_be_are_refused_by_name(more, word):
    with pytest.raises(Refused, match=word):
        plan_shelf(dataclasses.replace(depot(), **more))


def test_one_giant_job_moves_neither_its_own_level_beyond_reason_nor_that_of_the_other_parts():
    plan = depot(10, 60)
    calm = sum(p.weekly_demand for p in plan_shelf(plan)[1:])
    history = np.array(plan.history)
    history[0] = [0] * 30 + [500] + [0] * 29
    giant, *others = plan_shelf(dataclasses.replace(plan, history=history))
    assert giant.weekly_demand < 2  # 500 in 60 weeks are 8.3
    assert sum(p.weekly_demand for p in others) == pytest.approx(calm, rel=0.35)


def test_a_part_of_which_nothing_is_known_is_not_stocked_and_is_asked_about():
    got = with_row([np.nan] * 80)
    assert (got.reorder_point, got.order_up_to) == (0, 0)
    assert proposal.NEVER_MOVED in got.flags
    assert any("by hand" in q for q in got.questions)
    assert with_row([np.nan] * 80, fallback_weekly=first(3.0, np.nan)).order_up_to > 0
