"""Stocked spacers, and the sets of them that bring a container's side play within limits."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement
from typing import Final

from partsbin.errors import Refused
from partsbin.lanes.containers import Container
from partsbin.lanes.lane_types import LaneType, Limits, Side

MOST_SETS: Final = 8
HAIR: Final = 1e-6  # mm; absorbs binary rounding of sums of tenths


@dataclass(frozen=True, slots=True)
class SpacerStock:
    """A stocked spacer: thickness in mm, hand ``LH``, ``RH`` or empty for either, and what is on hand where."""

    part_number: str
    thickness_mm: float
    hand: str = ""
    on_hand: int = 0
    places: tuple[tuple[str, int], ...] = ()

    def __post_init__(self) -> None:
        if self.hand not in ("", "LH", "RH"):
            raise Refused(f"spacer {self.part_number}: hand {self.hand!r} must be LH, RH or empty for either side")
        if not 0 < self.thickness_mm <= 100:
            raise Refused(f"spacer {self.part_number}: {self.thickness_mm:g} mm is no thickness; give 0 to 100 mm")


@dataclass(frozen=True, slots=True)
class SpacerSet:
    """Spacers for one lane: thicknesses per wall in mm, the play they leave, and the items that make them up.

    ``offset_mm`` is how far the container's path lies right of the lane's middle (negative: left).
    ``items`` maps part numbers to quantities; ``lacking`` the quantities that stock cannot give.
    """

    left_mm: tuple[float, ...]
    right_mm: tuple[float, ...]
    slack_mm: float
    offset_mm: float
    items: tuple[tuple[str, int], ...] = ()
    lacking: tuple[tuple[str, int], ...] = ()

    @property
    def count(self) -> int:
        """How many spacers the set takes."""
        return len(self.left_mm) + len(self.right_mm)

    def words(self) -> str:
        """The set as a person would say it: ``1 x 15 mm left``."""
        walls = (("left", self.left_mm), ("right", self.right_mm))
        parts = [f"{n} x {t:g} mm {wall}" for wall, stack in walls for t, n in sorted(Counter(stack).items())]
        return " + ".join(parts) or "no spacer"


def best_sets(
    container: Container, lane_type: LaneType, spacers: Sequence[SpacerStock], limits: Limits
) -> list[SpacerSet]:
    """The best sets, and among them the best that stock can make; fewer spacers are tried first."""

    def rank(s: SpacerSet) -> tuple[float | tuple[float, ...], ...]:
        return (s.count, abs(s.slack_mm - limits.target_mm), abs(s.offset_mm), s.left_mm, s.right_mm)

    stocked: list[SpacerSet] = []
    unstocked: list[SpacerSet] = []
    for count in range(2 * lane_type.max_per_side + 1):
        level = [_with_items(*p, spacers) for p in _patterns(container, lane_type, spacers, limits, count)]
        for spacer_set in sorted(level, key=rank):
            (unstocked if spacer_set.lacking else stocked).append(spacer_set)
        if len(stocked) >= MOST_SETS:
            break
    return sorted(stocked[:MOST_SETS] + unstocked[:MOST_SETS], key=rank)


_Pattern = tuple[tuple[float, ...], tuple[float, ...], float, float]


def _patterns(
    container: Container, lane_type: LaneType, spacers: Sequence[SpacerStock], limits: Limits, count: int
) -> Iterator[_Pattern]:
    """Left and right stacks of ``count`` spacers in all that keep every limit, with the slack and offset they give."""
    play = lane_type.width_mm - container.widest_mm(limits.swell_percent)
    least, most = play - limits.max_slack_mm - HAIR, play - limits.min_slack_mm + HAIR
    bound = limits.max_offset_mm if lane_type.spacer_side is Side.BOTH else None
    for on_left in range(count + 1):
        rights = _stacks(spacers, lane_type, Side.RIGHT, count - on_left)
        sums = [sum(stack) for stack in rights]
        for left in _stacks(spacers, lane_type, Side.LEFT, on_left):
            total = sum(left)
            for right in rights[bisect_left(sums, least - total) : bisect_right(sums, most - total)]:
                offset = (total - sum(right)) / 2
                if bound is None or abs(offset) <= bound + HAIR:
                    yield left, right, round(play - total - sum(right), 2), round(offset, 2)


def _stacks(spacers: Sequence[SpacerStock], lane_type: LaneType, wall: Side, count: int) -> list[tuple[float, ...]]:
    """Stacks of ``count`` spacers one wall may take, thinnest first."""
    if count and (lane_type.spacer_side not in (wall, Side.BOTH) or count > lane_type.max_per_side):
        return []
    thicknesses = sorted({s.thickness_mm for s in spacers if s.hand in ("", _HAND[wall])})
    return sorted(combinations_with_replacement(thicknesses, count), key=sum)


_HAND: Final = {Side.LEFT: "LH", Side.RIGHT: "RH"}


def _with_items(
    left_mm: tuple[float, ...],
    right_mm: tuple[float, ...],
    slack_mm: float,
    offset_mm: float,
    spacers: Sequence[SpacerStock],
) -> SpacerSet:
    """Choose the items for a pattern: handed ones first, then universal; say what stock lacks."""
    left: Counter[str] = Counter()
    for spacer in spacers:
        left[spacer.part_number] += max(0, spacer.on_hand)
    used: Counter[str] = Counter()
    lacking: Counter[str] = Counter()
    for wall, stack in ((Side.LEFT, left_mm), (Side.RIGHT, right_mm)):
        for thickness in stack:
            suits = [s for s in spacers if s.thickness_mm == thickness and s.hand in ("", _HAND[wall])]
            suits.sort(key=lambda s: (s.hand == "", s.part_number))
            part = next((s.part_number for s in suits if left[s.part_number] > 0), "")
            if not part:
                part = suits[0].part_number
                lacking[part] += 1
            left[part] -= 1
            used[part] += 1
    items, short = tuple(sorted(used.items())), tuple(sorted(lacking.items()))
    return SpacerSet(left_mm, right_mm, slack_mm, offset_mm, items, short)
