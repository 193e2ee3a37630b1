from __future__ import annotations

import pytest

from partsbin.errors import Refused
from partsbin.lanes.chart import Lane, Machine, fitted_parts
from partsbin.lanes.refill import needed, packing, refill

FIRST = Machine("A0431", "Cascade 54", round_name="North", stop=1)
SECOND = Machine("A0417", "Borealis 40", round_name="North", stop=2)


def lane(number: str, part: str = "COLA", *, count: int | None = None, selection: str = "", position: int = 1) -> Lane:
    return Lane("A0417", number, 1, position, "B40-74", selection, part, "CAN355", (("SP6LH", 1),), 8, count)


def test_sales_become_refill_up_to_capacity() -> None:
    stop = refill(SECOND, [lane("10"), lane("11", count=5)], {"10": 3, "11": 2})
    assert [(row.lane, row.before, row.add) for row in stop.lanes] == [("10", 5, 3), ("11", 3, 5)]
    assert stop.notes == ()


def test_more_sold_than_the_lane_held_is_noted_and_never_negative() -> None:
    stop = refill(SECOND, [lane("10", count=2)], {"10": 5, "99": 1})
    assert [(row.before, row.add) for row in stop.lanes] == [(0, 8)]
    assert "sold 3 more" in stop.notes[0]
    assert "99" in stop.notes[1]
    with pytest.raises(Refused, match="cannot be"):
        refill(SECOND, [lane("10")], {"10": -1})


def test_coupled_lanes_share_their_sales() -> None:
    pair = [lane("1", selection="1"), lane("2", selection="1", position=2)]
    assert [row.add for row in refill(SECOND, pair, {"1": 5}).lanes] == [3, 2]


def test_drinks_add_up_and_the_last_stop_is_packed_first() -> None:
    stops = [refill(SECOND, [lane("10", count=0), lane("11", "LEMON", count=6)], {})]
    stops.append(refill(FIRST, [lane(str(n), count=0, position=n) for n in range(1, 4)], {}))
    assert [stop.machine.asset for stop in packing(stops)] == ["A0417", "A0431"]
    assert needed(stops) == {"COLA": 32, "LEMON": 2}


def test_parts_of_several_lanes_add_up_and_a_count_over_capacity_is_refused() -> None:
    assert fitted_parts([lane("11", position=2), lane("10")]) == {"SP6LH": 2}
    with pytest.raises(Refused, match="count it again"):
        lane("10", count=9)
