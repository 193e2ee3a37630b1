from __future__ import annotations

import pytest

from partsbin.lanes.containers import Kind
from partsbin.lanes.kits import Role
from partsbin.lanes.lane_parts import for_family, read_lane_part


@pytest.mark.parametrize(
    ("family", "text", "read"),
    [
        ("DLV-SPC", "Lane spacer 6 mm LH, Borealis 40 / Cascade 54", (Role.SPACER, 6.0, 0.0, 0, None)),
        ("DLV-SPC", "Lane spacer 12.5mm universal", (Role.SPACER, 12.5, 0.0, 0, None)),
        (
            "DLV-COIL",
            "Helical coil 8 count LH wind, 70 mm pitch, Borealis 40",
            (Role.COIL, 0.0, 70.0, 8, None),
        ),
        ("DLV-END", "Coil end piece short tab, 4 mm wire, can", (Role.INSERT, 0.0, 0.0, 0, Kind.CAN)),
        ("DLV-CLIP", "Retainer clip bottle RH, Drift 9", (Role.RETAINER, 0.0, 0.0, 0, Kind.PET)),
        ("", "Spacer for 74 mm lane, left, 1/4 in", (Role.SPACER, 6.35, 0.0, 0, None)),
        ("SHIMS", "Filler 300 mm long, 10 mm thick", (Role.SPACER, 10.0, 0.0, 0, None)),
        ("", "Helix, 7-turn, pitch 3 1/8 in, left", (Role.COIL, 0.0, 79.38, 7, None)),
        ("", "Can retainer, left", (Role.RETAINER, 0.0, 0.0, 0, Kind.CAN)),
    ],
)
def test_sizes_are_read_from_the_description(family: str, text: str, read: tuple[object, ...]) -> None:
    part = read_lane_part("P", family, text)
    assert part is not None
    assert (part.role, part.thickness_mm, part.pitch_mm, part.turns, part.suits) == read


@pytest.mark.parametrize(
    ("family", "text"),
    [
        ("DLV-MTR", "Vend gear motor 24 V"),
        ("DLV-SPC", "Lane spacer kit"),
        ("DLV-COIL", "Coil 70 mm pitch"),
        ("", ""),
        ("CAB-LEG", "Shim 6 mm"),
    ],
)
def test_what_has_no_role_or_no_size_is_no_lane_part(family: str, text: str) -> None:
    assert read_lane_part("P", family, text) is None


@pytest.mark.parametrize(
    ("text", "given", "hand"),
    [
        ("Shim 6 mm left", "", "LH"),
        ("Shim R/H 6 mm", "", "RH"),
        ("Shim 6 mm left or right", "", ""),
        ("x 6 mm", "RH", "RH"),
    ],
)
def test_a_hand_that_is_not_given_is_read_from_the_words(text: str, given: str, hand: str) -> None:
    part = read_lane_part("P", "DLV-SPC", text, hand=given)
    assert part is not None
    assert part.hand == hand


def test_only_parts_that_fit_the_machine() -> None:
    parts = [read_lane_part(n, "DLV-SPC", "spacer 6 mm") for n in "ABC"]
    fits: list[tuple[str, ...]] = [("Borealis 40", "Cascade 54"), ("Drift 9",), ()]
    listed = [(p, f) for p, f in zip(parts, fits, strict=True) if p]
    assert [p.part_number for p in for_family(listed, "Borealis-40")] == ["A", "C"]
