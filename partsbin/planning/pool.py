"""What all items taken together teach about each one.

Slow movers have too little history to be judged alone. Each item's forecast is a blend of its own use, remembered
at several speeds, and of the depot's usual use of a part asked for in such quantities. How much each counts is
learned by looking back: at earlier weeks the blend is set so that it would have told the demand that followed
(a non-negative Poisson regression, solved by expectation-maximisation). The spread around the forecast is
learned from the misses of the same look back. Nothing is set for one data set; with little history the stated
starting values stand. Shrinking towards the pool is the empirical Bayes idea (Efron & Morris 1975).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsbin.planning.distributions import FloatArray, IntArray

SPEEDS = np.array([0.02, 0.06, 0.12, 0.25, 0.5])
_PRIOR_PERIODS = 2.0  # own memory counts as if this many usual periods came before it
_START = np.array([0.15, 0.15, 0.2, 0.15, 0.1, 0.25])  # blend before anything is learned; the last is the pool's share
_START_WEIGHT = 20.0  # requests' worth of trust in the starting blend
_START_SPREAD = np.array([1.0, 0.05])
_ITEMS, _ORIGINS, _ROUNDS = 3000, 12, 60


@dataclass(frozen=True)
class Outlook:
    """Per item: mean units a period, variance of one period's demand around it, and the wander of the mean.

    Over m periods demand has mean m x mean and variance m x noise + (m x mean)² x drift.
    """

    mean: FloatArray
    noise: FloatArray
    drift: float

    def over(self, periods: FloatArray, which: IntArray) -> tuple[FloatArray, FloatArray]:
        """Mean and variance of demand over `periods` (one per chosen item)."""
        mean = self.mean[which] * periods
        return mean, self.noise[which] * periods + self.drift * mean * mean


@dataclass(frozen=True)
class Pool:
    """Blend and spread learned from all items: see the head of this module."""

    blend: FloatArray
    spread: FloatArray

    def outlook(self, history: FloatArray) -> Outlook:
        """Forecast mean and spread per item; history items x periods, NaN unknown, negatives already netted."""
        facts = Facts.of(history)
        mean = facts.views(history) @ self.blend
        return Outlook(mean, self.spread[0] * facts.noise(mean), float(self.spread[1]))


@dataclass(frozen=True)
class Facts:
    """Per item: usual size of a demand and its squared variation, both drawn towards the pool's."""

    size: FloatArray
    variation: FloatArray
    chance: float

    @classmethod
    def of(cls, x: FloatArray) -> Facts:
        """Sizes from the whole history; an item asked for once borrows most of its variation from the pool."""
        hit = x > 0
        count = hit.sum(axis=1)
        total = np.where(hit, x, 0.0).sum(axis=1)
        squares = np.where(hit, x * x, 0.0).sum(axis=1)
        typical = _typical_size(total, count)
        size = (total + typical) / (count + 1)
        own = total / np.maximum(count, 1)
        scatter = np.maximum(squares / np.maximum(count, 1) - own * own, 0) / np.maximum(own * own, 1e-12)
        many = count >= 2
        usual = float(np.sum((count * scatter)[many]) / max(np.sum((count - 1)[many]), 1)) if many.any() else 0.5
        variation = (count * scatter + 3 * usual) / (count + 3)
        weights = (1 - SPEEDS[1]) ** np.arange(x.shape[1])[::-1]
        known = ~np.isnan(x)
        seen = float((known @ weights).sum())
        return cls(size, variation, float((hit @ weights).sum()) / seen if seen else 0.0)

    def noise(self, mean: FloatArray) -> FloatArray:
        """Variance of one period: a demand comes with chance p and has a scattered size (compound Bernoulli)."""
        size = np.maximum(self.size, mean)
        chance = mean / np.maximum(size, 1e-12)
        return np.asarray(size * size * (chance * (1 - chance) + chance * self.variation))

    @property
    def lump(self) -> FloatArray:
        """Units that count as one request when items of different scale are weighed together."""
        return self.size * (1 + self.variation)

    def views(self, x: FloatArray) -> FloatArray:
        """Items x views: own use a period at each speed, and the pool's view of such an item."""
        usual = self.chance * self.size
        ages = np.arange(x.shape[1])[::-1, None]
        weights = (1 - SPEEDS) ** ages
        known = ~np.isnan(x)
        used = np.where(known, x, 0.0) @ weights
        seen = known @ weights
        own = (used + _PRIOR_PERIODS * usual[:, None]) / (seen + _PRIOR_PERIODS)
        return np.column_stack([own, usual])


