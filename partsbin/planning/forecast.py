"""Forecasts for demand that comes now and then, for many items at once (history: items x periods, oldest first).

Sources: Croston (1972); Syntetos & Boylan (2005) for SBA; Shale, Boylan & Johnston (2006) for SBJ; Teunter,
Syntetos & Babai (2011) for TSB. NaN periods are unknown (out of stock, or before the item existed): they are
passed over and do not lengthen an interval.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray

Method = Literal["croston", "sba", "sbj"]


@dataclass(frozen=True)
class Intermittent:
    """State after the last period: size of a demand, periods between demands, forecast units a period."""

    size: FloatArray
    interval: FloatArray
    forecast: FloatArray


def as_history(history: ArrayLike) -> FloatArray:
    """Demand as a float array items x periods; one flat series is one item. Refuses text and other shapes."""
    try:
        values = np.asarray(history, dtype=np.float64)
    except (TypeError, ValueError):
        raise Refused("Demand history must be numbers, one row an item and one column a period.") from None
    if values.ndim == 1:
        values = values[None, :]
    if np.isinf(values).any():
        raise Refused("Demand history must hold finite numbers; leave a week empty (not a number) if it is unknown.")
    if values.ndim != 2:
        raise Refused("Demand history must have one row an item and one column a period.")
    return values


def croston(
    history: ArrayLike, alpha: float = 0.1, beta: float | None = None, method: Method = "croston"
) -> Intermittent:
    """Croston's forecast and its corrected forms.

    `alpha` smooths sizes, `beta` intervals (default: alpha). Initialisation: the first demand's size and the
    number of periods up to and including it; no demand at all gives forecast 0. SBA multiplies by
    1 - beta/2, SBJ by 1 - beta/(2 - beta), beta being the interval constant.
    """
    x = as_history(history)
    beta = alpha if beta is None else beta
    n = len(x)
    size, interval, wait, seen = np.zeros(n), np.ones(n), np.zeros(n), np.zeros(n, dtype=bool)
    for period in np.ascontiguousarray(x.T):
        demand = np.nan_to_num(period)
        wait += ~np.isnan(period)
        hit = demand > 0
        first, again = hit & ~seen, hit & seen
        size = np.where(first, demand, np.where(again, size + alpha * (demand - size), size))
        interval = np.where(first, wait, np.where(again, interval + beta * (wait - interval), interval))
        wait[hit] = 0
        seen |= hit
    factor = {"croston": 1.0, "sba": 1 - beta / 2, "sbj": 1 - beta / (2 - beta)}[method]
    return Intermittent(size, interval, np.where(seen, factor * size / interval, 0.0))


def sba(history: ArrayLike, alpha: float = 0.1, beta: float | None = None) -> FloatArray:
    """Units a period by the Syntetos-Boylan approximation (see `croston`)."""
    return croston(history, alpha, beta, "sba").forecast


def sbj(history: ArrayLike, alpha: float = 0.1, beta: float | None = None) -> FloatArray:
    """Units a period by the Shale-Boylan-Johnston correction (see `croston`)."""
    return croston(history, alpha, beta, "sbj").forecast


def tsb(
    history: ArrayLike, alpha: float = 0.1, beta: float = 0.1, first_probability: ArrayLike | None = None
) -> FloatArray:
    """Units a period by Teunter-Syntetos-Babai: the chance of demand is updated in every known period.

    Initialisation: the chance is one over the first interval, i.e. 1 / (periods up to and including the first
    demand), from the first period on, unless `first_probability` (scalar or per item) is given; the size is
    the first demand's. `alpha` smooths sizes, `beta` the chance.
    """
    x = as_history(history)
    known = ~np.isnan(x)
    demand = np.where(known, x, 0.0)
    hits = demand > 0
    ever, at = hits.any(axis=1), hits.argmax(axis=1)
    rows = np.arange(len(x))
    if first_probability is None:
        chance = np.where(ever, 1 / np.maximum(np.cumsum(known, axis=1)[rows, at], 1), 0.0)
    else:
        chance = np.broadcast_to(np.asarray(first_probability, dtype=np.float64), ever.shape).copy()
    size = np.where(ever, demand[rows, at], 0.0)
    for t in range(x.shape[1]):
        chance += np.where(known[:, t], beta * (hits[:, t] - chance), 0.0)
        size += np.where(hits[:, t] & (t > at), alpha * (demand[:, t] - size), 0.0)
    return np.asarray(chance * size)


def netted(history: FloatArray) -> FloatArray:
    """Returns of unused parts set against the use before them, period by period backwards: none stays below 0.

    More returned than was ever used leaves the surplus out. The argument is not changed.
    """
    if not (history < 0).any():
        return history
    x = history.copy()
    over = np.zeros(len(x))
    for t in range(x.shape[1] - 1, -1, -1):
        known = ~np.isnan(x[:, t])
        value = np.where(known, x[:, t] + over, 0.0)
        over = np.where(known, np.minimum(value, 0), over)
        x[known, t] = np.maximum(value, 0)[known]
    return x
