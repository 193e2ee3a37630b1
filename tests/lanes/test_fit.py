from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.lanes.containers import Basis, Container, Kind
from partsbin.lanes.fit import Fit, SpacerStock, Verdict, fit, lane_capacity
from partsbin.lanes.lane_types import CAN_LIMITS, LaneType, Limits, Side


def can(body_mm: float, *, basis: Basis = Basis.MEASURED, height_mm: float = 120.0, **more: object) -> Container:
    return Container("C", "a can", Kind.CAN, body_mm, 0.0, height_mm, basis=basis, **more)  # type: ignore[arg-type]


def lane(width_mm: float, side: Side = Side.LEFT, most: int = 2, pitch_mm: float = 70.0) -> LaneType:
    return LaneType("L", "Borealis 40", width_mm, 560, 300, pitch_mm, 8, 280, side, most)


def stock(*thicknesses: float, hands: tuple[str, ...] = ("LH", "RH"), on_hand: int = 9) -> list[SpacerStock]:
    return [SpacerStock(f"SP{t:g}{hand}", t, hand, on_hand) for t in thicknesses for hand in hands]


USUAL = stock(3, 6, 10, 15)


def test_answer_names_stocked_items_hand_and_play() -> None:
    answer = fit(can(53), lane(74), USUAL)
    assert answer.verdict is Verdict.FITS
    assert answer.best is not None
    assert answer.best.items == (("SP15LH", 1),)
    assert answer.best.slack_mm == 6.0
    assert "1 x 15 mm left" in answer.sentence()


def test_too_wide_is_said_in_mm() -> None:
    answer = fit(can(73.4), lane(74, pitch_mm=80), USUAL)
    assert answer.verdict is Verdict.NO_FIT
    assert answer.over_mm == 3.4
    assert "3.4 mm too wide" in answer.sentence()


def test_nothing_in_stock_is_not_the_same_as_no_fit() -> None:
    answer = fit(can(53), lane(74), stock(3, 6, 10, 15, on_hand=0))
    assert answer.verdict is Verdict.NO_STOCK
    assert not answer.sets
    assert answer.unstocked[0].lacking == (("SP15LH", 1),)
    assert "stock lacks 1 x SP15LH" in answer.sentence()


def test_two_hands_of_nothing_in_stock_still_tell_what_to_order() -> None:
    answer = fit(can(53), lane(80, Side.BOTH), stock(10, hands=("LH", "RH"), on_hand=0))
    assert answer.verdict is Verdict.NO_STOCK
    assert answer.unstocked[0].lacking == (("SP10LH", 1), ("SP10RH", 1))


def test_slack_left_over_but_no_thickness_makes_it() -> None:
    answer = fit(can(66.1), lane(80), stock(15))
    assert answer.verdict is Verdict.NO_FIT
    assert "3.9 mm too loose" in answer.sentence()


def test_wrong_hand_is_never_used() -> None:
    assert fit(can(53), lane(74, Side.LEFT), stock(15, hands=("RH",))).verdict is Verdict.NO_FIT


def test_handed_before_universal_and_universal_fills_up() -> None:
    pieces = [SpacerStock("U10", 10, "", 5), SpacerStock("L10", 10, "LH", 1)]
    answer = fit(can(53), lane(80), pieces)
    assert answer.best is not None
    assert dict(answer.best.items) == {"L10": 1, "U10": 1}


def test_universal_spacer_is_not_counted_twice_over_both_walls() -> None:
    answer = fit(can(53), lane(80, Side.BOTH), [SpacerStock("U10", 10, "", 1)])
    assert answer.verdict is Verdict.NO_STOCK
    assert answer.unstocked[0].lacking == (("U10", 1),)


def test_unmeasured_diameter_is_flagged() -> None:
    assert "measure it" in fit(can(53, basis=Basis.PUBLISHED), lane(74), USUAL).unconfirmed
    assert not fit(can(53), lane(74), USUAL).unconfirmed


def test_height_gates_say_by_how_much() -> None:
    answer = fit(can(66, height_mm=270), lane(74), USUAL)
    assert answer.verdict is Verdict.NO_FIT
    assert "10.0 mm too tall under the shelf above" in answer.sentence()
    assert "10.0 mm too tall between shelf edge and door" in answer.sentence()


