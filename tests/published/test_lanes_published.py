"""Lanes against figures we did not make. The source stands beside each check."""

from __future__ import annotations

import csv
import importlib.util
import random
from pathlib import Path
from types import ModuleType

import pytest

from partsbin.depot.catalogue import cautions_of, the_item
from partsbin.depot.file import Depot
from partsbin.lanes.containers import Basis, Container, Kind, read_can_code
from partsbin.lanes.fit import SpacerStock, fit, lane_capacity
from partsbin.lanes.lane_types import CAN_LIMITS, LaneType, Side
from tests.desk.lane_depot import build
from tests.lifting import FLOOR_LIFT, LOAD_CONSTANT_KG, Lift, recommended_weight_kg

REPO = Path(__file__).parents[2]
REFERENCE = REPO.parent / "shared" / "reference"
KG_PER_LB = 0.45359237


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


# --- cans -----------------------------------------------------------------------------------------------------


def test_can_body_is_the_makers_figure_not_the_code() -> None:
    """Can makers' voluntary manual, excerpt at cancentral.com/beverage-cans/standards: 211 drinks can,
    body 2.602 +- 0.007 in, flanged height 4.812 +- 0.015 in.
    """
    can = next(row for row in rows(REPO / "seed" / "containers.csv") if row["container"] == "CAN355")
    body, spread = float(can["body_mm"]), float(can["tolerance_mm"])
    assert pytest.approx(body - spread, abs=0.06) == (2.602 - 0.007) * 25.4
    assert pytest.approx(body + spread, abs=0.06) == (2.602 + 0.007) * 25.4
    code = read_can_code(can["can_code"])
    assert code.body_over_seam_mm - body == pytest.approx(2.2, abs=0.05)
    assert code.height_in == 4.8125  # the flanged height of the same manual, to a sixteenth


# engineering-dictionary.com definition 767 and sizes.com/home/cans.htm: whole inches, then sixteenths.
@pytest.mark.parametrize(
    ("group", "inches", "mm"),
    [
        ("202", 2 + 2 / 16, 54.0),
        ("204", 2 + 4 / 16, 57.2),
        ("211", 2 + 11 / 16, 68.3),
        ("300", 3.0, 76.2),
        ("408", 4 + 8 / 16, 114.3),
        ("413", 4 + 13 / 16, 122.2),
        ("504", 5 + 4 / 16, 133.4),
        ("512", 5 + 12 / 16, 146.1),
        ("602", 6 + 2 / 16, 155.6),
        ("603", 6 + 3 / 16, 157.2),
        ("610", 6 + 10 / 16, 168.3),
    ],
)
def test_sixteenths(group: str, inches: float, mm: float) -> None:
    assert read_can_code(f"{group}x413").body_in == inches
    assert read_can_code(f"211x{group}").height_mm == pytest.approx(mm, abs=0.06)


# Both orders are in use (same two pages): the larger of the first two is the body.
@pytest.mark.parametrize("text", ["202/211x413", "211/202/413", "211/202x413", "202/211 x 413", "202/211×413"])
def test_both_orders_give_the_same_can(text: str) -> None:
    code = read_can_code(text)
    assert (code.body_in, code.neck_in, code.height_in) == (2.6875, 2.125, 4.8125)


# --- lanes ----------------------------------------------------------------------------------------------------

# Worked table made by brute force apart from this program: spacers 3, 6, 10, 15 mm, 4-10 mm play, at most two a side;
# columns are lane width, container, best on the left wall alone, best over both walls with the path within 4 mm of
# the middle, each with the play it leaves. The limits are common practice, no source.
WORKED = [
    (74, 53.0, ((15,), (), 6.0), ((3,), (10,), 8.0)),
    (74, 57.2, ((10,), (), 6.8), ((3,), (6,), 7.8)),
    (74, 64.0, ((), (), 10.0), ((), (), 10.0)),
    (74, 66.1, ((), (), 7.9), ((), (), 7.9)),
    (74, 73.5, None, None),
    (80, 53.0, ((10, 10), (), 7.0), ((10,), (10,), 7.0)),
    (80, 57.2, ((15,), (), 7.8), ((6,), (10,), 6.8)),
    (80, 64.0, ((10,), (), 6.0), ((), (6,), 10.0)),
    (80, 66.1, ((6,), (), 7.9), ((), (6,), 7.9)),
    (80, 73.5, ((), (), 6.5), ((), (), 6.5)),
    (92, 53.0, ((15, 15), (), 9.0), ((15,), (15,), 9.0)),
    (92, 57.2, ((15, 15), (), 4.8), ((15,), (15,), 4.8)),
    (92, 64.0, ((6, 15), (), 7.0), ((10,), (10,), 8.0)),
    (92, 66.1, ((3, 15), (), 7.9), ((10,), (10,), 5.9)),
    (92, 73.5, ((10,), (), 8.5), ((6,), (6,), 6.5)),
]
Stacks = tuple[tuple[float, ...], tuple[float, ...], float]


