"""From units sold to what the van must carry: refill per lane, cases and eaches per drink, stops in round order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from partsbin.errors import Refused
from partsbin.lanes.chart import Lane, Machine, coupled_lanes, selections
from partsbin.lanes.coupled import sell


@dataclass(frozen=True, slots=True)
class LaneRefill:
    """Units to put in one lane: ``before`` are left in it after the sales, ``add`` brings it to capacity."""

    lane: str
    selection: str
    part_number: str
    before: int
    add: int


@dataclass(frozen=True, slots=True)
class Stop:
    """One machine of the round: its lanes to refill, and notes on sales the chart cannot explain."""

    machine: Machine
    lanes: tuple[LaneRefill, ...]
    notes: tuple[str, ...] = ()


def refill(machine: Machine, lanes: Sequence[Lane], sold: Mapping[str, int]) -> Stop:
    """Bring every lane of ``machine`` up to capacity after ``sold`` units per selection.

    Lanes nobody counted are taken as full at the earlier reading (common practice: a visit fills them). Sales beyond
    what a selection held, and selections the chart does not know, are noted and never turned into a negative count.
    """
    notes, rows = [], []
    groups = selections(lanes)
    for selection, group in groups.items():
        units = sold.get(selection, 0)
        if units < 0:
            raise Refused(f"machine {machine.asset}: {units} sold from {selection} cannot be; read the machine again")
        after, beyond = sell(coupled_lanes(group), units)
        if beyond:
            notes.append(f"selection {selection} sold {beyond} more than the chart shows in it: count it")
        for lane, left in zip(group, after, strict=True):
            if lane.part_number and left.capacity > left.count:
                add = left.capacity - left.count
                rows.append(LaneRefill(lane.lane, selection, lane.part_number, left.count, add))
    strangers = sorted(s for s, units in sold.items() if units and s not in groups)
    if strangers:
        notes.append(f"sold from selections the chart does not know: {', '.join(strangers)}")
    return Stop(machine, tuple(rows), tuple(notes))


def packing(stops: Iterable[Stop]) -> list[Stop]:
    """The stops as they go into the van, the last one first, so that the first one stands at the door."""
    return sorted(stops, key=lambda stop: stop.machine.turn, reverse=True)


def needed(stops: Iterable[Stop]) -> dict[str, int]:
    """Units each drink needs over all stops, by part number."""
    need: Counter[str] = Counter()
    for stop in stops:
        for row in stop.lanes:
            need[row.part_number] += row.add
    return dict(sorted(need.items()))
