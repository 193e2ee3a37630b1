"""The lane chart after a change of product: what the lanes then carry, ready to be written back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from partsbin.errors import Refused
from partsbin.lanes.chart import Lane
from partsbin.lanes.kits import LaneKit


def changed_lanes(lanes: Sequence[Lane], kit: LaneKit, part_number: str, today: date) -> list[Lane]:
    """The lanes once ``kit`` is in and they sell ``part_number``: emptied, with new parts, capacity and date.

    ``lanes`` are those the kit was worked out for, pairs next to each other, the left lane of a pair first.
    """
    if len(lanes) != kit.lanes:
        raise Refused(f"the kit is for {kit.lanes} lanes, {len(lanes)} were given; pick the lanes again")
    sizes = [answer.capacity for answer in kit.fits]
    return [
        replace(
            lane,
            part_number=part_number,
            container=kit.container.code,
            fitted=tuple(sorted(kit.per_lane[place % len(sizes)].items())),
            capacity=sizes[place % len(sizes)],
            count=0,
            changed_on=today,
        )
        for place, lane in enumerate(lanes)
    ]
