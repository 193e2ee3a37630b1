"""Order-up-to levels: the reference simulation, and every kind of poor history."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from partsbin.errors import Refused
from partsbin.planning import order_up_to
from partsbin.planning.distributions import demand_table
from partsbin.planning.pool import learn

REFERENCE = Path(__file__).resolve().parents[2].parent / "shared" / "reference"


def simulate(demand, target, lead, review, warm):
    """Achieved fill of the planner under periodic review with waiting demand, levels reset at each review."""
    n, periods = demand.shape
    hand = level = order_up_to(demand[:, :warm], lead, review, target)
    waiting, due = np.zeros(n, dtype=np.int64), np.zeros((periods + lead + 2, n), dtype=np.int64)
    asked = met = 0
    for t in range(warm, periods):
        hand = hand + due[t]
        due[t] = 0
        paid = np.minimum(hand, waiting)
        hand, waiting = hand - paid, waiting - paid
        served = np.minimum(hand, demand[:, t])
        hand, waiting = hand - served, waiting + demand[:, t] - served
        asked, met = asked + demand[:, t].sum(), met + served.sum()
        if (t + 1 - warm) % review == 0 and t + 1 < periods:
            level = order_up_to(demand[:, : t + 1], lead, review, target)
            due[t + 1 + lead] += np.maximum(level - (hand + due.sum(axis=0) - waiting), 0)
    return met / asked


@pytest.mark.parametrize(("lead", "review"), [(1, 1), (3, 2)])
def test_the_target_is_met_on_demand_of_known_law(lead, review):
    rng = np.random.default_rng(11)
    rate = rng.gamma(0.8, 0.5, (300, 1))
    demand = rng.poisson(np.broadcast_to(rate, (300, 60))) * rng.integers(1, 4, (300, 60))
    assert simulate(demand, 0.9, lead, review, 40) == pytest.approx(0.9, abs=0.03)


def test_reference_simulation_on_real_spare_parts_demand():
    if not (REFERENCE / "data" / "carparts.csv").exists():
        pytest.skip("the reference simulation and its demand data are not on this machine")
    spec = importlib.util.spec_from_file_location("stock_simulation", REFERENCE / "stock_simulation.py")
    sim = sys.modules["stock_simulation"] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(sim)
    demand = sim.load(str(REFERENCE / "data" / "carparts.csv"))
    got = sim.run(demand, lambda h, s: order_up_to(h, s.lead, s.review, s.target), 0.95)
    assert abs(got["fill"] - 0.95) <= 0.02
    best = min(
        sim.stock_at(sim.frontier(demand, sim.BASE[b]), min(got["fill"], 0.96)) for b in ("negbin", "negbin_tsb")
    )
    assert got["stock"] <= 0.95 * best


def test_what_short_histories_left_unsure_is_not_counted_against_a_longer_one():
    rng = np.random.default_rng(9)
    rate = np.exp(rng.normal(-0.5, 1.2, (600, 1)))
    history = rng.poisson(rng.gamma(0.8, rate / 0.8, (600, 24))).astype(float)
    mean, variance = learn(history, 4).outlook(history).over(np.full(600, 4.0), np.arange(600))
    wanted = rate[:, 0] * 4
    misses = (wanted - mean) ** 2 + 4 * (rate[:, 0] + rate[:, 0] ** 2 / 0.8)  # of the forecast, and of chance
    usual = (wanted > 1) & (wanted < 25)
    assert 0.9 < variance[usual].sum() / misses[usual].sum() < 1.45


def test_lumpy_demand_has_its_chance_of_none_and_both_moments():
    table = demand_table([2.0, 0.3, 40.0], [30.0, 4.0, 900.0], 2000, [0.8, 0.95, 0.01])
    k = np.arange(2001)
    mean = table @ k
    assert table[:, 0] == pytest.approx([0.8, 0.95, 0.01])
    assert mean == pytest.approx([2.0, 0.3, 40.0])
    assert table @ k**2 - mean**2 == pytest.approx([30.0, 4.0, 900.0])


def test_levels_do_not_fall_as_the_target_rises():
    rng = np.random.default_rng(2)
    history = rng.poisson(rng.gamma(0.7, 0.6, (80, 1)) * np.ones((80, 50)))
    levels = [order_up_to(history, 2, 1, t) for t in (0.7, 0.9, 0.99)]
    assert levels[0].sum() < levels[1].sum() < levels[2].sum()


def test_leads_and_targets_may_differ_by_item():
    history = np.tile(np.random.default_rng(1).poisson(1.0, 60), (4, 1))
    levels = order_up_to(history, [0, 2, 4, 8], [1, 1, 1, 1], [0.9, 0.9, 0.95, 0.95])
    assert (np.diff(levels) > 0).all()


def test_unknown_weeks_are_not_zero_weeks():
    rng = np.random.default_rng(5)
    history = rng.poisson(1.0, (50, 60)).astype(float)
    history[:, ::3] = np.nan
    zeroed = np.nan_to_num(history)
    assert order_up_to(history, 2, 1, 0.95).sum() > order_up_to(zeroed, 2, 1, 0.95).sum()


@pytest.mark.parametrize(
    "history",
    [
        [[0, 3]],
        [[1.0, np.nan]],
        [[np.nan] * 30],
        [[0] * 52],
        [[0] * 40 + [500] + [0] * 11],
        [[-4] * 20],
        [[5, -2] * 20],
        [[40_000, 38_000] * 20],
        [3, 0, 1, 0],
    ],
    ids=["two weeks", "one week", "nothing known", "nothing asked", "one giant job", "only returns", "returns",
         "thousands", "one flat series"],
)  # fmt: skip
def test_poor_history_gets_a_whole_answer(history):
    levels = order_up_to(history, 0, 1, 0.95)
    assert levels.dtype == np.int64
    assert (levels >= 0).all()


def test_two_weeks_of_use_are_not_a_silent_zero():
    assert order_up_to([[2, 3]], 1, 1, 0.95)[0] >= 4


def test_fast_movers_get_about_what_a_normal_sum_gives():
    rng = np.random.default_rng(9)
    history = rng.normal(30_000, 2_000, (40, 60)).round()
    levels = order_up_to(history, 1, 1, 0.98)
    assert levels.mean() == pytest.approx(60_000, rel=0.1)


def test_nothing_to_plan_gives_nothing_and_nothing_to_plan_from_is_refused():
    assert len(order_up_to(np.zeros((0, 10)), 1, 1, 0.9)) == 0
    for nothing in ([], np.zeros((3, 0))):
        with pytest.raises(Refused, match="no history to plan from"):
            order_up_to(nothing, 1, 1, 0.9)


@pytest.mark.parametrize(
    ("history", "lead", "review", "target", "word"),
    [
        ([[1, 2]], -1, 1, 0.9, "Lead"),
        ([[1, 2]], np.nan, 1, 0.9, "Lead"),
        ([[1, 2]], 1, 0, 0.9, "review"),
        ([[1, 2]], 1, 1, 1.0, "target"),
        ([[1, 2]], 1, 1, 95, "target"),
        ([[1, 2]], [1, 2], 1, 0.9, "lead time"),
        ([["a"]], 1, 1, 0.9, "numbers"),
        (np.zeros((2, 2, 2)), 1, 1, 0.9, "one row"),
        ([[1, 2], [1]], 1, 1, 0.9, "numbers"),
        ([[1, np.inf]], 1, 1, 0.9, "finite"),
    ],
)
def test_impossible_terms_are_refused_in_words(history, lead, review, target, word):
    with pytest.raises(Refused, match=word):
        order_up_to(history, lead, review, target)
