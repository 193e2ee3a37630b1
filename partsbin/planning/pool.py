"""What all items taken together teach about each one.

Slow movers have too little history to be judged alone. Each item's forecast is a blend of its own use, remembered
at several speeds, of that use going on as it rose or fell, and of the depot's usual use of a part asked for in
such quantities. How much each counts is learned by looking back: at earlier points in time the blend is set so that
it would have told the demand that followed (least squares without negative weights, fitting.py). The spread around
the forecast is learned from the misses of the same look back. Nothing is set for one data set; with little history
the stated starting values stand. Shrinking towards the pool is the empirical Bayes idea (Efron & Morris 1975).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsbin.planning.distributions import FloatArray, IntArray
from partsbin.planning.fitting import MOST_DEVIATIONS, Prior, learn_blend, learn_spread

SPEEDS = np.array([0.0, 0.03, 0.08, 0.2, 0.5])
_LINE = 2  # the speed whose line is drawn on
_PRIOR_PERIODS = 2.0  # own memory counts as if this many usual periods came before it
_PRIOR_SIZES = 3.0  # demands' worth of the pool's variation in an item's own
_STAND_IN_PERIODS = 8.0  # the same where a similar item stands in
_START_BLEND = np.array([0.3, 0.3, 0.2, 0.0, 0.0, 0.0, 0.2])  # the last two: the line drawn on, the pool's share
_TRUST, _TIER_TRUST = 30.0, 100.0  # cases' worth of trust in the start, and of a tier in all items together
_START_SPREAD = np.array([1.0, 0.05])
_MOST_ITEMS, _MOST_ORIGINS, _ROUNDS, _BLOCK = 3000, 12, 3, 16384


@dataclass(frozen=True)
class Outlook:
    """Per item: mean units a period, variance of one period's demand around it, how far the mean wanders.

    rate: requests a period; seen: the periods the mean was read off.
    Over m periods demand has mean m x mean and variance noise x (m + m²/seen) + drift x (m x mean)²: what comes, what
    is not known of the mean, and how the mean wanders.
    """

    mean: FloatArray
    noise: FloatArray
    drift: FloatArray
    rate: FloatArray
    seen: FloatArray

    def times(self, factor: FloatArray) -> Outlook:
        """The outlook where demand is `factor` times as much, per item."""
        return Outlook(self.mean * factor, self.noise * factor, self.drift, self.rate * factor, self.seen)

    def over(self, periods: FloatArray, which: IntArray) -> tuple[FloatArray, FloatArray]:
        """Mean and variance of demand over `periods` (one for each of the items `which`)."""
        mean = self.mean[which] * periods
        own = self.noise[which] * (periods + periods**2 / self.seen[which])
        return mean, own + self.drift[which] * mean * mean

    def nothing(self, periods: FloatArray, which: IntArray) -> FloatArray:
        """Chance that nothing is asked for over `periods`: requests come at random at a rate that wanders (gamma)."""
        unsure = self.noise[which] / self.seen[which] / np.maximum(self.mean[which], 1e-12) ** 2
        wander = np.maximum(self.drift[which] + unsure, 1e-6)
        return np.asarray((1 + wander * self.rate[which] * periods) ** (-1 / wander))


@dataclass(frozen=True)
class Usual:
    """The pool's view: typical size of a demand, its squared variation, chance of demand in a period."""

    size: float
    variation: float
    chance: float

    @classmethod
    def of(cls, x: FloatArray) -> Usual:
        """Geometric mean of the items' sizes, pooled variation of those with two demands, recent chance.

        The variation is a ratio of sums in which the square of a mean of n sizes is freed of its own scatter: without
        that, items seem to vary the less the fewer demands they have shown.
        """
        count, total, scatter = _sizes(x)
        some, many = count > 0, count >= 2
        size = float(np.exp(np.mean(np.log(total[some] / count[some])))) if some.any() else 1.0
        free = max(float((count - 1 - scatter)[many].sum()), 1.0)
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


