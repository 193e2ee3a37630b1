"""Codes of places, walking order, and the nearest three."""

from __future__ import annotations

import pytest

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.places import add_place, bin_parts, find_place, printed_bin, scan_code, the_place, walk_order
from partsbin.errors import Refused


@pytest.mark.parametrize("text", ["A-03-07-2", "a030702", "A-03-07-02", "a-03-07-2"])
def test_a_bin_is_found_by_every_form_of_its_code(text: str) -> None:
    assert bin_parts(text) == ("A", 3, 7, 2)
    assert printed_bin(text) == "A-03-07-2"
    assert scan_code(text) == "A030702"


def test_the_walk_goes_up_one_aisle_and_down_the_next() -> None:
    walk = ["A-01-01-1", "A-01-02-1", "A-02-01-1", "A-12-01-1", "B-12-01-1", "B-11-01-1", "B-01-01-1", "C-01-01-1"]
    assert [walk_order(code) for code in walk] == sorted({walk_order(code) for code in walk})


def test_an_unknown_place_is_refused_with_the_nearest_three(depot: Depot) -> None:
    with pytest.raises(Refused, match="no place “A-01-01-2”. Nearest: A-01-01-1, A-01-02-1"):
        the_place(depot, "A-01-01-2")


def test_a_place_of_the_wrong_kind_is_refused(depot: Depot) -> None:
    with pytest.raises(Refused, match="A-01-01-1 is a bin, not a van. Nearest: VAN1"):
        the_place(depot, "A-01-01-1", kinds=("van",))


def test_a_drawer_needs_its_van(depot: Depot) -> None:
    drawer = add_place(depot, "VAN1-D3", "drawer", parent="VAN1")
    assert find_place(depot, "van1d3") == drawer
    with pytest.raises(Refused, match="a drawer belongs to a van"):
        add_place(depot, "VAN2-D3", "drawer")


def test_two_places_never_scan_alike(depot: Depot) -> None:
    add_place(depot, "CAGE-1", "bin")
    with pytest.raises(Refused, match="would scan like CAGE-1"):
        add_place(depot, "CA-GE1", "bin")


def test_an_unknown_part_is_refused_with_the_nearest_three(depot: Depot) -> None:
    with pytest.raises(Refused, match="no part “MTR-42-L”. Nearest: MTR-24-L") as refused:
        the_item(depot, "MTR-42-L")
    assert str(refused.value).count(";") == 2
