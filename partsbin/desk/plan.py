"""Set points proposed from the depot's own history, each with its sums; the lead accepts all, some or none."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from partsbin.depot import clock
from partsbin.depot.file import Depot, Row
from partsbin.depot.operators import Operator
from partsbin.depot.places import outside
from partsbin.depot.setpoints import SetPoint, set_shelf_point
from partsbin.desk.plan_history import history_of
from partsbin.desk.plan_targets import class_targets
from partsbin.desk.today import today

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from partsbin.planning import PlanInput, Proposal, WhatIf

_MARGIN_WEEKS = 2.0


@dataclass(frozen=True, slots=True)
class Planned:
    """A proposed set point of one item for the whole shelf, beside the one it has."""

    item_id: int
    part_number: str
    description: str
    supplier: str
    proposal: Proposal

    @property
    def changes(self) -> bool:
        """Whether accepting it would change anything."""
        p = self.proposal
        return (p.old_reorder_point, p.old_order_up_to) != (p.reorder_point, p.order_up_to)

    @property
    def words(self) -> str:
        """The sums in plain words, and what the level means for the vans behind it."""
        from partsbin.planning import explain

        days = self.van_wait_days
        wait = "" if days is None else f"\nBehind it the vans: what they order for it waits {days:.1f} days on average."
        return explain(self.proposal) + wait

    @property
    def van_wait_days(self) -> float | None:
        """How long a van's order waits for the shelf at the proposed level, on average (METRIC, Poisson demand).

        The shelf serves all vans as one pool, so its demand is what their jobs use together. Its position wanders
        evenly between reorder point and level, and each order covers the review and the delivery. None where
        nothing is used or the lead time is not known.
        """
        from math import isfinite

        from partsbin.planning.two_level import depot_wait

        p = self.proposal
        if not (p.weekly_demand > 0 and isfinite(p.protection_weeks)):
            return None
        positions = range(min(p.reorder_point + 1, p.order_up_to), p.order_up_to + 1)
        return 7 * float(depot_wait(p.weekly_demand, p.protection_weeks, positions).mean())


def propose(depot: Depot, day: date | None = None, target: float | None = None) -> list[Planned]:
    """Return a proposal for every item in use, by part number; ``target`` overrides the targets of all classes."""
    from partsbin.planning import plan_shelf

    rows = _items(depot)
    plan = plan_input(depot, rows, day or today(depot), target)
    return [
        Planned(row["id"], row["part_number"], row["description"], row["supplier"] or "", proposal)
        for row, proposal in zip(rows, plan_shelf(plan), strict=True)
    ]


def what_if(depot: Depot, targets: Sequence[float], day: date | None = None) -> list[WhatIf]:
    """Return stock money and yearly shortages for each target, all items alike."""
    from partsbin.planning import what_if as curve

    return curve(plan_input(depot, _items(depot), day or today(depot), None), targets)


def accept(depot: Depot, operator: Operator, planned: Iterable[Planned]) -> int:
    """Make proposals the set points of the shelf, with who, when and why; returns how many changed."""
    shelf, changed = outside(depot, "shelf").id, 0
    with depot.write():
        for one in planned:
            if not one.changes:
                continue
            p = one.proposal
            point = SetPoint(one.item_id, shelf, p.reorder_point, p.order_up_to, "planned", clock.now(), one.words)
            set_shelf_point(depot, point, operator)
            changed += 1
    return changed


# -- gathering -------------------------------------------------------------------------------------------

_ITEMS = """
SELECT i.id, i.part_number, i.description, i.service, i.family, i.kind, i.shelf_life_days, i.superseded_by,
       x.supplier_id, u.name AS supplier, x.cost, max(ifnull(x.pack_size, i.pack_size), 1) AS pack,
       ifnull(x.minimum, 0) AS minimum, x.price_breaks,
       ifnull(x.lead_time_days, u.lead_time_days) AS lead_days, ifnull(u.lead_time_sd, 0) AS lead_sd,
       (SELECT sum(s.reorder_point) FROM set_points s JOIN places p ON p.id = s.place_id
        WHERE s.item_id = i.id AND p.kind IN ('shelf', 'bin')) AS old_point,
       (SELECT sum(s.order_up_to) FROM set_points s JOIN places p ON p.id = s.place_id
        WHERE s.item_id = i.id AND p.kind IN ('shelf', 'bin')) AS old_level
