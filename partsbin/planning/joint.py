"""Items ordered together: one shared cost an order, a small one for each line (joint replenishment).

Cost of ordering item i every m_i-th time, T between orders: (K + sum k_i/m_i)/T + T/2 sum h_i m_i D_i, least at
T* = sqrt(2 (K + sum k_i/m_i) / sum h_i m_i D_i). Rule of thumb after Silver (1976).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray


@dataclass(frozen=True)
class Rhythm:
    """Time between orders (in the unit of the demand rates), in which orders each item takes part, cost a time."""

    between: float
    multiples: tuple[int, ...]
    cost: float


def order_together(shared_cost: float, line_costs: ArrayLike, holding_costs: ArrayLike, demands: ArrayLike) -> Rhythm:
    """Silver's rule, then every multiple tried one up and one down while that saves money."""
    k, hd = _columns(shared_cost, line_costs, holding_costs, demands)
    best = rhythm(shared_cost, k, hd, silver_multiples(shared_cost, k, hd))
    while True:
        near = [
            rhythm(shared_cost, k, hd, (*best.multiples[:i], m + step, *best.multiples[i + 1 :]))
            for i, m in enumerate(best.multiples)
            for step in (-1, 1)
            if m + step >= 1
        ]
        better = min(near, key=lambda r: r.cost)
        if better.cost >= best.cost - 1e-12:
            return best
        best = better


def silver_multiples(shared_cost: float, line_costs: FloatArray, holding_demand: FloatArray) -> tuple[int, ...]:
    """The item with least k/(hD) in every order; the others sqrt(k_i/(hD)_i x (hD)_1/(K + k_1)), rounded."""
    ratio = line_costs / holding_demand
    base = int(ratio.argmin())
    if shared_cost + line_costs[base] <= 0:
        return (1,) * len(line_costs)
    ideal = np.sqrt(ratio * holding_demand[base] / (shared_cost + line_costs[base]))
    ideal[base] = 1
    return tuple(max(1, math.floor(v + 0.5)) for v in ideal)


def power_of_two(shared_cost: float, line_costs: ArrayLike, holding_costs: ArrayLike, demands: ArrayLike) -> Rhythm:
    """Best multiples out of 1, 2, 4, 8: easier to keep by the calendar, at most a few per cent dearer.

    For every time between orders that could be best, each item takes the cheapest multiple; the best one is kept.
    """
    k, hd = _columns(shared_cost, line_costs, holding_costs, demands)
    choices = np.array([1, 2, 4, 8])
    steps = [choices[:-1] * choices[1:] * 2.0]  # where m and 2m cost an item the same: k/m/T + T m hD/2
    switch = np.unique(np.sqrt(2 * k[:, None] / hd[:, None] / (steps[0] / 2)))
    trial = np.concatenate([switch * 0.999, switch * 1.001])
    cost = k[:, None, None] / choices / trial[:, None] + trial[:, None] * choices * hd[:, None, None] / 2
    picks = {tuple(int(v) for v in choices[row]) for row in cost.argmin(axis=2).T}
    return min((rhythm(shared_cost, k, hd, m) for m in picks), key=lambda r: r.cost)


def rhythm(shared_cost: float, line_costs: FloatArray, holding_demand: FloatArray, multiples: Sequence[int]) -> Rhythm:
    """Best time between orders for given multiples, and its cost."""
    m = np.asarray(multiples, dtype=np.float64)
    fixed, held = shared_cost + float((line_costs / m).sum()), float((holding_demand * m).sum())
    return Rhythm(math.sqrt(2 * fixed / held), tuple(int(v) for v in m), math.sqrt(2 * fixed * held))


def _columns(shared: float, lines: ArrayLike, holding: ArrayLike, demands: ArrayLike) -> tuple[FloatArray, FloatArray]:
    k, h, d = (np.asarray(v, dtype=np.float64) for v in (lines, holding, demands))
    if len(k) == 0 or not (k.shape == h.shape == d.shape):
        raise Refused("Give a line cost, a holding cost and a demand for each item ordered together.")
    if shared < 0 or (k < 0).any() or (h <= 0).any() or (d <= 0).any():
        raise Refused("Costs may not be negative; holding cost and demand of items ordered together must be above 0.")
    return k, h * d
