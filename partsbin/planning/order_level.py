"""Order-up-to levels from nothing but a demand history: the call for simulators and notebooks."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.curves import Terms, curves
from partsbin.planning.distributions import IntArray
from partsbin.planning.forecast import as_history, netted
from partsbin.planning.levels import MOST_SHORT, check_terms, choose, column
from partsbin.planning.look_ahead import look_ahead


def order_up_to(
    history: ArrayLike, lead_periods: ArrayLike, review_periods: ArrayLike, fill_target: ArrayLike
) -> IntArray:
    """Whole units per item to which each review should raise the position.

    history: items x periods, oldest first; NaN = unknown (out of stock, not yet stocked). Negative periods
    (more came back than went out) are netted against the periods before them. lead, review (periods, whole or
    broken) and fill target (0 to 1): one number or one per item; items with the same target share it (see
    levels.py), and the allowed shortage is corrected by what a trial on the history shows (lookback.py). An item
    never asked for gets what the pool suggests, possibly 0. Refuses anything else, a history without periods included.
    """
    x = netted(as_history(history))
    n = len(x)
    lead, review, target = (
        column(v, n, w)
        for v, w in ((lead_periods, "lead time"), (review_periods, "review"), (fill_target, "fill target"))
    )
    check_terms(lead, review, target)
    if n == 0:
        return np.zeros(0, dtype=np.int64)
    if x.shape[1] == 0:
        raise Refused("There is no history to plan from: give at least one period for each item.")
    ahead = look_ahead(x, lead, review, target)
    terms = Terms(lead, review, np.zeros(n), np.ones(n, dtype=np.int64))
    groups = list(curves(ahead.outlook, terms))
    aim = 1 - np.minimum((1 - target) * ahead.allowance, MOST_SHORT)
    return choose(groups, ahead.outlook.mean * review, aim)