FROM items i LEFT JOIN item_suppliers x ON x.item_id = i.id AND x.preferred = 1
LEFT JOIN suppliers u ON u.id = x.supplier_id
WHERE i.retired = 0 AND i.superseded_by IS NULL AND NOT EXISTS (SELECT 1 FROM item_parts k WHERE k.kit_id = i.id)
ORDER BY i.part_number
"""


def _items(depot: Depot) -> list[Row]:
    return depot.all(_ITEMS)


def plan_input(depot: Depot, rows: Sequence[Row], day: date, target: float | None) -> PlanInput:
    """Return what the planner needs of these items, in their order."""
    import numpy as np

    from partsbin.planning import PlanInput

    history = history_of(depot, rows, day)
    targets = class_targets(depot)

    def column(name: str, scale: float = 1.0) -> NDArray[np.float64]:
        return np.array([np.nan if row[name] is None else row[name] / scale for row in rows], dtype=np.float64)

    return PlanInput(
        part_numbers=[row["part_number"] for row in rows],
        history=history,
        lead_weeks=column("lead_days", 7.0),
        lead_sd_weeks=column("lead_sd", 7.0),
        review_weeks=1.0,
        fill_target=np.array([target or targets[row["service"]] for row in rows], dtype=np.float64),
        unit_cost=column("cost"),
        order_cost=float(depot.setting("order_cost") or 500.0),
        holding_rate=float(depot.setting("holding_rate") or 0.25),
        pack=column("pack"),
        minimum=column("minimum"),
        shelf_life_weeks=column("shelf_life_days", 7.0),
        shelf_margin_weeks=_MARGIN_WEEKS,
        has_supplier=np.array([row["supplier_id"] is not None for row in rows], dtype=bool),
        price_breaks=_breaks(rows),
        old_reorder_point=column("old_point"),
        old_order_up_to=column("old_level"),
        **_fallback(rows, history),
    )


def _breaks(rows: Sequence[Row]) -> dict[int, list[Any]]:
    """Read ``50:1.20|100:1.05`` into price breaks after the plain cost; what does not read is left out."""
    from partsbin.errors import Refused
    from partsbin.exchange.values import money, whole
    from partsbin.planning import PriceBreak

    found: dict[int, list[Any]] = {}
    for index, row in enumerate(rows):
        for text in (row["price_breaks"] or "").split("|"):
            quantity, colon, price = text.partition(":")
            if not colon:
                continue
            try:
                at = PriceBreak(whole(quantity.strip(), least=1), money(price))
            except Refused:
                continue
            plain = [PriceBreak(1, row["cost"])] if row["cost"] else []
            found.setdefault(index, plain).append(at)
    return found


def _fallback(rows: Sequence[Row], history: NDArray[np.float64]) -> dict[str, Any]:
    """Demand a week of the same trade family, for an item with little history of its own."""
    import numpy as np

    weekly = np.nanmean(np.where(np.isnan(history).all(1, keepdims=True), 0.0, history), axis=1)
    by_family: dict[str, list[float]] = {}
    for row, rate in zip(rows, weekly, strict=True):
        if row["family"]:
            by_family.setdefault(row["family"], []).append(float(rate))
    median = {family: float(np.median(rates)) for family, rates in by_family.items()}
    return {
        "fallback_weekly": np.array([median.get(row["family"], np.nan) for row in rows], dtype=np.float64),
        "fallback_from": {
            index: f"the usual {row['family']}" for index, row in enumerate(rows) if row["family"] in median
        },
    }
