"""Lane questions and lane kits on a depot: stocked answers, only the difference moves, stock is conserved."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_lines
from partsbin.depot.machines import lanes_of
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.desk.lane_answers import answers
from partsbin.desk.lane_editing import add_row, cases_words, change_cell, texts_of
from partsbin.desk.lane_kits import finish, hand_out, plan_change, write_kit_slip
from partsbin.desk.lane_limits import limits_words, read_limits, set_limits
from partsbin.desk.lane_questions import asked
from partsbin.errors import Refused
from partsbin.lanes.containers import Kind
from partsbin.lanes.fit import Verdict
from partsbin.lanes.questions import may_be_lane_question
from tests.desk.lane_depot import build


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.open(build(tmp_path)) as opened:
        yield opened


def on_books(depot: Depot) -> dict[str, int]:
    """Everything physical, by part number."""
    rows = depot.all(
        "SELECT i.part_number, sum(s.quantity) FROM stock s JOIN items i ON i.id = s.item_id "
        "JOIN places p ON p.id = s.place_id WHERE p.physical = 1 GROUP BY 1"
    )
    return {row[0]: row[1] for row in rows}


def test_a_slim_can_in_a_74_lane_takes_one_left_15_that_is_on_the_shelf(depot: Depot) -> None:
    (answer,) = answers(depot, "250 slim", "74")
    best = answer.fit.sets[0]
    assert best.items == (("SP15-L", 1),)
    assert answer.part("SP15-L").places == (("A-01-01-1", 6),)
    assert answer.fit.capacity == 7
    assert answer.kit is not None
    assert {x.part_number for x in answer.kit.take} == {"SP15-L", "CLIP-C-L"}


def told(depot: Depot, question: str) -> str:
    found = asked(depot, question)
    assert found is not None
    return found.words()


def test_what_does_not_fit_says_by_how_much(depot: Depot) -> None:
    (answer,) = answers(depot, "BIG", "M1 10")
    assert answer.fit.verdict is Verdict.NO_FIT
    assert "5.1 mm too wide" in answer.fit.sentence()
    assert answer.kit is None


@pytest.mark.parametrize(
    ("container", "lane", "says"),
    [
        ("SLM25", "T74", "Nearest: .*SLM250"),
        ("250 slim", "T7", "Nearest: T74"),
        ("any drink", "T74", "No container is called"),
    ],
)
def test_unknown_words_offer_the_nearest_three(depot: Depot, container: str, lane: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        answers(depot, container, lane)


def test_a_question_in_words_is_answered_and_a_parts_request_is_not(depot: Depot) -> None:
    words = told(depot, "what spacers for the 250 slim in a 74 lane")
    assert "SP15-L LEFT" in words
    assert "Unconfirmed" in words
    assert "5.1 mm too wide" in told(depot, "does the 591 ml bottle fit a 74 lane")
    assert asked(depot, "two 6 mm left spacers for lane 14") is None
    assert not may_be_lane_question("24 volt motor, left")


def test_lanes_of_a_machine_are_answered_with_what_differs_from_now(depot: Depot) -> None:
    words = told(depot, "change M1 lane 12 to 355 can")
    assert "Kit for M1 lane 12, set up for SLM250 now, holding 7:" in words
    assert "comes back: 1 x SP15-L LEFT" in words
    assert "M1 has no lane 99; its lanes: 10, 11" in told(depot, "spacers for the 250 slim in lanes 12, 99 of M1")
    (pair,) = answers(depot, "250 slim", "M2 1B")
    assert pair.kit is not None
    assert ([row.lane for row in pair.rows], pair.kit.lanes) == (["1A", "1B"], 2)


@pytest.mark.parametrize(
    ("text", "container"),
    [
        ("lane 12 on M1 vends two", "SLM250"),
        ("bottle sticks in M1 lane 20", "PET500W"),
        ("energy sticks in lane 12 of M1", "SLM250"),
        ("what spacers for 990-7 in a 80 lane", "PET591"),
    ],
)
def test_a_drink_is_known_by_its_name_or_by_its_lane(depot: Depot, text: str, container: str) -> None:
    with depot.write():
        depot.run("UPDATE items SET part_number = '990-7', part_key = '9907' WHERE part_number = 'BIG'")
    found = asked(depot, text)
    assert found is not None
    assert found.ask == ()
    assert {answer.fit.container.code for answer in found.answers} == {container}


def test_what_is_right_in_a_lane_is_said_so(depot: Depot) -> None:
    words = told(depot, "lane 12 on M1 vends two")
    assert words.startswith("Try first: Two containers sitting in one turn of the coil?")
    assert words.index("nothing needed: what is on record there suits it") < words.index("1. 1 x 15 mm left")


def test_which_lanes_will_do_comes_best_first(depot: Depot) -> None:
    found = asked(depot, "which lanes take the 500 water")
    assert found is not None
    assert found.brief
    assert [(a.fit.lane_type.code, a.fit.verdict) for a in found.answers] == [
        ("U80", Verdict.FITS),
        ("T80", Verdict.FITS),
        ("T74", Verdict.NO_FIT),
    ]
    assert [a.fit.lane_type.code for a in answers(depot, "500 water", "")] == ["U80", "T80", "T74"]
    with depot.write():
        depot.run("UPDATE containers SET body_mm = 90 WHERE code = 'PET500W'")
    assert "wider than any lane takes, 17.38 mm too wide even for T80" in told(depot, "where does the 500 water fit")


def test_a_family_and_a_lane_number_are_enough(depot: Depot) -> None:
    found = asked(depot, "shims for 500 water in lane 20 of the teal")
    assert found is not None
    assert [answer.fit.lane_type.code for answer in found.answers] == ["T80"]


def test_a_kit_goes_out_comes_back_and_only_the_difference_moves(depot: Depot, tmp_path: Path) -> None:
    desk, van = the_operator(depot), the_place(depot, "VAN1")
    before = on_books(depot)
    change = plan_change(depot, "M1", ["10", "11"], "SLIM", van)
    assert [(x.part_number, x.quantity) for x in change.kit.take] == [("SP15-L", 2)]
    assert not change.kit.back
    done = hand_out(depot, desk, change, van)
    assert [(x.part_number, x.target, x.quantity) for x in slip_lines(depot, done.slip)] == [("SP15-L", "VAN1", 2)]
    assert on_books(depot) == before
    write_kit_slip(depot, change, done.slip, tmp_path / "kit.pdf", "DESK")
    assert (tmp_path / "kit.pdf").read_bytes().startswith(b"%PDF")
    finished = finish(depot, desk, plan_change(depot, "M1", ["10", "11"], "SLIM", van), van)
    assert finished.back is None
    assert on_books(depot) == before | {"SP15-L": 4}
    lane = lanes_of(depot, "M1")[0]
    assert (lane.part_number, lane.container, lane.capacity, lane.count) == ("SLIM", "SLM250", 7, 0)
    assert dict(lane.fitted) == {"SP15-L": 1, "CLIP-C-L": 1}
    back = plan_change(depot, "M1", ["10", "11"], "COLA", van)
    assert not back.kit.take
    assert [(x.part_number, x.quantity) for x in back.kit.back] == [("SP15-L", 2)]
    returned = finish(depot, desk, back, van)
    assert [(x.source, x.target) for x in slip_lines(depot, returned.back)] == [("JOB", "A-01-01-1")]
    assert on_books(depot) == before
    assert differences(depot) == []


def test_one_lane_of_a_pair_brings_its_partner_in_both_hands(depot: Depot) -> None:
    change = plan_change(depot, "M2", ["1B"], "SLIM")
    assert [lane.lane for lane in change.lanes] == ["1A", "1B"]
    hands = {x.part_number[-1] for x in change.kit.take}
    assert hands == {"L", "R"}


@pytest.mark.parametrize(
    ("lanes", "part", "says"),
    [
        (["99"], "SLIM", "has no lane 99. Its lanes: 10, 11"),
        (["10", "20"], "SLIM", "one type at a time: 10 is T74, 20 is T80"),
        (["10"], "BIG", "too wide"),
        (["10"], "SP6-L", "names no container"),
        ([], "SLIM", "no lane was named"),
    ],
)
def test_a_change_that_cannot_be_is_refused_in_words(depot: Depot, lanes: list[str], part: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        plan_change(depot, "M1", lanes, part)


def test_parts_that_are_not_on_the_van_leave_the_chart_as_it_was(depot: Depot) -> None:
    van, before = the_place(depot, "VAN2"), lanes_of(depot, "M1")
    with pytest.raises(Refused, match="VAN2 holds 0 SP15-L"):
        finish(depot, the_operator(depot), plan_change(depot, "M1", ["10"], "SLIM", van), van)
    assert lanes_of(depot, "M1") == before


def test_a_lane_with_two_hands_of_nothing_in_stock_says_what_is_lacking(depot: Depot) -> None:
    with depot.write():
        depot.run("UPDATE items SET retired = 1 WHERE part_number LIKE 'SP%'")
    (answer,) = answers(depot, "SLM250", "U80")
    assert answer.fit.verdict is Verdict.NO_FIT
    assert "no listed spacers make that" in answer.fit.sentence()


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from(["10", "11", "12"]), st.sampled_from(["COLA", "SLIM"])), max_size=5))
def test_whatever_is_changed_stock_and_lanes_together_stay_the_same(depot: Depot, steps: list[tuple[str, str]]) -> None:
    def whole() -> dict[str, int]:
        total = on_books(depot)
        for lane in lanes_of(depot, "M1"):
            for part, quantity in lane.fitted:
                total[part] = total.get(part, 0) + quantity
        return {part: quantity for part, quantity in total.items() if quantity}

    before = whole()
    for lane, drink in steps:
        finish(depot, the_operator(depot), plan_change(depot, "M1", [lane], drink))
    assert whole() == before
    assert differences(depot) == []


def test_a_question_about_several_lanes_has_the_kit_for_all_of_them(depot: Depot) -> None:
    found = asked(depot, "swap 3 lanes T74 from cola 355 to 250 slim")
    assert found is not None
    kits = [answer.kit for answer in found.answers if answer.kit]
    assert [(kit.lanes, {x.part_number: x.quantity for x in kit.take}) for kit in kits] == [
        (3, {"SP15-L": 3, "CLIP-C-L": 3})
    ]


def test_clearances_are_the_leads_to_change_and_the_answer_follows(depot: Depot) -> None:
    rena = the_operator(depot)
    (before,) = answers(depot, "COLA", "T74")
    assert before.fit.best is not None and before.fit.best.count == 0
    set_limits(depot, rena, Kind.CAN, "max-slack 5, target-slack 4")
    (after,) = answers(depot, "COLA", "T74")
    assert after.fit.best is None or after.fit.best.slack_mm <= 5
    assert limits_words(read_limits(depot.setting("lane_limits:can"), Kind.CAN)).startswith("min-slack 4 max-slack 5")
    (bottle,) = answers(depot, "WATER", "T80")
    assert bottle.fit.best is not None  # bottles keep theirs
    set_limits(depot, rena, Kind.CAN, "")
    assert answers(depot, "COLA", "T74")[0].fit.sentence() == before.fit.sentence()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("min-slack", "names and figures in turn"),
        ("gap 4", "no clearance; there are min-slack, max-slack"),
        ("min-slack wide", "give 0 to 500 mm"),
        ("min-slack nan", "give 0 to 500 mm"),
        ("min-slack 12 max-slack 4", "no range"),
        ("target-slack 40", "target-slack lies outside"),
        ("min-pitch-over 30", "min-pitch-over is greater"),
    ],
)
def test_clearances_that_make_no_sense_are_refused_and_none_is_kept(depot: Depot, text: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        set_limits(depot, the_operator(depot), Kind.CAN, text)
    assert depot.setting("lane_limits:can") == ""


def test_containers_cases_and_lane_types_are_changed_by_the_rules_of_their_files(depot: Depot) -> None:
    rena = the_operator(depot)
    assert change_cell(depot, rena, "lane-types", "t74", "width_mm", "76")["width_mm"] == "76"
    assert "76" in answers(depot, "BIG", "T74")[0].fit.sentence()
    for column, text, says in (
        ("turns", "-8", "turns: -8 is below 1"),
        ("spacer_side", "up", "spacer_side: .up. is not one of"),
        ("width_mm", "wide", "width_mm"),
    ):
        with pytest.raises(Refused, match=says):
            change_cell(depot, rena, "lane-types", "T74", column, text)
    assert add_row(depot, rena, "containers", "SLM330 57.4 146 330 slim") == "SLM330"
    assert texts_of(depot, "containers", "slm330")["name"] == "330 slim"
    assert add_row(depot, rena, "case-forms", "slm330 24 tray") == "SLM330"
    assert cases_words(depot, "SLM330") == "24 tray"
    assert add_row(depot, rena, "lane-types", "T90 90 560 200 80 7 Teal") == "T90"
    with pytest.raises(Refused, match="is here already"):
        add_row(depot, rena, "lane-types", "T90 90 560 200 80 7 Teal")
    with pytest.raises(Refused, match="in this order"):
        add_row(depot, rena, "containers", "X1 57")
    with pytest.raises(Refused, match="There is no container"):
        texts_of(depot, "containers", "NOPE")
