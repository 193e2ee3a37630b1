"""Order-up-to levels from a demand history."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import (
    FloatArray,
    IntArray,
    by_table_length,
    expected_short,
    negative_binomial_table,
)
from partsbin.planning.forecast import as_history


def order_up_to(
    history: ArrayLike, lead_periods: ArrayLike, review_periods: ArrayLike, fill_target: ArrayLike
) -> IntArray:
    """Whole units per item to which each review should raise the position (on hand + on order - promised).

    history: items x periods, oldest first, NaN = unknown. lead, review (periods) and fill target (0 to 1):
    one number or one per item.
    """
    x = as_history(history)
    n = len(x)
    lead = np.broadcast_to(np.asarray(lead_periods, dtype=np.float64), (n,))
    review = np.broadcast_to(np.asarray(review_periods, dtype=np.float64), (n,))
    target = np.broadcast_to(np.asarray(fill_target, dtype=np.float64), (n,))
    if (lead < 0).any() or (review <= 0).any() or (target <= 0).any() or (target >= 1).any():
        raise Refused("Lead time must be 0 or more, review above 0, and the fill target between 0 and 1.")
    known = (~np.isnan(x)).sum(axis=1)
    total = np.nansum(x, axis=1)
    mean = np.maximum(total, 0) / np.maximum(known, 1)
    spread = np.nansum((x - mean[:, None]) ** 2, axis=1) / np.maximum(known - 1, 1)
    spread = np.maximum(spread, mean) + mean / np.maximum(known, 1)
    levels = np.zeros(n, dtype=np.int64)
    need = mean * (lead + review) + 14 * np.sqrt(spread * (lead + review)) + 3
    for i, top in by_table_length(need):
        levels[i] = _smallest(mean[i], spread[i], lead[i], review[i], target[i], top)
    return np.where(mean > 0, levels, 0)


def _smallest(
    mean: FloatArray, spread: FloatArray, lead: FloatArray, review: FloatArray, target: FloatArray, top: int
) -> IntArray:
    def short(periods: FloatArray) -> FloatArray:
        return expected_short(negative_binomial_table(mean * periods, spread * periods, top), mean * periods)

    cycle = short(lead + review) - short(lead)
    ok = cycle <= ((1 - target) * mean * review)[:, None] + 1e-12
    return np.where(ok.any(axis=1), ok.argmax(axis=1), top).astype(np.int64)
