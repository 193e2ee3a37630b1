"""Weights that earlier points in time would have liked best: of the views a forecast is made of, and of its spread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partsbin.planning.distributions import FloatArray

MOST_DEVIATIONS = 7.0  # of a miss, as far as it teaches anything
_MOST_WEIGHT = 5.0  # of one case among those that teach the spread


@dataclass(frozen=True)
class Prior:
    """Where learning starts from, and how many cases of evidence that start is worth."""

    blend: FloatArray
    spread: FloatArray
    trust: float


def learn_blend(views: FloatArray, came: FloatArray, spread: FloatArray, prior: Prior) -> FloatArray:
    """Non-negative weights by least squares on misses scaled by `spread`, drawn towards the prior."""
    scaled = views / spread[:, None]
    strength = prior.trust * np.diag(scaled.T @ scaled) / max(len(views), 1)
    normal = scaled.T @ scaled + np.diag(strength)
    pull = scaled.T @ (came / spread) + strength * prior.blend
    return _non_negative(normal, pull)


def _non_negative(normal: FloatArray, pull: FloatArray) -> FloatArray:
    """Least squares without negative weights: the best of all subsets, for there are only a few views."""
    size = len(pull)
    normal = normal + np.diag(np.full(size, 1e-9 * float(np.trace(normal)) + 1e-12))  # views that never differ
    best, least = np.zeros(size), np.inf
    for mask in range(1, 2**size):
        use = np.flatnonzero([mask >> bit & 1 for bit in range(size)])
        w = np.linalg.solve(normal[np.ix_(use, use)], pull[use])
        if (w < 0).any():
            continue
        value = float(w @ normal[np.ix_(use, use)] @ w - 2 * w @ pull[use])
        if value < least:
            least, best = value, np.zeros(size)
            best[use] = w
    return best


def learn_spread(noise: FloatArray, mean: FloatArray, miss: FloatArray, prior: Prior) -> FloatArray:
    """Shares of period noise and of wandering mean in the squared misses (gamma likelihood, majorised).

    Each case weighs by its deviation, as it does in the units short: the variance of items thought too slow would
    otherwise count most, for it is they that miss by far more than thought.
    """
    inside = noise > 0
    parts, squares = np.column_stack([noise, mean * mean])[inside], (miss * miss)[inside]
    weight = np.sqrt(parts @ prior.spread)
    weight = np.minimum(weight / max(float(weight.mean()), 1e-12), _MOST_WEIGHT) if len(weight) else weight
    spread = prior.spread
    for _ in range(30):
        v = parts @ spread
        up = (
            parts.T @ (weight * np.minimum(squares, MOST_DEVIATIONS**2 * v) / (v * v))
            + prior.trust * prior.spread / spread**2
        )
        spread = spread * np.sqrt(up / (parts.T @ (weight / v) + prior.trust / spread))
    return spread
