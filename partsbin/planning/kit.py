"""Van kits: which parts, and how many, finish the most jobs from the van for the money and the room.

A job is finished from the van only when every part it needs is there (Smith, Chambers & Shlifer 1980; Mamer &
Smith 1982). One-part-at-a-time rules stall when jobs need combinations; kit_search.py tells how whole jobs are
chosen instead. The result is never worse than the usual rule at equal money.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from partsbin.errors import Refused
from partsbin.planning.distributions import FloatArray, IntArray
from partsbin.planning.kit_search import TINY, Search

Jobs = ArrayLike | Sequence[Mapping[int, int]]


def jobs_table(jobs: Jobs, parts: int) -> IntArray:
    """Jobs x parts of whole quantities, from an array or from one {part index: quantity} per job.

    Refuses negative or broken quantities and part numbers outside the list.
    """
    if isinstance(jobs, Sequence) and len(jobs) and all(isinstance(job, Mapping) for job in jobs):
        table = _told_by_part(jobs, parts)
    else:
        table = _numbers(jobs, "Jobs", "a table of numbers, or one {part: quantity} each")
        if table.size == 0:
            table = np.zeros((0, parts))
        if table.ndim != 2 or table.shape[1] != parts:
            raise Refused(f"Jobs must have one column for each of the {parts} parts that have a cost.")
    if not np.isfinite(table).all() or (table < 0).any() or (table != np.floor(table)).any():
        raise Refused("Quantities used on jobs must be whole and not negative.")
    return table.astype(np.int64)


def _told_by_part(jobs: Sequence[Any], parts: int) -> FloatArray:
    table = np.zeros((len(jobs), parts))
    for row, used in enumerate(jobs):
        for part, quantity in used.items():
            if part not in range(parts):
                raise Refused(f"Job {row + 1} uses part {part}, but only {parts} parts have a cost.")
            table[row, part] += float(_numbers(quantity, "Quantities used on jobs", "numbers"))
    return table


def _numbers(values: object, what: str, kind: str) -> FloatArray:
    try:
        return np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise Refused(f"{what} must be {kind}.") from None


def _weights(weights: ArrayLike | None, jobs: int) -> FloatArray:
    if weights is None:
        return np.ones(jobs)
    w = _numbers(weights, "Weights of jobs", "numbers")
    if w.shape != (jobs,) or not np.isfinite(w).all() or (w < 0).any() or (jobs and w.sum() <= 0):
        raise Refused(f"Give one weight for each of the {jobs} jobs, none negative and not all 0.")
    return w


def share_completed(
    par: ArrayLike, jobs: Jobs, weights: ArrayLike | None = None, *, jobs_between_restocks: int = 1
) -> float:
    """Share of jobs finished with what is on the van; a job that needs no part counts as done.

    The van is brought back to par before every `jobs_between_restocks` jobs, taken in the order given. Parts leave
    it only for a job that can be finished (all or nothing, Bijvank, Koole & Vis 2010).
    """
    held = np.atleast_1d(_numbers(par, "A par", "numbers"))
    need = jobs_table(jobs, len(held))
    if len(need) == 0:
        return 1.0
    w = _weights(weights, len(need))
    done, left = np.zeros(len(need), dtype=bool), np.zeros((0, len(held)))
    for nth in range(_tour(jobs_between_restocks)):
        batch = need[nth::jobs_between_restocks]
        left = np.tile(held, (len(batch), 1)) if nth == 0 else left[: len(batch)]
        can = np.asarray((batch <= left).all(axis=1))
        left -= np.where(can[:, None], batch, 0)
        done[nth::jobs_between_restocks] = can
    return float(w[done].sum() / w.sum())


def _tour(jobs_between_restocks: int) -> int:
    if jobs_between_restocks < 1:
        raise Refused("A van does at least one job between restocks.")
    return jobs_between_restocks


def _on_tour(need: IntArray, jobs_between_restocks: int) -> IntArray:
    """What must be on the van at the start for each job, when the jobs before it took theirs."""
    if _tour(jobs_between_restocks) == 1:
        return need
    total = need.copy()
    for nth in range(1, min(jobs_between_restocks, len(need))):
        before = total[nth - 1 :: jobs_between_restocks]
        total[nth::jobs_between_restocks] += before[: len(total[nth::jobs_between_restocks])]
    return np.where(need > 0, total, 0)


def van_kit(
    jobs: Jobs,
    unit_cost: ArrayLike,
    budget: float,
    *,
    weights: ArrayLike | None = None,
    room: ArrayLike | None = None,
    room_limit: float | None = None,
    allowed: ArrayLike | None = None,
    most: ArrayLike | None = None,
    jobs_between_restocks: int = 1,
) -> IntArray:
    """Par per part that finishes the largest share of `jobs` from the van without passing the limits.

    jobs: jobs x parts of whole units used together, or one {part index: units} per job. unit_cost: money per
    unit of each part; budget: money on the van at par. weights: how often each job comes (default: each row
    once). room and room_limit: space per unit and in all. allowed: False keeps a part off the van (controlled
    or dated parts). most: ceiling per part. jobs_between_restocks: jobs done, in the order given,
    before the van is brought back to par. Only what a job needs is carried, so money may be left over.
    Compare `share_completed` of the result with that of `par_by_usage`. Refuses broken or negative figures.
    """
    limits = _limits(unit_cost, budget, room, room_limit, allowed, most)
    need = jobs_table(jobs, len(limits.cost))
    w = _weights(weights, len(need))
    whole = _on_tour(need, jobs_between_restocks)
    used = (whole > 0).any(axis=0)
    slim = _Limits(limits.cost[used], limits.budget, limits.room[used], limits.room_limit, limits.most[used])
    par = np.zeros(len(limits.cost), dtype=np.int64)
    if search := _search(whole[:, used], w, slim):
        par[used] = search.best(_by_usage(need[:, used], whole[:, used], slim))
    return par


def par_by_usage(
    jobs: Jobs,
    unit_cost: ArrayLike,
    budget: float,
    *,
    room: ArrayLike | None = None,
    room_limit: float | None = None,
    jobs_between_restocks: int = 1,
) -> IntArray:
    """The usual rule, for comparison at equal money and room: units in proportion to use, the most used first.

    Each step buys one unit of the part with the greatest use per unit carried (after buying it) that the money
    and room left still allow; no part is carried beyond the most that the jobs between two restocks ever took.
    """
    limits = _limits(unit_cost, budget, room, room_limit, None, None)
    need = jobs_table(jobs, len(limits.cost))
    return _by_usage(need, _on_tour(need, jobs_between_restocks), limits)


def _by_usage(need: IntArray, whole: IntArray, limits: _Limits) -> IntArray:
    par = np.zeros(len(limits.cost), dtype=np.int64)
    used, top = need.sum(axis=0), np.minimum(whole.max(axis=0, initial=0), limits.most)
    money, room = limits.budget, limits.room_limit
    while True:
        open_ = (par < top) & (limits.cost <= money + TINY) & (limits.room <= room + TINY)
        if not open_.any():
            return par
        part = int(np.where(open_, used / (par + 1), -1.0).argmax())
        par[part] += 1
        money -= float(limits.cost[part])
        room -= float(limits.room[part])


@dataclass(frozen=True)
class _Limits:
    cost: FloatArray
    budget: float
    room: FloatArray
    room_limit: float
    most: FloatArray


def _limits(
    unit_cost: ArrayLike,
    budget: float,
    room: ArrayLike | None,
    room_limit: float | None,
    allowed: ArrayLike | None,
    most: ArrayLike | None,
) -> _Limits:
    cost = np.atleast_1d(_numbers(unit_cost, "Unit costs", "numbers"))
    space = np.zeros_like(cost) if room is None else _numbers(room, "Room", "a number for each part")
    ceiling = np.full_like(cost, np.inf) if most is None else _numbers(most, "Ceilings", "numbers")
    money = float(_numbers(budget, "The budget", "one number"))
    limit = np.inf if room_limit is None else float(_numbers(room_limit, "The room", "one number"))
    if allowed is not None:
        ceiling = np.where(np.asarray(allowed, dtype=bool), ceiling, 0.0)
    if not (cost.shape == space.shape == ceiling.shape):
        raise Refused("Cost, room, allowed and ceiling must have one entry for each part.")
    known = np.isfinite(cost).all() and np.isfinite(space).all()
    if not known or not all((figure >= 0).all() for figure in (cost, space, ceiling, np.array([money, limit]))):
        raise Refused("Costs, room, ceilings and budget of a van must be known and not negative.")
    return _Limits(cost, money, space, limit, ceiling)


def _search(need: IntArray, weight: FloatArray, limits: _Limits) -> Search | None:
    """The distinct jobs that fit the limits on their own; None when there are none."""
    ok = (need <= limits.most).all(axis=1) & (need.sum(axis=1) > 0) & (weight > 0)
    ok &= (need @ limits.cost <= limits.budget + TINY) & (need @ limits.room <= limits.room_limit + TINY)
    if not ok.any():
        return None
    pattern, row = np.unique(need[ok], axis=0, return_inverse=True)
    total = np.bincount(row.ravel(), weights=weight[ok]).astype(np.float64)
    shares = np.array([limits.cost / max(limits.budget, TINY), limits.room / max(limits.room_limit, TINY)])
    return Search(pattern.astype(np.int32), total, shares)
