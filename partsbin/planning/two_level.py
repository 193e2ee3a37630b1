"""Vans fed from one depot pool, for parts that are replaced one for one (METRIC, Sherbrooke 1968).

Assumptions: Poisson demand, a unit drawn is reordered at once, the depot serves first come, first served. A van's
resupply then takes its own time plus the mean wait at the depot, and its expected backorders are those of a Poisson
pipeline (Palm's theorem).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from partsbin.planning.distributions import FloatArray, expected_short, poisson_table


def backorders(pipeline: float, most: int) -> FloatArray:
    """Expected units waiting for stock levels 0..most with a Poisson pipeline of this mean."""
    top = int(max(most, pipeline + 12 * np.sqrt(pipeline) + 12))
    return np.asarray(expected_short(poisson_table(pipeline, top), np.array([pipeline]))[0][: most + 1])


def depot_wait(demand: float, weeks: float, stock: ArrayLike) -> FloatArray:
    """Mean weeks an order waits at the depot with each of these numbers of units there (Little: backorders / demand).

    demand: units a week of all vans together, above 0; weeks: from supplier to depot.
    """
    units = np.asarray(stock, dtype=np.int64)
    return np.asarray(backorders(demand * weeks, int(units.max()))[units] / demand)
