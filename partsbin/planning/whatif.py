"""What a higher or lower fill target costs and saves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from partsbin.errors import Refused
from partsbin.planning.curves import curves
from partsbin.planning.intake import take_in
from partsbin.planning.proposal import PlanInput
from partsbin.planning.shelf import settle

TARGETS = (0.80, 0.85, 0.90, 0.925, 0.95, 0.97, 0.98, 0.99)


@dataclass(frozen=True)
class WhatIf:
    """One fill target for every item: money on the shelf (minor units), units short a year, fill expected."""

    target: float
    stock_money: float
    short_a_year: float
    expected_fill: float


def what_if(plan: PlanInput, targets: Sequence[float] = TARGETS) -> list[WhatIf]:
    """The curve of stock money against shortages, one point a target, lowest target first.

    Items without a known cost count in units and shortages but not in money. Refuses targets outside 0 to 1.
    """
    if not all(0 < t < 1 for t in targets):
        raise Refused("Fill targets must lie between 0 and 1, for example 0.95.")
    case = take_in(plan)
    groups = list(curves(case.outlook, case.terms)) if case.n else []
    out = []
    for target in sorted(targets):
        s = settle(case, groups, np.full(case.n, target))
        yearly = float(case.outlook.mean.sum()) * 52
        short = float(s.short_a_year.sum())
        money = float((np.nan_to_num(case.unit_cost) * s.on_shelf).sum())
        fill = 1 - short / yearly if yearly else 1.0
        out.append(WhatIf(target, money, short, fill))
    return out
