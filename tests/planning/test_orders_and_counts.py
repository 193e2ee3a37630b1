"""Supplier orders, rhythm, quantities, count plan, depot pool, and the lazy front door."""

from __future__ import annotations

import math
import subprocess
import sys
from datetime import date, timedelta

import numpy as np
import pytest

from partsbin.errors import Refused
from partsbin.planning import classify, forecast_by_class, round_to_pack
from partsbin.planning.classes import dead, falling
from partsbin.planning.counts import CountRecord, classes_by_value, count_list, record_accuracy
from partsbin.planning.forecast import croston, netted
from partsbin.planning.orders import Line, fill_supplier_order, next_order_day
from partsbin.planning.quantity import within_shelf_life


def line(name, position, **more):
    given = {"reorder_point": 2, "order_up_to": 6, "pack": 1, "unit_cost": 1000.0, "weekly_demand": 1.0, **more}
    return Line(name, position, **given)


def test_nothing_due_means_no_order_whatever_the_minimum():
    order = fill_supplier_order([line("A", 5), line("B", 3)], 50_000)
    assert order.lines == ()


def test_the_minimum_is_filled_with_what_is_needed_soonest_and_never_with_dead_goods():
    items = [
        line("due", 1),
        line("dead", 4, weekly_demand=0.0),
        line("slow", 4, weekly_demand=0.01),
        line("brisk", 9, weekly_demand=3.0),
    ]
    order = fill_supplier_order(items, 12_000)
    bought = {x.part_number: x for x in order.lines}
    assert order.value >= 12_000
    assert set(bought) == {"due", "brisk"}
    assert bought["due"].why == "at reorder point"
    assert bought["brisk"].why == "to reach the minimum"


def test_a_minimum_out_of_reach_is_not_padded():
    order = fill_supplier_order([line("A", 1, most=6)], 99_000)
    assert order.value == 5000


def test_items_moved_together_come_together():
    order = fill_supplier_order([line("lid", 1, together="case"), line("box", 5, together="case"), line("x", 5)])
    assert [(x.part_number, x.why) for x in order.lines] == [("lid", "at reorder point"), ("box", "moved together")]


def test_packs_minimum_and_ceiling_hold():
    order = fill_supplier_order([line("A", 1, pack=4, minimum=10), line("B", 1, pack=4, most=6)])
    assert [x.quantity for x in order.lines] == [12, 4]


def test_an_order_of_exactly_the_minimum_meets_it():
    order = fill_supplier_order([line("A", 1)], 5_000)
    assert order.value == 5_000


def test_what_is_taken_along_comes_in_its_own_minimum_and_packs_and_stops_at_the_value():
    order = fill_supplier_order(
        [line("due", 1), line("x", 7, order_up_to=7, pack=4, minimum=10, weekly_demand=2)], 6_000
    )
    assert [(x.part_number, x.quantity) for x in order.lines] == [("due", 5), ("x", 12)]
    order = fill_supplier_order([line("due", 1), line("x", 7, order_up_to=7)], 6_000)
    assert [(x.part_number, x.quantity) for x in order.lines] == [("due", 6)], "due has the least cover, one more does"


def test_a_due_line_keeps_its_reason_when_it_may_also_go_along():
    order = fill_supplier_order([line("due", 1, may_order=5), line("soon", 5, may_order=5, order_up_to=9)], 6_000)
    assert [(x.part_number, x.quantity, x.why) for x in order.lines] == [
        ("due", 5, "at reorder point"),
        ("soon", 4, "soon needed"),
    ]


def test_what_stands_at_its_level_is_not_ordered_though_a_minimum_is_asked():
    assert fill_supplier_order([line("A", 6, reorder_point=6, minimum=10)]).lines == ()


def test_broken_set_points_are_refused():
    with pytest.raises(Refused, match="A: pack"):
        fill_supplier_order([line("A", 1, order_up_to=1)])


def test_order_days():
    wednesday = date(2026, 3, 4)
    assert next_order_day(wednesday, [0, 3]) == date(2026, 3, 5)
    assert next_order_day(wednesday, [2]) == wednesday
    with pytest.raises(Refused):
        next_order_day(wednesday, [])


def test_round_to_pack():
    assert round_to_pack([0, 1, 12, 13], 12, 0).tolist() == [0, 12, 12, 24]
    assert int(round_to_pack(5, 4, 10)) == 12
    assert int(round_to_pack(-3, 4, 10)) == 0
    with pytest.raises(Refused):
        round_to_pack(1, 0)


