"""From units sold to what the van must carry: refill per lane, cases and eaches per drink, stops in round order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from partsbin.errors import Refused
from partsbin.lanes.cases import Pool, as_cases
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


@dataclass(frozen=True, slots=True)
class DrinkLoad:
    """What the van carries of one drink: ``need`` each over all stops, as whole cases and loose units."""

    part_number: str
    need: int
    load: Pool


@dataclass(frozen=True, slots=True)
class VanLoad:
    """Stops in the order they are driven; ``packing`` is the order to load them, the last stop first."""

    stops: tuple[Stop, ...]
    drinks: tuple[DrinkLoad, ...]

    @property
    def packing(self) -> tuple[Stop, ...]:
        """The stops as they go into the van, so that the first one stands at the door."""
        return tuple(reversed(self.stops))


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


def van_load(stops: Iterable[Stop], per_case: Mapping[str, int]) -> VanLoad:
    """Add the stops up by drink: whole cases and the loose rest. ``per_case`` gives units a case per part number."""
    ordered = sorted(stops, key=lambda s: (s.machine.round_name, s.machine.stop, s.machine.asset))
    need: Counter[str] = Counter()
    for stop in ordered:
        for row in stop.lanes:
            need[row.part_number] += row.add
    drinks = [DrinkLoad(part, units, as_cases(units, per_case.get(part, 1))) for part, units in need.items()]
    return VanLoad(tuple(ordered), tuple(sorted(drinks, key=lambda d: d.part_number)))
