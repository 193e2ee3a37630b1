"""Planning 100,000 items x 104 weeks: seconds and memory against the limits, and against per-item libraries.

Run by hand: python tests/benchmarks/planning_speed.py [items]
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np

from partsbin.planning import PlanInput, order_up_to, plan_shelf
from partsbin.planning.forecast import croston

SECONDS, MEGABYTES, WEEKS = 5.0, 500.0, 104


def depot(items: int) -> PlanInput:
    """Slow movers with a few brisk ones, some weeks out of stock, packs, several lead times."""
    rng = np.random.default_rng(1)
    history = np.empty((items, WEEKS))
    for start in range(0, items, 10_000):
        part = slice(start, min(start + 10_000, items))
        rate = rng.gamma(0.5, 0.5, (part.stop - start, 1))
        history[part] = rng.poisson(rate * rng.gamma(2, 0.5, (part.stop - start, WEEKS)))
    history[rng.integers(0, items, items // 2), rng.integers(0, WEEKS, items // 2)] = np.nan
    return PlanInput(
        [f"P{i}" for i in range(items)],
        history,
        lead_weeks=rng.integers(1, 5, items).astype(float),
        lead_sd_weeks=0.3,
        unit_cost=rng.lognormal(7, 1, items),
        order_cost=500.0,
        pack=rng.choice([1, 1, 1, 5, 10], items),
    )


def peak() -> float:
    """Peak memory of this process in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def against_library(history: np.ndarray, ours: float) -> None:
    """Seconds of one-item-at-a-time Croston in statsforecast, or in our own loop, scaled to all items."""
    few, x = 500, np.nan_to_num(history)
    x = x[(x > 0).sum(axis=1) > 1][:few]
    try:
        from statsforecast.models import CrostonSBA

        name, one = "statsforecast CrostonSBA, item by item", lambda row: CrostonSBA().forecast(y=row, h=1)
        one(x[0])
    except ImportError:
        name, one = "our own Croston, item by item", croston
    begin = time.perf_counter()
    for row in x:
        one(row)
    all_items = (time.perf_counter() - begin) / len(x) * len(history)
    print(f"{name}: {all_items:.1f} s for the forecast alone; the whole plan takes {ours / all_items:.2f} of it")


def main() -> None:
    """Print one table."""
    items = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    plan = depot(items)
    before = peak()
    begin, busy = time.perf_counter(), time.process_time()
    proposals = plan_shelf(plan)
    took, busy = time.perf_counter() - begin, time.process_time() - busy
    print(f"plan_shelf   {len(proposals)} items x {WEEKS} weeks: {took:.2f} s = {took / SECONDS:.2f} of {SECONDS} s")
    print(f"             {busy:.2f} s of processor, for comparison on a busy machine")
    print(
        f"memory       {peak():.0f} MB peak = {peak() / MEGABYTES:.2f} of {MEGABYTES:.0f} MB ({before:.0f} MB before)"
    )
    begin = time.perf_counter()
    order_up_to(plan.history, plan.lead_weeks, 1, 0.95)
    print(f"order_up_to  {time.perf_counter() - begin:.2f} s")
    against_library(np.asarray(plan.history), took)


if __name__ == "__main__":
    main()
