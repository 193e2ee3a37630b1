"""How much to order at a time: economic quantity, packs, minimum, price breaks, shelf life.

Sources: Harris's square-root formula and its integer form Q(Q-1) <= 2KD/h <= Q(Q+1) (Axsater; Snyder & Shen
ch. 3); all-units discounts by comparing every bracket; shelf-life cap after Silver, Pyke & Peterson.
Units: demand per year, money per order, money per unit and year; quantities are base units (each).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray, IntArray


def economic_quantity(yearly_demand: ArrayLike, order_cost: ArrayLike, holding_cost: ArrayLike) -> FloatArray:
    """Q* = sqrt(2 K D / h), not rounded. Without holding cost there is no economic quantity: refused."""
    d, k, h = (np.asarray(v, dtype=np.float64) for v in (yearly_demand, order_cost, holding_cost))
    if (d < 0).any() or (k < 0).any() or (h <= 0).any():
        raise Refused("Yearly demand and ordering cost may not be negative, and holding cost must be above 0.")
    return np.asarray(np.sqrt(2 * k * d / h))


def yearly_cost(quantity: float, yearly_demand: float, order_cost: float, holding_cost: float) -> float:
    """Ordering plus holding cost a year when ordering `quantity` at a time: K D / Q + h Q / 2."""
    return order_cost * yearly_demand / quantity + holding_cost * quantity / 2


def whole_quantity(yearly_demand: float, order_cost: float, holding_cost: float, pack: int = 1) -> int:
    """Cheapest whole number of packs, in units: both neighbours of Q* are costed, never the nearest taken."""
    ideal = float(economic_quantity(yearly_demand, order_cost, holding_cost))
    low = max(pack, math.floor(ideal / pack + 1e-9) * pack)
    costs = [yearly_cost(q, yearly_demand, order_cost, holding_cost) for q in (low, low + pack)]
    return low if costs[0] <= costs[1] else low + pack


@dataclass(frozen=True)
class PriceBreak:
    """From `quantity` units on, every unit of the order costs `unit_cost`."""

    quantity: int
    unit_cost: float


@dataclass(frozen=True)
class BreakChoice:
    """The quantity to order, its place in the list of breaks, and what a year costs with the goods."""

    quantity: float
    bracket: int
    unit_cost: float
    yearly_cost: float


def quantity_with_breaks(
    yearly_demand: float,
    order_cost: float,
    holding_rate: float,
    breaks: Sequence[PriceBreak],
    pack: int = 0,
    fixed_holding: float = 0.0,
    most: float = math.inf,
) -> BreakChoice:
    """Cheapest quantity over all price brackets when a break lowers the price of every unit.

    Holding cost is fixed_holding + holding_rate x unit cost. pack 0 leaves the quantity unrounded; otherwise
    both whole-pack neighbours in the bracket are costed. `most` is a ceiling (shelf life). Refuses an empty list.
    """
    if not breaks:
        raise Refused("At least one price is needed.")
    ordered = sorted(breaks, key=lambda b: b.quantity)
    choices: list[BreakChoice] = []
    for i, at in enumerate(ordered):
        end = ordered[i + 1].quantity if i + 1 < len(ordered) else math.inf
        h = fixed_holding + holding_rate * at.unit_cost
        ideal = float(economic_quantity(yearly_demand, order_cost, h))
        for q in _candidates(max(ideal, at.quantity), pack):
            if at.quantity <= q < end and 0 < q <= most:
                cost = at.unit_cost * yearly_demand + yearly_cost(q, yearly_demand, order_cost, h)
                choices.append(BreakChoice(q, i, at.unit_cost, cost))
    if not choices:
        raise Refused("No price bracket holds a quantity that sells within the shelf life.")
    return min(choices, key=lambda c: (c.yearly_cost, c.quantity))


def _candidates(ideal: float, pack: int) -> list[float]:
    if pack <= 0:
        return [ideal]
    low = math.floor(ideal / pack + 1e-9) * pack
    return [float(q) for q in (low, low + pack) if q > 0]


def round_to_pack(quantity: ArrayLike, pack: ArrayLike = 1, minimum: ArrayLike = 0) -> IntArray:
    """Whole packs that cover `quantity`, at least `minimum` where anything is ordered; 0 stays 0.

    All three may be numbers or arrays (units). Refuses packs below 1.
    """
    q, p, m = (np.asarray(v, dtype=np.float64) for v in (quantity, pack, minimum))
    if (p < 1).any():
        raise Refused("A pack holds at least one unit.")
    wanted = np.where(q > 0, np.maximum(q, m), 0.0)
    return np.asarray(np.ceil(wanted / p - 1e-9) * p).astype(np.int64)


def within_shelf_life(
    quantity: ArrayLike, weekly_demand: ArrayLike, life_weeks: ArrayLike, margin_weeks: ArrayLike, pack: ArrayLike
) -> IntArray:
    """Cap an order at what sells before best-before less the margin, rounded down to whole packs.

    life_weeks NaN or infinite: not dated, no cap. The cap may be 0: then not even one pack sells in time and
    the caller asks instead of ordering.
    """
    q, d, life, margin, p = (
        np.asarray(v, dtype=np.float64) for v in (quantity, weekly_demand, life_weeks, margin_weeks, pack)
    )
    usable = np.where(np.isnan(life), np.inf, np.maximum(life - margin, 0))
    with np.errstate(invalid="ignore"):
        sells = np.where(np.isinf(usable), np.inf, d * usable)
    cap = np.where(np.isinf(sells), q, np.floor(sells / p + 1e-9) * p)
    return np.minimum(q, cap).astype(np.int64)
