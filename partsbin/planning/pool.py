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

SPEEDS = np.array([0.0, 0.03, 0.08, 0.2, 0.5])
_PRIOR_PERIODS = 2.0  # own memory counts as if this many usual periods came before it
_STAND_IN_PERIODS = 8.0  # the same where a similar item stands in
_START_BLEND = np.array([0.3, 0.3, 0.2, 0.0, 0.0, 0.2])  # the last is the pool's share
_BLEND_TRUST = 20.0  # requests' worth of trust in the starting blend
_START_SPREAD = np.array([1.0, 0.05])
_SPREAD_TRUST = 30.0  # misses' worth of trust in the starting spread
_MOST_ITEMS, _MOST_ORIGINS, _ROUNDS, _BLOCK = 3000, 12, 3, 16384


@dataclass(frozen=True)
class Outlook:
    """Per item: mean units a period, variance of one period's demand around it; and how far the mean wanders.

    Over m periods demand has mean m x mean and variance m x noise + drift x (m x mean)².
    """

    mean: FloatArray
    noise: FloatArray
    drift: float

    def over(self, periods: FloatArray, which: IntArray) -> tuple[FloatArray, FloatArray]:
        """Mean and variance of demand over `periods` (one for each of the items `which`)."""
        mean = self.mean[which] * periods
        return mean, self.noise[which] * periods + self.drift * mean * mean


@dataclass(frozen=True)
class Usual:
    """The pool's view: typical size of a demand, its squared variation, chance of demand in a period."""

    size: float
    variation: float
    chance: float

    @classmethod
    def of(cls, x: FloatArray) -> Usual:
        """Geometric mean of the items' sizes, pooled variation of those with two demands, recent chance."""
        count, total, scatter = _sizes(x)
        some, many = count > 0, count >= 2
        size = float(np.exp(np.mean(np.log(total[some] / count[some])))) if some.any() else 1.0
        free = max(float((count - 1)[many].sum()), 1.0)
        variation = float((count * scatter)[many].sum()) / free if many.any() else 0.5
        weights = (1 - SPEEDS[1]) ** np.arange(x.shape[1])[::-1]
        seen = float((~np.isnan(x) @ weights).sum())
        return cls(size, variation, float(((x > 0) @ weights).sum()) / seen if seen else 0.0)


