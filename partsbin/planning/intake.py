"""From the caller's columns to clean ones: stand-ins for what is unknown, and the facts read off the history."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partsbin.errors import Refused
from partsbin.planning.classes import classify, dead, falling, forecast_by_class
from partsbin.planning.curves import Terms
from partsbin.planning.distributions import FloatArray, IntArray
from partsbin.planning.forecast import as_history, netted
from partsbin.planning.levels import check_terms, column
from partsbin.planning.look_ahead import look_ahead
from partsbin.planning.lots import Buying, lots
from partsbin.planning.pool import Outlook
from partsbin.planning.proposal import PlanInput
from partsbin.planning.quantity import round_to_pack
from partsbin.wanted import still_wanted

_BLOCK = 16384
_LITTLE_WEEKS, _LITTLE_DEMANDS = 13, 2
_STANDS_OUT, _TIMES_THE_NEXT = 10.0, 5.0  # units, and times the next highest week: what a single week may count as

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Facts:
    """Read off the history, one entry an item."""

    known_weeks: IntArray
    censored_weeks: IntArray
    demands: IntArray
    biggest: FloatArray
    second: FloatArray
    class_name: NDArray[np.str_]
    class_forecast: FloatArray
    class_method: NDArray[np.str_]
    dead: Mask
    falling: Mask
    surplus: Mask

    @property
    def most(self) -> FloatArray:
        """Units beyond which an item's highest week stands out from its others, as a single planned job would."""
        return np.maximum(_STANDS_OUT, _TIMES_THE_NEXT * self.second)

    @property
    def little(self) -> Mask:
        """Where too little is known of an item itself."""
        return np.asarray((self.known_weeks < _LITTLE_WEEKS) | (self.demands < _LITTLE_DEMANDS))

    @property
    def one_big(self) -> Mask:
        """Where the highest week stands out."""
        return np.asarray(self.biggest > self.most)


@dataclass(frozen=True)
class Case:
    """Everything the planner works on, one entry an item; see `PlanInput` for units."""

    n: int
    part_numbers: Sequence[str]
    facts: Facts
    outlook: Outlook
    terms: Terms
    target: FloatArray
    allowance: FloatArray
    season: FloatArray
    unit_cost: FloatArray
    weight: FloatArray
    pack: IntArray
    minimum: IntArray
    order_cost: FloatArray
    holding_rate: float
    old_pack: FloatArray
    usable_weeks: FloatArray
    old_point: FloatArray
    old_level: FloatArray
    stand_in: FloatArray
    stand_in_from: dict[int, str]
    lead_unknown: Mask
    no_supplier: Mask
    no_cost: Mask
    never_sells: Mask
    lot_cut: Mask


def take_in(plan: PlanInput) -> Case:
    """Check and complete a `PlanInput`. Refuses wrong lengths and figures that cannot be."""
    n, (facts, x) = len(plan.part_numbers), _read(_history(plan))
    lead, lead_sd, unknown = _lead(plan, n)
    review, target = column(plan.review_weeks, n, "review"), column(plan.fill_target, n, "fill target")
    check_terms(lead, review, target)
    stand_in = np.where(facts.little & ~facts.dead, column(plan.fallback_weekly, n, "fallback demand"), np.nan)
    idle = facts.dead | (facts.known_weeks == 0) & np.isnan(stand_in)
    outlook, allowance, season = _outlook(x, (lead, review, target), stand_in, idle)
    buy, no_cost = _buying(plan, n)
    lasts = _waiting(outlook, lead + review)
    lot, price, never, cut = lots(outlook.mean, buy, plan.holding_rate, plan.price_breaks, lasts)
    lot = np.where((facts.demands == 0) & np.isnan(stand_in), _smallest(buy), lot)  # nobody has asked for it
    return Case(
        n=n,
        part_numbers=plan.part_numbers,
        facts=facts,
        outlook=outlook,
        terms=Terms(lead, review, lead_sd, lot),
        target=target,
        allowance=allowance,
        season=season,
        unit_cost=np.where(no_cost & (price == 0), np.nan, price),
        weight=_weight(price, no_cost),
        pack=buy.pack,
        minimum=buy.minimum,
        order_cost=buy.order_cost,
        holding_rate=plan.holding_rate,
        old_pack=column(plan.old_pack, n, "old pack"),
        usable_weeks=buy.usable_weeks,
        old_point=column(plan.old_reorder_point, n, "old reorder point"),
        old_level=column(plan.old_order_up_to, n, "old order-up-to level"),
        stand_in=stand_in,
        stand_in_from=dict(plan.fallback_from),
        lead_unknown=unknown,
        no_supplier=~np.broadcast_to(np.asarray(plan.has_supplier, dtype=bool), (n,)),
        no_cost=no_cost & (price == 0),
        never_sells=never,
        lot_cut=cut,
    )


def _read(raw: FloatArray) -> tuple[Facts, FloatArray]:
    """The facts read off a history, and its net demand; one giant week counts as far as it would not stand out.

    A single planned job would else lift the levels for good, until the lead says more.
    """
    x = netted(raw)
    facts = read_off(x, raw)
    return facts, np.minimum(x, facts.most[:, None]) if facts.one_big.any() else x


