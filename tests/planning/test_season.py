"""A rhythm shared by all items: found where there is one, left alone where there is none."""

from __future__ import annotations

import numpy as np
import pytest

from partsbin.planning import PlanInput, order_up_to, plan_shelf
from partsbin.planning.season import find_season


def use(periods, length, swing, items=200, seed=3):
    rng = np.random.default_rng(seed)
    wave = 1 + swing * np.sin(2 * np.pi * np.arange(periods) / length)
    return rng.poisson(rng.gamma(0.8, 3.0, (items, 1)) * wave).astype(float)


@pytest.mark.parametrize(("periods", "length"), [(36, 12), (60, 12), (130, 52), (49, 7)])
def test_the_length_and_the_swing_are_found(periods, length):
    season = find_season(use(periods, length, 0.6))
    assert season.length == length
    told = season.factors(np.arange(float(length)))
    wave = 1 + 0.6 * np.sin(2 * np.pi * np.arange(length) / length)
    assert np.abs(told / told.mean() - wave).max() < 0.25


@pytest.mark.parametrize("seed", range(12))
def test_no_season_is_read_into_plain_or_drifting_demand(seed):
    rng = np.random.default_rng(seed)
    level = np.exp(np.cumsum(rng.normal(0, 0.1, (100, 60)), axis=1)) if seed % 2 else np.ones((100, 60))
    assert find_season(rng.poisson(2 * level).astype(float)).length == 0


@pytest.mark.parametrize("history", [np.zeros((3, 60)), np.full((2, 60), np.nan), np.ones((1, 60)), np.zeros((0, 30))])
def test_nothing_to_read_is_no_season(history):
    assert find_season(history).length == 0


def test_levels_rise_before_the_busy_months_and_fall_before_the_quiet_ones():
    x = use(68, 12, 0.7)  # the two months after 62 run 65 % above the year, those after 68 as far below it
    assert order_up_to(x[:, :62], 1, 1, 0.95).sum() > 2 * order_up_to(x, 1, 1, 0.95).sum()


def test_the_plan_says_that_the_season_is_counted_in():
    x = use(130, 52, 0.6, items=60)
    said = plan_shelf(PlanInput([f"P{i}" for i in range(60)], x, lead_weeks=2.0))
    assert any("season of all parts counted in" in flag for one in said for flag in one.flags)
