"""What the weeks to come ask for: the season taken out, the pool's outlook, the season put back, and its trial."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.planning.distributions import FloatArray
from partsbin.planning.levels import horizon
from partsbin.planning.lookback import allowances
from partsbin.planning.pool import Outlook, learn
from partsbin.planning.season import find_season


@dataclass(frozen=True)
class Ahead:
    """Per item: the outlook, the factor of the allowed shortage (lookback.py), the factor of the season ahead."""

    outlook: Outlook
    allowance: FloatArray
    season: FloatArray


def look_ahead(
    history: FloatArray,
    lead: FloatArray,
    review: FloatArray,
    target: FloatArray,
    stand_in: FloatArray | None = None,
) -> Ahead:
    """Look ahead over lead time and review; history items x periods, not empty, NaN unknown, netted.

    ``stand_in``: demand a period of a similar item, NaN where there is none.
    """
    season = find_season(history)
    x = season.without(history)
    pool = learn(x, horizon(lead + review, x.shape[1]))
    coming = season.coming(x.shape[1], lead + review)
    outlook = pool.outlook(x, stand_in).times(coming)
    return Ahead(outlook, allowances(x, pool, lead, review, target), coming)
