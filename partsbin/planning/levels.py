"""Order-up-to levels from a demand history.

Periodic review: every R periods the position (on hand + on order - promised) is raised to S; what is ordered is
there after L more periods, so S must cover R + L. Expected shortage of a review cycle is
E(D(L+R) - S)+ - E(D(L) - S)+ (Sobel 2004), exact when unmet demand waits. The fill target is the share of
units asked for that are handed over at once.

Among the items that share one target, units of stock go where they prevent most shortage for each unit that
will lie on the shelf (marginal analysis, Sherbrooke 2004): one price for a prevented shortage is sought at which
the units asked for over all of them are filled to the target. No item is left behind: each one's own expected
fill stays between 1 - 2(1 - target) and 1 - (1 - target)/5.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partsbin.errors import Refused
from partsbin.planning.distributions import (
    FloatArray,
    IntArray,
    by_table_length,
    cumulative,
    expected_short,
    negative_binomial_table,
)
from partsbin.planning.forecast import as_history
from partsbin.planning.pool import Outlook, learn

_BINS = 600
_LOW, _HIGH = np.log(1e-5), np.log(1e3)


def order_up_to(
    history: ArrayLike, lead_periods: ArrayLike, review_periods: ArrayLike, fill_target: ArrayLike
) -> IntArray:
    """Whole units per item to which each review should raise the position.

    history: items x periods, oldest first; NaN = unknown (out of stock, not yet stocked). Negative periods
    (more came back than went out) are netted against the periods before them. lead, review (periods, whole or
    broken) and fill target (0 to 1): one number or one per item; items with the same target share it (see the
    head of this module). An item never asked for gets what the pool suggests, possibly 0. Refuses anything else.
    """
    x = netted(as_history(history))
    n = len(x)
    lead, review, target = (_column(v, n) for v in (lead_periods, review_periods, fill_target))
    if (lead < 0).any() or (review <= 0).any() or (target <= 0).any() or (target >= 1).any():
        raise Refused("Lead time must be 0 or more, review above 0, and the fill target between 0 and 1.")
    if n == 0 or x.shape[1] == 0:
        return np.zeros(n, dtype=np.int64)
    horizon = max(1, round(float(np.median(lead + review))))
    outlook = learn(x, min(horizon, max(1, x.shape[1] // 3))).outlook(x)
    return allocate(outlook, lead, review, target)


def netted(x: FloatArray) -> FloatArray:
    """Returns of unused parts set against the use before them: no period stays below zero."""
    if not (x < 0).any():
        return x
    out = x.copy()
    for t in range(out.shape[1] - 1, -1, -1):
        over = np.where(out[:, t] < 0, out[:, t], 0.0)
        out[:, t] -= over
        if t:
            out[:, t - 1] = np.where(np.isnan(out[:, t - 1]), out[:, t - 1], out[:, t - 1] + over)
    return out


def _column(value: ArrayLike, n: int) -> FloatArray:
    try:
        return np.broadcast_to(np.asarray(value, dtype=np.float64), (n,))
    except ValueError:
        raise Refused(f"Give one figure for all {n} items or one for each of them.") from None


@dataclass(frozen=True)
class _Tables:
    """One group of items: worth of each next unit, expected shortage at each level, and the levels' bounds."""

    items: IntArray
    worth: FloatArray
    short: FloatArray
    low: IntArray
    high: IntArray


def allocate(outlook: Outlook, lead: FloatArray, review: FloatArray, target: FloatArray) -> IntArray:
    """Levels per item for a known outlook (see `order_up_to`)."""
    tables = [_tables(outlook, lead, review, target, i, top) for i, top in _groups(outlook, lead + review)]
    levels = np.zeros(len(target), dtype=np.int64)
    for goal in np.unique(target):
        inside = target == goal
        price = _price(tables, inside, (1 - goal) * float((outlook.mean * review)[inside].sum()))
        for t in tables:
            pick = inside[t.items]
            s = np.clip((t.worth >= price).sum(axis=1), t.low, t.high)
            levels[t.items[pick]] = s[pick]
    return levels


def _groups(outlook: Outlook, periods: FloatArray) -> Iterator[tuple[IntArray, int]]:
    mean, variance = outlook.over(periods, np.arange(len(outlook.mean), dtype=np.int64))
    return by_table_length(mean + 10 * np.sqrt(variance) + 8)


def _tables(
    outlook: Outlook, lead: FloatArray, review: FloatArray, target: FloatArray, i: IntArray, top: int
) -> _Tables:
    during = negative_binomial_table(*outlook.over(lead[i], i), top)
    until = negative_binomial_table(*outlook.over((lead + review)[i], i), top)
    fl, fu = cumulative(during), cumulative(until)
    worth = np.log(np.maximum(fl / np.maximum(fu, 1e-300) - 1, 1e-12))
    m = outlook.mean[i]
    short = np.maximum(expected_short(until, m * (lead + review)[i]) - expected_short(during, m * lead[i]), 0)
    miss = ((1 - target[i]) * m * review[i])[:, None] + 1e-12
    low, high = (_first(short <= miss * 2), _first(short <= miss / 5))
    return _Tables(i, worth, short, low, high)


def _first(ok: NDArray[np.bool_]) -> IntArray:
    return np.where(ok.any(axis=1), ok.argmax(axis=1), ok.shape[1] - 1).astype(np.int64)


def _price(tables: list[_Tables], inside: NDArray[np.bool_], allowed: float) -> float:
    """Log of the worth at which the allowed shortage is just met."""
    base, drop = 0.0, np.zeros(_BINS)
    for t in tables:
        pick = inside[t.items]
        if not pick.any():
            continue
        worth, short, low, high = t.worth[pick], t.short[pick], t.low[pick], t.high[pick]
        base += float(short[np.arange(len(low)), low].sum())
        step = -np.diff(short, axis=1)
        k = np.arange(step.shape[1])
        use = (k >= low[:, None]) & (k < high[:, None])
        at = np.clip((worth[:, :-1][use] - _LOW) / (_HIGH - _LOW) * _BINS, 0, _BINS - 1).astype(np.int64)
        drop += np.bincount(at, weights=step[use], minlength=_BINS)
    left = base - np.cumsum(drop[::-1])
    met = left <= allowed
    bin_ = _BINS - 1 - int(met.argmax()) if met.any() else -1
    return float(_LOW + (_HIGH - _LOW) * bin_ / _BINS) if bin_ >= 0 else float("-inf")
