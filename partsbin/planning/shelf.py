"""Set points of the depot shelf under a periodic (Monday) review.

Order quantity first (lots.py), then the reorder point: with the position after a review lying evenly between
reorder point + 1 and reorder point + lot, the least points at which every fill target is met by the items that
share it, for the least money on the shelf (levels.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partsbin.planning.curves import Curves, curves
from partsbin.planning.distributions import NEVER_NONE, FloatArray, IntArray
from partsbin.planning.intake import Case, take_in
from partsbin.planning.levels import MOST_SHORT, choose
from partsbin.planning.lots import WEEKS_A_YEAR
from partsbin.planning.proposal import PlanInput, Proposal
from partsbin.planning.questions import remarks


def plan_shelf(plan: PlanInput) -> list[Proposal]:
    """A set point for every item of `plan`, in its order, each with its figures, flags and questions.

    Nothing is left out and nothing crashes on poor history: what is not known is stood in for as stated in
    `PlanInput`, flagged and asked about. Refuses figures that cannot be (negative cost, target of 1, wrong
    lengths). 100,000 items x 104 weeks take a few seconds.
    """
    case = take_in(plan)
    if case.n == 0:
        return []
    settled = settle(case, list(curves(case.outlook, case.terms)), case.target)  # the curves are half of all memory
    return _proposals(case, settled)


@dataclass(frozen=True)
class Settled:
    """Reorder point and level per item, and what to expect of them."""

    point: IntArray
    level: IntArray
    fill: FloatArray
    short_a_year: FloatArray
    on_shelf: FloatArray
    capped: NDArray[np.bool_]


def settle(case: Case, groups: list[Curves], target: FloatArray) -> Settled:
    """Points and levels of a case at the given targets."""
    cycle = case.outlook.mean * case.terms.review
    aim = 1 - np.minimum((1 - target) * case.allowance, MOST_SHORT)
    k = choose(groups, cycle, aim, case.weight)
    k = np.where((k == 0) & (case.terms.lot > 1) & (cycle > 0), 1, k)
    dated = np.isfinite(case.usable_weeks)
    most = np.where(dated, np.floor(np.where(dated, case.usable_weeks, 0.0) * case.outlook.mean), np.inf)
    level = np.where(k > 0, k - 1 + case.terms.lot, 0)
    capped = level > most
    level = np.where(capped, np.floor(np.where(capped, most, 0) / case.pack) * case.pack, level).astype(np.int64)
    point = np.clip(np.where(capped, level - case.terms.lot, k - 1), 0, None)
    k = np.where(level > 0, point + 1, 0)
    short, shelf = np.zeros(case.n), np.zeros(case.n)
    for g in groups:
        column = k[g.items] // g.scale
        short[g.items], shelf[g.items] = g.at(g.short, column), g.at(g.shelf, column)
    short = short / case.allowance  # what the trial on the history says will really be short
    none = level == 0  # nothing kept: every unit asked for waits
    short, shelf = np.where(none, cycle, np.minimum(short, cycle)), np.where(none, 0.0, shelf)
    fill = np.where(cycle > 0, 1 - short / np.maximum(cycle, 1e-300), 1.0)
    return Settled(point, level, fill, short * WEEKS_A_YEAR / case.terms.review, shelf, capped)


def _proposals(case: Case, s: Settled) -> list[Proposal]:
    flags, questions = remarks(case, s.capped)
    weekly, terms = case.outlook.mean, case.terms
    cover = np.where(weekly > 0, s.on_shelf / np.maximum(weekly, 1e-300), 0.0)
    facts = case.facts
    columns: list[list[Any]] = [
        *(a.tolist() for a in (s.point, s.level, terms.lot, facts.class_name, family(case), weekly)),
        *(a.tolist() for a in (np.sqrt(case.outlook.noise), facts.class_forecast, facts.class_method)),
        *(a.tolist() for a in (terms.lead, terms.lead_sd, terms.review, terms.lead + terms.review)),
        *(a.tolist() for a in (case.target, s.fill, s.short_a_year, s.on_shelf, cover, case.unit_cost)),
        (np.nan_to_num(case.unit_cost) * s.on_shelf).tolist(),
        *(a.tolist() for a in (case.pack, case.minimum, case.order_cost)),
        [case.holding_rate] * case.n,
        *(_maybe(a) for a in (case.old_point, case.old_level)),
        *(a.tolist() for a in (facts.known_weeks, facts.censored_weeks)),
        flags,
        questions,
    ]
    rows = zip(range(case.n), case.part_numbers, *columns, strict=True)
    return list(map(Proposal._make, rows))


def _maybe(values: FloatArray) -> list[int | None]:
    return [None if v != v else int(v) for v in values.tolist()]


def family(case: Case) -> NDArray[np.str_]:
    """Name of the distribution used over the protection interval (see `distributions.demand_table`)."""
    everyone, weeks = np.arange(case.n, dtype=np.int64), case.terms.lead + case.terms.review
    mean, variance = case.outlook.over(weeks, everyone)
    lumpy, steady = variance > mean * 1.0001, (mean >= 5) & (variance < 0.9 * mean)
    pausing = lumpy & (case.outlook.nothing(weeks, everyone) > NEVER_NONE)
    names = ["no demand", "negative binomial with a chance of none", "negative binomial", "normal"]
    return np.select([mean <= 0, pausing, lumpy, steady], names, "Poisson")
