"""Coupled lanes: several lanes behind one selection, sold down in turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsbin.errors import Refused


@dataclass(frozen=True, slots=True)
class CoupledLane:
    """One lane of a coupled selection: units in it, units it holds, and whether it is out of use."""

    lane: str
    count: int
    capacity: int
    fault: bool = False

    def __post_init__(self) -> None:
        if not 0 <= self.count <= self.capacity:
            raise Refused(f"lane {self.lane}: {self.count} of {self.capacity} cannot be; count it again")


def next_lane(lanes: Sequence[CoupledLane], last_used: str = "") -> str:
    """The lane to vend from: the next after ``last_used`` that has stock and no fault; empty when none has.

    Taking turns sells the lanes down evenly, keeps dates rotating in both, and lets one carry on when the other jams.
    """
    names = [lane.lane for lane in lanes]
    start = names.index(last_used) + 1 if last_used in names else 0
    turns = [*lanes[start:], *lanes[:start]]
    return next((lane.lane for lane in turns if lane.count and not lane.fault), "")


def sell(lanes: Sequence[CoupledLane], units: int, last_used: str = "") -> tuple[list[CoupledLane], int]:
    """The lanes after ``units`` sold in turn from ``last_used`` on, and the units that no lane could give."""
    if units < 0:
        raise Refused(f"cannot sell {units} units; give 0 or more")
    left = list(lanes)
    while units and (lane := next_lane(left, last_used)):
        left = [replace(x, count=x.count - 1) if x.lane == lane else x for x in left]
        units, last_used = units - 1, lane
    return left, units
