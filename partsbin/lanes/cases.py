"""Cases and loose units of a drink: one pool counted in each, with the opening of a case on record."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from partsbin.errors import Refused

MOST_EACH: Final = 10_000_000


@dataclass(frozen=True, slots=True)
class Pool:
    """Unopened cases and loose units of one lot: ``cases`` of ``per_case``, and ``loose`` each."""

    cases: int
    loose: int
    per_case: int

    def __post_init__(self) -> None:
        if self.per_case < 1:
            raise Refused(f"a case of {self.per_case} is no case; give the units per case, 1 or more")
        if self.cases < 0 or self.loose < 0:
            raise Refused(f"{self.cases} cases and {self.loose} loose cannot be: neither goes below zero")

    @property
    def each(self) -> int:
        """Everything in each."""
        return self.cases * self.per_case + self.loose

    def words(self) -> str:
        """``2 cs + 6``, as written on a sheet."""
        if not self.cases:
            return f"{self.loose}"
        return f"{self.cases} cs + {self.loose}" if self.loose else f"{self.cases} cs"

    def open_cases(self, count: int = 1) -> Pool:
        """Break ``count`` cases into loose units; nothing is lost and the lot stays the same."""
        if not 0 <= count <= self.cases:
            raise Refused(f"cannot open {count} of {self.cases} cases")
        return Pool(self.cases - count, self.loose + count * self.per_case, self.per_case)

    def take(self, each: int) -> Taken:
        """Take ``each`` units: whole cases first, then loose ones, opening a case only when the loose run out."""
        if not 0 <= each <= self.each:
            raise Refused(f"cannot take {each}: there are {self.words()} ({self.each} each)")
        whole = min(each // self.per_case, self.cases)
        odd = each - whole * self.per_case
        opened = max(0, -(-(odd - self.loose) // self.per_case))
        rest = Pool(self.cases - whole, self.loose, self.per_case).open_cases(opened)
        return Taken(Pool(whole, odd, self.per_case), Pool(rest.cases, rest.loose - odd, self.per_case), opened)


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken, what is left, and how many cases had to be opened for it."""

    taken: Pool
    left: Pool
    opened: int


def as_cases(each: int, per_case: int) -> Pool:
    """The most whole cases in ``each`` units and the rest loose; for ordering and loading, not for what lies there."""
    if each < 0 or per_case < 1:
        raise Refused(f"{each} each in cases of {per_case} cannot be worked out; give 0 or more, and 1 or more a case")
    return Pool(each // per_case, each % per_case, per_case)


_CASE_WORD = r"(?:cs|case|cases|ca|tray|trays)"
_LOOSE_WORD = r"(?:ea|each|loose|cans?|bottles?|units?|pcs?)?"
_PART = re.compile(
    rf"(?:(?P<half>half)(?:\s+an?)?\s*{_CASE_WORD}|(?P<cases>\d+(?:[.,]5)?)\s*{_CASE_WORD}|(?P<loose>\d+)\s*{_LOOSE_WORD})",
    re.IGNORECASE,
)


def read_cases(text: str, per_case: int) -> int:
    """Units meant by ``2 cs + 6``, ``3 cases``, ``half case`` or ``48``. Raises Refused on anything else.

    A half of an odd case is refused: nothing is rounded.
    """
    as_cases(0, per_case)
    total = Fraction(0)
    for part in re.split(r"\s*(?:\+|&|\band\b|\bplus\b)\s*", text.strip().lower()):
        match = _PART.fullmatch(part)
        if not match:
            raise Refused(f"cannot read {text!r} as a quantity; write it like 2 cs + 6, 3 cs, or 48")
        if match["loose"] is not None:
            total += int(match["loose"])
        else:
            cases = Fraction(1, 2) if match["half"] else Fraction(match["cases"].replace(",", "."))
            total += cases * per_case
    if total.denominator != 1:
        raise Refused(f"{text!r} is {float(total):g} units with {per_case} a case; give whole units")
    if total > MOST_EACH:
        raise Refused(f"{text!r} is {int(total)} units, more than any depot holds; check the figure")
    return int(total)
