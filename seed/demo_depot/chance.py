"""Chance that comes out the same on every machine and every Python: built on ``Random.random`` alone."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from math import exp
from random import Random
from typing import TypeVar

Thing = TypeVar("Thing")


def settled(text: str) -> float:
    """Return a figure in 0..1 that belongs to ``text``: one item's figures stay when others come or go."""
    return zlib.crc32(text.encode()) / 2**32


class Chance:
    """A seeded source of draws. Only ``Random.random`` is used: Python promises its sequence, not that of the rest."""

    def __init__(self, seed: int) -> None:
        self._random = Random(seed)

    def share(self) -> float:
        """Return a figure in 0..1, 1 left out."""
        return self._random.random()

    def happens(self, probability: float) -> bool:
        """Return True with this probability."""
        return self.share() < probability

    def whole(self, least: int, most: int) -> int:
        """Return a whole number from ``least`` to ``most``, both included."""
        return least + int(self.share() * (most - least + 1))

    def one(self, things: Sequence[Thing]) -> Thing:
        """Return one of the things, each as likely as the others."""
        return things[int(self.share() * len(things))]

    def weighted(self, things: Sequence[Thing], weights: Sequence[float]) -> Thing:
        """Return one of the things, as likely as its weight says."""
        mark = self.share() * sum(weights)
        for thing, weight in zip(things, weights, strict=True):
            mark -= weight
            if mark < 0:
                return thing
        return things[-1]

    def count(self, mean: float) -> int:
        """Return a Poisson count (Knuth's product of uniforms; meant for means below about 30)."""
        limit, product, events = exp(-mean), self.share(), 0
        while product > limit:
            product *= self.share()
            events += 1
        return events

    def spread(self, mean: float, deviation: float) -> float:
        """Return a figure around ``mean``: the sum of twelve uniforms is near enough to a normal one."""
        return mean + deviation * (sum(self.share() for _ in range(12)) - 6.0)
