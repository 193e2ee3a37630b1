"""Which spacers bring a container's side play within limits, and how many containers the lane then holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import floor

from partsbin.lanes.containers import Container
from partsbin.lanes.lane_types import LaneType, Limits, Side, limits_for
from partsbin.lanes.spacers import HAIR, SpacerSet, SpacerStock, best_sets

__all__ = ["Fit", "SpacerSet", "SpacerStock", "Verdict", "fit", "lane_capacity", "pitch_range"]


class Verdict(StrEnum):
    """The answers to "does it fit?", best first."""

    FITS = "fits"
    NO_STOCK = "fits, not in stock"
    OTHER_COIL = "fits with another coil"
    NO_FIT = "does not fit"


@dataclass(frozen=True, slots=True)
class Fit:
    """The answer for one container in one lane type.

    ``sets`` can be made from stock, best first; ``unstocked`` would fit but stock lacks something. ``capacity`` is
    per lane with the coil it has, 0 when that does not do. ``over_mm`` is how much too wide (0 when it is not).
    ``coil_mm`` are the least and greatest pitch that suit. ``reasons`` say why not, ``notes`` what to mind.
    """

    container: Container
    lane_type: LaneType
    verdict: Verdict
    sets: tuple[SpacerSet, ...]
    unstocked: tuple[SpacerSet, ...]
    capacity: int
    coil_mm: tuple[float, float]
    over_mm: float = 0.0
    reasons: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def best(self) -> SpacerSet | None:
        """The set to use: from stock if there is one, else the one to order."""
        return next(iter(self.sets or self.unstocked), None)

    @property
    def unconfirmed(self) -> str:
        """Why the diameter must be measured before this counts, or an empty text."""
        return self.container.doubt

    def sentence(self) -> str:
        """The whole answer in one line."""
        head = f"{self.container.name} in {self.lane_type.code}"
        if self.verdict is Verdict.NO_FIT or self.best is None:
            return f"{head} does not fit: {'; '.join(self.reasons)}"
        play = f"{self.best.words()}, {self.best.slack_mm:g} mm play"
        if self.verdict is Verdict.OTHER_COIL:
            return f"{head} fits with another coil ({'; '.join(self.reasons)}): {play}{self._lacking()}"
        holds = (
            f"{self.capacity} a lane, {2 * self.capacity} the pair"
            if self.lane_type.coupled
            else f"{self.capacity} in the lane"
        )
        return f"{head}: {play}, {holds}{self._lacking()}"

    def _lacking(self) -> str:
        if self.sets or not self.unstocked:
            return ""
        lacking = ", ".join(f"{quantity} x {part}" for part, quantity in self.unstocked[0].lacking)
        return f"; it fits, but stock lacks {lacking}"


def fit(container: Container, lane_type: LaneType, spacers: Sequence[SpacerStock], limits: Limits | None = None) -> Fit:
    """Rank the spacer sets for ``container`` in ``lane_type`` and say how many the lane holds, or why it does not fit.

    Sets are ranked by fewest spacers, then slack closest to the target, then nearest the middle. A set counts as
    stocked when every item in it is on hand in the number needed; handed spacers are used before universal ones.
    """
    limits = limits or limits_for(container)
    over = round(container.widest_mm(limits.swell_percent) + limits.min_slack_mm - lane_type.width_mm, 2)
    sets = [] if over > 0 else best_sets(container, lane_type, spacers, limits)
    reasons = _side_reasons(container, lane_type, limits, over, sets) + _height_reasons(container, lane_type, limits)
    capacity, coil_reason = lane_capacity(container, lane_type, limits)
    coil = pitch_range(container, limits)
    other_coil = not coil[0] - HAIR <= lane_type.coil_pitch_mm <= coil[1] + HAIR
    stocked = tuple(s for s in sets if not s.lacking)
    verdict = _verdict(no_fit=bool(reasons or (coil_reason and not other_coil)), coil=other_coil, stock=bool(stocked))
    reasons += [coil_reason] if coil_reason else []
    if verdict is Verdict.NO_FIT:
        return Fit(container, lane_type, verdict, (), (), 0, coil, max(0.0, over), tuple(reasons), _notes(container))
    unstocked = tuple(s for s in sets if s.lacking)
    notes = _notes(container, (stocked or unstocked)[0], limits)
    return Fit(container, lane_type, verdict, stocked, unstocked, capacity, coil, 0.0, tuple(reasons), notes)


def _verdict(*, no_fit: bool, coil: bool, stock: bool) -> Verdict:
    if no_fit:
        return Verdict.NO_FIT
    if coil:
        return Verdict.OTHER_COIL
    return Verdict.FITS if stock else Verdict.NO_STOCK


def lane_capacity(container: Container, lane_type: LaneType, limits: Limits | None = None) -> tuple[int, str]:
    """Containers a lane holds, and why when that is none: the smaller of the turns and what the depth takes."""
    limits = limits or limits_for(container)
    least, most = pitch_range(container, limits)
    pitch = lane_type.coil_pitch_mm
    if pitch < least - HAIR:
        return 0, f"coil pitch {pitch:g} mm is {least - pitch:.1f} mm too fine: needs {least:.1f} to {most:.1f} mm"
    if pitch > most + HAIR:
        over = _tenths(pitch - most)
        return 0, f"coil pitch {pitch:g} mm is {over} mm too coarse: needs {least:.1f} to {most:.1f} mm"
    by_depth = floor((lane_type.depth_mm - limits.retainer_gap_mm - limits.rear_gap_mm) / pitch + HAIR)
    capacity = max(0, min(lane_type.turns, by_depth))
    return capacity, "" if capacity else f"{lane_type.depth_mm:g} mm of depth is too short for one pocket"


def pitch_range(container: Container, limits: Limits) -> tuple[float, float]:
    """Least and greatest coil pitch in mm that suit a container."""
    widest = container.widest_mm(limits.swell_percent)
    return round(widest + limits.min_pitch_over_mm, 2), round(widest + limits.max_pitch_over_mm, 2)


def _height_reasons(container: Container, lane_type: LaneType, limits: Limits) -> list[str]:
    reasons = []
    gates = (
        ("under the shelf above", lane_type.shelf_pitch_mm, limits.headroom_mm),
        ("between shelf edge and door", lane_type.front_gap_mm or float("inf"), limits.door_room_mm),
    )
    for where, room, spare in gates:
        over = container.tallest_mm + spare - room
        if over > HAIR:
            reasons.append(
                f"{_tenths(over)} mm too tall {where}: {container.tallest_mm:g} mm and {spare:g} clear, has {room:g}"
            )
    return reasons


def _side_reasons(
    container: Container, lane_type: LaneType, limits: Limits, over: float, sets: Sequence[SpacerSet]
) -> list[str]:
    """Why no spacers do: the lane is too narrow, or too wide for what is listed."""
    widest = container.widest_mm(limits.swell_percent)
    if over > 0:
        needs = widest + limits.min_slack_mm
        return [
            f"{_tenths(over)} mm too wide: {widest:g} mm at its widest needs {needs:g} mm, "
            f"the lane has {lane_type.width_mm:g}"
        ]
    if sets:
        return []
    play = lane_type.width_mm - widest
    low, high = max(0.0, play - limits.max_slack_mm), play - limits.min_slack_mm
    walls = {Side.LEFT: "on the left", Side.RIGHT: "on the right", Side.BOTH: "over both sides"}[lane_type.spacer_side]
    return [
        f"{_tenths(low)} mm too loose: needs {low:.1f} to {high:.1f} mm of spacer {walls}, "
        f"at most {lane_type.max_per_side} a side, and no listed spacers make that"
    ]


def _tenths(mm: float) -> str:
    """Tenths of a mm, or hundredths where tenths would say nothing."""
    return f"{mm:.1f}" if mm >= 0.05 else f"{mm:.2f}"


def _notes(container: Container, best: SpacerSet | None = None, limits: Limits | None = None) -> tuple[str, ...]:
    notes = [container.doubt] if container.doubt else []
    if best and limits:
        smallest = container.body_mm - container.tolerance_mm
        loosest = round(best.slack_mm + container.widest_mm(limits.swell_percent) - smallest, 1)
        if loosest > limits.max_slack_mm:
            notes.append(f"the smallest of these leaves {loosest:g} mm play: test with the smallest you can find")
    if container.shape != "round":
        notes.append(f"{container.shape} body: measure across its widest point, corners included")
    return tuple(notes)
