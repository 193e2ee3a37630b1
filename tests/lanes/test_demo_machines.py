"""The demo depot's machines: charts that can be built, drawn and refilled, and readings that belong to them."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from partsbin.errors import Refused
from partsbin.exchange.audit import read_audit_folder
from partsbin.exchange.audit_sales import Sold, compare
from partsbin.lanes.change import changed_lanes
from partsbin.lanes.chart import Lane, Machine, fitted_parts
from partsbin.lanes.containers import Container
from partsbin.lanes.fit import lane_capacity
from partsbin.lanes.kits import LanePart, lane_kit
from partsbin.lanes.lane_parts import for_family, read_lane_part
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.refill import needed, packing, refill

SEED = Path(__file__).parents[2] / "seed"


def rows(name: str) -> list[dict[str, str]]:
    with (SEED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def lane_parts(family: str) -> list[LanePart]:
    listed = []
    for row in rows("items.csv"):
        part = read_lane_part(row["part_number"], row["family"], row["description"], hand=row["hand"], on_hand=50)
        if part:
            listed.append((part, tuple(row["fits"].split("|"))))
    return for_family(listed, family)


def _lane(row: dict[str, str]) -> Lane:
    pairs = [entry.split("*") for entry in row["fitted"].split("|") if entry]
    return Lane(
        *(row["asset"], row["lane"], int(row["shelf"]), int(row["position"]), row["lane_type"], row["selection"]),
        *(row["part_number"], row["container"], tuple((part, int(n)) for part, n in pairs), int(row["capacity"])),
        *(int(row["count"]) if row["count"] else None, date.fromisoformat(row["changed_on"])),
    )


@pytest.fixture(scope="module")
def lanes() -> list[Lane]:
    return [_lane(row) for row in rows("lanes.csv")]


@pytest.fixture(scope="module")
def machines() -> dict[str, Machine]:
    names = ("asset", "family", "site", "serial", "round")
    return {row["asset"]: Machine(*(row[n] for n in names), stop=int(row["stop"])) for row in rows("machines.csv")}


@pytest.fixture(scope="module")
def sales() -> dict[str, Sold]:
    readings, refused = read_audit_folder(SEED / "audit")
    assert refused == []
    by_machine: dict[str, list[int]] = {}
    for place, reading in enumerate(readings):
        by_machine.setdefault(reading.machine, []).append(place)
    return {asset: compare(readings[one], readings[two]) for asset, (one, two) in by_machine.items()}


def test_every_lane_stands_on_a_machine_a_type_an_item_and_a_container(
    lanes: list[Lane], machines: dict[str, Machine], lane_types: dict[str, LaneType], containers: dict[str, Container]
) -> None:
    items = {row["part_number"]: row for row in rows("items.csv")}
    for lane in lanes:
        assert lane_types[lane.lane_type].family == machines[lane.asset].family
        assert items[lane.part_number]["container"] == lane.container
        assert lane.capacity == lane_capacity(containers[lane.container], lane_types[lane.lane_type])[0] > 0
        for part, _ in lane.fitted:
            assert machines[lane.asset].family in items[part]["fits"].split("|")
    assert {m.asset for m in machines.values()} == {lane.asset for lane in lanes}


def test_charts_are_drawn_with_the_selections_their_names_promise(
    lanes: list[Lane], machines: dict[str, Machine]
) -> None:
    for asset, machine in machines.items():
        own = [lane for lane in lanes if lane.asset == asset]
        assert len({(lane.shelf, lane.position) for lane in own}) == len(own)
        assert str(len({lane.keyed for lane in own})) == machine.family.split()[-1]


def test_changing_a_lane_to_what_it_already_has_moves_nothing(
    lanes: list[Lane], containers: dict[str, Container], lane_types: dict[str, LaneType]
) -> None:
    groups: dict[tuple[str, str], list[Lane]] = {}
    for lane in lanes:
        groups.setdefault((lane.asset, lane.keyed), []).append(lane)
    for group in list(groups.values())[::7]:
        lane_type = lane_types[group[0].lane_type]
        parts = lane_parts(lane_type.family)
        fitted = fitted_parts(group)
        kit = lane_kit(containers[group[0].container], lane_type, parts, lanes=len(group), fitted=fitted)
        assert (kit.take, kit.back) == ((), ()), group[0]


def test_a_week_of_readings_becomes_a_van_load(
    lanes: list[Lane], machines: dict[str, Machine], sales: dict[str, Sold]
) -> None:
    stops = []
    for asset, sold in sales.items():
        stops.append(refill(machines[asset], [x for x in lanes if x.asset == asset], sold.by_selection()))
        assert not stops[-1].notes
    assert [s.machine.asset for s in packing(stops)] == ["A0502", "A0436", "A0422", "A0417"]
    added = Counter(row.part_number for stop in stops for row in stop.lanes for _ in range(row.add))
    assert needed(stops) == dict(added)


def test_the_swapped_board_books_nothing(sales: dict[str, Sold]) -> None:
    assert sales["A0436"].units == 0
    assert sales["A0436"].swapped[0][0] == "control board"
    assert sales["A0417"].units > 50


def test_a_changed_pair_is_written_back_and_then_needs_nothing(
    lanes: list[Lane], containers: dict[str, Container], lane_types: dict[str, LaneType]
) -> None:
    pair = [lane for lane in lanes if lane.asset == "A0502" and lane.keyed == "1"]
    lane_type = lane_types[pair[0].lane_type]
    parts = lane_parts(lane_type.family)
    kit = lane_kit(containers["SLM250"], lane_type, parts, lanes=2, fitted=fitted_parts(pair))
    after = changed_lanes(pair, kit, "990-0001", date(2026, 11, 25))
    assert fitted_parts(after) == kit.wanted
    assert [(lane.container, lane.count) for lane in after] == [("SLM250", 0), ("SLM250", 0)]
    assert sum(lane.capacity for lane in after) == kit.capacity
    again = lane_kit(containers["SLM250"], lane_type, parts, lanes=2, fitted=fitted_parts(after))
    assert (again.take, again.back) == ((), ())
    with pytest.raises(Refused, match="for 2 lanes, 1 were given"):
        changed_lanes(pair[:1], kit, "990-0001", date(2026, 11, 25))
