"""Does the model keep its promises? The planner tried on the history it was given.

At the latest reviews whose outcome is known, levels are set from what was known then, stock is run on from one to
the next over the demand that followed, and the units short are compared with those allowed. The ratio corrects
the shortage the model may plan for. Few shortages seen: little correction. One surge of demand makes a trial look
short, and stock once raised is slow to go: so a trial that ran short is believed by half, never below a factor of 0.8.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partsbin.planning.curves import Curves, Terms, curves
from partsbin.planning.distributions import FloatArray, IntArray
from partsbin.planning.levels import choose
from partsbin.planning.pool import Pool, Usual

_FACTORS = np.array([0.45, 1.0, 2.2])  # times the allowed shortage
_MOST_ITEMS, _MOST_POINTS, _RUN_IN, _MOST_GOALS = 1500, 10, 3, 4
_TRUST = 40.0  # shortages' worth of trust in the model as it is
_MOST_RAISED = np.log(0.8)  # least factor


@dataclass(frozen=True)
class _Point:
    """An earlier point in time: the curves known then and the demand that followed, per item."""

    at: int
    groups: list[Curves]
    cycle: FloatArray
    during: FloatArray
    whole: FloatArray


def allowances(x: FloatArray, pool: Pool, lead: FloatArray, review: FloatArray, target: FloatArray) -> FloatArray:
    """Per item: the factor by which the model's allowed shortage is to be multiplied to come true.

    x: netted history; lead and review in periods (rounded to whole ones for the trial). 1 with too short a history.
    """
    pick = np.unique(np.linspace(0, len(x) - 1, min(len(x), _MOST_ITEMS)).astype(np.int64))
    lead_now, review_now = np.rint(lead[pick]), np.maximum(np.rint(review[pick]), 1)
    points = _points(x[pick], pool, lead_now, review_now)
    if not points:
        return np.ones(len(target))
    goals = np.unique(target)
    tried = np.unique(np.quantile(goals, np.linspace(0, 1, min(len(goals), _MOST_GOALS)), method="nearest"))
    factors = np.array([_factor(x[pick], points, float(g)) for g in tried])
    return np.asarray(np.exp(np.interp(target, tried, np.log(factors))))


def _points(x: FloatArray, pool: Pool, lead: FloatArray, review: FloatArray) -> list[_Point]:
    periods, longest = x.shape[1], int((lead + review).max())
    step, last = max(1, int(np.median(review))), periods - longest
    first = max(6, periods // 3, last - (_MOST_POINTS - 1) * step)
    if last < first:
        return []
    upto = np.concatenate([np.zeros((len(x), 1)), np.cumsum(x, axis=1)], axis=1)
    rows, points = np.arange(len(x)), []
    for at in range(last - (last - first) // step * step, last + 1, step):
        outlook = replace(pool, usual=Usual.of(x[:, :at])).outlook(x[:, :at])
        terms = Terms(lead, review, np.zeros(len(x)), np.ones(len(x), dtype=np.int64))
        during = upto[rows, at + lead.astype(int)] - upto[rows, at]
        whole = upto[rows, at + (lead + review).astype(int)] - upto[rows, at]
        points.append(_Point(at, list(curves(outlook, terms)), outlook.mean * review, during, whole))
    return points


def _factor(x: FloatArray, points: list[_Point], goal: float) -> float:
    """The factor whose trial leaves just the allowed share short, drawn towards 1 when little was short."""
    share, seen = zip(*(_trial(x, points, 1 - (1 - goal) * f) for f in _FACTORS if (1 - goal) * f < 1), strict=True)
    tried = np.log(_FACTORS[: len(share)])
    missed = np.log(np.maximum.accumulate(np.maximum(share, 1e-6)))
    wanted = float(np.interp(np.log(1 - goal), missed, tried))
    weight = seen[min(1, len(seen) - 1)]
    wanted *= weight / (weight + _TRUST)
    return float(np.exp(max(wanted / 2, _MOST_RAISED) if wanted < 0 else wanted))


def _trial(x: FloatArray, points: list[_Point], goal: float) -> tuple[float, int]:
    """Share of units short and number of shortages when the model aims at `goal`."""
    short = asked = seen = 0.0
    position: NDArray[np.float64] | None = None
    before = points[0].at
    for nth, p in enumerate(points):
        level: IntArray | FloatArray = choose(p.groups, p.cycle, np.full(len(x), goal))
        if position is not None:  # levels that came down leave stock to be used up first
            level = np.maximum(level, position - np.nansum(x[:, before : p.at], axis=1))
        clear = ~np.isnan(p.whole)
        miss = np.maximum(p.whole - level, 0) - np.maximum(p.during - level, 0)
        position, before = level.astype(np.float64), p.at
        if nth < min(_RUN_IN, len(points) - 1):
            continue
        short += float(miss[clear].sum())
        asked += float((p.whole - p.during)[clear].sum())
        seen += int((miss[clear] > 0).sum())
    return (short / asked if asked else 0.0), int(seen)
