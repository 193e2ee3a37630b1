from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.lanes.containers import Basis, Container, Kind
from partsbin.lanes.coupled import CoupledLane, next_lane, sell
from partsbin.lanes.kits import LanePart, Role, change_over, lane_kit
from partsbin.lanes.lane_types import LaneType, Side
from partsbin.lanes.work import order_of_work

CAN = Container("CAN", "a can", Kind.CAN, 66.1, 0.2, 122, basis=Basis.MEASURED)
SLIM = Container("SLIM", "a slim can", Kind.CAN, 53, 0, 134, basis=Basis.MEASURED)
BOTTLE = Container("BIG", "a bottle", Kind.PET, 73.5, 0, 223, basis=Basis.MEASURED)
SINGLE = LaneType("S80", "Borealis 40", 80, 560, 300, 80, 7, 280)
PAIR = LaneType("P80", "Drift 9", 80, 720, 300, 78, 9, 280, Side.LEFT, 2, coupled=True)


def catalogue(on_hand: int = 20) -> list[LanePart]:
    spacers = [
        LanePart(f"SP{t}{hand}", Role.SPACER, f"{t} mm", hand, on_hand, thickness_mm=t)
        for t in (3, 6, 10, 15)
        for hand in ("LH", "RH")
    ]
    coils = [
        LanePart(f"COIL{pitch}{hand}", Role.COIL, "", hand, on_hand, pitch_mm=pitch, turns=8, cautions=("WIRE",))
        for pitch in (70, 80)
        for hand in ("LH", "RH")
    ]
    return [
        *spacers,
        *coils,
        LanePart("INSERT", Role.INSERT, on_hand=on_hand, reusable=False),
        LanePart("CLIP-CAN", Role.RETAINER, on_hand=on_hand, suits=Kind.CAN),
        LanePart("CLIP-BOTTLE", Role.RETAINER, on_hand=on_hand, suits=Kind.PET),
    ]


def test_kit_explodes_to_spacers_coil_insert_and_retainer() -> None:
    kit = lane_kit(SLIM, SINGLE, catalogue(), lanes=2)
    assert {line.role: line.quantity for line in kit.take} == {
        Role.SPACER: 4,
        Role.COIL: 2,
        Role.INSERT: 2,
        Role.RETAINER: 2,
    }
    assert kit.complete
    assert kit.cautions == ("WIRE",)


def test_only_what_differs_moves() -> None:
    fitted = {"COIL80LH": 1, "INSERT": 1, "CLIP-BOTTLE": 1}
    kit = lane_kit(CAN, SINGLE, catalogue(), fitted=fitted)
    assert {line.part_number: line.quantity for line in kit.take} == {"SP6LH": 1, "CLIP-CAN": 1}
    assert {line.part_number: line.quantity for line in kit.back} == {"CLIP-BOTTLE": 1}


def test_suitable_coil_stays_when_the_chart_is_silent() -> None:
    kit = lane_kit(BOTTLE, SINGLE, catalogue())
    assert not any(line.role is Role.COIL for line in kit.take)
    assert any("coil stays" in note for note in kit.notes)


def test_pairs_get_mirrored_spacers_and_both_coil_hands() -> None:
    kit = lane_kit(SLIM, PAIR, catalogue(), lanes=2)
    taken = {line.part_number: line.quantity for line in kit.take}
    assert taken["COIL70LH"] == taken["COIL70RH"] == 1
    assert taken["SP10LH"] == taken["SP10RH"] == 2
    assert kit.capacity == 2 * kit.fits[0].capacity
    with pytest.raises(Refused, match="pairs"):
        lane_kit(SLIM, PAIR, catalogue(), lanes=3)


def test_stock_for_every_lane_counts_not_for_one() -> None:
    enough = lane_kit(SLIM, SINGLE, catalogue(on_hand=3), lanes=3)
    spacers = {line.part_number: line.quantity for line in enough.take if line.role is Role.SPACER}
    assert spacers == {"SP15LH": 3, "SP6LH": 3}
    assert enough.complete
    short = lane_kit(SLIM, SINGLE, catalogue(on_hand=2), lanes=3)
    assert not short.complete
    assert {line.part_number: line.lacking for line in short.take if line.role is Role.SPACER} == {"SP10LH": 4}