def _drawn_on(x: FloatArray, level: FloatArray, ahead: float) -> FloatArray:
    """Use a period in the middle of the `ahead` to come if it goes on rising or falling as it did.

    Least squares line with the weights of one speed; never below 0 or above three times the present level.
    """
    age = np.arange(x.shape[1])[::-1].astype(np.float64)
    weight, known = (1 - SPEEDS[_LINE]) ** age, ~np.isnan(x)
    used = np.where(known, x, 0.0)
    moments = np.column_stack([weight, weight * age, weight * age * age])
    seen, back, square = np.maximum(known @ moments, 1e-12).T
    units, moved = (used @ moments[:, :2]).T
    middle = back / seen
    spread = square / seen - middle**2 + 1.0  # plus one: a line through two or three periods is nearly level
    slope = (middle * units / seen - moved / seen) / spread
    return np.asarray(np.clip(level + slope * (middle + (ahead + 1) / 2), 0.0, 3 * level))


@dataclass(frozen=True)
class _Facts:
    """Per item: size of a demand and its squared variation, both drawn towards the pool's; periods known.

    typical: the size drawn towards the pool's in proportion, so that one giant job is not taken for the usual one.
    """

    size: FloatArray
    typical: FloatArray
    variation: FloatArray
    seen: FloatArray

    @classmethod
    def of(cls, x: FloatArray, usual: Usual) -> _Facts:
        count, total, scatter = _sizes(x)
        seen = (~np.isnan(x)).sum(axis=1) + _PRIOR_PERIODS
        size, free = (total + usual.size) / (count + 1), np.maximum(count - 1, 0) - scatter
        variation = (count * scatter + _PRIOR_SIZES * usual.variation) / (free + _PRIOR_SIZES)
        own = np.where(count > 0, total / np.maximum(count, 1), usual.size) / usual.size
        return cls(size, usual.size * own ** (count / (count + 1)), variation, seen)

    def noise(self, mean: FloatArray) -> FloatArray:
        """Variance of one period: a demand comes with some chance and has a scattered size."""
        size = np.maximum(self.size, mean)
        chance = mean / np.maximum(size, 1e-12)
        return np.asarray(size * size * (chance * (1 - chance) + chance * self.variation))

    def requests(self, views: FloatArray) -> FloatArray:
        """Requests a period by the item's own whole history, whatever the size of its requests."""
        return np.asarray(views[:, 0] / (self.size * (1 + self.variation)))

    def only(self, which: NDArray[np.bool_]) -> _Facts:
        return _Facts(self.size[which], self.typical[which], self.variation[which], self.seen[which])

    def views(self, x: FloatArray, usual: Usual, ahead: float, stand_in: FloatArray | None = None) -> FloatArray:
        """Items x views: own use a period at each speed, its line drawn on, and what is usual for such an item.

        The line is drawn to the middle of the `ahead` periods to come.
        """
        expected, before = usual.chance * self.typical, np.full(len(x), _PRIOR_PERIODS)
        if stand_in is not None:
            given = ~np.isnan(stand_in)
            expected, before = np.where(given, stand_in, expected), np.where(given, _STAND_IN_PERIODS, before)
        weights = (1 - SPEEDS) ** np.arange(x.shape[1])[::-1, None]
        known = ~np.isnan(x)
        used, seen = np.where(known, x, 0.0) @ weights, known @ weights
        own = (used + (before * expected)[:, None]) / (seen + before[:, None])
        return np.column_stack([own, _drawn_on(x, own[:, _LINE], ahead), expected])


