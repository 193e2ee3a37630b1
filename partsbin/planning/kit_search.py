"""The search behind van kits: starts, swaps, and for few parts proof by going through every kit that could be better.

A kit is worth the jobs it finishes whole, so one-part-at-a-time rules stall where jobs need combinations. Here a kit
is overfilled with whole jobs and trimmed again, unit by unit, least worth for its money and room first; a better one
is kept. A fixed seed makes every run give the same kit.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from partsbin.planning.distributions import FloatArray, IntArray
from partsbin.wanted import still_wanted

TINY = 1e-9
_SLACK = 1 + 1e-9
_WORK, _FEWEST, _MOST = 1e6, 40, 400  # entries of all jobs x rounds; rounds
_STALE = 120  # rounds without gain after which it is left at that
_MOST_KITS = 3e7  # kits in progress x jobs held at once by the proof


@dataclass
class Search:
    """Distinct jobs that fit the limits alone, with how often they come.

    need: jobs x parts, held also as its entries (job, part, units; by part), for a job takes few of the many parts.
    weight: one a job; limits: 2 x parts, money and room a unit takes as shares of what there is.
    """

    need: NDArray[np.int32]
    weight: FloatArray
    limits: FloatArray
    rng: np.random.Generator = field(default_factory=lambda: np.random.default_rng(7))

    def __post_init__(self) -> None:
        """List the entries."""
        part, job = np.nonzero(self.need.T)
        self.job, self.part, self.units = job, part, self.need[job, part]
        self.start = np.flatnonzero(np.append(True, part[1:] != part[:-1]))

    def best(self, start: IntArray) -> IntArray:
        """The best kit found; `start` is one that fits, such as the usual rule's."""
        trimmed = self.grow(self.trim(self.need.max(axis=0)))
        built = self.grow(np.zeros_like(trimmed))
        kit = max((trimmed, built, self.grow(start.astype(np.int32))), key=self.value)
        return self.proved(self.swapped(kit)).astype(np.int64)

    def covered(self, par: NDArray[np.int32]) -> NDArray[np.bool_]:
        """Which jobs the kit finishes."""
        lacking = self.job[self.units > par[self.part]]
        return np.asarray(np.bincount(lacking, minlength=len(self.need)) == 0)

    def value(self, par: NDArray[np.int32]) -> float:
        """How often a job comes that the kit finishes."""
        return float(self.weight[self.covered(par)].sum())

    def needed(self, jobs: NDArray[np.bool_]) -> NDArray[np.int32]:
        """The least kit that finishes these jobs."""
        par = np.zeros(self.need.shape[1], dtype=np.int32)
        par[self.part[self.start]] = np.maximum.reduceat(np.where(jobs[self.job], self.units, 0), self.start)
        return par

    def lacking(self, par: NDArray[np.int32]) -> FloatArray:
        """Money and room (jobs x 2) of what each job still needs."""
        more = np.maximum(self.units - par[self.part], 0)
        each = [np.bincount(self.job, more * limit[self.part], len(self.need)) for limit in self.limits]
        return np.column_stack(each)

    def trim(self, par: NDArray[np.int32], noise: float = 0.0) -> NDArray[np.int32]:
        """Give up units, least jobs for the money and room they free first, until the limits are kept."""
        kept = self.covered(par)
        par = self.needed(kept)
        while (over := self.limits @ par > _SLACK).any():
            price = over @ self.limits
            last = kept[self.job] & (self.units == par[self.part])
            loss = np.bincount(self.part[last], self.weight[self.job[last]], len(par))
            if noise:
                loss = loss * np.exp(noise * self.rng.standard_normal(len(loss)))
            open_ = (par > 0) & (price > 0)
            part = int(np.where(open_, loss / np.maximum(price, TINY), np.inf).argmin())
            kept[self.job[last & (self.part == part)]] = False
            par = self.needed(kept)
        return par

    def grow(self, par: NDArray[np.int32]) -> NDArray[np.int32]:
        """Whole jobs, most often for what they still lack first, until nothing more fits."""
        par = par.copy()
        while True:
            lack = self.lacking(par)
            fits = ~self.covered(par) & (lack <= _SLACK - self.limits @ par).all(axis=1)
            if not fits.any():
                return par
            worth = np.where(fits, self.weight / np.maximum(lack.sum(axis=1), TINY), -1.0)
            par = np.maximum(par, self.need[worth.argmax()])

    def swapped(self, best: NDArray[np.int32]) -> NDArray[np.int32]:
        """Overfill with a few jobs and trim, or give up a few and fill again; keep what is no worse."""
        rounds, stale, top = int(np.clip(_WORK / len(self.job), _FEWEST, _MOST)), 0, self.value(best)
        here, score = best, top
        for turn in range(rounds):
            still_wanted()
            trial = self._turn(here, turn)
            got = self.value(trial)
            stale = 0 if got > top + TINY else stale + 1
            if got >= score - TINY or (turn % 8 == 7 and got >= 0.97 * top):
                here, score = trial, got
            if got > top + TINY:
                best, top = trial, got
            if stale > _STALE:
                break
        return best

    def _turn(self, par: NDArray[np.int32], turn: int) -> NDArray[np.int32]:
        done = self.covered(par)
        if turn % 3 == 2 and done.any():
            stay = np.flatnonzero(done)
            done[self.rng.choice(stay, size=min(len(stay), 1 + turn % 4), replace=False)] = False
            return self.grow(self.needed(done))
        waiting = np.flatnonzero(~done)
        if not len(waiting):
            return par
        chance = self.weight[waiting] / np.maximum(self.lacking(par)[waiting].sum(axis=1), 1e-6)
        take = min(len(waiting), 1 + turn % 4)
        more = self.rng.choice(waiting, size=take, replace=False, p=chance / chance.sum())
        return self.grow(self.trim(np.maximum(par, self.need[more].max(axis=0)), noise=0.3))

    def proved(self, best: NDArray[np.int32]) -> NDArray[np.int32]:
        """The best kit of all, where the kits that could still be better stay few; else `best`.

        Part by part every quantity is tried; a kit in progress is dropped when the jobs it can still finish are
        worth no more than the best known, or when another finishes the same ones for less (branch and bound).
        """
        top = self.value(best)
        order = np.argsort(-(self.weight @ (self.need > 0)), kind="stable")
        alive, kits = np.ones((1, len(self.need)), dtype=bool), np.zeros((1, len(best)), dtype=np.int32)
        for nth, part in enumerate(order):
            still_wanted()
            steps = np.unique(np.append(self.need[:, part], 0))
            if len(kits) * len(steps) * len(self.need) > _MOST_KITS:
                return best
            alive = np.concatenate([alive & (self.need[:, part] <= step) for step in steps])
            kits = np.repeat(kits[None], len(steps), axis=0)
            kits[:, :, part] = steps[:, None]
            kits = kits.reshape(-1, len(best))
            rest = self.need[:, order[nth + 1 :]] @ self.limits[:, order[nth + 1 :]].T
            used = kits @ self.limits.T
            for limit in range(len(self.limits)):
                alive &= used[:, limit, None] + rest[:, limit] <= _SLACK
            alive, kits, used = _only(alive @ self.weight > top + TINY, alive, kits, used)
            alive, kits, used = _cheapest(alive, kits, used)
        return kits[int((alive @ self.weight).argmax())] if len(kits) else best


def _only(
    keep: NDArray[np.bool_] | IntArray, alive: NDArray[np.bool_], kits: NDArray[np.int32], used: FloatArray
) -> tuple[NDArray[np.bool_], NDArray[np.int32], FloatArray]:
    return alive[keep], kits[keep], used[keep]


def _cheapest(
    alive: NDArray[np.bool_], kits: NDArray[np.int32], used: FloatArray
) -> tuple[NDArray[np.bool_], NDArray[np.int32], FloatArray]:
    """Without kits that leave the same jobs open as one that takes no more money and no more room."""
    if len(kits) < 2:
        return alive, kits, used
    packed = np.ascontiguousarray(np.packbits(alive, axis=1))
    _, same = np.unique(packed.view([("", packed.dtype)] * packed.shape[1]).ravel(), return_inverse=True)
    order = np.lexsort((used[:, 1], used[:, 0], same.ravel()))
    group, room = same.ravel()[order], used[order, 1]
    first = np.append(True, group[1:] != group[:-1])
    worse = np.append(False, ~first[1:] & (room[1:] >= room[:-1]))
    return _only(order[~worse], alive, kits, used)
