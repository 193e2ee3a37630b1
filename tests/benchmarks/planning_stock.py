"""Achieved fill and stock of the planner in the reference simulation, against every baseline it knows.

Run by hand: python tests/benchmarks/planning_stock.py [lead] [review] [items]. Needs the reference simulation and its
demand data in a folder beside the repository.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from partsbin.planning import order_up_to

REFERENCE = Path(__file__).resolve().parents[2].parent / "shared" / "reference"


def main() -> None:
    """One line a target: achieved fill, mean stock, and stock over what the best baseline needs for that fill."""
    data = REFERENCE / "data" / "carparts.csv"
    if not data.exists():
        print(f"Skipped: {data} is not on this machine.")
        return
    sys.path.insert(0, str(REFERENCE))
    import stock_simulation as sim

    lead, review, items = (int(a) for a in (*sys.argv[1:], "1", "1", "0")[:3])
    demand = sim.load(str(data))[: items or None]
    terms = {"lead": lead, "review": review}
    fronts = {k: sim.frontier(demand, b, **terms) for k, b in sim.BASE.items()}
    fronts["cover"] = [sim.run(demand, sim.cover(k), k / 100, **terms) for k in (*sim.COVER, 15, 20, 30)]
    print(f"{len(demand)} items, lead {lead}, review {review}")
    print("target  fill   item fill  stock  / best baseline      seconds")
    planner = lambda h, s: order_up_to(h, s.lead, s.review, s.target)  # noqa: E731 - one line is the point
    for target in (0.80, 0.85, *sim.TARGETS):
        begin = time.perf_counter()
        got = sim.run(demand, planner, target, **terms)
        ratios = {k: v for k, v in sim.judge(got, fronts).items() if v == v}
        best = max(ratios, key=ratios.get) if ratios else ""
        against = f"{ratios[best]:.2f} of {best}" if best else "no baseline gets there"
        took = time.perf_counter() - begin
        print(
            f"{target:.2f}   {got['fill']:.4f}  {got['item_fill']:.4f}  {got['stock']:7.3f}  {against:22s} {took:.1f}"
        )


if __name__ == "__main__":
    main()
