"""Does the model keep its promises? The planner tried on the history it was given.

At the latest reviews whose outcome is known, levels are set from what was known then, stock is run on from one to
the next over the demand that followed, and the units short are compared with those allowed. The ratio corrects
the shortage the model may plan for. What the model itself expects of stock left above levels that came down counts
in full; the rest is believed as far as it is certain: its error is read off how unevenly the shortages fall on items
and on points in time (ratio estimator over clusters, Cochran, Sampling Techniques, ch. 6), so a few shortages, one
giant job or one week's surge change little. For the same reason what came is compared with what was expected item by
item, each weighed by the inverse root of its stock: by units, a handful of the largest would drown all others.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from partsbin.planning.curves import Curves, Terms, curves
from partsbin.planning.distributions import FloatArray
from partsbin.planning.levels import choose
from partsbin.planning.pool import Pool, Usual

_FACTORS = np.array([0.2, 0.45, 1.0, 1.8, 3.2])  # times the allowed shortage
_MOST_ITEMS, _MOST_POINTS, _MOST_GOALS = 1200, 12, 4
_USUAL_MISS = 0.5  # how far off the model usually is, as a standard deviation of the log of the factor


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
    """The factor whose trial leaves just the allowed share short.

    That levels come down slower than planned is certain and counts in full; what the demand showed beyond that is
    drawn back as far as it is uncertain.
    """
    factors = _FACTORS[(1 - goal) * _FACTORS < 1]
    trials = np.array([_trial(x, points, 1 - (1 - goal) * f) for f in factors])
    planned, came, error = trials.T
    tried = np.log(factors)
    sure, seen = (_reaches(share, 1 - goal, tried) for share in (planned, came))
    doubt = error[int(np.abs(tried - seen).argmin())]
    return float(np.exp(sure + (seen - sure) * _USUAL_MISS**2 / (_USUAL_MISS**2 + doubt)))


def _reaches(share: FloatArray, allowed: float, tried: FloatArray) -> float:
    """Log factor at which the share short, which rises with the factors tried, is what is allowed."""
    return float(np.interp(np.log(allowed), np.log(np.maximum.accumulate(np.maximum(share, 1e-6))), tried))


def _trial(x: FloatArray, points: list[_Point], goal: float) -> tuple[float, float, float]:
    """When the model aims at `goal`: share of units short it expects, that came, and the variance of its logarithm."""
    held = np.array(_held(x, points, goal))
    during, whole, cycle = (np.array([getattr(p, name) for p in points]) for name in ("during", "whole", "cycle"))
    expected = np.zeros_like(held)
    for row, p, level in zip(expected, points, held, strict=True):
        for g in p.groups:
            row[g.items] = g.at(g.short, level[g.items].astype(np.int64) // g.scale)
    weight = np.where(np.isnan(whole), 0.0, 1 / np.sqrt(np.maximum(held, 1.0)))
    short = np.maximum(whole - held, 0) - np.maximum(during - held, 0)
    came, doubt = _share(np.nan_to_num(short) * weight, np.nan_to_num(whole - during) * weight)
    told = float((expected * weight).sum()) / max(float((cycle * weight).sum()), 1e-12)
    planned = float(expected.sum()) / max(float(cycle.sum()), 1e-12)
    return planned, planned * came / max(told, 1e-12), doubt


def _held(x: FloatArray, points: list[_Point], goal: float) -> list[FloatArray]:
    """What stands on the shelf and on order after each review: the level, or what an earlier one left above it.

    A shelf long in use holds such stock from the start, so the trial is run twice, the second time from what the
    first one left above its levels.
    """
    whole = [choose(p.groups, p.cycle, np.full(len(x), goal)).astype(np.float64) for p in points]
    used = [np.nansum(x[:, p.at : q.at], axis=1) for p, q in pairwise(points)]
    above = np.zeros(len(x))
    for _ in range(2):
        held = [whole[0] + above]
        for level, gone in zip(whole[1:], used, strict=True):
            held.append(np.maximum(level, held[-1] - gone))
        above = held[-1] - whole[-1]
    return held


def _share(short: FloatArray, asked: FloatArray) -> tuple[float, float]:
    """Units short over units asked for, points x items, and the variance of the share's logarithm."""
    units, demand = float(short.sum()), float(asked.sum())
    if not units or not demand:
        return 0.0, np.inf
    off = short - units / demand * asked
    by_item, by_time = off.sum(axis=0), off.sum(axis=1)
    return units / demand, float(by_item @ by_item + by_time @ by_time) / units**2
