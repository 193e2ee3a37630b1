"""What a run of labels printed, or would print, and how to say it on a screen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import radians, tan

from partsbin.printing.stock import LabelStock

_READING_ANGLE = 22 / 60  # degrees a capital fills in the eye for easy reading: ISO 9241-3 prefers 20 to 22 minutes


def reading_distance(cap_mm: float) -> float:
    """Metres from which capitals of ``cap_mm`` are read with ease, 22 minutes of arc high."""
    return cap_mm / 1000 / (2 * tan(radians(_READING_ANGLE / 2)))


@dataclass(frozen=True)
class LabelRun:
    """What was, or would be, printed: how many on how many sheets, from and up to which position.

    ``next_start`` is where the last sheet goes on (1: take a fresh one). ``cap_mm`` is the smallest height of any
    label's largest capitals. ``notes`` are things to know: a symbol without room, letters replaced; ``kinds`` counts
    each kind.
    """

    stock: LabelStock
    count: int
    pages: int
    start: int
    last: int
    next_start: int
    kinds: dict[str, int]
    cap_mm: float
    notes: tuple[str, ...] = ()

    def lines(self) -> list[str]:
        """The run in sentences: what and how many, on which sheets, from where to where, what to watch for."""
        what = ", ".join(f"{count} {kind}" for kind, count in self.kinds.items())
        labels = "label" if self.count == 1 else "labels"
        said = [f"{what} {labels} on {self.stock.name}: {self.stock.about}."]
        if self.stock.per_page == 1:
            said.append(f"{self.pages} off the roll.")
        else:
            sheets = f"{self.pages} sheet" + ("s" if self.pages != 1 else "")
            after = "the last sheet is full" if self.next_start == 1 else f"the last sheet goes on at {self.next_start}"
            said.append(f"{sheets} of {self.stock.per_page}, starting at position {self.start}; {after}.")
        if self.cap_mm:
            said.append(f"The largest words are read from {reading_distance(self.cap_mm):.1f} m.")
        return [*said, *self.notes]

    def sheet(self, skip: Iterable[int] = ()) -> list[str]:
        """The first sheet as rows of marks: ``#`` printed now, ``x`` used before, ``.`` still free; none for a roll."""
        if self.stock.per_page == 1:
            return []
        used = {*range(1, self.start), *skip}
        end = self.stock.per_page if self.pages > 1 else self.last
        marks = ["x" if place in used else "#" if place <= end else "." for place in range(1, self.stock.per_page + 1)]
        columns = self.stock.columns
        return [" ".join(marks[row : row + columns]) for row in range(0, len(marks), columns)]
