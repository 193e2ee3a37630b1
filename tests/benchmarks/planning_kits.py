"""Van kits: gap to brute force on small depots, and against the usual rule at equal money on a large one.

Run by hand: python tests/benchmarks/planning_kits.py
"""

from __future__ import annotations

import itertools
import time

import numpy as np

from partsbin.planning import par_by_usage, share_completed, van_kit


def small(seed: int) -> tuple[np.ndarray, np.ndarray, int]:
    """A depot of 4 to 12 parts and 8 to 60 jobs of 1 to 3 parts each."""
    rng = np.random.default_rng(seed)
    parts, number = int(rng.integers(4, 13)), int(rng.integers(8, 60))
    use = rng.exponential(1, parts)
    jobs = np.zeros((number, parts), dtype=int)
    for job in jobs:
        which = rng.choice(parts, size=int(rng.integers(1, 4)), replace=False, p=use / use.sum())
        job[which] = rng.integers(1, 3, len(which))
    cost = rng.integers(1, 30, parts)
    return jobs, cost, int(cost @ jobs.max(axis=0) * rng.uniform(0.2, 0.7))


def best_share(jobs: np.ndarray, cost: np.ndarray, budget: int) -> float:
    """Every kit within the budget tried."""
    grid = np.array(list(itertools.product(*(range(t + 1) for t in jobs.max(axis=0)))))
    grid, best = grid[grid @ cost <= budget], 0.0
    for part in np.array_split(grid, max(1, len(grid) // 20_000)):
        best = max(best, float((jobs[None] <= part[:, None]).all(axis=2).mean(axis=1).max(initial=0)))
    return best


def main() -> None:
    """Print the gaps and one large depot."""
    gaps, usual, took = [], [], []
    for seed in range(100):
        jobs, cost, budget = small(seed)
        begin = time.perf_counter()
        par = van_kit(jobs, cost, budget)
        took.append(time.perf_counter() - begin)
        best = best_share(jobs, cost, budget)
        if best:
            gaps.append(1 - share_completed(par, jobs) / best)
            usual.append(1 - share_completed(par_by_usage(jobs, cost, budget), jobs) / best)
    print(f"gap to brute force, {len(gaps)} depots: mean {np.mean(gaps):.2%} (limit 1 %), worst {max(gaps):.2%} (3 %)")
    print(
        f"the usual rule, equal money: mean {np.mean(usual):.2%}, worst {max(usual):.2%}; {np.mean(took):.2f} s a kit"
    )
    rng = np.random.default_rng(0)
    use = rng.pareto(1.2, 300) + 0.01
    jobs = np.zeros((2000, 300), dtype=int)
    for job in jobs:
        which = rng.choice(300, size=int(rng.integers(1, 4)), replace=False, p=use / use.sum())
        job[which] = rng.integers(1, 3, len(which))
    cost = np.round(rng.lognormal(3, 1, 300), 2)
    begin = time.perf_counter()
    par = van_kit(jobs, cost, 2500)
    print(
        f"2,000 jobs, 300 parts: {share_completed(par, jobs):.1%} of jobs finished, usual rule "
        f"{share_completed(par_by_usage(jobs, cost, 2500), jobs):.1%}, {time.perf_counter() - begin:.1f} s"
    )


if __name__ == "__main__":
    main()
