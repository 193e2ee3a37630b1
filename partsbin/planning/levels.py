"""Order-up-to levels and reorder points from a demand history.

Periodic review: every R periods the position (on hand + on order - promised) is looked at; what is ordered is
there after L more periods, so stock must cover the protection interval R + L. The fill target is the share of
units asked for that are handed over at once.

Among the items that share one target, stock goes where it prevents most shortage for each unit (or each piece of
money) that will lie on the shelf (marginal analysis, Sherbrooke 2004): one price for a prevented shortage is
sought at which the demand of all of them together is filled to the target. Level by level, whole units alone would
lift slow movers far above it: with demand known for certain, the least levels that each reach 0.90 fill 0.94 of what
is asked of parts used about once in seven periods, and are a quarter higher than those of the shared price. No item
is left behind: the share short that is expected of any one is at most five times the share allowed on the whole (at
most 0.9), so for a target of 0.95 no item is planned below 0.75.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partsbin.errors import Refused
from partsbin.planning.curves import Curves, first_at_most
from partsbin.planning.distributions import FloatArray, IntArray

_MOST_UNEQUAL, MOST_SHORT = 5.0, 0.9
_BINS, _LOW, _HIGH = 800, -14.0, 14.0  # the price is sought on a grid of logarithms, 3.5 % a step


def horizon(protection: FloatArray, periods: int) -> int:
    """Periods to look ahead when learning: the usual protection interval, at most a third of the history."""
    return int(np.clip(round(float(np.median(protection))), 1, max(1, periods // 3)))


def column(value: ArrayLike, n: int, name: str) -> FloatArray:
    """One figure per item from one figure or n of them; refuses other lengths and words."""
    try:
        return np.broadcast_to(np.asarray(value, dtype=np.float64), (n,))
    except (TypeError, ValueError):
        raise Refused(f"Give one {name} for all {n} items, or one number for each of them.") from None


def check_terms(lead: FloatArray, review: FloatArray, target: FloatArray) -> None:
    """Refuse lead times below 0, reviews not above 0 and targets outside 0 to 1."""
    if not ((lead >= 0) & (lead < np.inf)).all() or not ((review > 0) & (review < np.inf)).all():
        raise Refused("Lead time must be 0 or more and the review period above 0 for every item.")
    if not ((target > 0) & (target < 1)).all():
        raise Refused("The fill target must lie between 0 and 1, for example 0.95.")


def choose(
    groups: Sequence[Curves], cycle_demand: FloatArray, target: FloatArray, unit_cost: FloatArray | None = None
) -> IntArray:
    """Column k of each item's curve (units) at which every target is met by those who share it.

    cycle_demand: expected units a review cycle. unit_cost: weighs the shelf in money; None weighs it in units.
    """
    k = np.zeros(len(target), dtype=np.int64)
    dear = np.zeros(len(target)) if unit_cost is None else np.log(np.maximum(unit_cost, 1e-9))
    bounds = [_bounds(g, cycle_demand, target) for g in groups]
    for goal in np.unique(target):
        sharing = target == goal
        allowed = float((1 - goal) * cycle_demand[sharing].sum())
        price = _price(groups, bounds, sharing, dear, allowed)
        for g, (low, high) in zip(groups, bounds, strict=True):
            mine = sharing[g.items]
            wanted = np.clip((g.worth - dear[g.items, None] >= price).sum(axis=1), low, high)
            k[g.items[mine]] = wanted[mine] * g.scale
    return k


def _bounds(g: Curves, cycle_demand: FloatArray, target: FloatArray) -> tuple[IntArray, IntArray]:
    share = np.minimum(_MOST_UNEQUAL * (1 - target[g.items]), MOST_SHORT)
    low = first_at_most(g.short, share * cycle_demand[g.items])
    return low, np.maximum(first_at_most(g.short, np.zeros(len(low))), low)


def _price(
    groups: Sequence[Curves],
    bounds: Sequence[tuple[IntArray, IntArray]],
    sharing: NDArray[np.bool_],
    dear: FloatArray,
    allowed: float,
) -> float:
    """Log of the least worth still paid for, so that the shortage left is what is allowed."""
    base, saved = 0.0, np.zeros(_BINS)
    for g, (low, high) in zip(groups, bounds, strict=True):
        mine = np.flatnonzero(sharing[g.items])
        if len(mine) == 0:
            continue
        short, lo, hi = g.short[mine], low[mine, None], high[mine, None]
        base += float(np.take_along_axis(short, lo, axis=1).sum())
        k = np.arange(short.shape[1] - 1)
        open_ = (k >= lo) & (k < hi)
        worth = (g.worth[mine, :-1] - dear[g.items[mine], None])[open_]
        bins = np.clip((worth - _LOW) / (_HIGH - _LOW) * _BINS, 0, _BINS - 1).astype(np.int64)
        saved += np.bincount(bins, weights=-np.diff(short, axis=1)[open_], minlength=_BINS)
    left = base - np.cumsum(saved[::-1])
    if base <= allowed:
        return np.inf
    met = left <= allowed
    return float(_LOW + (_HIGH - _LOW) * (_BINS - 1 - int(met.argmax())) / _BINS) if met.any() else -np.inf
