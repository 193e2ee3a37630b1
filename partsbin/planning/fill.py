"""Service measures, each with its definition, for one item and a table of demand probabilities.

The definitions differ by whole units (Boylan & Syntetos, Intermittent Demand Forecasting, 2021, ch. 3): always
say which one a target means. pmf: P(demand = 0, 1, ...) of one period, as a list or array.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray, normal_loss, normal_quantile


def over_periods(pmf: ArrayLike, periods: int) -> FloatArray:
    """Demand over several independent periods; 0 periods is a certain zero."""
    one = np.asarray(pmf, dtype=np.float64)
    if one.ndim != 1 or (one < 0).any() or abs(one.sum() - 1) > 1e-6:
        raise Refused("Demand probabilities must not be negative and must add up to 1.")
    out = np.array([1.0])
    for _ in range(periods):
        out = np.convolve(out, one)
    return out


def expected_backorders(pmf: ArrayLike, level: int) -> float:
    """E(D - S)+ at level S."""
    p = np.asarray(pmf, dtype=np.float64)
    return float(np.maximum(np.arange(len(p)) - level, 0) @ p)


def cycle_service(pmf: ArrayLike, level: int) -> float:
    """P(D <= S): the chance that a protection interval passes without a shortage."""
    return float(np.asarray(pmf, dtype=np.float64)[: max(level, -1) + 1].sum())


def ready_for_next(pmf: ArrayLike, level: int) -> float:
    """P(D <= S - 1): the chance that the next single unit asked for is there (fill rate of one-unit demands)."""
    return cycle_service(pmf, level - 1)


def cycle_service_given_demand(pmf: ArrayLike, level: int, review: int, lead: int) -> float:
    """As `cycle_service`, for intervals whose review period has demand (CSL+): fair to slow movers.

    Demand of the review period is conditioned on being above zero, that of the lead time is not.
    """
    during_review = over_periods(pmf, review)
    during_review[0] = 0.0
    if during_review.sum() <= 0:
        return 1.0
    return cycle_service(np.convolve(during_review / during_review.sum(), over_periods(pmf, lead)), level)


def fill_traditional(pmf: ArrayLike, level: int, review: int, lead: int) -> float:
    """1 - E(D(R+L) - S)+ / E(D(R)): counts shortages left from the cycle before twice, so it is low."""
    mean = _mean(pmf) * review
    return 1 - expected_backorders(over_periods(pmf, review + lead), level) / mean if mean else 1.0


def fill_sobel(pmf: ArrayLike, level: int, review: int, lead: int) -> float:
    """1 - [E(D(R+L) - S)+ - E(D(L) - S)+] / E(D(R)) (Sobel 2004): exact when unmet demand waits."""
    mean = _mean(pmf) * review
    old = expected_backorders(over_periods(pmf, lead), level)
    new = expected_backorders(over_periods(pmf, review + lead), level)
    return 1 - (new - old) / mean if mean else 1.0


def least_level(measure: Callable[[int], float], target: float, most: int = 1_000_000) -> int:
    """Smallest level at which a measure that does not fall with the level reaches the target."""
    low, high = 0, 1
    if measure(0) >= target - 1e-12:
        return 0
    while measure(high) < target - 1e-12:
        low, high = high, high * 2
        if high > most:
            raise Refused(f"The target {target} is not reached with {most} units.")
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if measure(middle) >= target - 1e-12 else (middle, high)
    return high


def fill_in_lots(pmf: ArrayLike, point: int, lot: int, review: int, lead: int) -> float:
    """Sobel fill with the position after a review evenly between point + 1 and point + lot."""
    return float(np.mean([fill_sobel(pmf, y, review, lead) for y in range(point + 1, point + lot + 1)]))


def position_shares(pmf: ArrayLike, point: int, level: int) -> FloatArray:
    """Long-run share of positions point + 1 .. level after ordering, when position <= point orders up to level.

    One period between reviews: the stationary distribution of the chain, exact for demand in any sizes.
    """
    p = np.asarray(pmf, dtype=np.float64)
    places = level - point
    visits = np.zeros(places)  # expected visits between orders, counted downwards from the level
    for down in range(places):
        came = sum(visits[down - j] * p[j] for j in range(1, min(down, len(p) - 1) + 1))
        visits[down] = ((1.0 if down == 0 else 0.0) + came) / (1 - p[0])
    return np.asarray(visits[::-1] / visits.sum())


def normal_shortage(mean: float, deviation: float, point: float, lot: float) -> float:
    """Expected share of units short when orders of `lot` go out at `point`, normal lead-time demand.

    (s/Q)[G((R - m)/s) - G((R + Q - m)/s)]; the one-term form s G((R - m)/s)/Q overstates it.
    """
    g = normal_loss([(point - mean) / deviation, (point + lot - mean) / deviation])
    return float(deviation / lot * (g[0] - g[1]))


def normal_level(  # the textbook sums
    mean: float, deviation: float, periods: float, service: float, periods_sd: float = 0.0
) -> float:
    """Mean x periods + z sqrt(periods x sd² + mean² x sd(periods)²); periods = lead time, or review + lead."""
    spread = np.sqrt(periods * deviation**2 + mean**2 * periods_sd**2)
    return float(mean * periods + normal_quantile(service) * spread)


def level_for_costs(pmf: ArrayLike, holding: float, backorder: float) -> int:
    """Smallest S with P(D <= S) >= b / (b + h): least holding and shortage cost together (newsvendor)."""
    if holding <= 0 or backorder <= 0:
        raise Refused("Holding and shortage cost must both be above 0.")
    ratio = backorder / (backorder + holding)
    reached = np.cumsum(np.asarray(pmf, dtype=np.float64)) >= ratio - 1e-12
    if not reached.any():
        raise Refused("The table of demand ends before the level is reached; give a longer one.")
    return int(reached.argmax())


def _mean(pmf: ArrayLike) -> float:
    p = np.asarray(pmf, dtype=np.float64)
    return float(np.arange(len(p)) @ p)
