"""What the planner is told and what it answers, item by item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from numpy.typing import ArrayLike

from partsbin.planning.quantity import PriceBreak

DEAD = "no use for a year"
FALLING = "use is falling"
NEW = "little history"
NEVER_MOVED = "never stocked or asked for"
FROM_OTHER = "set from a similar item"
CENSORED = "weeks out of stock left out"
LEAD_UNKNOWN = "lead time unknown"
NO_SUPPLIER = "no supplier"
NO_COST = "cost unknown"
ONE_BIG = "one week far above the rest"
RETURNS = "more came back than went out"
DATED = "held down by best-before"
NEVER_SELLS = "not one pack sells before best-before"
PACK_CHANGED = "pack size changed"
LOT_FORCED = "pack or minimum lasts over a year"
SEASON = "season of all parts counted in, {:+d} % for the weeks ahead"
METHODS_DIFFER = "forecast methods differ by half or more"


@dataclass(frozen=True)
class PlanInput:
    """Columns of the items to plan: one figure for all, or one per item in the order of `part_numbers`.

    history: items x weeks of net demand in base units, oldest first; NaN = the shelf was empty that week (left
    out as unknown) or the item was not stocked yet. Times in weeks, quantities in base units, money in minor
    units (cents); holding_rate is money a year for each piece of money on the shelf. NaN means not known:
    lead_weeks (the median of the others, or default_lead_weeks, stands in), unit_cost, fallback_weekly (demand a
    week of a similar item for one with little history; without it an item with no known week is not kept),
    shelf_life_weeks (not dated), old points, old_pack.
    price_breaks: item index -> prices from a quantity on. Targets may differ by class: items with the same
    target are filled to it together.
    """

    part_numbers: Sequence[str]
    history: ArrayLike
    lead_weeks: ArrayLike = float("nan")
    lead_sd_weeks: ArrayLike = 0.0
    review_weeks: ArrayLike = 1.0
    fill_target: ArrayLike = 0.95
    unit_cost: ArrayLike = float("nan")
    order_cost: ArrayLike = 0.0
    holding_rate: float = 0.25
    pack: ArrayLike = 1
    minimum: ArrayLike = 0
    old_pack: ArrayLike = float("nan")
    shelf_life_weeks: ArrayLike = float("nan")
    shelf_margin_weeks: ArrayLike = 0.0
    has_supplier: ArrayLike = True
    fallback_weekly: ArrayLike = float("nan")
    fallback_from: Mapping[int, str] = field(default_factory=dict)
    price_breaks: Mapping[int, Sequence[PriceBreak]] = field(default_factory=dict)
    old_reorder_point: ArrayLike = float("nan")
    old_order_up_to: ArrayLike = float("nan")
    default_lead_weeks: float = 2.0


class Proposal(NamedTuple):
    """A set point for one item with the figures it rests on. Money in minor units, times in weeks.

    Order when the position is at or below `reorder_point`, up to `order_up_to` in whole packs. Level 0 and
    point 0 mean: not kept on the shelf, ordered when asked for. `expected_fill` is this item's own; items
    that share a target reach it together. `on_shelf` is the mean stock expected; `short_a_year` units asked for
    that will not be there at once.
    """

    # A tuple, because 100,000 are built in one go: a frozen dataclass takes five times as long.
    row: int
    part_number: str
    reorder_point: int
    order_up_to: int
    order_quantity: int
    demand_class: str
    method: str
    weekly_demand: float
    weekly_deviation: float
    class_forecast: float
    class_method: str
    lead_weeks: float
    lead_sd_weeks: float
    review_weeks: float
    protection_weeks: float
    fill_target: float
    expected_fill: float
    short_a_year: float
    on_shelf: float
    cover_weeks: float
    unit_cost: float
    money_tied_up: float
    pack: int
    minimum: int
    order_cost: float
    holding_rate: float
    old_reorder_point: int | None
    old_order_up_to: int | None
    known_weeks: int
    censored_weeks: int
    flags: tuple[str, ...]
    questions: tuple[str, ...]