@dataclass(frozen=True)
class Pool:
    """What was learned, for slow, middling and busy items apart, and what is usual.

    blends: 3 x views; spreads: shares of noise and drift, 3 x 2; cuts: the requests a period that part the three;
    ahead: periods to come that it was learned for.
    """

    blends: FloatArray
    spreads: FloatArray
    cuts: FloatArray
    usual: Usual
    ahead: float

    def outlook(self, history: FloatArray, stand_in: FloatArray | None = None) -> Outlook:
        """Forecast and spread per item; history items x periods, NaN unknown, netted.

        stand_in: demand a period of a similar item, NaN where there is none.
        """
        n = len(history)
        mean, noise, drift, rate, seen = (np.zeros(n) for _ in range(5))
        for start in range(0, n, _BLOCK):
            part = slice(start, start + _BLOCK)
            facts = _Facts.of(history[part], self.usual)
            views = facts.views(history[part], self.usual, self.ahead, None if stand_in is None else stand_in[part])
            tier = np.digitize(facts.requests(views), self.cuts)
            mean[part] = np.einsum("ij,ij->i", views, self.blends[tier])
            noise[part] = self.spreads[tier, 0] * facts.noise(mean[part])
            drift[part], seen[part] = self.spreads[tier, 1], facts.seen
            rate[part] = -np.log1p(-np.minimum(mean[part] / facts.size, 0.999999))
        return Outlook(mean, noise, drift, rate, seen)


def learn(history: FloatArray, horizon: int) -> Pool:
    """Blend and spread that would best have told the demand over `horizon` periods at earlier points in time.

    From at most 3,000 items evenly spaced through the list and 12 points in time, so that cost stays level.
    """
    n = len(history)
    x = history[np.unique(np.linspace(0, n - 1, min(n, _MOST_ITEMS)).astype(np.int64))]
    looks = [look for o in _origins(x.shape[1], horizon) if (look := _look_back(x, o, horizon))]
    if not looks:
        start = np.tile(_START_BLEND, (3, 1)), np.tile(_START_SPREAD, (3, 1)), np.array([0.1, 1.0])
        return Pool(*start, Usual.of(x), horizon)
    facts = _Facts(
        *(np.concatenate([getattr(k.facts, f) for k in looks]) for f in ("size", "typical", "variation", "seen"))
    )
    views, came = np.concatenate([k.views for k in looks]), np.concatenate([k.came for k in looks])
    requests = facts.requests(views)
    blend, spread = _fit(facts, views, came, horizon, Prior(_START_BLEND, _START_SPREAD, _TRUST))
    cuts = _cuts(requests)
    tiers = [np.digitize(requests, cuts) == tier for tier in range(3)]
    prior = Prior(blend, spread, _TIER_TRUST)
    fits = [_fit(facts.only(t), views[t], came[t], horizon, prior) for t in tiers]
    return Pool(np.array([f[0] for f in fits]), np.array([f[1] for f in fits]), cuts, Usual.of(x), horizon)


def _cuts(requests: FloatArray) -> FloatArray:
    """The two points that part the requests (not the items) into thirds."""
    ordered = np.sort(requests)
    share = np.cumsum(ordered) / max(float(ordered.sum()), 1e-12)
    return ordered[np.minimum(np.searchsorted(share, [1 / 3, 2 / 3]), len(ordered) - 1)]


def _fit(
    facts: _Facts, views: FloatArray, came: FloatArray, horizon: int, prior: Prior
) -> tuple[FloatArray, FloatArray]:
    """Blend and spread of one lot of cases: the misses are weighed by the spread, the spread read off the misses."""
    blend, spread = prior.blend, prior.spread
    for _ in range(_ROUNDS if len(views) else 0):
        mean = views @ blend
        noise, mean = facts.noise(mean) * (horizon + horizon**2 / facts.seen), mean * horizon
        spread = learn_spread(noise, mean, came - mean, prior)
        scale = np.sqrt(np.maximum(spread[0] * noise + spread[1] * mean * mean, 1e-12)) / horizon
        most = mean / horizon + MOST_DEVIATIONS * scale  # one giant job teaches no more than this
        blend = learn_blend(views, np.minimum(came / horizon, most), scale, prior)
    return blend, spread


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
    return _Look(facts, facts.views(past, usual, horizon), coming[clear].sum(axis=1))


def _origins(periods: int, horizon: int) -> list[int]:
    """Points to look back from, never with less than a third of the history (and 4 periods) before them."""
    last, first = periods - horizon, max(4, periods // 3)
    if last < first:
        return []
    return sorted(set(np.linspace(first, last, min(_MOST_ORIGINS, last - first + 1)).astype(int).tolist()))