def _smallest(buy: Buying) -> IntArray:
    """The least that can be ordered of each item."""
    return round_to_pack(np.ones(len(buy.pack)), buy.pack, buy.minimum)


def _waiting(outlook: Outlook, protection: FloatArray) -> FloatArray:
    """Weeks the stock at the reorder point lasts, about: the protection interval and one deviation of its demand."""
    mean, variance = outlook.over(protection, np.arange(len(protection)))
    return np.asarray(protection + np.sqrt(variance) / np.maximum(outlook.mean, 1e-9) * (mean > 0))


def _history(plan: PlanInput) -> FloatArray:
    n = len(plan.part_numbers)
    raw = as_history(plan.history) if n else np.zeros((0, 1))
    if len(raw) != n:
        raise Refused(f"There are {n} part numbers but {len(raw)} rows of history.")
    return raw


def _weight(price: FloatArray, no_cost: Mask) -> FloatArray:
    """What a unit on the shelf counts: its price, or the usual one where it is not known."""
    known = price[~no_cost & (price > 0)]
    return np.where(price > 0, price, np.median(known) if len(known) else 1.0)


def _lead(plan: PlanInput, n: int) -> tuple[FloatArray, FloatArray, Mask]:
    """Lead times with the median of the known ones (else the stated default) where unknown."""
    lead = column(plan.lead_weeks, n, "lead time")
    unknown = np.isnan(lead)
    usual = float(np.median(lead[~unknown])) if (~unknown).any() else plan.default_lead_weeks
    deviation = np.nan_to_num(column(plan.lead_sd_weeks, n, "lead time deviation"))
    if (deviation < 0).any():
        raise Refused("The deviation of a lead time may not be negative.")
    return np.where(unknown, usual, lead), deviation, unknown


def _buying(plan: PlanInput, n: int) -> tuple[Buying, Mask]:
    cost, order = column(plan.unit_cost, n, "unit cost"), column(plan.order_cost, n, "ordering cost")
    pack, minimum = column(plan.pack, n, "pack"), column(plan.minimum, n, "minimum")
    life, margin = column(plan.shelf_life_weeks, n, "shelf life"), column(plan.shelf_margin_weeks, n, "margin")
    names = ("unit cost", "ordering cost", "minimum", "margin before best-before")
    for name, values in zip(names, (cost, order, minimum, margin), strict=True):
        if (bad := np.flatnonzero(values < 0)).size:
            raise Refused(f"The {name} of {plan.part_numbers[bad[0]]} is negative; put it right and plan again.")
    if (bad := np.flatnonzero(~(pack >= 1))).size:
        raise Refused(f"The pack of {plan.part_numbers[bad[0]]} must hold at least one unit.")
    if not plan.holding_rate >= 0:
        raise Refused("The holding rate may not be negative.")
    usable = np.where(np.isnan(life), np.inf, np.maximum(life - margin, 0))
    whole = (pack.astype(np.int64), np.ceil(minimum).astype(np.int64))
    return Buying(np.nan_to_num(order), cost, *whole, usable), ~(cost > 0)


def _outlook(
    x: FloatArray, terms: tuple[FloatArray, FloatArray, FloatArray], stand_in: FloatArray, idle: Mask
) -> tuple[Outlook, FloatArray, FloatArray]:
    """Pooled outlook, correction of the allowed shortage, factor of the season ahead; terms: lead, review, target.

    An idle item (dead, or of which nothing is known) has no outlook: it takes no part in the sharing of a target.
    """
    if x.size == 0:
        return Outlook(*(np.zeros(len(x)) for _ in range(5))), np.ones(len(x)), np.ones(len(x))
    lead, review, target = terms
    ahead = look_ahead(x, lead, review, target, stand_in)
    seen = ahead.outlook
    alive = replace(seen, mean=np.where(idle, 0.0, seen.mean), noise=np.where(idle, 0.0, seen.noise))
    return alive, ahead.allowance, ahead.season


def read_off(x: FloatArray, raw: FloatArray) -> Facts:
    """Facts of netted histories `x`; `raw` still holds the returns. Worked in blocks to hold memory down."""
    blocks = [
        _block(x[start : start + _BLOCK], raw[start : start + _BLOCK]) for start in range(0, max(len(x), 1), _BLOCK)
    ]
    return Facts(*(np.concatenate(parts) for parts in zip(*blocks, strict=True)))


def _block(x: FloatArray, raw: FloatArray) -> tuple[NDArray[np.generic], ...]:
    still_wanted()
    known = ~np.isnan(x)
    life = np.cumsum(known, axis=1) > 0  # weeks before the first known one are before the item was stocked
    top = -np.sort(-np.nan_to_num(x), axis=1)[:, :2] if x.shape[1] > 1 else np.zeros((len(x), 2))
    came_back = np.nansum(raw, axis=1) < 0
    pattern, is_dead, is_falling = classify(x), dead(x), falling(x)
    forecast, method = forecast_by_class(x, pattern, is_dead | is_falling)
    return (
        known.sum(axis=1),
        (life & ~known).sum(axis=1),
        (x > 0).sum(axis=1),
        top[:, 0],
        top[:, 1],
        pattern.name,
        forecast,
        method,
        is_dead,
        is_falling,
        came_back,
    )
