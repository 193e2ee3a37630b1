"""The lane chart of a machine: what stands in every lane, shelf by shelf, and what a change of product means."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from partsbin.errors import Refused
from partsbin.lanes.coupled import CoupledLane


@dataclass(frozen=True, slots=True)
class Machine:
    """A machine in the field: asset number, family, site, serial, and its place in the round."""

    asset: str
    family: str
    site: str = ""
    serial: str = ""
    round_name: str = ""
    stop: int = 0

    @property
    def turn(self) -> tuple[str, int, str]:
        """Sorts machines round by round, as they are driven to."""
        return (self.round_name, self.stop, self.asset)


@dataclass(frozen=True, slots=True)
class Lane:
    """One lane of a machine.

    ``shelf`` counts from the top, ``position`` from the left, both from 1. ``selection`` is what a customer keys and
    what the audit file counts (lanes of a coupled pair share it). ``part_number`` is the drink, ``container`` its code.
    ``fitted`` maps part numbers to quantities in the lane. ``count`` is None when nobody counted it.
    """

    asset: str
    lane: str
    shelf: int
    position: int
    lane_type: str
    selection: str = ""
    part_number: str = ""
    container: str = ""
    fitted: tuple[tuple[str, int], ...] = ()
    capacity: int = 0
    count: int | None = None
    changed_on: date | None = None

    def __post_init__(self) -> None:
        where = f"machine {self.asset} lane {self.lane}"
        if self.shelf < 1 or self.position < 1:
            raise Refused(f"{where}: shelf and position count from 1, not {self.shelf} and {self.position}")
        if self.capacity < 0:
            raise Refused(f"{where}: capacity {self.capacity} cannot be below zero")
        if self.count is not None and not 0 <= self.count <= self.capacity:
            raise Refused(f"{where}: {self.count} of {self.capacity} cannot be; count it again")

    @property
    def keyed(self) -> str:
        """The selection, which is the lane's own number unless the lane is coupled."""
        return self.selection or self.lane


def selections(lanes: Iterable[Lane]) -> dict[str, list[Lane]]:
    """Lanes grouped by the selection that sells them, in the order met."""
    groups: dict[str, list[Lane]] = {}
    for lane in lanes:
        groups.setdefault(lane.keyed, []).append(lane)
    return groups


def fitted_parts(lanes: Iterable[Lane]) -> dict[str, int]:
    """Everything fitted in ``lanes`` together, for a change-over."""
    total: Counter[str] = Counter()
    for lane in lanes:
        total.update(dict(lane.fitted))
    return dict(total)


def coupled_lanes(lanes: Sequence[Lane]) -> list[CoupledLane]:
    """The lanes of one selection as the taking-turns rule sees them; an uncounted lane is taken as full."""
    return [CoupledLane(x.lane, x.capacity if x.count is None else x.count, x.capacity) for x in lanes]
