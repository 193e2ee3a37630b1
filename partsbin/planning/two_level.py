"""Vans fed from one depot pool, for dear parts that are replaced one for one (METRIC, Sherbrooke 1968).

Assumptions: Poisson demand at each van, a unit drawn is reordered at once, the depot serves first come, first
served. A van's resupply then takes its own time plus the mean wait at the depot, and its expected backorders are
those of a Poisson pipeline (Palm's theorem).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray, expected_short, poisson_table


@dataclass(frozen=True)
class Network:
    """One part: demand a week at each van, weeks from depot to van, weeks from supplier to depot."""

    van_demand: tuple[float, ...]
    van_weeks: tuple[float, ...]
    depot_weeks: float

    def __post_init__(self) -> None:
        if len(self.van_demand) != len(self.van_weeks) or not self.van_demand:
            raise Refused("Give a demand and a resupply time for each van.")
        if min((*self.van_demand, *self.van_weeks, self.depot_weeks)) < 0:
            raise Refused("Demand and resupply times may not be negative.")


@dataclass(frozen=True)
class Split:
    """Units at the depot and on each van, the depot's mean wait (weeks), backorders waiting at the vans."""

    depot: int
    vans: tuple[int, ...]
    depot_wait: float
    backorders: float


def backorders(pipeline: float, most: int) -> FloatArray:
    """Expected units waiting for stock levels 0..most with a Poisson pipeline of this mean."""
    top = int(max(most, pipeline + 12 * np.sqrt(pipeline) + 12))
    return np.asarray(expected_short(poisson_table(pipeline, top), np.array([pipeline]))[0][: most + 1])


def depot_wait(net: Network, depot: int) -> float:
    """Mean weeks a van's order waits at the depot with `depot` units there (Little: backorders / demand)."""
    rate = sum(net.van_demand)
    return float(backorders(rate * net.depot_weeks, depot)[depot]) / rate if rate else 0.0


def split(net: Network, depot: int, vans: Sequence[int]) -> Split:
    """What a given placing of units leads to."""
    wait = depot_wait(net, depot)
    waiting = [
        float(backorders(rate * (weeks + wait), stock)[stock])
        for rate, weeks, stock in zip(net.van_demand, net.van_weeks, vans, strict=True)
    ]
    return Split(depot, tuple(vans), wait, sum(waiting))


def place_units(net: Network, units: int) -> Split:
    """Best placing of `units` between depot and vans: every depot stock tried, vans filled one by one.

    For a given depot stock the vans' backorders fall by less with each unit, so the largest drop first is exact;
    across the two levels it is not (the best depot stock may go down as units are added), so all are tried.
    """
    if units < 0:
        raise Refused("The number of units to place may not be negative.")
    tried = (split(net, depot, _fill_vans(net, depot, units - depot)) for depot in range(units + 1))
    return min(tried, key=lambda s: (s.backorders, s.depot))


def _fill_vans(net: Network, depot: int, units: int) -> list[int]:
    wait = depot_wait(net, depot)
    waiting = [backorders(r * (w + wait), units + 1) for r, w in zip(net.van_demand, net.van_weeks, strict=True)]
    stock = [0] * len(waiting)
    for _ in range(units):
        drops = [w[s] - w[s + 1] for w, s in zip(waiting, stock, strict=True)]
        stock[int(np.argmax(drops))] += 1
    return stock


def pool_demand(depot_direct: ArrayLike, van_use: ArrayLike) -> FloatArray:
    """Demand the depot shelf must cover, items x weeks: its own issues plus what the vans used up.

    van_use: vans x items x weeks of use on jobs. Transfers to vans are not demand: they follow restock days and
    would look lumpier than the use behind them. NaN stays NaN.
    """
    return np.asarray(np.asarray(depot_direct, dtype=np.float64) + np.asarray(van_use, dtype=np.float64).sum(axis=0))
