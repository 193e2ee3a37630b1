"""Reading: quantities in every form, figures that are none, both hands, taking back and changing, context."""

from __future__ import annotations

import pytest

from partsbin.requests import read_message


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("drain hose x2", 2), ("2x drain hose", 2), ("drain hose 2 off", 2), ("2 ea drain hose", 2), ("qty 2 drain hose", 2), ("drain hose qty: 2", 2),
        ("drain hose (2)", 2), ("a couple of drain hoses", 2), ("half a dozen drain hoses", 6), ("½ doz drain hoses", 6), ("dozen drain hoses", 12), ("twenty four drain hoses", 24),
        ("drain hose", 1), ("a drain hose", 1), ("all 4 drain hoses", 4), ("drain hoses, say ten", 10), ("for drain hoses", 4), ("need to drain hoses", 2), ("drain hoses", None), ("some drain hoses", None),
    ],
)  # fmt: skip
def test_how_many(said: str, count: int | None) -> None:
    (line,) = read_message(said).lines
    assert line.quantity == count


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("motor 24 V", "volts", 24.0), ("spacer 10 mm", "mm", 10.0), ("fuse 5x20", "size", "5x20"), ("fuse 5 x 20", "size", "5x20"), ("screw M4x10", "thread", "M4"), ("coil 8 count", "count", 8.0), ("four tube coin mech", "tubes", 4.0),
        ("coil for 20 oz", "ml", 591.47), ("fuse 3A", "amps", 3.0), ("quarter inch spacer", "mm", 6.35), ("left motor", "hand", "LH"), ("fan anti clockwise", "rotation", "CCW"), ("board rev C", "revision", "C"),
    ],
)  # fmt: skip
def test_an_attribute_is_no_quantity(said: str, kind: str, value: float | str) -> None:
    (line,) = read_message(said).lines
    assert line.quantity == 1
    assert line.attribute(kind) == value


def test_left_and_right_are_two_lines() -> None:
    lines = read_message("left and right coils 8 count").lines
    assert [(line.attribute("hand"), line.quantity) for line in lines] == [("LH", 1), ("RH", 1)] or [
        (line.attribute("hand"), line.quantity) for line in lines
    ] == [("RH", 1), ("LH", 1)]


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("2 motors lh, no wait make it three", [3]),
        ("2 motors and a board. cancel the board", [2]),
        ("do not need motor, only the gear harness", [1]),
        ("4 spacers 6mm lh. scrap that", []),
    ],
)
def test_changes_and_cancellations(said: str, wanted: list[int]) -> None:
    assert [line.quantity for line in read_message(said).lines] == wanted


def test_greeting_van_job_lane_and_sign_off_are_no_lines() -> None:
    message = read_message("Hi Sam,\nvan 7 here, job 4471\n2 motors for lane 14\ncheers\nTom")
    assert [(line.quantity, line.lane) for line in message.lines] == [(2, "14")]
    assert (message.van, message.job) == ("VAN7", "4471")


def test_what_cannot_be_read_is_kept() -> None:
    assert read_message("the zorblax frobs").unread


@pytest.mark.parametrize(
    "said",
    ["2 motors, that's fine", "2 motors. leave them at reception", "2 motors, drop them off friday",
     "2 motors, if not in stock leave it", "2 motors. forget it if you have none", "2 motors, no rush"],
)  # fmt: skip
def test_what_sounds_like_taking_back_and_is_none(said: str) -> None:
    assert [line.quantity for line in read_message(said).lines] == [2]


@pytest.mark.parametrize(
    ("text", "van", "job"),
    [
        ("van 3: two 6 mm left spacers", "VAN3", ""),
        ("V3: 2 coil motors", "VAN3", ""),
        ("job 4411: one door gasket", "", "4411"),
    ],
)
def test_a_van_or_job_that_heads_what_is_asked(text: str, van: str, job: str) -> None:
    message = read_message(text)
    assert (message.van, message.job, len(message.lines)) == (van, job, 1)
