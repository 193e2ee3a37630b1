from __future__ import annotations

import pytest

from partsbin.lanes.containers import Container
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.questions import LaneQuestion, read_lane_question

Read = dict[str, Container]
Types = dict[str, LaneType]


def ask(text: str, containers: Read, lane_types: Types) -> LaneQuestion | None:
    return read_lane_question(text, list(containers.values()), list(lane_types.values()), {"A0417"})


@pytest.mark.parametrize(
    ("text", "container", "types"),
    [
        ("what spacers for the 250 slim in a 74 lane", "SLM250", {"B40-74", "C54-74"}),
        ("wot shims for 12 oz sleek cans in a 74mm lane??", "SLK355", {"B40-74", "C54-74"}),
        ("which spacers for 500 water in the c54-80", "PET500W", {"C54-80"}),
        ("does the 16 oz can fit an 80 mm wide lane", "CAN473", {"B40-80", "C54-80", "D9-80"}),
        ("SLM200 spacers lane 74 mm", "SLM200", {"B40-74", "C54-74"}),
        ("how many cans in a 74 tray", "CAN355", {"B40-74", "C54-74"}),
        ("what spacer do i need for a 12oz can in the 80", "CAN355", {"B40-80", "C54-80", "D9-80"}),
        ("is there a spacer for sleek 12 ounce in the Drift 9", "SLK355", {"D9-80", "D9-92"}),
        ("shims for 591s in a 92 lane on the borealis 40", "PET591", {"B40-92"}),
        ("spacers for a half litre bottle in a 92 lane", "PET500S", {"B40-92", "D9-92"}),
        ("shims for 202x504 in a 74 lane", "SLM250", {"B40-74", "C54-74"}),
        ("need shims for 211/202/413 in an 80", "CAN355", {"B40-80", "C54-80", "D9-80"}),
        ('spacer for 12oz sleek in a 3.15" lane', "SLK355", {"B40-80", "C54-80", "D9-80"}),
        ("can I put sleek 12oz in a 3 5/8 inch lane", "SLK355", {"B40-92", "D9-92"}),
        ("which spacers does a 8.4 oz slim need in lane 74", "SLM250", {"B40-74", "C54-74"}),
        ("shims for 330 sleek on the borealis40", "SLK330", {"B40-74", "B40-80", "B40-92"}),
        ("vending two 330 sleek in 74 lane", "SLK330", {"B40-74", "C54-74"}),
        ("473 tall can B40-80", "CAN473", {"B40-80"}),
        (
            "which lanes can hold the 20oz",
            "PET591",
            {"B40-74", "B40-80", "B40-92", "C54-74", "C54-80", "D9-80", "D9-92"},
        ),
    ],
)
def test_container_and_lane_are_read(
    text: str, container: str, types: set[str], containers: Read, lane_types: Types
) -> None:
    question = ask(text, containers, lane_types)
    assert question is not None
    assert [c.code for c in question.containers] == [container]
    assert {t.code for t in question.lane_types} == types
    assert question.sure


def test_slim_can_alone_means_two_and_is_asked(containers: Read, lane_types: Types) -> None:
    question = ask("spacers for slim can in a 80 wide lane", containers, lane_types)
    assert question is not None
    assert {c.code for c in question.containers} == {"SLM250", "SLM200"}
    assert question.width_mm == 80
    assert not question.sure
    assert "which container" in question.doubts[0]


def test_swap_reads_both_ends_and_the_number_of_lanes(containers: Read, lane_types: Types) -> None:
    question = ask("swap spacers in 5 lanes from can to 20oz", containers, lane_types)
    assert question is not None
    assert question.swap
    assert ([c.code for c in question.was], [c.code for c in question.containers]) == (["CAN355"], ["PET591"])
    assert question.lanes == 5
    assert any("which lane" in doubt for doubt in question.doubts)


def test_swap_of_one_lane_of_a_machine(containers: Read, lane_types: Types) -> None:
    question = ask("convert lane 12 on A0417 to 250 slim", containers, lane_types)
    assert question is not None
    assert (question.asset, question.numbers) == ("A0417", ("12",))
    assert question.sure


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("change lane 4 and 5 on a0417 to tall cans", ("4", "5")),
        ("swap lanes 4, 5 + 6 of A0417 to 250 slim", ("4", "5", "6")),
        ("swap lane 4 of A0417 to 250 slim", ("4",)),
        ("shims for 330 sleek in lane 4-7 of A0417", ("4", "5", "6", "7")),
        ("change lanes 4 to 6 of A0417 to 330 sleek", ("4", "5", "6")),
        ("330 sleek sticks in slot b4 machine a0417", ("B4",)),
        ("A0417 lane 4 to 250 slim", ("4",)),
    ],
)
def test_several_lanes_of_a_machine(text: str, numbers: tuple[str, ...], containers: Read, lane_types: Types) -> None:
    question = ask(text, containers, lane_types)
    assert question is not None
    assert (question.numbers, question.lanes, question.sure) == (numbers, len(numbers), True)


@pytest.mark.parametrize(
    "text",
    [
        "two small left shims for slim cans and a 24 volt motor",
        "need 2 mtrs for lane 34, LH",
        "helix 5ct for 20 oz",
        "x4 spacers 6mm rh pls",
        "Spacers: 3 left 3 right, 10 mil",
        "can you send spacers for lane 34",
        "change the motor to the 24 volt one",
        "24 cans cola, 2 cs lemon, half case water",
        "lh not rh this time 4 pcs the 15s",
        "6 lh spacers 6 mil for the slim can change at the baths",
        "2 motors for slim can lane 12 A0417 and a coil",
        "24 cans cola for A0417 lane 12",
        "500 bottle stuck in the flap, need a flap",
        "coin stuck",
        "",
        "?",
        "spacers " * 5000,
    ],
)
def test_parts_requests_are_left_alone(text: str, containers: Read, lane_types: Types) -> None:
    assert ask(text, containers, lane_types) is None


def test_what_goes_wrong_is_a_question_about_the_lane(containers: Read, lane_types: Types) -> None:
    question = ask("330 sleek falls badly", containers, lane_types)
    assert question is not None
    assert [c.code for c in question.containers] == ["SLK330"]
    assert question.doubts == ("which lane: give its width, its type, or machine and lane number",)
    bare = ask("lane 12 on A0417 vends two", containers, lane_types)
    assert bare is not None
    assert (bare.containers, bare.asset, bare.numbers, bare.doubts) == ((), "A0417", ("12",), ())


def test_unknown_sizes_are_said(containers: Read, lane_types: Types) -> None:
    question = ask("what spacers for a 300 ml slim can in a 75 lane", containers, lane_types)
    assert question is not None
    assert question.containers == ()
    assert "300 ml slim can" in question.doubts[0]
    assert "widths are 74, 80, 92" in question.doubts[1]
    sized = ask("spacers for 307x512 in a 74 lane", containers, lane_types)
    assert sized is not None
    assert sized.doubts == ("no can of size 307x512 is known",)
