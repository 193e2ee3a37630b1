"""Cases and loose units of a drink: one pool counted in each, with the opening of a case on record."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.errors import Refused


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


def as_cases(each: int, per_case: int) -> Pool:
    """The most whole cases in ``each`` units and the rest loose; for ordering and loading, not for what lies there."""
    if each < 0 or per_case < 1:
        raise Refused(f"{each} each in cases of {per_case} cannot be worked out; give 0 or more, and 1 or more a case")
    return Pool(each // per_case, each % per_case, per_case)
