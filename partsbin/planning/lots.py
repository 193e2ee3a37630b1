"""Order quantities of many items at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray, IntArray
from partsbin.planning.quantity import PriceBreak, quantity_with_breaks, round_to_pack, within_shelf_life

WEEKS_A_YEAR = 52.0
_WITHOUT_COST = 4.0  # weeks of use in one order when the cost, and so the holding cost, is not known


@dataclass(frozen=True)
class Buying:
    """What buying asks of each item: money an order line costs, unit cost (NaN unknown), pack, minimum.

    usable_weeks: the time within which an order must sell (infinite: not dated).
    """

    order_cost: FloatArray
    unit_cost: FloatArray
    pack: IntArray
    minimum: IntArray
    usable_weeks: FloatArray


def lots(
    weekly: FloatArray,
    buy: Buying,
    holding_rate: float,
    breaks: Mapping[int, Sequence[PriceBreak]],
    waiting_weeks: FloatArray,
) -> tuple[IntArray, FloatArray, NDArray[np.bool_], NDArray[np.bool_]]:
    """Units to order at a time, their unit cost, where not one pack sells in time, where best-before cuts it.

    The economic quantity in whole packs (both neighbours costed), never more than a year's use unless pack or
    minimum say so, never more than sells before best-before less the margin, after what is there already:
    waiting_weeks is how long the stock at the reorder point lasts: it goes out first. Without a known cost: four weeks'
    use. Without an ordering cost: a single pack.
    """
    holding = np.nan_to_num(buy.unit_cost) * holding_rate
    yearly = weekly * WEEKS_A_YEAR
    ideal = np.sqrt(2 * buy.order_cost * yearly / np.where(holding > 0, holding, 1.0))
    ideal = np.where(holding > 0, ideal, _WITHOUT_COST * weekly)
    wanted = _cheaper_neighbour(np.minimum(ideal, yearly), yearly, buy, np.where(holding > 0, holding, 1.0))
    wanted = np.where(holding > 0, wanted, round_to_pack(ideal, buy.pack))
    price = np.nan_to_num(buy.unit_cost)
    for i, prices in breaks.items():
        wanted[i], price[i] = _at_breaks(i, float(yearly[i]), buy, holding_rate, prices)
    whole = round_to_pack(np.maximum(wanted, 1), buy.pack, buy.minimum)
    least = np.maximum(buy.pack, buy.minimum)
    never = within_shelf_life(whole, weekly, buy.usable_weeks, 0.0, buy.pack) < least
    capped = within_shelf_life(whole, weekly, buy.usable_weeks, waiting_weeks, buy.pack)
    kept = np.maximum(capped, round_to_pack(least, buy.pack))
    return np.where(never, whole, kept), price, never, ~never & (kept < whole)


def _cheaper_neighbour(ideal: FloatArray, yearly: FloatArray, buy: Buying, holding: FloatArray) -> FloatArray:
    low = np.asarray(np.maximum(np.floor(ideal / buy.pack + 1e-9), 1) * buy.pack, dtype=np.float64)
    high = low + buy.pack

    def cost(q: FloatArray) -> FloatArray:
        return np.asarray(buy.order_cost * yearly / q + holding * q / 2)

    return np.where(cost(low) <= cost(high), low, high).astype(np.float64)


def _at_breaks(i: int, yearly: float, buy: Buying, rate: float, prices: Sequence[PriceBreak]) -> tuple[float, float]:
    most = min(yearly, float(buy.usable_weeks[i]) * yearly / WEEKS_A_YEAR)
    floor = max(float(buy.pack[i]), float(buy.minimum[i]))
    try:
        best = quantity_with_breaks(
            yearly, float(buy.order_cost[i]), rate, prices, int(buy.pack[i]), most=max(most, floor)
        )
    except Refused:  # slow items: no break is reached within a year's use, so the smallest order it is
        first = min(prices, key=lambda p: p.quantity)
        return floor, first.unit_cost
    return best.quantity, best.unit_cost