def test_wrong_pitch_asks_for_another_coil_and_still_gives_the_spacers() -> None:
    answer = fit(can(53), lane(80, pitch_mm=80), USUAL)
    assert answer.verdict is Verdict.OTHER_COIL
    assert answer.best is not None
    assert answer.best.left_mm == (10, 10)
    assert answer.coil_mm == (54.5, 73.0)
    assert answer.capacity == 0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"turns": -3}, "turns"),
        ({"turns": 0}, "turns"),
        ({"width_mm": -74.0}, "inner width"),
        ({"width_mm": float("nan")}, "inner width"),
        ({"depth_mm": 0.0}, "usable depth"),
        ({"max_per_side": 9}, "spacers per side"),
        ({"front_gap_mm": -1.0}, "front gap"),
    ],
)
def test_impossible_lane_types_are_refused(change: dict[str, float], says: str) -> None:
    with pytest.raises(Refused, match=says):
        replace(lane(74), **change)


def test_impossible_spacers_and_limits_are_refused() -> None:
    with pytest.raises(Refused, match="thickness"):
        SpacerStock("S", -3, "LH")
    with pytest.raises(Refused, match="hand"):
        SpacerStock("S", 3, "left")
    with pytest.raises(Refused, match="smaller first"):
        Limits(10, 4)


def test_depth_too_short_for_one_is_said() -> None:
    short = replace(lane(74), depth_mm=60)
    assert lane_capacity(can(66), short) == (0, "60 mm of depth is too short for one pocket")
    assert fit(can(66), short, USUAL).verdict is Verdict.NO_FIT


tenths = st.integers(200, 1100).map(lambda n: n / 10)
pieces = st.lists(
    st.builds(
        SpacerStock,
        st.sampled_from([f"P{n}" for n in range(30)]),
        st.sampled_from([1.5, 3.0, 6.0, 10.0, 12.5, 15.0]),
        st.sampled_from(["", "LH", "RH"]),
        st.integers(0, 3),
    ),
    max_size=6,
    unique_by=lambda s: s.part_number,
)


@settings(max_examples=150, deadline=None)
@given(
    body=tenths,
    width=tenths,
    side=st.sampled_from(Side),
    most=st.integers(0, 3),
    pitch=tenths,
    stocked=pieces,
)
def test_fit_never_violates_a_limit(
    body: float, width: float, side: Side, most: int, pitch: float, stocked: list[SpacerStock]
) -> None:
    where = lane(width, side, most, pitch)
    answer = fit(can(body), where, stocked, CAN_LIMITS)
    on_hand = {s.part_number: s for s in stocked}
    for chosen in (*answer.sets, *answer.unstocked):
        total = body + sum(chosen.left_mm) + sum(chosen.right_mm)
        assert CAN_LIMITS.min_slack_mm - 1e-6 <= width - total <= CAN_LIMITS.max_slack_mm + 1e-6
        assert max(len(chosen.left_mm), len(chosen.right_mm)) <= most
        assert not (chosen.left_mm and side is Side.RIGHT)
        assert not (chosen.right_mm and side is Side.LEFT)
        if side is Side.BOTH:
            assert abs(sum(chosen.left_mm) - sum(chosen.right_mm)) / 2 <= 4.0 + 1e-6
        assert sum(n for _, n in chosen.items) == chosen.count
        used = Counter({on_hand[p].thickness_mm: 0 for p, _ in chosen.items})
        for part, quantity in chosen.items:
            used[on_hand[part].thickness_mm] += quantity
        assert used == Counter(chosen.left_mm) + Counter(chosen.right_mm)
    for chosen in answer.sets:
        assert all(on_hand[part].on_hand >= quantity for part, quantity in chosen.items)
    if answer.capacity:
        assert body + 1.5 - 1e-6 <= pitch <= body + 20 + 1e-6
        assert answer.capacity * pitch <= 560 - 13 + 1e-3
    _check_verdict(answer)


def _check_verdict(answer: Fit) -> None:
    assert (answer.verdict is Verdict.NO_FIT) == (answer.best is None)
    assert bool(answer.reasons) == (answer.verdict in (Verdict.NO_FIT, Verdict.OTHER_COIL))
    assert answer.sentence()
