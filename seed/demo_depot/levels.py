"""Set points by the plain rules a depot starts with; the program's own planning is there to better them.

Shelf: mean use over lead time and a week's review, plus a margin for its spread; order up to some weeks more.
Van: what a job takes, more of what goes weekly; the wider the choice, the less of each.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

from demo_depot.calendar_days import WEEKS, week_of
from demo_depot.demand import Job
from demo_depot.families import BRACKWELL, FROSTWEND, HALVORN, ORVANE, PELLWATER, QUENBY
from demo_depot.listing import Item
from demo_depot.places import VANS

LEAD_DAYS = {BRACKWELL: 3, FROSTWEND: 10, HALVORN: 14, ORVANE: 7, PELLWATER: 4, QUENBY: 28}
_MARGIN = {"fast": 1.6, "medium": 1.3, "slow": 1.0}
_COVER_WEEKS = {BRACKWELL: 6, FROSTWEND: 5, HALVORN: 5, ORVANE: 4, PELLWATER: 2, QUENBY: 8}
_FAST, _MEDIUM = 0.8, 0.22  # base units a week: weekly, monthly


@dataclass(frozen=True)
class Level:
    """One row of setpoints.csv."""

    part_number: str
    place: str
    reorder_point: int
    order_up_to: int


@dataclass
class Use:
    """How an item was asked for: units in each week, units a week by van, most units one job took."""

    weeks: list[int]
    vans: dict[str, float]
    most: int = 0
    jobs: int = 0

    @property
    def mean(self) -> float:
        """Base units a week."""
        return sum(self.weeks) / WEEKS

    @property
    def variance(self) -> float:
        """Variance of a week's units."""
        mean = self.mean
        return sum((week - mean) ** 2 for week in self.weeks) / WEEKS


def usage(items: dict[str, Item], jobs: list[Job]) -> dict[str, Use]:
    """Return how every item was asked for."""
    found = {number: Use([0] * WEEKS, dict.fromkeys(VANS, 0.0)) for number in items}
    for job in jobs:
        for number, quantity in job.needs.items():
            use = found[number]
            use.weeks[week_of(job.day)] += quantity
            use.vans[job.van] += quantity / WEEKS
            use.most = max(use.most, quantity)
            use.jobs += 1
    return found


def give_service(items: dict[str, Item], uses: dict[str, Use]) -> None:
    """Mark every item fast, medium or slow by how often jobs take it."""
    for number, item in items.items():
        often = uses[number].jobs / WEEKS
        item.service = "" if item.kit else "fast" if often >= _FAST else "medium" if often >= _MEDIUM else "slow"


def shelf_levels(items: dict[str, Item], uses: dict[str, Use]) -> list[Level]:
    """Return the shelf's set point for every item the depot keeps."""
    return [_shelf(item, uses[number]) for number, item in items.items() if item.stocked]


def _shelf(item: Item, use: Use) -> Level:
    lead = float(item.lead_time_days or LEAD_DAYS[item.supplier])
    weeks = (lead + 7) / 7
    margin = _MARGIN[item.service] * sqrt(use.variance * weeks)
    reorder = ceil(use.mean * weeks + margin - 0.25) if use.jobs > 1 else use.jobs
    cover = max(1, ceil(use.mean * _COVER_WEEKS[item.supplier]))
    if item.pack_size > 1 and use.jobs:
        cover = max(cover, item.pack_size // 2)
    return Level(item.part_number, "SHELF", reorder, reorder + cover)


def van_levels(items: dict[str, Item], uses: dict[str, Use]) -> list[Level]:
    """Return every van's pars; serial, controlled, dated and heavy items stay at the depot."""
    found = []
    for van in VANS:
        for number, item in items.items():
            if item.stocked and item.tracking in ("quantity", "bulk") and item.weight_g < 2000:
                par = _par(item, uses[number], uses[number].vans[van])
                if par:
                    low = par // 2 if item.tracking == "bulk" else par - 1
                    found.append(Level(number, van, low, par))
    return found


def _par(item: Item, use: Use, weekly: float) -> int:
    if item.disposition == "controlled" or item.service == "slow" or not weekly:
        return 0
    if item.tracking == "bulk":
        return max(10, ceil(weekly * 3 / 10) * 10)
    if item.service == "fast":
        return max(2, min(12, ceil(weekly * 1.3) + use.most // 3))
    return 1 if weekly >= 0.06 else 0
