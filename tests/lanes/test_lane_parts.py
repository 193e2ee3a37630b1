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
    ],
)
def test_sizes_are_read_from_the_description(family: str, text: str, read: tuple[object, ...]) -> None:
    part = read_lane_part("P", family, text)
    assert part is not None
    assert (part.role, part.thickness_mm, part.pitch_mm, part.turns, part.suits) == read


@pytest.mark.parametrize(
    ("family", "text"),
    [("DLV-MTR", "Vend gear motor 24 V"), ("DLV-SPC", "Lane spacer kit"), ("DLV-COIL", "Coil 70 mm pitch"), ("", "")],
)
def test_what_has_no_role_or_no_size_is_no_lane_part(family: str, text: str) -> None:
    assert read_lane_part("P", family, text) is None


def test_only_parts_that_fit_the_machine() -> None:
    parts = [read_lane_part(n, "DLV-SPC", "spacer 6 mm") for n in "ABC"]
    fits: list[tuple[str, ...]] = [("Borealis 40", "Cascade 54"), ("Drift 9",), ()]
    listed = [(p, f) for p, f in zip(parts, fits, strict=True) if p]
    assert [p.part_number for p in for_family(listed, "borealis 40")] == ["A", "C"]
