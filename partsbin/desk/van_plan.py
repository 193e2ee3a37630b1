"""Van kits: the par of each van that finishes the largest share of its own jobs for the money, beside par by usage."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from partsbin.depot import clock
from partsbin.depot.catalogue import Item, item_by_id, sources_of
from partsbin.depot.demand import jobs_of
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, aboard
from partsbin.depot.setpoints import SetPoint, set_point, set_points_at
from partsbin.desk.today import today
from partsbin.errors import Refused

WEEKS = 26
"""How far back a van's jobs are looked at: half a year, so that the kit follows the season."""


@dataclass(frozen=True, slots=True)
class ParChange:
    """One line of a proposed kit: what the van should carry, beside what its par is now."""

    item: Item
    old: int
    new: int
    cost: int


@dataclass(frozen=True, slots=True)
class VanKit:
    """A proposed kit. Money in minor units, weight in grams; ``share`` is of jobs finished with what is on the van.

    ``old_share`` is the same for the present par, ``usage_share`` for par by usage at the same money.
    """

    van: Place
    jobs: int
    budget: int
    money: int
    weight: int
    share: float
    old_share: float
    usage_share: float
    lines: tuple[ParChange, ...]
    left_out: tuple[str, ...]

    @property
    def words(self) -> str:
        """The kit in a sentence or two."""
        money = f"{self.money / 100:,.2f}"
        apart = " Controlled and dated parts are not carried: they are left out of it." if self.left_out else ""
        return (
            f"{self.van.code}: {self.jobs} jobs in {WEEKS} weeks. With this kit {self.share:.0%} would have been "
            f"finished from the van for {money} and {self.weight / 1000:,.0f} kg; with the present par "
            f"{self.old_share:.0%}, with par by usage at the same money {self.usage_share:.0%}.{apart}"
        )


def propose_kit(
    depot: Depot, van: Place, *, budget: int | None = None, load: float | None = None, day: date | None = None
) -> VanKit:
    """Return the kit for one van.

    budget: minor units (default: what its present par costs); load: kilograms (default: no limit; what has no known
    weight counts as none). Controlled parts, dated cases and product stay off: they are signed out or loaded for the
    round, not carried. Parts of unknown cost count as one unit of money. Refuses a van without jobs or any budget.
    """
    import numpy as np

    from partsbin.planning import par_by_usage, share_completed, van_kit

    jobs, old = _jobs(depot, van, day or today(depot)), _present(depot, van)
    ids = sorted({item for job in jobs for item in job} | set(old))
    items = [item_by_id(depot, item) for item in ids]
    index = {item: place for place, item in enumerate(ids)}
    table = [{index[item]: used for item, used in job.items()} for job in jobs]
    allowed = [carried(item) for item in items]
    table = [job for job in ({i: q for i, q in job.items() if allowed[i]} for job in table) if job]
    cost = np.array([_cost(depot, item.id) for item in items], dtype=np.float64)
    present = np.array([old.get(item.id, 0) if ok else 0 for item, ok in zip(items, allowed, strict=True)])
    money = int(budget if budget is not None else float(present @ cost))
    if money <= 0:
        message = f"{van.code} has no par yet: say how much may ride with it (a budget)."
        raise Refused(message)
    rounds = max(1, round(len(table) / WEEKS / 2))  # vans are restocked about twice a week
    weight = np.array([item.weight_g or 0 for item in items], dtype=np.float64)
    limit = None if load is None else 1000 * load
    par = van_kit(table, cost, money, room=weight, room_limit=limit, allowed=allowed, jobs_between_restocks=rounds)
    share = [share_completed(p, table, jobs_between_restocks=rounds) for p in (par, present)]
    usual = par_by_usage(table, cost, money, room=weight, room_limit=limit, jobs_between_restocks=rounds)
    usage = share_completed(usual, table, jobs_between_restocks=rounds)
    lines = tuple(
        ParChange(item, int(was), int(new), int(each))
        for item, was, new, each in zip(items, present, par, cost, strict=True)
        if was or new
    )
    out = tuple(item.part_number for item, ok in zip(items, allowed, strict=True) if not ok)
    return VanKit(van, len(table), money, int(par @ cost), int(par @ weight), share[0], share[1], usage, lines, out)


def _jobs(depot: Depot, van: Place, day: date) -> list[dict[int, int]]:
    """The parts each job of the last half year took from a van. Refuses a van without any."""
    jobs = list(jobs_of(depot, van.id, clock.day_start(day - timedelta(weeks=WEEKS), depot.zone)).values())
    if not jobs:
        message = f"{van.code} did no job in {WEEKS} weeks that the ledger shows; set its par by hand under Items."
        raise Refused(message)
    return jobs


def carried(item: Item) -> bool:
    """Whether a part may be van stock: not controlled, not dated, not product."""
    return item.disposition != "controlled" and item.shelf_life_days is None and item.kind != "product case"


def _present(depot: Depot, van: Place) -> dict[int, int]:
    par: dict[int, int] = {}
    for place in aboard(depot, van):
        for point in set_points_at(depot, place):
            par[point.item_id] = par.get(point.item_id, 0) + point.order_up_to
    return par


def _cost(depot: Depot, item_id: int) -> int:
    costs = [source.cost for source in sources_of(depot, item_id) if source.cost]
    return costs[0] if costs else 1


def accept_kit(depot: Depot, operator: Operator, kit: VanKit) -> int:
    """Make a kit the van's par, with who, when and why; returns how many lines changed.

    A part that has its own drawer keeps it; others ride on the van itself.
    """
    drawers = {point.item_id: place for place in aboard(depot, kit.van)[1:] for point in set_points_at(depot, place)}
    changed = 0
    with depot.write():
        for line in kit.lines:
            if line.new == line.old:
                continue
            place = drawers.get(line.item.id, kit.van.id)
            low = max(line.new - 1, 0)
            set_point(depot, SetPoint(line.item.id, place, low, line.new, "planned", clock.now(), kit.words), operator)
            changed += 1
    return changed
