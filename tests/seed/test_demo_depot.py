"""The demo depot's files: whole, consistent, rebuilt byte for byte, and in the state a good demonstration needs."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from collections import Counter, defaultdict
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

REPO = Path(__file__).resolve().parents[2]
SEED = REPO / "seed"
DEMO_DAY = "2026-11-25"
OUTSIDE = {"SUPPLIER", "JOB", "SCRAP"}
GENERATED = ["items", "item_suppliers", "places", "setpoints", "orders", "requests", "moves"]


@cache
def rows(name: str) -> list[dict[str, str]]:
    with (SEED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def items() -> dict[str, dict[str, str]]:
    return {row["part_number"]: row for row in rows("items")}


def listed(text: str) -> list[str]:
    return text.split("|") if text else []


@cache
def replayed() -> dict[tuple[str, str, str], int]:
    """Stock by item, place and lot after every row in file order; a place below zero ends the replay."""
    stock: dict[tuple[str, str, str], int] = defaultdict(int)
    for line, row in enumerate(rows("moves"), 2):
        quantity, number, lot = int(row["quantity"]), row["part_number"], row["lot"]
        target = (number, row["to_location"], lot)
        if row["type"] == "count":
            stock[target] = quantity
            continue
        source = (number, row["from_location"], lot)
        if row["from_location"] not in OUTSIDE:
            stock[source] -= quantity
            assert stock[source] >= 0, f"moves.csv line {line}: {source} would hold {stock[source]}"
        if row["to_location"] not in OUTSIDE:
            stock[target] += quantity
    return stock


def on_shelf(number: str) -> int:
    bins = {row["place"] for row in rows("places") if row["kind"] == "bin"}
    return sum(quantity for (part, place, _), quantity in replayed().items() if part == number and place in bins)


def on_order() -> Counter[str]:
    """What open orders still bring: ordered less what the moves received on their lines."""
    came: Counter[str] = Counter()
    for row in rows("moves"):
        if row["order"]:
            came[row["order"]] += int(row["quantity"])
    coming: Counter[str] = Counter()
    for row, line in order_lines():
        coming[row["part_number"]] += int(row["quantity"]) - came[f"{row['order']}#{line}"] if not row["closed"] else 0
    return coming


def order_lines() -> list[tuple[dict[str, str], int]]:
    seen: Counter[str] = Counter()
    found = []
    for row in rows("orders"):
        seen[row["order"]] += 1
        found.append((row, seen[row["order"]]))
    return found


# -- the catalogue -------------------------------------------------------------------------------------------


def test_the_catalogue_is_large_and_covers_every_group_of_the_trade() -> None:
    assert len(items()) >= 350
    groups = Counter(row["category"] for row in items().values())
    expected = {"delivery", "door", "payment", "control", "refrigeration", "cabinet", "fastener", "kit", "drinks"}
    assert expected <= set(groups)
    assert groups["drinks"] == 50
    assert len({row["description"] for row in items().values()}) == len(items())


def test_every_reference_leads_somewhere() -> None:
    places = {row["place"] for row in rows("places")}
    suppliers = {row["supplier"] for row in rows("suppliers")}
    cautions = {row["code"] for row in rows("cautions")}
    containers = {row["container"] for row in rows("containers")} | {""}
    for row in items().values():
        linked = [row["opposite_hand"], row["superseded_by"], *listed(row["substitutes"])]
        linked += [part.split("*")[0] for part in listed(row["kit"])]
        assert set(filter(None, linked)) <= set(items()), row["part_number"]
        assert set(listed(row["cautions"])) <= cautions, row["part_number"]
        assert set(listed(row["fits"])) <= {"Borealis 40", "Cascade 54", "Drift 9"}
        assert row["home_bin"] in places | {""}
        assert row["container"] in containers
        assert row["supplier"] in suppliers or row["kit"]
    assert {row["part_number"] for row in rows("item_suppliers")} <= set(items())
    assert {row["supplier"] for row in rows("item_suppliers")} <= suppliers


def test_left_and_right_point_at_each_other_and_say_from_where_they_are_seen() -> None:
    handed = [row for row in items().values() if row["hand"]]
    assert len(handed) >= 80
    for row in handed:
        other = items()[row["opposite_hand"]]
        assert other["opposite_hand"] == row["part_number"]
        assert {row["hand"], other["hand"]} == {"LH", "RH"}
        assert row["hand"] in row["description"]
        assert row["description"].replace("LH", "RH") == other["description"].replace("LH", "RH")
        assert row["viewpoint"]


@pytest.mark.parametrize(
    ("family", "pattern", "least"),
    [
        ("DLV-SPC", r"(3|6|10|15) mm (LH|RH|universal)", 24),
        ("DLV-COIL", r"\d+ count (LH|RH) wind", 30),
        ("DLV-MTR", r"(24 V DC|115 V AC|230 V AC)", 12),
        ("REF-CFAN", r"(CW|CCW)$", 8),
        ("CTL-FUSE", r"(slow|fast) \([TF]\) (5x20|6x32) mm", 16),
        ("DOR-LED", r"\d+ mm (12|24) V DC", 8),
        ("CAB-LEG", r"(M12|1/2-13|M16) x \d+ mm", 5),
        ("CTL-MAIN", r"rev [ABC]", 7),
    ],
)
def test_near_duplicates_stand_side_by_side(family: str, pattern: str, least: int) -> None:
    texts = [row["description"] for row in items().values() if row["family"] == family]
    assert sum(bool(re.search(pattern, text)) for text in texts) >= least


def test_old_numbers_lead_to_a_live_one_through_chains() -> None:
    lengths = []
    for row in items().values():
        steps, here = 0, row
        while here["superseded_by"]:
            here = items()[here["superseded_by"]]
            steps += 1
            assert steps < 10
        lengths.append(steps)
        assert not (steps and here["retired"])
    assert max(lengths) >= 2
    assert sum(1 for row in items().values() if row["retired"]) >= 5


def test_drinks_carry_numbers_no_company_can_own_and_their_check_digits_hold() -> None:
    """GS1 General Specifications: prefix 040 is kept inside one company; weights 3 and 1 from the right, modulo 10."""
    seen = set()
    for row in (row for row in items().values() if row["category"] == "drinks"):
        single, case = listed(row["gtin"])
        assert single.endswith("*1")
        for digits in (single.removesuffix("*1"), case):
            assert digits[-13:-10] == "040"
            assert sum(int(d) * (3 if place % 2 else 1) for place, d in enumerate(reversed(digits))) % 10 == 0
            seen.add(digits)
        assert row["tracking"] == "lot"
        assert int(row["shelf_life_days"]) > 60
        assert int(row["pack_size"]) in (12, 24, 30)
    assert len(seen) == 100


def test_dangerous_parts_carry_their_cards_most_severe_first() -> None:
    severity = {row["code"]: int(row["severity"]) for row in rows("cautions")}
    assert 12 <= len(severity) <= 18
    for row in items().values():
        text, codes = row["description"], listed(row["cautions"])
        if not row["kit"]:
            assert [severity[code] for code in codes] == sorted(severity[code] for code in codes), text
        if "R-290" in text:
            assert "FLAMMABLE" in codes, text
        if re.search(r"\b(115|230) V\b", text) and row["family"] not in ("REF-DECK", "REF-COMP", "PAY-BELT"):
            assert {"MAINS", "HOT"} & set(codes), text
        if row["weight_g"].isdigit() and int(row["weight_g"]) >= 10_000:
            assert "LIFT" in codes, text


def test_first_checks_are_numbered_from_the_cheapest_and_belong_to_families_we_stock() -> None:
    families = {row["family"] for row in items().values()}
    by_list = defaultdict(list)
    for row in rows("first_checks"):
        assert row["family"] in families
        by_list[row["family"], row["symptom"]].append(int(row["sequence"]))
    assert all(numbers == list(range(1, len(numbers) + 1)) for numbers in by_list.values())


# -- places and people ---------------------------------------------------------------------------------------


def test_two_aisles_a_cage_a_cell_cabinet_and_five_vans_with_drawers() -> None:
    kinds = Counter(row["kind"] for row in rows("places"))
    zones = {row["zone"] for row in rows("places")}
    assert kinds["van"] == 5
    assert kinds["drawer"] >= 10
    assert {"cage", "cell cabinet"} <= zones
    assert {row["place"][0] for row in rows("places") if row["kind"] == "bin"} >= {"A", "B"}
    homes = Counter(row["home_bin"] for row in items().values() if row["home_bin"])
    assert max(homes.values()) == 1
    assert kinds["bin"] > len(homes)
    vans = sorted(row["van"] for row in rows("operators") if row["role"] == "technician")
    assert vans == ["VAN1", "VAN2", "VAN3", "VAN4", "VAN5"]


# -- half a year of moves ------------------------------------------------------------------------------------


def test_no_place_ever_goes_below_zero_and_time_runs_forward() -> None:
    replayed()
    times = [row["date"] for row in rows("moves")]
    assert times == sorted(times)
    assert 8_000 <= len(times) <= 12_000
    assert times[0].startswith("2026-05-25")
    assert times[-1] < "2026-11-23"


def test_moves_happen_in_working_hours_of_26_weeks() -> None:
    weeks = set()
    for text in {row["date"] for row in rows("moves")}:
        ahead = 3 if text < "2026-11-01T06" else 4  # the depot's summer and winter time
        local = datetime.fromisoformat(text) - timedelta(hours=ahead)
        assert local.weekday() < 5, text
        assert 6 <= local.hour < 18, text
        weeks.add(local.date().isocalendar()[:2])
    assert len(weeks) == 26


def test_moves_name_known_items_places_people_and_every_kind_of_move() -> None:
    places = {row["place"] for row in rows("places")} | OUTSIDE
    people = {row["initials"] for row in rows("operators")}
    for row in rows("moves"):
        assert row["part_number"] in items()
        assert row["from_location"] in places or row["type"] == "count"
        assert row["to_location"] in places
        assert row["operator"] in people
    kinds = {row["type"] for row in rows("moves")}
    assert kinds == {"receipt", "checkout", "issue", "return", "move", "scrap", "count"}


def test_what_is_tracked_by_lot_or_serial_moves_with_one() -> None:
    where: dict[tuple[str, str], str] = {}
    for row in rows("moves"):
        tracking = items()[row["part_number"]]["tracking"]
        assert bool(row["lot"]) == (tracking == "lot"), row
        assert bool(row["serial"]) == (tracking == "serial"), row
        if row["serial"]:
            key = (row["part_number"], row["serial"])
            assert row["quantity"] == "1"
            assert where.get(key, "SUPPLIER") == row["from_location"], row
            where[key] = row["to_location"]
        if items()[row["part_number"]]["category"] == "drinks" and row["type"] in ("checkout", "issue"):
            assert row["best_before"] >= row["date"][:10], row


def test_jobs_take_several_parts_together() -> None:
    jobs = defaultdict(set)
    for row in rows("moves"):
        if row["type"] == "issue":
            jobs[row["reference"]].add(items()[row["part_number"]]["family"])
    assert len(jobs) > 1000
    assert sum(1 for families in jobs.values() if len(families) > 1) > 300
    assert sum(1 for families in jobs.values() if {"DLV-MTR", "DLV-BUSH"} <= families) > 50


def test_demand_runs_from_weekly_to_a_few_a_year() -> None:
    weeks = defaultdict(set)
    for row in rows("moves"):
        if row["type"] == "issue":
            weeks[row["part_number"]].add(date.fromisoformat(row["date"][:10]).isocalendar()[1])
    counts = [len(found) for found in weeks.values()]
    assert sum(1 for count in counts if count >= 13) > 25
    assert sum(1 for count in counts if count <= 3) > 80
    assert Counter(row["service"] for row in items().values()).keys() >= {"fast", "medium", "slow"}


# -- the day it is shown -------------------------------------------------------------------------------------


def test_every_kept_item_has_a_shelf_point_and_vans_carry_what_moves() -> None:
    shelf = {row["part_number"] for row in rows("setpoints") if row["place"] == "SHELF"}
    kept = {n for n, row in items().items() if not (row["kit"] or row["retired"] or row["superseded_by"])}
    assert shelf == kept
    for row in rows("setpoints"):
        assert 0 <= int(row["reorder_point"]) <= int(row["order_up_to"])
        if row["place"] != "SHELF":
            assert items()[row["part_number"]]["service"] != "slow"
            assert items()[row["part_number"]]["disposition"] != "controlled"


def test_some_shelves_stand_below_their_point_over_several_suppliers() -> None:
    coming = on_order()
    promised = Counter({r["part_number"]: int(r["quantity"]) for r in rows("requests") if r["status"] == "promised"})
    low = [
        row["part_number"]
        for row in rows("setpoints")
        if row["place"] == "SHELF"
        and on_shelf(row["part_number"]) + coming[row["part_number"]] - promised[row["part_number"]]
        <= int(row["reorder_point"])
    ]
    assert 15 <= len(low) <= 30
    assert len({items()[number]["supplier"] for number in low}) >= 4


def test_vans_are_below_par_and_some_of_it_is_not_on_the_shelf() -> None:
    aboard: Counter[tuple[str, str]] = Counter()
    for (number, place, _), quantity in replayed().items():
        if place.startswith("VAN"):
            aboard[number, place.split("-")[0]] += quantity
    below, short = Counter(), set()
    for row in (row for row in rows("setpoints") if row["place"] != "SHELF"):
        here = aboard[row["part_number"], row["place"]]
        if here <= int(row["reorder_point"]):
            below[row["place"]] += 1
            if on_shelf(row["part_number"]) < int(row["order_up_to"]) - here:
                short.add(row["part_number"])
    assert len(below) == 5
    assert min(below.values()) >= 3
    assert len(short) >= 2


def test_two_orders_are_overdue_and_promises_are_short() -> None:
    late = {row["order"] for row in rows("orders") if not row["closed"] and row["expected_on"] < DEMO_DAY}
    assert len(late) == 2
    promised = [row for row in rows("requests") if row["status"] == "promised"]
    assert len(promised) == 3
    assert all(on_shelf(row["part_number"]) < int(row["quantity"]) for row in promised)
    assert sum(1 for row in rows("requests") if row["status"] == "asked") >= 3


def test_receipts_never_exceed_their_order_lines() -> None:
    came: Counter[str] = Counter()
    for row in rows("moves"):
        if row["order"]:
            came[row["order"]] += int(row["quantity"])
    for row, line in order_lines():
        assert came[f"{row['order']}#{line}"] <= int(row["quantity"])
        assert (came[f"{row['order']}#{line}"] == int(row["quantity"])) or not row["closed"]


def test_some_dated_cases_will_not_sell_in_time() -> None:
    used: Counter[str] = Counter()
    dates = {}
    for row in rows("moves"):
        dates[row["part_number"], row["lot"]] = row["best_before"]
        if row["type"] == "issue" and row["date"] > "2026-09-25":
            used[row["part_number"]] += int(row["quantity"])
    stale = set()
    for (number, _, lot), quantity in replayed().items():
        best = dates.get((number, lot))
        if quantity and best and best < "2027-02":
            weeks = max(0, (date.fromisoformat(best) - date.fromisoformat(DEMO_DAY)).days) / 7
            if quantity > used[number] / 8.7 * weeks:
                stale.add(number)
    assert len(stale) >= 3


def test_the_generator_writes_the_same_bytes_again(tmp_path: Path) -> None:
    subprocess.run([sys.executable, SEED / "build_demo.py", tmp_path], check=True, timeout=60)
    for name in GENERATED:
        assert (tmp_path / f"{name}.csv").read_bytes() == (SEED / f"{name}.csv").read_bytes(), name


def test_files_are_plain_utf8_with_lf_and_no_double_rows() -> None:
    for path in SEED.glob("*.csv"):
        body = path.read_bytes()
        assert not body.startswith(b"\xef\xbb\xbf"), path.name
        assert b"\r" not in body, path.name
        body.decode("utf-8")
    for name, key in (("items", "part_number"), ("places", "place"), ("operators", "badge"), ("suppliers", "supplier")):
        values = [row[key] for row in rows(name)]
        assert len(values) == len(set(values)), name
