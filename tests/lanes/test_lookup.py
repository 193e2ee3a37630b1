from __future__ import annotations

import pytest

from partsbin.errors import Refused
from partsbin.lanes.containers import Container, Kind
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.lookup import containers_named, lane_types_named


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("slm250", ["SLM250"]),
        ("250 Slim", ["SLM250"]),
        ("20 oz", ["PET591"]),
        ("12 oz can", ["CAN355"]),
        ("slim", ["SLM250", "SLM200"]),
    ],
)
def test_containers_by_code_or_words(text: str, codes: list[str], containers: dict[str, Container]) -> None:
    assert [c.code for c in containers_named(text, list(containers.values()))] == codes


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("b40-74", ["B40-74"]),
        ("74", ["B40-74", "C54-74"]),
        ("92 mm", ["B40-92", "D9-92"]),
        ("80mm wide", ["B40-80", "C54-80", "D9-80"]),
        ("drift 9", ["D9-80", "D9-92"]),
    ],
)
def test_lanes_by_code_width_or_family(text: str, codes: list[str], lane_types: dict[str, LaneType]) -> None:
    assert [t.code for t in lane_types_named(text, list(lane_types.values()))] == codes


def test_unknown_names_are_refused_with_what_is_known(
    containers: dict[str, Container], lane_types: dict[str, LaneType]
) -> None:
    with pytest.raises(Refused, match="known are CAN330.* and 4 more"):
        containers_named("keg", list(containers.values()))
    with pytest.raises(Refused, match="known are B40-74"):
        lane_types_named("75", list(lane_types.values()))
    with pytest.raises(Refused, match="import them first"):
        lane_types_named("75", [])


@pytest.mark.parametrize("size", ["211x413", "202/211x413", "211/202/413", "202/211"])
def test_a_can_size_means_the_cans_of_that_size_and_no_volume(size: str) -> None:
    right = Container("RIGHT", "a can", Kind.CAN, 66.1, 0.2, 122.7, can_code="202/211x413")
    other = Container("OTHER", "200 ml slim can", Kind.CAN, 53.1, 0.4, 111, nominal_ml=200, can_code="200/202x406")
    assert containers_named(size, [other, right]) == (right,)
    with pytest.raises(Refused):
        containers_named("204x504", [other, right])