def best(width: float, body: float, side: Side) -> Stacks | None:
    found = ranked(width, body, side, [3, 6, 10, 15], 2)
    return found[0] if found else None


def ranked(width: float, body: float, side: Side, thicknesses: list[float], most: int) -> list[Stacks]:
    can = Container("C", "c", Kind.CAN, body, 0, 120, basis=Basis.MEASURED)
    lane = LaneType("L", "Borealis 40", width, 560, 300, max(10.0, body + 2), 9, 0, side, most)
    stock = [SpacerStock(f"S{t}", t, "", 99) for t in thicknesses]
    return [(s.left_mm, s.right_mm, s.slack_mm) for s in fit(can, lane, stock, CAN_LIMITS).sets]


@pytest.mark.parametrize(("width", "body", "left_only", "both"), WORKED)
def test_worked_table(width: float, body: float, left_only: Stacks | None, both: Stacks | None) -> None:
    assert best(width, body, Side.LEFT) == left_only
    assert best(width, body, Side.BOTH) == both


# Same worked source: depth, front gap 13 mm, pitch, container, turns -> capacity.
@pytest.mark.parametrize(
    ("pitch", "body", "turns", "holds", "why"),
    [
        (70, 66.1, 60, 7, ""),
        (70, 66.1, 7, 7, ""),
        (58.7, 57.2, 60, 9, ""),
        (66, 66.1, 60, 0, "too fine"),
        (80, 73.5, 60, 6, ""),
        (80, 53, 60, 0, "too coarse"),
    ],
)
def test_worked_capacities(pitch: float, body: float, turns: int, holds: int, why: str) -> None:
    can = Container("C", "c", Kind.CAN, body, 0, 120, basis=Basis.MEASURED)
    capacity, reason = lane_capacity(can, LaneType("L", "Borealis 40", 92, 560, 300, pitch, turns))
    assert capacity == holds
    assert why in reason