def _sizes(x: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Per item: number of demands, units in all, squared variation of the sizes (population)."""
    used = np.where(x > 0, x, 0.0)
    count, total = (used > 0).sum(axis=1), used.sum(axis=1)
    mean = total / np.maximum(count, 1)
    square = np.einsum("ij,ij->i", used, used) / np.maximum(count, 1)
    return count, total, np.maximum(square - mean * mean, 0) / np.maximum(mean * mean, 1e-12)


@dataclass(frozen=True)
class _Facts:
    """Per item: size of a demand and its squared variation, both drawn towards the pool's."""

    size: FloatArray
    variation: FloatArray

    @classmethod
    def of(cls, x: FloatArray, usual: Usual) -> _Facts:
        count, total, scatter = _sizes(x)
        return cls((total + usual.size) / (count + 1), (count * scatter + 3 * usual.variation) / (count + 3))

    def noise(self, mean: FloatArray) -> FloatArray:
        """Variance of one period: a demand comes with some chance and has a scattered size."""
        size = np.maximum(self.size, mean)
        chance = mean / np.maximum(size, 1e-12)
        return np.asarray(size * size * (chance * (1 - chance) + chance * self.variation))

    def only(self, which: NDArray[np.bool_]) -> _Facts:
        return _Facts(self.size[which], self.variation[which])

    def views(self, x: FloatArray, usual: Usual, stand_in: FloatArray | None = None) -> FloatArray:
        """Items x views: own use a period at each speed, and what is usual for such an item."""
        expected, before = usual.chance * self.size, np.full(len(x), _PRIOR_PERIODS)
        if stand_in is not None:
            given = ~np.isnan(stand_in)
            expected, before = np.where(given, stand_in, expected), np.where(given, _STAND_IN_PERIODS, before)
        weights = (1 - SPEEDS) ** np.arange(x.shape[1])[::-1, None]
        known = ~np.isnan(x)
        used, seen = np.where(known, x, 0.0) @ weights, known @ weights
        own = (used + (before * expected)[:, None]) / (seen + before[:, None])
        return np.column_stack([own, expected])


@dataclass(frozen=True)
class Pool:
    """What was learned: the blend of views, the shares of noise and drift, and what is usual."""

    blend: FloatArray
    spread: FloatArray
    usual: Usual

    def outlook(self, history: FloatArray, stand_in: FloatArray | None = None) -> Outlook:
        """Forecast and spread per item; history items x periods, NaN unknown, netted.

        stand_in: demand a period of a similar item, NaN where there is none.
        """
        n = len(history)
        mean, noise = np.zeros(n), np.zeros(n)
        for start in range(0, n, _BLOCK):
            part = slice(start, start + _BLOCK)
            facts = _Facts.of(history[part], self.usual)
            given = None if stand_in is None else stand_in[part]
            mean[part] = facts.views(history[part], self.usual, given) @ self.blend
            noise[part] = facts.noise(mean[part])
        return Outlook(mean, self.spread[0] * noise, float(self.spread[1]))


def learn(history: FloatArray, horizon: int) -> Pool:
    """Blend and spread that would best have told the demand over `horizon` periods at earlier points in time.

    From at most 3,000 items evenly spaced through the list and 12 points in time, so that cost stays level.
    """
    n = len(history)
    x = history[np.unique(np.linspace(0, n - 1, min(n, _MOST_ITEMS)).astype(np.int64))]
    looks = [look for o in _origins(x.shape[1], horizon) if (look := _look_back(x, o, horizon))]
    if not looks:
        return Pool(_START_BLEND, _START_SPREAD, Usual.of(x))
    facts = _Facts(*(np.concatenate([getattr(k.facts, f) for k in looks]) for f in ("size", "variation")))
    views, came = np.concatenate([k.views for k in looks]), np.concatenate([k.came for k in looks])
    blend, spread = _START_BLEND, _START_SPREAD
    for _ in range(_ROUNDS):
        mean = views @ blend
        noise = facts.noise(mean) * horizon
        spread = _learn_spread(noise, mean * horizon, came - mean * horizon)
        scale = np.sqrt(np.maximum(spread[0] * noise + spread[1] * (mean * horizon) ** 2, 1e-12)) / horizon
        blend = _learn_blend(views, came / horizon, scale)
    return Pool(blend, spread, Usual.of(x))


@dataclass(frozen=True)
class _Look:
    """What was known at one earlier point in time, and the demand that came over the horizon after it."""

    facts: _Facts
    views: FloatArray
    came: FloatArray


def _look_back(x: FloatArray, origin: int, horizon: int) -> _Look | None:
    past, coming = x[:, :origin], x[:, origin : origin + horizon]
    clear = ~np.isnan(coming).any(axis=1) & ~np.isnan(past).all(axis=1)
    if not clear.any():
        return None
    past, usual = past[clear], Usual.of(past)
    facts = _Facts.of(past, usual)
    return _Look(facts, facts.views(past, usual), coming[clear].sum(axis=1))


def _origins(periods: int, horizon: int) -> list[int]:
    """Points to look back from, never with less than a third of the history (and 4 periods) before them."""
    last, first = periods - horizon, max(4, periods // 3)
    if last < first:
        return []
    return sorted(set(np.linspace(first, last, min(_MOST_ORIGINS, last - first + 1)).astype(int).tolist()))


def _learn_blend(views: FloatArray, came: FloatArray, spread: FloatArray) -> FloatArray:
    """Non-negative weights by least squares on misses scaled by `spread`, the starting blend as prior."""
    scaled = views / spread[:, None]
    strength = _BLEND_TRUST * np.diag(scaled.T @ scaled) / max(len(views), 1)
    normal = scaled.T @ scaled + np.diag(strength)
    pull = scaled.T @ (came / spread) + strength * _START_BLEND
    return _non_negative(normal, pull)


def _non_negative(normal: FloatArray, pull: FloatArray) -> FloatArray:
    """Least squares without negative weights: the best of all subsets, for there are only a few views."""
    size = len(pull)
    best, least = np.zeros(size), np.inf
    for mask in range(1, 2**size):
        use = np.flatnonzero([mask >> bit & 1 for bit in range(size)])
        w = np.linalg.lstsq(normal[np.ix_(use, use)], pull[use], rcond=None)[0]
        if (w < 0).any():
            continue
        value = float(w @ normal[np.ix_(use, use)] @ w - 2 * w @ pull[use])
        if value < least:
            least, best = value, np.zeros(size)
            best[use] = w
    return best


def _learn_spread(noise: FloatArray, mean: FloatArray, miss: FloatArray) -> FloatArray:
    """Shares of period noise and of wandering mean in the squared misses (gamma likelihood, majorised)."""
    inside = noise > 0
    parts, squares = np.column_stack([noise, mean * mean])[inside], (miss * miss)[inside]
    spread = _START_SPREAD
    for _ in range(30):
        v = parts @ spread
        up = parts.T @ (np.minimum(squares, 50 * v) / (v * v)) + _SPREAD_TRUST * _START_SPREAD / spread**2
        spread = spread * np.sqrt(up / (parts.T @ (1 / v) + _SPREAD_TRUST / spread))
    return spread
