"""Van kits against brute force, and against the usual rule at equal money."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from partsbin.errors import Refused
from partsbin.planning import jobs_table, par_by_usage, share_completed, van_kit


def depot(seed):
    rng = np.random.default_rng(seed)
    parts, number = int(rng.integers(4, 13)), int(rng.integers(8, 50))
    jobs = np.zeros((number, parts), dtype=int)
    for job in jobs:
        job[rng.choice(parts, size=int(rng.integers(1, 4)), replace=False)] = 1
    jobs[rng.random(jobs.shape) < 0.03] = 2
    cost = rng.integers(1, 30, parts)
    return jobs, cost, int(cost @ jobs.max(axis=0) * rng.uniform(0.2, 0.7))


def best_share(jobs, cost, budget, room=None, limit=None):
    grid = np.array(list(itertools.product(*(range(t + 1) for t in jobs.max(axis=0)))))
    grid = grid[grid @ cost <= budget]
    if room is not None:
        grid = grid[grid @ room <= limit]
    return max(float((jobs <= par).all(axis=1).mean()) for par in grid[np.argsort(-grid.sum(axis=1))])


@pytest.mark.parametrize("seed", range(8))
def test_no_kit_is_better(seed):
    jobs, cost, budget = depot(seed)
    par = van_kit(jobs, cost, budget)
    assert par @ cost <= budget
    best = best_share(jobs, cost, budget)
    assert share_completed(par, jobs) >= 0.97 * best
    assert share_completed(par, jobs) >= share_completed(par_by_usage(jobs, cost, budget), jobs) - 1e-12


def test_room_binds_as_money_does():
    jobs, cost, _ = depot(3)
    room = np.arange(1, len(cost) + 1)
    limit = int(room.sum() * 0.4)
    par = van_kit(jobs, cost, 10**6, room=room, room_limit=limit)
    assert par @ room <= limit
    assert share_completed(par, jobs) >= 0.97 * best_share(jobs, cost, 10**6, room, limit)


def test_controlled_parts_and_ceilings_are_kept_to():
    jobs = [[1, 0, 0], [1, 1, 0], [0, 0, 3], [0, 0, 1]]
    par = van_kit(jobs, [1, 1, 1], 100, allowed=[True, False, True], most=[5, 5, 2])
    assert par.tolist() == [1, 0, 1]


def test_more_jobs_between_restocks_need_more_of_each():
    jobs = [{0: 1}, {0: 1}, {0: 1}, {0: 1}]
    assert van_kit(jobs, [5], 100).tolist() == [1]
    assert van_kit(jobs, [5], 100, jobs_between_restocks=2).tolist() == [2]
    assert share_completed([1], jobs, jobs_between_restocks=2) == 0.5


def test_the_usual_rule_carries_what_the_jobs_between_restocks_take():
    jobs = [{0: 1}, {0: 2}, {1: 1}, {0: 1}]
    assert par_by_usage(jobs, [5, 5], 100).tolist() == [2, 1]
    assert par_by_usage(jobs, [5, 5], 100, jobs_between_restocks=2).tolist() == [3, 1]


def test_jobs_may_be_told_by_part():
    assert jobs_table([{0: 2}, {1: 1}], 2).tolist() == [[2, 0], [0, 1]]


def test_no_jobs_no_money_or_nothing_that_fits():
    assert van_kit([], [3, 4], 10).tolist() == [0, 0]
    assert van_kit([[1, 1]], [3, 4], 0).tolist() == [0, 0]
    assert van_kit([[1, 1]], [3, 4], 6).tolist() == [0, 0]
    assert share_completed([0, 0], []) == 1


def test_free_parts_go_along():
    assert van_kit([[1, 1], [1, 0]], [0, 0], 0).tolist() == [1, 1]


@pytest.mark.parametrize(
    ("jobs", "cost", "more", "word"),
    [
        ([[1, -1]], [1, 1], {}, "negative"),
        ([[0.5, 1]], [1, 1], {}, "whole"),
        ([[1, 1]], [1, -1], {}, "Costs"),
        ([[1, 1]], [1, 1, 1], {}, "one column"),
        ([{7: 1}], [1, 1], {}, "part 7"),
        ([[1, 1]], [1, 1], {"room": [1]}, "one entry"),
        ([[1, 1]], [1, 1], {"jobs_between_restocks": 0}, "at least one job"),
        ([[1, 1]], [1, 1], {"room": [1, float("nan")]}, "must be known"),
        ([[1, 1]], [1, 1], {"most": [1, -1]}, "ceilings"),
        ([[1, 1]], [1, 1], {"weights": [1, 1]}, "one weight for each of the 1 jobs"),
        ([[1, 1]], [1, 1], {"weights": [-1]}, "none negative"),
        ([[0, 1], [1]], [1, 1], {}, "a table of numbers"),
        ([{0: 1}, [1, 0]], [1, 1], {}, "a table of numbers"),
        ([{"a": 1}], [1, 1], {}, "part a"),
        ([[1, 1]], ["a", 1], {}, "Unit costs"),
    ],
)
def test_what_cannot_be_is_refused(jobs, cost, more, word):
    with pytest.raises(Refused, match=word):
        van_kit(jobs, cost, 10, **more)


def test_the_same_jobs_give_the_same_kit():
    jobs, cost, budget = depot(5)
    assert (van_kit(jobs, cost, budget) == van_kit(jobs, cost, budget)).all()


@pytest.mark.parametrize("seed", range(6))
def test_families_of_parts_used_together_are_kitted_as_well_as_can_be(seed):
    rng = np.random.default_rng(700 + seed)
    parts = 8
    families = [rng.choice(parts, int(rng.integers(2, 5)), replace=False) for _ in range(6)]
    jobs = np.zeros((40, parts), dtype=int)
    for job in jobs:
        job[families[rng.integers(6)]] = 1
        job[rng.integers(parts)] += rng.random() < 0.3
    cost, room = np.round(rng.lognormal(2, 1, parts), 2), rng.integers(0, 8, parts)
    budget, limit = float(cost @ jobs.max(axis=0)) * 0.5, float(room @ jobs.max(axis=0)) * 0.6
    par = van_kit(jobs, cost, budget, room=room, room_limit=limit)
    assert par @ room <= limit
    assert share_completed(par, jobs) == pytest.approx(best_share(jobs, cost, budget, room, limit))


@pytest.mark.parametrize("budget", [200, 600])
def test_many_different_jobs_are_served_better_than_by_the_usual_rule(budget):
    rng = np.random.default_rng(4)
    use = rng.pareto(1.2, 60) + 0.01
    jobs = np.zeros((300, 60), dtype=int)
    for job in jobs:
        job[rng.choice(60, size=int(rng.integers(1, 5)), replace=False, p=use / use.sum())] = 1
    cost = rng.lognormal(3, 1, 60)
    ours = share_completed(van_kit(jobs, cost, budget), jobs)
    assert ours > share_completed(par_by_usage(jobs, cost, budget), jobs)
