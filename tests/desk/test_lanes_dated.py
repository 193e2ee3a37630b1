"""Dated cases on a depot: first expired goes first, past dates stay, opened cases on record and nothing lost."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.depot.cases import case_breaks, per_case
from partsbin.depot.catalogue import cautions_of, the_item
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_lines
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.depot.stock import on_hand
from partsbin.desk.dated import near_list, open_case, write_off_past
from partsbin.desk.monday import monday_report
from partsbin.desk.posting import Keyed, receive, transfer
from partsbin.desk.supplying import Wanted, supply
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import export_folder, import_file, import_folder
from tests.desk.lane_depot import build
from tests.lifting import FLOOR_LIFT, TWO_PEOPLE_KG, recommended_weight_kg


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.open(build(tmp_path)) as opened:
        yield opened


def issue(depot: Depot, quantity: str, **more: str) -> list[tuple[str, int]]:
    slip = transfer(depot, the_operator(depot), "issue", [Keyed("COLA", quantity, "B-01-01-1", **more)])
    return [(x.lot, x.quantity) for x in slip_lines(depot, slip)]


def past(depot: Depot, lot: str, days: int = 1) -> None:
    with depot.write():
        depot.run("UPDATE lots SET best_before = ? WHERE code = ?", (str(today(depot) - timedelta(days=days)), lot))


def test_the_first_to_expire_goes_and_another_lot_needs_a_reason(depot: Depot) -> None:
    assert issue(depot, "50") == [("C1", 48), ("C2", 2)]
    depot2 = depot
    transfer(depot2, the_operator(depot), "return", [Keyed("COLA", "48", "", "B-01-01-1", "C1")])
    with pytest.raises(Refused, match="C1 .* must go before C2"):
        issue(depot, "2", lot="C2")
    assert issue(depot, "2", lot="C2", reason="C1 is blocked in") == [("C2", 2)]


def test_what_is_past_its_date_stays_on_the_shelf(depot: Depot) -> None:
    past(depot, "C1")
    assert issue(depot, "2") == [("C2", 2)]
    with pytest.raises(Refused, match="C1 of COLA is past its date"):
        issue(depot, "2", lot="C1")
    with pytest.raises(Refused, match="Another 48 there are past their date"):
        issue(depot, "60")
    done = supply(
        depot,
        the_operator(depot),
        "cola",
        [Wanted("cola", the_item(depot, "COLA").id, 60)],
        target=the_place(depot, "VAN1"),
    )
    assert {x.lot for x in slip_lines(depot, done.slip)} == {"C2"}
    assert done.owed[0][1] == 60 - 46


def test_past_dates_are_written_off_with_a_reason(depot: Depot) -> None:
    past(depot, "C1")
    desk = the_operator(depot)
    with pytest.raises(Refused, match="needs a reason"):
        write_off_past(depot, desk, today(depot), " ")
    slip = write_off_past(depot, desk, today(depot), "past its date")
    assert [(x.part_number, x.lot, x.quantity, x.target) for x in slip_lines(depot, slip)] == [
        ("COLA", "C1", 48, "SCRAP")
    ]
    with pytest.raises(Refused, match="Nothing here is past its date"):
        write_off_past(depot, desk, today(depot), "past its date")


def test_the_near_list_counts_weeks_of_sale(depot: Depot) -> None:
    day = today(depot)
    with depot.write():
        depot.run("UPDATE lots SET best_before = ? WHERE code = 'C1'", (str(day + timedelta(weeks=3)),))
        depot.run("UPDATE lots SET best_before = ? WHERE code = 'C2'", (str(day + timedelta(weeks=5)),))
    issue(depot, "8")
    first, second = near_list(depot, day)
    assert (first.lot, first.weeks_left, first.weekly) == ("C1", 3.0, 1.0)
    assert (first.will_sell, first.left_over, first.held.words()) == (3, 37, "1 cs + 16")
    assert (second.will_sell, second.left_over) == (2, 46)
    assert near_list(depot, day, 0.0)[0].lot == "C1"


def test_monday_never_orders_what_the_date_cannot_sell(depot: Depot) -> None:
    desk = the_operator(depot)
    with depot.write():
        depot.run("UPDATE items SET shelf_life_days = 70 WHERE part_number = 'COLA'")
        depot.run("INSERT INTO suppliers (name, lead_time_days) VALUES ('Drinks Co', 7)")
        depot.run(
            "INSERT INTO item_suppliers (item_id, supplier_id, pack_size) "
            "SELECT i.id, s.id, 24 FROM items i, suppliers s WHERE i.part_number = 'COLA'"
        )
        depot.run(
            "INSERT INTO set_points (item_id, place_id, reorder_point, order_up_to) "
            "SELECT i.id, p.id, 96, 960 FROM items i, places p WHERE i.part_number = 'COLA' AND p.code = 'SHELF'"
        )
    issue(depot, "80")
    (line,) = (x for x in monday_report(depot, today(depot) + timedelta(days=7)).lines if x.low.part_number == "COLA")
    # 10 a week sell, 8 weeks are left of 10 less a margin of 2: 80, less what waits, in whole cases
    assert line.quantity <= 80
    assert line.quantity % 24 == 0
    assert "would not sell" in line.note
    assert desk.role == "lead"


def test_taking_part_of_a_case_puts_its_opening_on_record_once(depot: Depot) -> None:
    item = the_item(depot, "COLA")
    for quantity in ("6", "6", "12", "24"):
        issue(depot, quantity)
    assert [(b.lot, b.per_case) for b in case_breaks(depot, item.id)] == [("C1", 24)]
    issue(depot, "30")
    assert [b.lot for b in case_breaks(depot, item.id)] == ["C2", "C1"]


def test_a_case_opened_ahead_is_not_opened_again(depot: Depot) -> None:
    desk, item, place = the_operator(depot), the_item(depot, "COLA"), the_place(depot, "B-01-01-1")
    opened = open_case(depot, desk, item, place)
    assert (opened.before.words(), opened.after.words()) == ("2 cs", "1 cs + 24")
    assert opened.before.each == opened.after.each == 48
    issue(depot, "6")
    assert len(case_breaks(depot, item.id)) == 1
    assert case_breaks(depot, item.id)[0].slip is not None
    with pytest.raises(Refused, match="C1 .* must go before C2"):
        open_case(depot, desk, item, place, lot="C2")
    with pytest.raises(Refused, match="cannot open 9 of"):
        open_case(depot, desk, item, place, cases=9)


def test_cases_of_another_size_keep_it(depot: Depot) -> None:
    desk = the_operator(depot)
    receive(depot, desk, [Keyed("COLA", "2 cs of 35 + 3", "", "B-01-01-1", "C3", "2099-03-10")])
    assert on_hand(depot, the_item(depot, "COLA").id) == 96 + 73
    assert per_case(depot, depot.value("SELECT id FROM lots WHERE code = 'C3'")) == 35
    for wrong in ("2 cs of 0", "2 of 35", "2 dozen of 35"):
        with pytest.raises(Refused):
            receive(depot, desk, [Keyed("COLA", wrong, "", "B-01-01-1", "C4", "2099-03-10")])


def test_two_dates_under_one_lot_code_are_refused(depot: Depot) -> None:
    with pytest.raises(Refused, match="C1 is already here with best-before"):
        receive(depot, the_operator(depot), [Keyed("COLA", "24", "", "B-01-01-1", "C1", "2098-01-01")])


@pytest.mark.parametrize(("part", "code"), [("COLA", None), ("BIG", "HEAVY-CASE"), ("WATER", "HEAVY-CASE")])
def test_a_heavy_case_carries_its_caution_wherever_cautions_go(depot: Depot, part: str, code: str | None) -> None:
    found = [c for c in cautions_of(depot, the_item(depot, part).id) if c.code in ("LIFT", "HEAVY-CASE")]
    assert [c.code for c in found] == ([code] if code else [])
    assert all(" kg. " in c.text for c in found)


@pytest.mark.parametrize("grams", [9_800, 9_950, 15_900, 16_100, 23_500])
def test_the_limits_of_the_file_are_those_of_the_lifting_rule(depot: Depot, grams: int) -> None:
    with depot.write():
        depot.run("UPDATE case_forms SET gross_g = ? WHERE container = 'CAN355' AND quantity = 24", (grams,))
    codes = [c.code for c in cautions_of(depot, the_item(depot, "COLA").id)]
    assert bool(codes) == (grams / 1000 > round(recommended_weight_kg(FLOOR_LIFT), 1))
    assert (codes == ["LIFT"]) == (grams / 1000 > TWO_PEOPLE_KG)


def held(depot: Depot, lot: str) -> int:
    sql = (
        "SELECT ifnull(sum(s.quantity), 0) FROM stock s JOIN lots l ON l.id = s.lot_id "
        "JOIN places p ON p.id = s.place_id WHERE l.code = ? AND p.physical = 1"
    )
    return int(depot.value(sql, (lot,)))


STEP = st.tuples(st.integers(1, 60), st.booleans(), st.sampled_from(["", "C1", "C2"]), st.sampled_from(["", "dented"]))


@settings(max_examples=20, deadline=None)
@given(st.lists(STEP, max_size=5))
def test_an_older_lot_never_stays_behind_without_a_reason_and_opening_cases_loses_nothing(
    tmp_path_factory: pytest.TempPathFactory, steps: list[tuple[int, bool, str, str]]
) -> None:
    with Depot.open(build(tmp_path_factory.mktemp("fefo"))) as depot:
        desk, item, place = the_operator(depot), the_item(depot, "COLA"), the_place(depot, "B-01-01-1")
        left = 96
        for quantity, opens, lot, reason in steps:
            if opens and left >= 24:
                try:
                    open_case(depot, desk, item, place)
                except Refused as refused:
                    assert "cannot open" in str(refused)  # only what is not sealed any more
            try:
                taken = issue(depot, str(quantity), lot=lot, reason=reason)
            except Refused:
                taken = []
            left -= sum(units for _, units in taken)
            assert not (any(code == "C2" for code, _ in taken) and held(depot, "C1")) or reason
            assert on_hand(depot, item.id) == left == held(depot, "C1") + held(depot, "C2")
        assert differences(depot) == []


def test_an_open_case_stands_open_in_the_depot_its_export_makes(depot: Depot, tmp_path: Path) -> None:
    desk, item, place = the_operator(depot), the_item(depot, "COLA"), the_place(depot, "B-01-01-1")
    open_case(depot, desk, item, place)
    open_case(depot, desk, item, place, lot="C2", reason="dented")
    export_folder(depot, tmp_path / "out")
    with Depot.create(tmp_path / "again.depot") as other:
        import_folder(Import(other, the_operator(other)), tmp_path / "out")
        assert [(b.lot, b.at, b.reason, b.slip) for b in case_breaks(other)] == [
            (b.lot, b.at, b.reason, b.slip) for b in case_breaks(depot)
        ]
        import_file(Import(other, the_operator(other)), "open-cases", tmp_path / "out" / "open_cases.csv")
        issue(other, "6")
        assert [b.slip is None for b in case_breaks(other)] == [True, False]


def test_the_reason_a_case_was_opened_for_outlives_what_is_taken_from_it(depot: Depot, tmp_path: Path) -> None:
    desk, item, place = the_operator(depot), the_item(depot, "COLA"), the_place(depot, "B-01-01-1")
    open_case(depot, desk, item, place, reason="burst can")
    with depot.write():
        depot.run("UPDATE case_breaks SET at = '2026-01-01T08:00:00Z'")
    issue(depot, "6")
    issue(depot, "20")
    export_folder(depot, tmp_path / "out")
    with Depot.create(tmp_path / "again.depot") as other:
        import_folder(Import(other, the_operator(other)), tmp_path / "out")
        assert case_breaks(other) == case_breaks(depot)
        import_file(Import(other, the_operator(other)), "open-cases", tmp_path / "out" / "open_cases.csv")
        assert case_breaks(other) == case_breaks(depot)
        export_folder(other, tmp_path / "twice")
    assert (tmp_path / "twice" / "open_cases.csv").read_bytes() == (tmp_path / "out" / "open_cases.csv").read_bytes()
