from __future__ import annotations

import pytest

from partsbin.errors import Refused
from partsbin.lanes.chart import Lane, Machine, fitted_parts, shelves
from partsbin.lanes.refill import refill, van_load

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


def test_van_carries_cases_and_loose_and_packs_the_last_stop_first() -> None:
    stops = [refill(SECOND, [lane("10", count=0), lane("11", "LEMON", count=6)], {})]
    stops.append(refill(FIRST, [lane(str(n), count=0, position=n) for n in range(1, 4)], {}))
    load = van_load(stops, {"COLA": 24})
    assert [stop.machine.asset for stop in load.stops] == ["A0431", "A0417"]
    assert [stop.machine.asset for stop in load.packing] == ["A0417", "A0431"]
    assert [(d.part_number, d.need, d.load.words()) for d in load.drinks] == [
        ("COLA", 32, "1 cs + 8"),
        ("LEMON", 2, "2 cs"),
    ]


def test_chart_is_drawn_by_shelf_and_refuses_two_lanes_in_one_spot() -> None:
    lanes = [lane("11", position=2), lane("10"), Lane("A0417", "20", 2, 1, "B40-74")]
    assert [[x.lane for x in row] for row in shelves(lanes)] == [["10", "11"], ["20"]]
    assert fitted_parts(lanes) == {"SP6LH": 2}
    with pytest.raises(Refused, match="both shelf 1 position 1"):
        shelves([lane("10"), lane("12")])
    with pytest.raises(Refused, match="count it again"):
        lane("10", count=9)
