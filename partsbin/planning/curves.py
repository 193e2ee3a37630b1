"""Shortage and shelf stock at every possible level, for many items at once.

Column k of a curve means: the position after a review lies evenly between k and k + lot - 1, that is, orders
are placed at reorder point k - 1 in lots. With lot 1 this is the plain order-up-to level k. Expected shortage of
a review cycle at position y is E(D(L+R) - y)+ - E(D(L) - y)+ (Sobel 2004; exact when unmet demand waits).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsbin.planning.distributions import FloatArray, IntArray, cumulative, demand_table, expected_short
from partsbin.planning.pool import Outlook
from partsbin.wanted import still_wanted

Curve = NDArray[np.float32]
_LENGTHS = (8, 16, 32, 64, 128, 256, 512, 1024, 2048, 4096)
_CELLS = 1_000_000  # of one table in work at a time: some 8 MB


@dataclass(frozen=True)
class Terms:
    """How items are resupplied, one entry each: lead time and its deviation, review (periods), lot (units)."""

    lead: FloatArray
    review: FloatArray
    lead_sd: FloatArray
    lot: IntArray


@dataclass(frozen=True)
class Curves:
    """Items of like size: units short in a cycle, units on the shelf, worth (log) of raising k by one.

    `scale`: how many units one step of k stands for; above 1 only for items of thousands of units.
    """

    items: IntArray
    scale: int
    short: Curve
    shelf: Curve
    worth: Curve

    def at(self, values: Curve, k: IntArray) -> FloatArray:
        """Entries of a curve at one column per item."""
        return np.asarray(values[np.arange(len(k)), np.minimum(k, values.shape[1] - 1)])


def curves(outlook: Outlook, terms: Terms) -> Iterator[Curves]:
    """Curves of all items, in groups that need tables of about the same length."""
    everyone = np.arange(len(outlook.mean), dtype=np.int64)
    mean, variance = demand_over(outlook, terms, terms.lead + terms.review, everyone)
    need = mean + 10 * np.sqrt(variance) + 6
    scale = np.where(need > _LENGTHS[-1], 2.0 ** np.ceil(np.log2(np.maximum(need, 1) / _LENGTHS[-1])), 1.0)
    need, low = need / scale, 0
    for high in _LENGTHS:
        for step in np.unique(scale[(need > low) & (need <= high)]):
            inside = np.flatnonzero((need > low) & (need <= high) & (scale == step))
            size = max(1, _CELLS // high)
            for start in range(0, len(inside), size):
                still_wanted()
                yield _group(outlook, terms, inside[start : start + size], high, int(step))
        low = high


def demand_over(outlook: Outlook, terms: Terms, periods: FloatArray, i: IntArray) -> tuple[FloatArray, FloatArray]:
    """Mean and variance of demand over some periods, with the lead time's own variability added."""
    mean, variance = outlook.over(periods[i], i)
    return mean, variance + (outlook.mean[i] * terms.lead_sd[i]) ** 2


def _group(outlook: Outlook, terms: Terms, i: IntArray, top: int, scale: int) -> Curves:
    during, upto = demand_over(outlook, terms, terms.lead, i), demand_over(outlook, terms, terms.lead + terms.review, i)
    lead = demand_table(during[0] / scale, during[1] / scale**2, top, outlook.nothing(terms.lead[i], i))
    whole = demand_table(upto[0] / scale, upto[1] / scale**2, top, outlook.nothing(terms.lead[i] + terms.review[i], i))
    lot = np.maximum(terms.lot[i] // scale, 1)
    short_lead, short_whole = expected_short(lead, during[0] / scale), expected_short(whole, upto[0] / scale)
    below_lead, below_whole = cumulative(lead), cumulative(whole)
    below_whole = np.minimum(below_whole, below_lead)
    gain = _windows(below_lead - below_whole, lot, 0.0)
    cost = _windows(below_whole, lot, 1.0)
    k = np.arange(top + 1)
    # Half way between the shelf just after a delivery and just before the next one.
    shelf = k - (during[0] + upto[0])[:, None] / 2 / scale + (short_lead + short_whole) / 2
    worth = np.log(np.maximum(gain, 1e-12) / np.maximum(cost, 1e-300))
    short = _windows(np.maximum(short_whole - short_lead, 0), lot, 0.0)
    kept = (short * scale, _windows(shelf, lot, None) * scale, worth)
    return Curves(i, scale, *(np.asarray(c, dtype=np.float32) for c in kept))  # single precision: half the memory


def _windows(values: FloatArray, lot: IntArray, beyond: float | None) -> FloatArray:
    """Mean over columns k..k+lot-1; past the table the value is `beyond`, or with None goes on rising by one."""
    if (lot == 1).all():
        return values
    top = values.shape[1]
    total = np.concatenate([np.zeros((len(values), 1)), np.cumsum(values, axis=1)], axis=1)
    end = np.arange(top) + lot[:, None]
    inside = np.take_along_axis(total, np.minimum(end, top), axis=1) - total[:, :-1]
    over = np.maximum(end - top, 0)
    rest = over * beyond if beyond is not None else over * values[:, -1:] + over * (over + 1) / 2
    return np.asarray((inside + rest) / lot[:, None])


def first_at_most(values: Curve, limit: FloatArray) -> IntArray:
    """Smallest column whose value is within the item's limit (the last column when none is)."""
    ok: NDArray[np.bool_] = values <= limit[:, None] + 1e-6
    return np.asarray(np.where(ok.any(axis=1), ok.argmax(axis=1), ok.shape[1] - 1), dtype=np.int64)
