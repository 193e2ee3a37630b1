"""Counting without closing: classes by value, the week's list, and how true the records are."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from zlib import crc32

import numpy as np
from numpy.typing import ArrayLike, NDArray

from partsbin.errors import Refused

COUNTS_A_YEAR: Mapping[str, float] = {"A": 12, "B": 4, "C": 1}
TOLERANCE: Mapping[str, float] = {"A": 0.01, "B": 0.03, "C": 0.05}


def classes_by_value(yearly_value: ArrayLike, a_share: float = 0.8, b_share: float = 0.95) -> NDArray[np.str_]:
    """A, B or C by cumulated yearly value (demand x cost), largest first.

    The item whose value carries the sum across a limit belongs to the better class (the crossing item is the last
    A, or the last B); ties keep the given order. Items without any value are C.
    """
    value = np.nan_to_num(np.asarray(yearly_value, dtype=np.float64))
    if (value < 0).any():
        raise Refused("Yearly values may not be negative.")
    if not 0 < a_share <= b_share <= 1:
        raise Refused("The A limit must be above 0, the B limit at least as high, and neither above 1.")
    order = np.argsort(-value, kind="stable")
    before = (np.cumsum(value[order]) - value[order]) / max(float(value.sum()), 1e-300)
    out = np.full(len(value), "C")
    out[order] = np.where(before < a_share - 1e-12, "A", np.where(before < b_share - 1e-12, "B", "C"))
    return np.where(value > 0, out, "C")


def counts_a_day(in_class: Mapping[str, int], a_year: Mapping[str, float] = COUNTS_A_YEAR, days: int = 250) -> float:
    """Counts to do each working day so that every class reaches its frequency."""
    if days <= 0:
        raise Refused("There must be at least one working day.")
    return sum(number * a_year[name] for name, number in in_class.items()) / days


@dataclass(frozen=True)
class CountRecord:
    """A place to count: class of the item, date of the last count, and what has happened there since.

    refused_negatives: postings refused because the file said too little was there. surprises: picks that found
    less than the file said.
    """

    part_number: str
    place: str
    value_class: str
    last_count: date | None
    refused_negatives: int = 0
    surprises: int = 0


@dataclass(frozen=True)
class CountLine:
    """A place on the list and why it is there; `lateness` 1 means just due. `caught`: the file was caught out there."""

    part_number: str
    place: str
    why: str
    lateness: float
    caught: bool = False


def count_list(
    records: Sequence[CountRecord],
    today: date,
    a_year: Mapping[str, float] = COUNTS_A_YEAR,
    most: int | None = None,
) -> list[CountLine]:
    """What to count this week, most pressing first.

    First the places where the file was caught out: refused negatives, then surprises. Then what is due: time
    since the last count, this week included, reaches the class's interval (365 / counts a year; never counted is
    due). To keep weeks level each class gives at most its quota, the latest first: places x counts a year / 52,
    rounded up, less what was counted since Monday; equals are drawn by lot. So the list of a week grows shorter as
    it is worked off, and counting it weekly reaches every class's frequency, from a cold start too.
    `most` cuts the list from the end.
    """
    monday = today - timedelta(days=today.weekday())
    triggered = [line for r in records if (line := _triggered(r, today, a_year))]
    named = {(line.part_number, line.place) for line in triggered}
    due: list[CountLine] = []
    for name in sorted({r.value_class for r in records}):
        mine = [r for r in records if r.value_class == name and (r.part_number, r.place) not in named]
        number = sum(r.value_class == name for r in records)
        counted = sum(r.value_class == name and r.last_count is not None and r.last_count >= monday for r in records)
        quota = max(math.ceil(number * _frequency(name, a_year) / 52) - counted, 0)
        late = [line for line in (_due(r, today, a_year) for r in mine) if line.lateness >= 1]
        due += sorted(late, key=lambda line: (-line.lateness, _lot(line, monday)))[:quota]
    due.sort(key=lambda line: -line.lateness)
    return [*sorted(triggered, key=lambda line: -line.lateness), *due][:most]


def _lot(line: CountLine, monday: date) -> int:
    """A draw among equals: the same all week, another one next week, so that nobody always waits."""
    return crc32(f"{line.part_number} {line.place} {monday.isoformat()}".encode())


def _frequency(name: str, a_year: Mapping[str, float]) -> float:
    if name not in a_year or a_year[name] <= 0:
        raise Refused(f"No count frequency is set for class {name}.")
    return a_year[name]


def _lateness(r: CountRecord, today: date, a_year: Mapping[str, float]) -> float:
    if r.last_count is None:
        return math.inf
    return ((today - r.last_count).days + 7) / (365 / _frequency(r.value_class, a_year))


def _triggered(r: CountRecord, today: date, a_year: Mapping[str, float]) -> CountLine | None:
    if not r.refused_negatives and not r.surprises:
        return None
    words = [
        f"{n} {what}"
        for n, what in ((r.refused_negatives, "posting refused below zero"), (r.surprises, "pick that found less"))
        if n
    ]
    press = 1000 * r.refused_negatives + r.surprises + min(_lateness(r, today, a_year), 0.999)
    return CountLine(r.part_number, r.place, " and ".join(words), press, caught=True)


def _due(r: CountRecord, today: date, a_year: Mapping[str, float]) -> CountLine:
    why = "never counted" if r.last_count is None else f"class {r.value_class}, last counted {r.last_count.isoformat()}"
    return CountLine(r.part_number, r.place, why, _lateness(r, today, a_year))


@dataclass(frozen=True)
class Accuracy:
    """Records within tolerance, records counted, and the plain sum of differences (never a measure of truth)."""

    hits: int
    counted: int
    netted: int

    @property
    def share(self) -> float:
        """Hits over records counted; 1 with nothing counted."""
        return self.hits / self.counted if self.counted else 1.0


def record_accuracy(counts: Sequence[tuple[str, int, int]], tolerance: Mapping[str, float] = TOLERANCE) -> Accuracy:
    """How many records were true: rows of (class, book quantity, counted quantity).

    A record is a hit when |counted - book| <= tolerance x book for its class (A 1 %, B 3 %, C 5 % unless told
    otherwise); a book quantity of 0 must be counted as 0. Plus and minus never cancel.
    """
    hits = netted = 0
    for name, book, found in counts:
        if name not in tolerance:
            raise Refused(f"No tolerance is set for class {name}.")
        hits += abs(found - book) <= tolerance[name] * book + 1e-9
        netted += found - book
    return Accuracy(hits, len(counts), netted)
