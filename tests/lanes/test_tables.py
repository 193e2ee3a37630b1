from __future__ import annotations

import pytest

from partsbin.errors import Refused
from partsbin.lanes.tables import read_cases, read_containers, read_lane_types

CAN = {"container": "x1", "kind": "can", "body_mm": "66.1", "height_mm": "122"}
TYPE = {
    "lane_type": "b40-74",
    "family": "Borealis 40",
    "width_mm": "74",
    "depth_mm": "560",
    "shelf_pitch_mm": "200",
    "coil_pitch_mm": "70",
    "turns": "8",
}


def test_rows_become_things_with_the_obvious_defaults() -> None:
    can = read_containers([CAN])[0]
    assert (can.code, can.name, can.tolerance_mm, can.confirmed) == ("X1", "X1", 0, False)
    assert read_lane_types([TYPE])[0].code == "B40-74"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ({**CAN, "body_mm": "wide"}, "line 2, column body_mm: 'wide' is no number"),
        ({**CAN, "body_mm": ""}, "line 2, column body_mm: '' is no number"),
        ({**CAN, "body_mm": "nan"}, "column body_mm"),
        ({**CAN, "container": " "}, "line 2, column container: is empty"),
        ({**CAN, "kind": "keg"}, "column kind: 'keg' is none of can, pet"),
        ({**CAN, "can_code": "211x499"}, "line 2: 499"),
        ({**CAN, "nominal_ml": "12.5"}, "column nominal_ml: 12.5 is no whole number"),
        ({**CAN, "body_mm": "661"}, "line 2: container X1: body diameter of 661 mm"),
    ],
)
def test_bad_container_cells_name_line_column_and_reason(row: dict[str, str], says: str) -> None:
    with pytest.raises(Refused, match=says):
        read_containers([row])


def test_other_bad_rows() -> None:
    with pytest.raises(Refused, match="line 3: X1 already stands in line 2"):
        read_containers([CAN, CAN])
    with pytest.raises(Refused, match="turns"):
        read_lane_types([{**TYPE, "turns": "-4"}])
    with pytest.raises(Refused, match="neither yes nor empty"):
        read_lane_types([{**TYPE, "coupled": "maybe"}])
    with pytest.raises(Refused, match="holds nothing"):
        read_cases([{"container": "X1", "quantity": "0"}])
