"""Container and lane tables with other people's headers, units and notation."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.depot.containers import case_rows, container_rows, lane_type_rows
from partsbin.depot.file import Depot
from partsbin.depot.machines import lanes_of
from partsbin.depot.operators import the_operator
from partsbin.desk.lane_answers import answers
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.lane_headers import our_column, unit_of
from partsbin.exchange.tables import import_file
from partsbin.lengths import millimetres
from tests.desk.lane_depot import build


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.open(build(tmp_path)) as opened:
        yield opened


def take(depot: Depot, folder: Path, kind: str, text: str) -> None:
    path = folder / "theirs.csv"
    path.write_text(text, encoding="utf-8")
    import_file(Import(depot, the_operator(depot)), kind, path)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("66.1", 66.1),
        ("66,1 mm", 66.1),
        ("6.61cm", 66.1),
        ("2.6 in", 66.04),
        ('2 11/16"', 68.2625),
        ("1/4 inch", 6.35),
        ("2-11/16 in", 68.2625),
        ("x", None),
        ("", None),
        ("1/0 in", None),
        ("-4", None),
        ("211x413", None),
    ],
)
def test_lengths_are_read_in_any_unit(text: str, mm: float | None) -> None:
    assert millimetres(text) == mm


def test_headers_are_ours_or_their_twins() -> None:
    assert our_column("lane-types", "Inner width (in)") == "width_mm"
    assert our_column("containers", "grade(A=standard;B=page)") == "basis"
    assert our_column("machines", "Round") == "round"
    assert (unit_of("Inner width (in)"), unit_of("width"), unit_of("gross_kg")) == ("in", "", "kg")


def test_a_foreign_table_of_containers(depot: Depot, tmp_path: Path) -> None:
    text = (
        "ID;Name;Type;Volume ml;Can size;Body dia (in);Tol (in);Height (in);Weight (kg);Packs;Measured\n"
        'NIP187;"187 ml mini bottle";bottle;187;;1 15/16;0.02;7,1;0.31;24|2x12|35 film;yes\n'
        "TALL568;568 ml tall can;can;568;211/202/710;2.602;0.007;7.6;0.6;;\n"
    )
    take(depot, tmp_path, "containers", text)
    rows = {row["container"]: row for row in container_rows(depot)}
    assert {rows["NIP187"][c] for c in ("kind", "body_mm", "gross_g", "basis")} == {"pet", "49.2125", "310", "measured"}
    assert (rows["TALL568"]["body_mm"], rows["TALL568"]["basis"]) == ("66.0908", "estimate")
    cases = [(row["quantity"], row["wrap"]) for row in case_rows(depot) if row["container"] == "NIP187"]
    assert cases == [("24", ""), ("24", "2x12"), ("35", "film")]
    assert [a.fit.container.code for a in answers(depot, "568 tall", "T80")] == ["TALL568"]


def test_what_a_file_says_nothing_of_stays(depot: Depot, tmp_path: Path) -> None:
    before = next(row for row in container_rows(depot) if row["container"] == "SLM250")
    take(depot, tmp_path, "containers", "container,body_mm,tolerance_mm,height_mm,basis\nslm250,53,0.2,134,measured\n")
    after = next(row for row in container_rows(depot) if row["container"] == "SLM250")
    assert after == {**before, "body_mm": "53", "tolerance_mm": "0.2", "basis": "measured"}


@pytest.mark.parametrize("body", ["211", "202/211", "211x413"])
def test_a_can_size_is_never_taken_for_a_body(depot: Depot, tmp_path: Path, body: str) -> None:
    with pytest.raises(Refused, match="is a can size over the seam"):
        take(depot, tmp_path, "containers", f"container,body_mm,height_mm\nX1,{body},122\n")


def test_foreign_lane_types_lanes_and_spacers(depot: Depot, tmp_path: Path) -> None:
    take(
        depot,
        tmp_path,
        "lanes",
        "Tray,Machine,Inner width (in),Usable depth (in),Usable height (in),Pitch (in),Turns,Side,Pair\n"
        "TR9-A,TR-9,2 15/16,22,8,2 3/4,8,left,no\n",
    )
    (kind,) = [row for row in lane_type_rows(depot) if row["lane_type"] == "TR9-A"]
    assert (kind["width_mm"], kind["spacer_side"], kind["coupled"]) == ("74.6125", "L", "")
    items = "part_number,description,kind,fits\nQ1,Shim 5/8 inch left,spacer,TR9\nQ2,Shim 16 mm right,spacer,TR9\n"
    take(depot, tmp_path, "items", items)
    take(depot, tmp_path, "stock", "part_number,place,quantity\nQ1,A-01-01-1,2\nQ2,A-01-01-1,2\n")
    (answer,) = answers(depot, "250 slim", "TR9-A")
    assert ((("Q1", 1),), (15.88,), ()) in [(s.items, s.left_mm, s.right_mm) for s in answer.fit.sets]


def test_lanes_without_a_stated_spot_stand_by_their_numbers(depot: Depot, tmp_path: Path) -> None:
    take(depot, tmp_path, "machines", "Machine,Model,Location\nTR-1,TR-9,Hall\n")
    take(
        depot,
        tmp_path,
        "lanes",
        "Machine,Slot,Tray type,Product,Capacity,Count\n"
        "TR-1,11,T74,COLA,7,3\nTR-1,12,T74,,,\nTR-1,31,T74,,,\nTR-1,B2,T74,,,\n",
    )
    spots = {lane.lane: (lane.shelf, lane.position) for lane in lanes_of(depot, "TR-1")}
    assert spots == {"11": (1, 1), "12": (1, 2), "31": (3, 1), "B2": (2, 1)}
    take(depot, tmp_path, "lanes", "Machine,Slot,Tray type,Count\nTR-1,11,T74,5\n")
    lane = next(x for x in lanes_of(depot, "TR-1") if x.lane == "11")
    assert (lane.part_number, lane.capacity, lane.count) == ("COLA", 7, 5)
