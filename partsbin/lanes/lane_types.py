"""Lane types of machine families, and the clearances a lane needs, as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from partsbin.errors import Refused
from partsbin.lanes.containers import Container, Kind

MOST_SPACERS_PER_SIDE: Final = 3


class Side(StrEnum):
    """Which wall of a lane may take spacers, seen standing at the front with the door open."""

    LEFT = "L"
    RIGHT = "R"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class LaneType:
    """A kind of lane in a machine family. Lengths in mm.

    ``width_mm`` is the narrowest clear width between the walls, ``depth_mm`` the usable depth of the tray,
    ``shelf_pitch_mm`` the height from this shelf to the next, ``front_gap_mm`` from shelf edge to door glass
    (0: not known, not checked). ``coupled`` lanes work as a pair on one selection; the right-hand lane of the
    pair mirrors the left.
    """

    code: str
    family: str
    width_mm: float
    depth_mm: float
    shelf_pitch_mm: float
    coil_pitch_mm: float
    turns: int
    front_gap_mm: float = 0.0
    spacer_side: Side = Side.LEFT
    max_per_side: int = 2
    coupled: bool = False

    def __post_init__(self) -> None:
        where = f"lane type {self.code or '(no code)'}"
        lengths = (
            ("inner width", self.width_mm, 20.0),
            ("usable depth", self.depth_mm, 50.0),
            ("shelf pitch", self.shelf_pitch_mm, 50.0),
            ("coil pitch", self.coil_pitch_mm, 10.0),
        )
        for what, value, least in lengths:
            if not least <= value <= 2000:
                raise Refused(f"{where}: {what} of {value:g} mm cannot be right; give {least:g} to 2000 mm")
        if not 0 <= self.front_gap_mm <= 2000:
            raise Refused(f"{where}: front gap of {self.front_gap_mm:g} mm cannot be right; give 0 when not known")
        if not 1 <= self.turns <= 60:
            raise Refused(f"{where}: a coil of {self.turns} turns cannot be; count them, 1 to 60")
        if not 0 <= self.max_per_side <= MOST_SPACERS_PER_SIDE:
            raise Refused(f"{where}: spacers per side must be 0 to {MOST_SPACERS_PER_SIDE}, not {self.max_per_side}")

    def mirrored(self) -> LaneType:
        """The same lane with left and right exchanged, as the right-hand lane of a coupled pair."""
        swap = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, Side.BOTH: Side.BOTH}
        return replace(self, spacer_side=swap[self.spacer_side])

    def with_coil(self, pitch_mm: float, turns: int) -> LaneType:
        """The same lane with another coil in it."""
        return replace(self, coil_pitch_mm=pitch_mm, turns=turns)


@dataclass(frozen=True, slots=True)
class Limits:
    """Clearances in mm for one kind of container; all are common practice and meant to be edited.

    ``min_slack_mm``..``max_slack_mm`` is the total play between container and spacers, ``target_slack_mm`` what to
    aim for (the middle when None). ``max_offset_mm`` bounds how far the container's path lies off the lane's middle
    where both walls take spacers (None: no bound). A coil's pitch exceeds the container by ``min_pitch_over_mm`` to
    ``max_pitch_over_mm``. ``retainer_gap_mm`` stays free before the front drink, ``rear_gap_mm`` behind the last.
    ``headroom_mm`` is needed above the container, ``door_room_mm`` beyond its height between shelf edge and glass.
    ``swell_percent`` is added to a diameter nobody measured.
    """

    min_slack_mm: float
    max_slack_mm: float
    target_slack_mm: float | None = None
    max_offset_mm: float | None = 4.0
    min_pitch_over_mm: float = 1.5
    max_pitch_over_mm: float = 20.0
    retainer_gap_mm: float = 13.0
    rear_gap_mm: float = 0.0
    headroom_mm: float = 40.0
    door_room_mm: float = 20.0
    swell_percent: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.min_slack_mm <= self.max_slack_mm:
            raise Refused(
                f"side slack from {self.min_slack_mm:g} to {self.max_slack_mm:g} mm is no range; "
                "give the smaller first, neither below zero"
            )

    @property
    def target_mm(self) -> float:
        """The slack to aim for."""
        if self.target_slack_mm is None:
            return (self.min_slack_mm + self.max_slack_mm) / 2
        return self.target_slack_mm


CAN_LIMITS: Final = Limits(min_slack_mm=4, max_slack_mm=10)
PET_LIMITS: Final = Limits(min_slack_mm=4, max_slack_mm=12, swell_percent=1.5)
USUAL_LIMITS: Final[Mapping[Kind, Limits]] = {Kind.CAN: CAN_LIMITS, Kind.PET: PET_LIMITS}


def limits_for(container: Container, table: Mapping[Kind, Limits] = USUAL_LIMITS) -> Limits:
    """The clearances for a container's kind."""
    return table[container.kind]