def test_shelf_life_rounds_down():
    assert within_shelf_life([40, 40, 40], 3.0, [8, np.nan, 2], 2, 6).tolist() == [18, 40, 0]


def test_crossing_item_belongs_to_the_better_class():
    assert classes_by_value([70, 20, 6, 4, 0]).tolist() == ["A", "A", "B", "C", "C"]
    assert classes_by_value([]).tolist() == []


def test_weekly_lists_reach_every_frequency_from_a_cold_start():
    start = date(2026, 1, 5)
    last = (
        {("A", i): None for i in range(30)} | {("B", i): None for i in range(60)} | {("C", i): None for i in range(110)}
    )
    done = dict.fromkeys(last, 0)
    for week in range(3 * 52):
        today = start + timedelta(weeks=week)
        records = [CountRecord(f"{c}{i}", "A010101", c, when) for (c, i), when in last.items()]
        for found in count_list(records, today):
            key = (found.part_number[0], int(found.part_number[1:]))
            last[key], done[key] = today, done[key] + 1
    for name, a_year in (("A", 12), ("B", 4), ("C", 1)):
        each = [n for (c, _), n in done.items() if c == name]
        assert min(each) >= 3 * a_year - 2
        assert max(each) <= 3 * a_year * 1.25 + 1


def test_the_list_of_a_week_grows_shorter_as_it_is_counted():
    monday = date(2026, 1, 5)
    records = {n: CountRecord(f"P{n}", "A010101", "A", None) for n in range(26)}
    asked = [line.part_number for line in count_list(list(records.values()), monday)]
    assert len(asked) == 6  # 26 places, 12 counts a year, 52 weeks
    first = int(asked[0][1:])
    records[first] = CountRecord(asked[0], "A010101", "A", monday)
    left = count_list(list(records.values()), monday + timedelta(days=1))
    assert [line.part_number for line in left] == asked[1:]


def test_what_caught_the_file_out_is_counted_first():
    today = date(2026, 5, 4)
    fresh = today - timedelta(days=2)
    records = [
        CountRecord("late", "b", "A", None),
        CountRecord("odd", "b", "C", fresh, surprises=2),
        CountRecord("below", "b", "C", fresh, refused_negatives=1),
        CountRecord("fine", "b", "C", fresh),
    ]
    got = count_list(records, today)
    assert [x.part_number for x in got] == ["below", "odd", "late"]
    assert "refused below zero" in got[0].why
    assert count_list(records, today, most=1) == got[:1]


def test_accuracy_never_nets():
    seen = record_accuracy([("A", 100, 99), ("A", 100, 102), ("C", 0, 0), ("C", 0, 1)])
    assert (seen.hits, seen.counted, seen.netted, seen.share) == (2, 4, 2, 0.5)
    assert math.isclose(record_accuracy([]).share, 1)


def test_kinds_of_demand():
    rows = [[2, 2, 3, 2] * 6, [1, 20, 1, 2] * 6, [0, 0, 3, 0] * 6, [0, 0, 1, 0, 0, 0, 0, 30] * 3, [0] * 24]
    assert [classify(r).name[0] for r in rows] == ["smooth", "erratic", "intermittent", "lumpy", "none"]
    assert [str(forecast_by_class(r)[1][0]) for r in rows] == ["Croston", "SBA", "SBA", "SBA", "none"]


def test_dead_new_and_falling():
    rows = np.array([[1] * 20 + [0] * 60, [np.nan] * 75 + [0] * 5, [1, 1, 0, 0] * 16 + [0] * 16])
    assert dead(rows).tolist() == [True, False, False]
    assert falling(rows).tolist() == [False, False, True]


def test_unknown_periods_do_not_lengthen_an_interval():
    assert croston([0, 0, 3, 0, 0, 3]).interval[0] == croston([0, np.nan, 0, 3, 0, np.nan, 0, 3]).interval[0]


def test_returns_are_set_against_the_use_before_them():
    assert netted(np.array([[5.0, 0, -2, 1]])).tolist() == [[3, 0, 0, 1]]
    assert netted(np.array([[-4.0, 2, -1]])).tolist() == [[0, 1, 0]]


def test_the_front_door_loads_nothing_until_asked():
    code = "import sys, partsbin.planning; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_planning_needs_no_scipy():
    code = "import sys, partsbin.planning as p; p.order_up_to([[1,0,2]],1,1,.9); sys.exit('scipy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
