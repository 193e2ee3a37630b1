"""Kinds of demand: how often it comes, how much its size varies, whether it is falling or has stopped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partsbin.planning.distributions import FloatArray
from partsbin.planning.forecast import as_history, croston, tsb

INTERVAL_CUT, VARIATION_CUT = 1.32, 0.49


@dataclass(frozen=True)
class Pattern:
    """Per item: mean periods between demands, squared variation of demand sizes, name of the class."""

    interval: FloatArray
    variation: FloatArray
    name: NDArray[np.str_]


def classify(history: ArrayLike) -> Pattern:
    """Smooth, erratic, intermittent or lumpy (Syntetos, Boylan & Croston 2005), or "none" without demand.

    Interval cut 1.32, squared-variation cut 0.49; on the cut counts as above it. Of the conventions in use the interval
    is known periods over periods with demand (not the mean gap up to the last demand), the variation the population
    variance of sizes over the squared mean (not divided by count - 1).
    """
    x = as_history(history)
    hit, known = x > 0, ~np.isnan(x)
    count = hit.sum(axis=1)
    some = np.maximum(count, 1)
    interval = np.where(count > 0, known.sum(axis=1) / some, np.inf)
    variation = _variation(x, hit, count)
    often, steady = interval < INTERVAL_CUT, variation < VARIATION_CUT
    name = np.select(
        [count == 0, often & steady, often, steady], ["none", "smooth", "erratic", "intermittent"], "lumpy"
    )
    return Pattern(interval, variation, name)


def _variation(x: FloatArray, hit: NDArray[np.bool_], count: NDArray[np.int64]) -> FloatArray:
    some = np.maximum(count, 1)
    used = np.where(hit, x, 0.0)
    mean, square = used.sum(axis=1) / some, np.einsum("ij,ij->i", used, used) / some
    return np.where(count > 0, np.maximum(square - mean**2, 0) / np.maximum(mean, 1e-9) ** 2, 0.0)


def dead(history: ArrayLike, periods: int = 52) -> NDArray[np.bool_]:
    """True where something is known of the last `periods` periods (all of them, or the whole life) and all is 0.

    Items known for less than half of `periods` are not called dead: they are new.
    """
    recent = as_history(history)[:, -periods:]
    known = ~np.isnan(recent)
    return np.asarray((known.sum(axis=1) >= periods / 2) & ~(recent > 0).any(axis=1))


def falling(history: ArrayLike, recent: int = 13, before: int = 52, chance: float = 0.05) -> NDArray[np.bool_]:
    """True where demands came much less often lately than in the time before.

    Periods with demand in the last `recent` periods against those expected from the `before` periods ahead of
    them: fewer than half, and so few that a Poisson count would be that low with a probability under `chance`.
    """
    x = as_history(history)
    if x.shape[1] < 2 * recent:
        return np.zeros(len(x), dtype=bool)
    late, early = x[:, -recent:], x[:, -recent - before : -recent]
    known_early = np.maximum((~np.isnan(early)).sum(axis=1), 1)
    expected = (early > 0).sum(axis=1) / known_early * (~np.isnan(late)).sum(axis=1)
    seen = (late > 0).sum(axis=1)
    below, term = np.zeros(len(x)), np.exp(-expected)
    for k in range(recent + 1):
        below += np.where(k <= seen, term, 0.0)
        term = term * expected / (k + 1)
    return np.asarray((seen < expected / 2) & (below < chance))


def forecast_by_class(
    history: ArrayLike, pattern: Pattern | None = None, down: NDArray[np.bool_] | None = None
) -> tuple[FloatArray, NDArray[np.str_]]:
    """Units a period by the method that suits each item's class, and the method's name.

    Smooth: Croston (for demand in nearly every period it is exponential smoothing); erratic, intermittent and
    lumpy: SBA; falling or dead: TSB, which comes down while nothing is asked for. Smoothing constants 0.1.
    pattern, down (falling or dead): given where they are known already.
    """
    x = as_history(history)
    pattern = classify(x) if pattern is None else pattern
    down = falling(x) | dead(x) if down is None else down
    plain = croston(x, 0.1).forecast
    smooth = pattern.name == "smooth"
    out = np.where(smooth, plain, 0.95 * plain)
    if down.any():
        out[down] = tsb(x[down], 0.1, 0.1)
    return out, np.select([pattern.name == "none", down, smooth], ["none", "TSB", "Croston"], "SBA")
