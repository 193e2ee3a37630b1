"""A rhythm of the year, month or week that the items share, taken out before learning and put back for what comes.

One rhythm for all items: a slow mover alone is far too noisy to show one. The log of the depot's use a period is
fitted by a straight line and the first harmonics of each calendar length (harmonic regression, Shumway & Stoffer,
Time Series Analysis and Its Applications, ch. 2). A rhythm counts only when chance would hardly bring it about and
it foretold the last part of the history from the part before.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partsbin.planning.distributions import FloatArray

LENGTHS = (4, 7, 12, 13, 52)  # quarters, days of a week, months, four-week periods, weeks
_CHANCE = 0.001  # odds of taking noise for a rhythm, shared out over the lengths
_FORETOLD = 0.7  # most of the scatter of the last part that may stay when the rhythm is known
_MOST_ITEMS = 10_000  # more of them show a shared rhythm no clearer
_MOST_SWING = np.log(8.0)


@dataclass(frozen=True)
class Season:
    """Period in which the rhythm comes back (0: none), and its harmonics as log factors."""

    length: int = 0
    waves: FloatArray | None = None

    def factors(self, periods: FloatArray) -> FloatArray:
        """Use in the given periods (counted from the oldest known as 0) over what is usual."""
        if self.waves is None:
            return np.ones(len(periods))
        swing = np.clip(_harmonics(periods, self.length) @ self.waves, -_MOST_SWING, _MOST_SWING)
        return np.asarray(np.exp(swing))

    def without(self, history: FloatArray) -> FloatArray:
        """The history as it would have been without the rhythm; `history` itself when there is none."""
        if self.waves is None:
            return history
        return np.asarray(history / self.factors(np.arange(history.shape[1], dtype=np.float64)))

    def coming(self, start: int, periods: FloatArray) -> FloatArray:
        """Per item: mean factor over its next `periods` periods from `start` on."""
        if self.waves is None:
            return np.ones(len(periods))
        most = int(np.ceil(periods.max(initial=1)))
        mean = np.cumsum(self.factors(start + np.arange(most, dtype=np.float64))) / np.arange(1, most + 1)
        return np.asarray(np.interp(periods, np.arange(1, most + 1), mean))


def find_season(history: FloatArray) -> Season:
    """The rhythm the items share; history items x periods, NaN unknown, netted."""
    level = _pooled(history[:: max(1, len(history) // _MOST_ITEMS)])
    periods = len(level)
    found = [(_chance(level, s), s) for s in LENGTHS if 2 * s <= periods and periods >= 2 * _wave_count(s) + 6]
    chance, length = min(found, default=(1.0, 0))
    if not length or chance > _CHANCE / len(LENGTHS) or not _foretold(level, length):
        return Season()
    t = np.arange(periods, dtype=np.float64)
    waves, left, swing = _fit(t, level, length)
    # Waves found in noise are larger than they are: drawn back by what noise alone would have given them.
    kept = max(0.0, 1 - 2 * _wave_count(length) * left / max(periods - 2 - len(waves), 1) / max(swing, 1e-12))
    return Season(length, waves * kept)


def _pooled(history: FloatArray) -> FloatArray:
    """Log of the depot's use a period against what these items use on average; large items count, but less."""
    known = ~np.isnan(history)
    seen, x = known.sum(axis=1), np.where(known, history, 0.0)
    mean = x.sum(axis=1) / np.maximum(seen, 1)
    root = 1 / np.sqrt(np.maximum(mean, 1e-9))
    usual = (mean * root) @ known
    share = (root @ x) / np.maximum(usual, 1e-9)
    share = np.where(usual > 0, share, 1.0)
    return np.asarray(np.log(np.maximum(share, 0.02)))


def _wave_count(length: int) -> int:
    return length // 2 if length <= 7 else 2


def _harmonics(t: FloatArray, length: int) -> FloatArray:
    """Cosines and sines, one pair a wave; the sine of a wave of two periods is nothing and left out."""
    columns = []
    for wave in range(1, _wave_count(length) + 1):
        angle = 2 * np.pi * wave * t / length
        columns += [np.cos(angle)] if 2 * wave == length else [np.cos(angle), np.sin(angle)]
    return np.column_stack(columns)


def _fit(t: FloatArray, level: FloatArray, length: int) -> tuple[FloatArray, float, float]:
    """Waves, squares left over, squares the waves explain beyond the straight line."""
    line = np.column_stack([np.ones(len(t)), t])
    whole = np.column_stack([line, _harmonics(t, length)])
    plain = level - line @ np.linalg.lstsq(line, level, rcond=None)[0]
    weights = np.linalg.lstsq(whole, level, rcond=None)[0]
    left = float(np.square(level - whole @ weights).sum())
    return weights[2:], left, float(plain @ plain) - left


def _chance(level: FloatArray, length: int) -> float:
    """Odds that noise alone would be explained as well (exact for pairs of waves in white noise)."""
    t = np.arange(len(level), dtype=np.float64)
    waves, left, swing = _fit(t, level, length)
    if left + swing <= 1e-12:
        return 1.0
    freedom = len(level) - 2 - len(waves)
    # F with an even first degree has a closed tail; the number of waves is rounded up to pairs.
    pairs, share = (len(waves) + 1) // 2, min(max(left / (left + swing), 0.0), 1.0)
    term, total = 1.0, 0.0
    for j in range(pairs):
        total += term
        term *= (freedom / 2 + j) / (j + 1) * (1 - share)
    return float(share ** (freedom / 2) * total)


def _foretold(level: FloatArray, length: int) -> bool:
    """Whether waves fitted to the earlier part follow the last cycle (the last half, with two cycles)."""
    t = np.arange(len(level), dtype=np.float64)
    cut = max(len(level) - length, length)
    waves, _, _ = _fit(t[:cut], level[:cut], length)
    came, told = level[cut:], _harmonics(t[cut:], length) @ waves
    none = came - came.mean()
    miss = came - told - (came - told).mean()
    return float(miss @ miss) < _FORETOLD * float(none @ none)