def _typical_size(total: FloatArray, count: IntArray) -> float:
    some = count > 0
    return float(np.exp(np.mean(np.log(total[some] / count[some])))) if some.any() else 1.0


def learn(history: FloatArray, horizon: int) -> Pool:
    """Blend and spread that would best have told the demand over `horizon` periods at earlier points in time."""
    x = history[_sample(len(history))]
    start = Pool(_START, _START_SPREAD)
    views, lumps, noises, told = [], [], [], []
    for origin in _origins(x.shape[1], horizon):
        past, coming = x[:, :origin], x[:, origin : origin + horizon]
        ok = ~np.isnan(coming).any(axis=1) & (~np.isnan(past)).any(axis=1)
        if not ok.any():
            continue
        facts = Facts.of(past)
        views.append(facts.views(past)[ok])
        lumps.append(facts.lump[ok])
        told.append(coming[ok].mean(axis=1))
        noises.append((facts, ok))
    if not views:
        return start
    seen, lump, came = np.concatenate(views), np.concatenate(lumps), np.concatenate(told)
    blend = _blend(seen / lump[:, None], came / lump)
    mean = seen @ blend
    parts = np.split(mean, np.cumsum([len(v) for v in views])[:-1])
    noise = np.concatenate([_noise_of(f, ok, m) for (f, ok), m in zip(noises, parts, strict=True)])
    spread = _spread(noise * horizon, mean * horizon, (came - mean) * horizon)
    return Pool(blend, spread)


def _noise_of(facts: Facts, ok: NDArray[np.bool_], mean: FloatArray) -> FloatArray:
    return Facts(facts.size[ok], facts.variation[ok], facts.chance).noise(mean)


def _sample(items: int) -> IntArray:
    """All items, or an evenly spaced choice of them: the same one every time."""
    return np.unique(np.linspace(0, items - 1, min(items, _ITEMS)).astype(np.int64)) if items else np.zeros(0, np.int64)


def _origins(periods: int, horizon: int) -> list[int]:
    """Points to look back from, latest first, never with less than a third of the history before them."""
    last, first = periods - horizon, max(4, periods // 3)
    if last < first:
        return []
    return sorted(set(np.linspace(first, last, min(_ORIGINS, last - first + 1)).astype(int).tolist()))


def _blend(views: FloatArray, came: FloatArray) -> FloatArray:
    """Non-negative weights by EM for a Poisson mean that is a sum of views, with the starting blend as prior."""
    weights, mass = _START.copy(), views.sum(axis=0)
    trust = _START_WEIGHT * np.ones_like(mass)
    inside = views.sum(axis=1) > 0
    views, came = views[inside], came[inside]
    for _ in range(_ROUNDS):
        pull = views.T @ (came / np.maximum(views @ weights, 1e-12))
        weights = (weights * pull + trust * _START) / (mass + trust)
    return np.asarray(weights)


def _spread(noise: FloatArray, mean: FloatArray, miss: FloatArray) -> FloatArray:
    """Shares of period noise and of wandering mean in the squared misses (gamma quasi-likelihood)."""
    parts = np.column_stack([noise, mean * mean])
    inside = noise > 0
    parts, squares = parts[inside], (miss * miss)[inside]
    spread, trust = _START_SPREAD.copy(), 30.0
    for _ in range(_ROUNDS):
        v = parts @ spread
        up = parts.T @ (np.minimum(squares, 50 * v) / (v * v)) + trust * _START_SPREAD / spread**2
        down = parts.T @ (1 / v) + trust / spread
        spread = spread * np.sqrt(up / down)
    return spread
