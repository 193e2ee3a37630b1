"""Counts of cases and of singles beside them: "3 cases mild, 2 strong", "1 case + 6 loose"."""

from __future__ import annotations

from partsbin.requests.countables import PACK_SIZES
from partsbin.requests.drafts import Draft
from partsbin.requests.packs import PACKED
from partsbin.requests.segment import Segment
from partsbin.requests.token import Token

PACKS = frozenset(PACKED.values())
_SINGLES = frozenset(("loose", "single", "singles"))


def counts_cases(last: Draft | None, segment: Segment) -> bool:
    """Whether a count is one of cases: "3 cases mild, 2 strong"."""
    counted = segment.quantity
    return counted is not None and (
        counted.unit in PACKS or (last is not None and last.unit in PACKS and counted.unit == "each")
    )


def takes_loose(last: Draft | None, segment: Segment) -> bool:
    """Take "+ 6 loose" behind cases as singles beside them; whether it was that."""
    if last is None or segment.quantity is None or last.unit not in PACKS:
        return False
    if _SINGLES.isdisjoint(segment.said.split()):
        return False
    last.loose = int(segment.quantity.count)
    return True


def tells_the_pack(last: Draft, counted: Token) -> bool:
    """For "24 x 500 water, 6 cases": cases are counted, and the first figure tells what is in one."""
    packed = counted.unit == "case" or (counted.unit in PACKS and last.quantity in PACK_SIZES)
    return packed and last.unit == "each"