def test_no_fit_is_refused_with_the_millimetres() -> None:
    narrow = LaneType("S74", "Borealis 40", 74, 560, 300, 80, 7, 280)
    with pytest.raises(Refused, match=r"3\.5 mm too wide"):
        lane_kit(BOTTLE, narrow, catalogue())
    with pytest.raises(Refused, match="coil"):
        lane_kit(SLIM, SINGLE, [p for p in catalogue() if p.role is not Role.COIL])
    with pytest.raises(Refused, match="0 lanes"):
        lane_kit(SLIM, SINGLE, catalogue(), lanes=0)


def test_order_of_work_unplugs_first_and_tests_last() -> None:
    kit = lane_kit(SLIM, PAIR, catalogue(), lanes=2)
    steps = order_of_work(kit)
    texts = [step.text for step in steps]
    cautions = " ".join(step.caution for step in steps)
    assert all(word in cautions for word in ("unplug", "tip-over", "wire ends"))
    assert texts.index("Unplug the machine.") < next(n for n, t in enumerate(texts) if "coil" in t)
    assert any("right lane of each pair: 2 x 10 mm right" in text for text in texts)
    assert any(text.startswith("Test before leaving") for text in texts)


def test_work_leaves_out_what_the_change_does_not_touch() -> None:
    kit = lane_kit(CAN, SINGLE, catalogue(), fitted={"COIL80LH": 1, "INSERT": 1, "CLIP-CAN": 1})
    assert not any("old coil" in step.text or "retainer loosely" in step.text for step in order_of_work(kit))
    first = order_of_work(lane_kit(SLIM, SINGLE, catalogue(), fitted={}))
    assert not any("spacers that come back" in step.text for step in first)


quantities = st.dictionaries(st.sampled_from("ABCDEF"), st.integers(0, 9))


@settings(max_examples=150)
@given(fitted=quantities, wanted=quantities)
def test_kit_and_returns_conserve_stock(fitted: dict[str, int], wanted: dict[str, int]) -> None:
    take, back = change_over(fitted, wanted)
    assert Counter(fitted) + Counter(take) - Counter(back) == +Counter(wanted)
    assert not take.keys() & back.keys()


@settings(max_examples=60, deadline=None)
@given(
    container=st.sampled_from([CAN, SLIM, BOTTLE]),
    lane_type=st.sampled_from([SINGLE, PAIR]),
    units=st.integers(1, 4),
    on_hand=st.integers(0, 9),
    fitted=st.dictionaries(st.sampled_from([p.part_number for p in catalogue()]), st.integers(0, 4)),
)
def test_parts_in_lane_and_store_are_the_same_before_and_after(
    container: Container, lane_type: LaneType, units: int, on_hand: int, fitted: dict[str, int]
) -> None:
    parts = catalogue(on_hand)
    kit = lane_kit(container, lane_type, parts, lanes=units * (2 if lane_type.coupled else 1), fitted=fitted)
    store = Counter({p.part_number: p.on_hand for p in parts})
    after = store.copy()
    after.subtract({line.part_number: line.quantity for line in kit.take})
    after.update({line.part_number: line.quantity for line in kit.back})
    total_before, total_after = store + Counter(fitted), after.copy()
    total_after.update(kit.wanted)
    assert +total_after == +total_before
    assert all(-min(0, after[line.part_number]) == line.lacking for line in kit.take)


def test_negative_fitted_is_refused() -> None:
    with pytest.raises(Refused, match="lane chart"):
        change_over({"A": -1}, {})


def test_turns_alternate_and_a_fault_does_not_kill_the_selection() -> None:
    lanes = [CoupledLane("1", 3, 9), CoupledLane("2", 3, 9)]
    assert [next_lane(lanes, last) for last in ("", "1", "2")] == ["1", "2", "1"]
    jammed = [CoupledLane("1", 3, 9, fault=True), CoupledLane("2", 1, 9)]
    assert next_lane(jammed, "2") == "2"
    assert next_lane([CoupledLane("1", 0, 9)]) == ""
    left, beyond = sell(lanes, 5)
    assert ([x.count for x in left], beyond) == ([0, 1], 0)
    assert sell(lanes, 10)[1] == 4
    with pytest.raises(Refused, match="count it again"):
        CoupledLane("1", 10, 9)


@given(counts=st.lists(st.integers(0, 12), min_size=2, max_size=2), units=st.integers(0, 30))
def test_coupled_lanes_sell_down_evenly(counts: list[int], units: int) -> None:
    lanes = [CoupledLane(str(n), count, 12) for n, count in enumerate(counts)]
    left, beyond = sell(lanes, units)
    sold = [count - lane.count for count, lane in zip(counts, left, strict=True)]
    assert sum(sold) + beyond == units
    assert abs(sold[0] - sold[1]) <= 1 or not left[0].count or not left[1].count
