"""Demand distributions over whole units, for many items at once, with numpy alone.

Tables are arrays items x (K + 1): column k is P(D = k). Every probability is built in logarithms, so a mean
of ten thousand units does not underflow to an empty table. Sources: Axsater, Inventory Control (3rd ed.)
ch. 5; Zipkin, Foundations of Inventory Management (2000) C.2.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

NEVER_NONE = 1e-3  # a chance of no demand below this is left to the distribution itself


def poisson_table(mean: ArrayLike, top: int) -> FloatArray:
    """P(D = 0..top) of a Poisson demand; `mean` in units, one per item. Mean 0 gives a certain zero."""
    m = np.atleast_1d(np.asarray(mean, dtype=np.float64))[:, None]
    k = np.arange(1, top + 1)
    with np.errstate(divide="ignore"):
        steps = np.log(m) - np.log(k)
    logs = np.concatenate([np.zeros_like(m), np.cumsum(steps, axis=1)], axis=1) - m
    return np.exp(logs)


def negative_binomial_table(mean: ArrayLike, variance: ArrayLike, top: int) -> FloatArray:
    """P(D = 0..top) of a negative binomial fitted by moments: r = m²/(v - m), p = m/v.

    Where the variance does not exceed the mean by one part in ten thousand the Poisson table is returned.
    """
    m = np.atleast_1d(np.asarray(mean, dtype=np.float64))
    v = np.broadcast_to(np.asarray(variance, dtype=np.float64), m.shape)
    over = (v > m * 1.0001) & (m > 1e-9)
    table = np.empty((len(m), top + 1))
    table[~over] = poisson_table(m[~over], top)
    if over.any():
        mo, vo = m[over][:, None], v[over][:, None]
        r, k = mo * mo / (vo - mo), np.arange(1, top + 1)
        steps = np.log((r + k - 1) / k) + np.log1p(-mo / vo)
        table[over] = np.exp(
            np.concatenate([np.zeros_like(mo), np.cumsum(steps, axis=1)], axis=1) + r * np.log(mo / vo)
        )
    return table


def normal_table(mean: ArrayLike, variance: ArrayLike, top: int) -> FloatArray:
    """P(D = 0..top) of a normal demand cut to whole units at the halves; what lies below 0 counts as 0."""
    m = np.atleast_1d(np.asarray(mean, dtype=np.float64))[:, None]
    sd = np.sqrt(np.maximum(np.broadcast_to(np.asarray(variance, dtype=np.float64), m[:, 0].shape), 1e-12))[:, None]
    edges = (np.arange(top + 1) + 0.5 - m) / sd
    upto = 0.5 * np.asarray(_erfc(-edges / math.sqrt(2)), dtype=np.float64)
    return np.diff(upto, axis=1, prepend=0.0)


_erfc = np.frompyfunc(math.erfc, 1, 1)


def demand_table(mean: ArrayLike, variance: ArrayLike, top: int, none: ArrayLike = 0.0) -> FloatArray:
    """P(D = 0..top), the family chosen by the two moments.

    Variance above the mean: with probability `none` nothing is asked for, else 1 unit and a negative binomial
    number more, so that both moments come true; about the mean, or fewer than 5 units expected: Poisson;
    steadier than Poisson (variance below 0.9 of the mean) with 5 units or more: normal, the only place it fits.
    """
    m = np.atleast_1d(np.asarray(mean, dtype=np.float64))
    v = np.broadcast_to(np.asarray(variance, dtype=np.float64), m.shape)
    nothing = np.clip(np.broadcast_to(np.asarray(none, dtype=np.float64), m.shape), 1 - m, v / (v + m * m + 1e-300))
    lumpy = (v > m * 1.0001) & (nothing > NEVER_NONE)
    some = np.where(lumpy, 1 - nothing, 1.0)
    size = m / some
    scatter = np.where(lumpy, (v + m * m) / some - size * size, v)
    table = _moments_table(np.where(lumpy, np.maximum(size - 1, 0), size), scatter, top)
    if lumpy.any():
        table[lumpy, 1:] = some[lumpy, None] * table[lumpy, :-1]
        table[lumpy, 0] = nothing[lumpy]
    return table


def _moments_table(m: FloatArray, v: FloatArray, top: int) -> FloatArray:
    """Negative binomial, Poisson or normal by mean and variance."""
    table = negative_binomial_table(m, v, top)
    steady = (m >= 5) & (v < 0.9 * m)
    if steady.any():
        table[steady] = normal_table(m[steady], v[steady], top)
    return table


def cumulative(table: FloatArray) -> FloatArray:
    """P(D <= k) from a table of probabilities."""
    return np.asarray(np.minimum(np.cumsum(table, axis=-1), 1.0))


def expected_short(table: FloatArray, mean: ArrayLike | None = None) -> FloatArray:
    """E(D - S)+ for S = 0..K; `mean` is the exact mean when the table cuts the tail off."""
    full = (table * np.arange(table.shape[-1])).sum(-1) if mean is None else np.asarray(mean, dtype=np.float64)
    beyond = np.clip(1 - np.cumsum(table, axis=-1), 0, None)
    met = np.cumsum(beyond, axis=-1)
    shifted = np.concatenate([np.zeros_like(met[..., :1]), met[..., :-1]], axis=-1)
    return np.asarray(np.maximum(full[..., None] - shifted, 0.0))