@pytest.fixture(scope="module")
def oracle() -> ModuleType:
    path = REFERENCE / "lanefit_oracle.py"
    if not path.is_file():
        pytest.skip("the brute-force lane fit is not beside this checkout")
    spec = importlib.util.spec_from_file_location("lane_oracle", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_brute_force_agrees_over_random_lanes(oracle: ModuleType) -> None:
    """An independent brute force over 600 random lanes: the same sets in the same order."""
    dice = random.Random(54)
    for _ in range(600):
        # The odd 0.03 keeps play off the limits themselves, where the last binary digit would decide.
        width, body = dice.randint(500, 1100) / 10, dice.randint(400, 900) / 10 + 0.03
        thicknesses = sorted(dice.sample([2, 3, 4.5, 6, 8, 10, 12.5, 15, 20], dice.randint(0, 5)))
        most, side = dice.randint(0, 2), dice.choice(list(Side))
        both, bound = side is Side.BOTH, 4 if side is Side.BOTH else None
        theirs = oracle.spacer_sets(width, body, 4, 10, thicknesses, most, side.value, both, None, bound)
        ours = ranked(width, body, side, thicknesses, most)
        assert [(len(left) + len(right), slack) for left, right, slack in ours] == [(r[0], r[5]) for r in theirs[:8]]
        if len(theirs) <= 8:
            assert {(left, right) for left, right, _ in ours} == {(r[3], r[4]) for r in theirs}


def test_brute_force_agrees_on_capacity(oracle: ModuleType) -> None:
    dice = random.Random(23)
    for _ in range(600):
        depth, pitch, body = dice.randint(60, 900), dice.randint(400, 1000) / 10, dice.randint(400, 900) / 10
        turns = dice.randint(1, 15)
        theirs, _ = oracle.capacity(depth, 13, 0, pitch, body, turns, 1.5, 20)
        can = Container("C", "c", Kind.CAN, body, 0, 120, basis=Basis.MEASURED)
        if abs(pitch - body - 1.5) > 1e-6 and abs(pitch - body - 20) > 1e-6:
            assert lane_capacity(can, LaneType("L", "F", 92, depth, 300, pitch, turns))[0] == theirs


# --- lifting --------------------------------------------------------------------------------------------------

# DHHS (NIOSH) 94-110, tables 1, 2, 3 and 4, metric columns; figures from memory of the tables.
BEST = Lift(reach_cm=25, height_cm=75, travel_cm=25)


@pytest.mark.parametrize(("reach", "factor"), [(25, 1.00), (28, 0.89), (30, 0.83), (40, 0.63), (50, 0.50), (63, 0.40)])
def test_horizontal_multiplier(reach: float, factor: float) -> None:
    lift = Lift(reach_cm=reach, height_cm=75, travel_cm=25)
    assert round(recommended_weight_kg(lift) / 23 + 1e-9, 2) == factor


@pytest.mark.parametrize(
    ("height", "factor"), [(0, 0.78), (30, 0.87), (50, 0.93), (75, 1.00), (100, 0.93), (150, 0.78), (175, 0.70)]
)
def test_vertical_multiplier(height: float, factor: float) -> None:
    lift = Lift(reach_cm=25, height_cm=height, travel_cm=25)
    assert recommended_weight_kg(lift) / 23 == pytest.approx(factor, abs=0.0051)


@pytest.mark.parametrize(("travel", "factor"), [(25, 1.00), (40, 0.93), (55, 0.90), (100, 0.87), (175, 0.85)])
def test_distance_multiplier(travel: float, factor: float) -> None:
    lift = Lift(reach_cm=25, height_cm=75, travel_cm=travel)
    assert recommended_weight_kg(lift) / 23 == pytest.approx(factor, abs=0.0051)


@pytest.mark.parametrize(("twist", "factor"), [(0, 1.00), (45, 0.86), (90, 0.71), (135, 0.57)])
def test_twist_multiplier(twist: float, factor: float) -> None:
    lift = Lift(reach_cm=25, height_cm=75, travel_cm=25, twist_deg=twist)
    assert recommended_weight_kg(lift) / 23 == pytest.approx(factor, abs=0.0051)


def test_load_constant() -> None:
    """DHHS (NIOSH) 94-110: 23 kg (51 lb) under ideal conditions; 136 degrees of twist or 64 cm of reach allow none."""
    assert recommended_weight_kg(BEST) == pytest.approx(23)
    assert recommended_weight_kg(Lift(25, 75, 25, twist_deg=136)) == 0
    assert recommended_weight_kg(Lift(64, 75, 25)) == 0


@pytest.mark.parametrize(("height_in", "coupling", "pounds"), [(15, 0.95, 16.3), (64, 1.0, 14.5)])
def test_worked_example_of_the_manual(height_in: float, coupling: float, pounds: float) -> None:
    """DHHS (NIOSH) 94-110, first example (loading stock into a press): reach 23 in, 15 to 64 in high, fair grip;
    recommended weights 16.3 lb at the start and 14.5 lb at the end. From memory. The manual multiplies table values
    rounded up to hundredths, in inches: together up to 6 % above the metric equation, never below it.
    """
    lift = Lift(23 * 2.54, height_in * 2.54, 49 * 2.54, coupling=coupling)
    assert 0.94 * pounds <= recommended_weight_kg(lift) / KG_PER_LB <= pounds


# --- case weights ---------------------------------------------------------------------------------------------


def test_demo_case_weights_are_contents_and_a_little_packaging() -> None:
    """Fill at 1.00 to 1.05 g/ml plus an empty can or bottle; 0.1 to 0.3 kg of tray and film is common practice."""
    containers = {row["container"]: row for row in rows(REPO / "seed" / "containers.csv")}
    for row in rows(REPO / "seed" / "case_forms.csv"):
        container, quantity = containers[row["container"]], int(row["quantity"])
        packaging = int(row["gross_g"]) - quantity * int(container["gross_g"])
        assert -50 <= packaging <= 350, row  # weights are to 100 g
        per_ml = int(container["gross_g"]) / int(container["nominal_ml"])
        assert 1.0 < per_ml < 1.13, container["container"]


def test_case_weight_table_agrees_on_what_is_too_heavy(tmp_path: Path) -> None:
    path = REFERENCE / "case_packs.csv"
    if not path.is_file():
        pytest.skip("the case weight table is not beside this checkout")
    with Depot.open(build(tmp_path)) as depot:
        cola = the_item(depot, "COLA").id
        for row in rows(path):
            kg = float(row["case_gross_kg_computed"])
            with depot.write():
                depot.run(
                    "UPDATE case_forms SET gross_g = ? WHERE container = 'CAN355' AND quantity = 24",
                    (round(kg * 1000),),
                )
            said = [caution.text for caution in cautions_of(depot, cola)]
            assert bool(said) == (row["over_9.9kg_floor_lift_guide"] == "Y"), row
            assert all(f"{kg:.1f} kg" in text for text in said), row
            assert (kg > LOAD_CONSTANT_KG) == (row["over_23kg_load_constant"] == "Y"), row


def test_floor_lift_guide() -> None:
    """Floor to waist, arms out 38 cm, one a minute: 9.9 kg by the equation (grip and travel as stated there)."""
    assert recommended_weight_kg(FLOOR_LIFT) == pytest.approx(9.9, abs=0.05)
