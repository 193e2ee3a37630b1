"""The Monday report: what is due and how much of it, what is left out and why, the same week twice."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import pytest

from partsbin.depot.asks import Asked, keep_request
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator, the_operator
from partsbin.depot.orders import close_order, open_lines, place_order
from partsbin.depot.places import the_place
from partsbin.depot.reorder import count_low, low
from partsbin.desk.monday import MondayReport, Reorder, monday_report, order_from_report, write_csv
from partsbin.desk.order_sheet import OrderSheet
from partsbin.desk.ordering import Terms, figures_of, fill_up, place, terms, total_words, with_quantity
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

MONDAY = date(2026, 11, 23)
FILES = {
    "cautions": "code,word,text,severity,basis\nMAINS,DANGER,Mains voltage: unplug first.,1,local code\n",
    "suppliers": """supplier,lead_time_days,minimum_order,free_carriage,order_days
Northgate,7,100.00,400.00,mon|thu
Pell,3,,,
""",
    "items": """part_number,description,supplier,supplier_part_number,cost,pack_size,minimum,cautions,superseded_by,\
shelf_life_days
MTR,Motor,Northgate,NG-1,10.00,1,,MAINS,,
SCR,Screw,Northgate,NG-2,0.05,100,200,,,
CLP,Clip,Northgate,NG-3,2.00,5,,,,
OLD,Old board,Northgate,NG-4,50.00,1,,,NEW,
NEW,New board,Northgate,NG-5,55.00,1,,,,
COLA,Cola can,Pell,P-1,0.50,24,,,,90
LOST,Nobody sells it,,,,1,,,,
""",
    "stock": """part_number,place,lot,quantity,best_before
MTR,A-01-01-1,,2,
SCR,A-01-02-1,,50,
CLP,A-01-03-1,,9,
COLA,B-01-01-1,L1,10,2026-12-20
""",
    "setpoints": """part_number,place,reorder_point,order_up_to
MTR,SHELF,3,8
SCR,SHELF,60,180
CLP,SHELF,4,12
OLD,SHELF,1,2
NEW,SHELF,0,2
COLA,SHELF,20,60
LOST,SHELF,1,2
MTR,VAN1,5,9
""",
}


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.create(tmp_path / "m.depot") as made:
        job = Import(made, the_operator(made))
        (tmp_path / "places.csv").write_text(
            "place,kind\nVAN1,van\nA-01-01-1,bin\nA-01-02-1,bin\nA-01-03-1,bin\nB-01-01-1,bin\n"
        )
        import_file(job, "places", tmp_path / "places.csv")
        for kind, text in FILES.items():
            (tmp_path / f"{kind}.csv").write_text(text)
            import_file(job, kind, tmp_path / f"{kind}.csv")
        yield made


@pytest.fixture
def desk(depot: Depot) -> Operator:
    return the_operator(depot)


def by_part(report: MondayReport) -> dict[str, Reorder]:
    return {line.low.part_number: line for line in report.lines}


def test_due_items_are_ordered_up_to_their_level_in_whole_packs_and_at_least_the_minimum(depot: Depot):
    lines = by_part(monday_report(depot, MONDAY))
    assert lines["MTR"].quantity == 6  # 8 - 2; the van's par is kept by restocking
    assert lines["SCR"].quantity == 200  # 130 wanted, at least 200
    assert "CLP" not in lines  # 9 stands above 4
    assert lines["MTR"].value == 6000
    assert lines["LOST"].value is None and lines["LOST"].low.supplier == ""


def test_what_today_counts_as_due_is_what_monday_orders(depot: Depot, desk: Operator):
    assert count_low(depot) == len(low(depot)) > 0
    depot.run("UPDATE item_suppliers SET preferred = 1")  # two of them would be two rows for one item
    depot.run(
        "INSERT INTO item_suppliers (item_id, supplier_id, preferred) VALUES (?, 2, 1)", (the_item(depot, "MTR").id,)
    )
    keep_request(depot, "clips", [Asked("clips", the_item(depot, "CLP").id, 5, promised=True)], operator=desk)
    assert count_low(depot) == len(low(depot))


def test_suppliers_come_by_name_and_those_nobody_sells_last(depot: Depot):
    assert [name for name, _ in monday_report(depot, MONDAY).by_supplier()] == ["Northgate", "Pell", ""]


def test_what_is_promised_makes_an_item_due(depot: Depot, desk: Operator):
    keep_request(depot, "clips", [Asked("clips", the_item(depot, "CLP").id, 5, promised=True)], operator=desk)
    clip = by_part(monday_report(depot, MONDAY))["CLP"]
    assert (clip.low.position, clip.quantity) == (4, 10)  # 12 - 4 = 8, packs of 5


def test_two_promises_do_not_count_on_the_same_piece(depot: Depot, desk: Operator):
    clip = the_item(depot, "CLP").id  # 9 on the shelf
    for quantity in (6, 5, 2):
        keep_request(depot, "clips", [Asked("clips", clip, quantity, promised=True)], operator=desk)
    short = monday_report(depot, MONDAY).short
    assert [(x.owed.due, x.on_shelf) for x in short] == [(5, 3), (2, 0)]


def test_a_superseded_item_is_told_of_and_not_ordered(depot: Depot, desk: Operator):
    report = monday_report(depot, MONDAY)
    old = by_part(report)["OLD"]
    assert old.quantity == 0 and "superseded by NEW" in old.note
    order = order_from_report(depot, desk, report, "Northgate")
    assert {line.part_number for line in open_lines(depot, order)} == {"MTR", "SCR", "NEW"}


def test_dated_items_nobody_uses_are_cut_and_told(depot: Depot):
    cola = by_part(monday_report(depot, MONDAY))["COLA"]
    assert cola.quantity == 0 and cola.cut and "more would not sell before its date" in cola.note
    assert [d.part_number for d in monday_report(depot, MONDAY).dated] == ["COLA"]


def test_any_day_of_a_week_gives_the_same_report(depot: Depot):
    assert len({monday_report(depot, date(2026, 11, day)) for day in range(23, 30)}) == 1


def test_nothing_due_is_an_empty_report(tmp_path: Path):
    with Depot.create(tmp_path / "empty.depot") as empty:
        report = monday_report(empty, MONDAY)
    assert (report.lines, report.overdue, report.short, report.dated) == ((), (), (), ())


def test_the_csv_carries_the_sums_and_the_cautions(depot: Depot, tmp_path: Path):
    write_csv(depot, monday_report(depot, MONDAY), tmp_path / "out.csv")
    rows = {row["part_number"]: row for row in csv.DictReader((tmp_path / "out.csv").open())}
    motor = rows["MTR"]
    assert (motor["position"], motor["quantity"], motor["line_total"]) == ("2", "6", "60.00")
    assert (motor["supplier_part_number"], motor["cautions"]) == ("NG-1", "MAINS")


def test_an_unknown_supplier_is_refused_with_those_that_have_lines(depot: Depot, desk: Operator):
    with pytest.raises(Refused, match="no lines for “Nordgate”. Suppliers with lines: Northgate; Pell"):
        order_from_report(depot, desk, monday_report(depot, MONDAY), "Nordgate")


def test_an_order_is_expected_after_the_lead_time_from_the_next_order_day(depot: Depot, desk: Operator):
    later = date(2099, 1, 6)  # a Tuesday, so that the day the test runs does not matter
    motor = by_part(monday_report(depot, MONDAY))["MTR"]
    order = place(depot, desk, [motor], later)
    assert open_lines(depot, order)[0].expected_on == "2099-01-15"  # Thursday 8 January + 7 days


def test_lines_without_a_supplier_are_refused(depot: Depot, desk: Operator):
    with pytest.raises(Refused, match="name no supplier"):
        place(depot, desk, [by_part(monday_report(depot, MONDAY))["LOST"]], MONDAY)


def test_what_another_terminal_ordered_meanwhile_is_not_ordered_twice(depot: Depot, desk: Operator):
    report = monday_report(depot, MONDAY)
    place(depot, desk, [by_part(report)["MTR"]], MONDAY)
    with pytest.raises(Refused, match="6 MTR were ordered meanwhile"):
        order_from_report(depot, desk, report, "Northgate")
    assert len({line.order for line in open_lines(depot)}) == 1


def test_ordered_items_leave_the_report_and_a_closed_order_brings_them_back(depot: Depot, desk: Operator):
    order = place(depot, desk, [by_part(monday_report(depot, MONDAY))["MTR"]], MONDAY)
    assert "MTR" not in by_part(monday_report(depot, MONDAY))
    close_order(depot, order)
    assert "MTR" in by_part(monday_report(depot, MONDAY))


def test_all_that_is_on_order_counts_towards_the_position(depot: Depot, desk: Operator):
    motor, supplier = the_item(depot, "MTR"), terms(depot)["Northgate"].supplier_id
    for quantity in (3, 4):
        place_order(depot, supplier, [(motor.id, quantity, None)], operator=desk)
    low = figures_of(depot, motor)
    assert (low.on_hand, low.on_order, low.position) == (2, 7, 9)
    assert figures_of(depot, the_item(depot, "OLD")).superseded_by == "NEW"


def test_late_orders_are_those_expected_before_that_weeks_monday(depot: Depot, desk: Operator):
    motor = the_item(depot, "MTR").id
    supplier = terms(depot)["Northgate"].supplier_id
    place_order(depot, supplier, [(motor, 1, None)], operator=desk, expected_on="2026-11-20")
    place_order(depot, supplier, [(motor, 1, None)], operator=desk, expected_on="2026-11-24")
    assert [line.expected_on for line in monday_report(depot, date(2026, 11, 26)).overdue] == ["2026-11-20"]


# -- quantities, terms, filling up -------------------------------------------------------------------------


def test_a_quantity_is_rounded_up_with_a_word(depot: Depot):
    lines = by_part(monday_report(depot, MONDAY))
    line, said = with_quantity(lines["MTR"], 7)
    assert (line.quantity, line.value, said) == (7, 7000, "")
    line, said = with_quantity(lines["SCR"], 110)
    assert (line.quantity, said) == (200, "110 became 200: Northgate sells whole packs of 100 and at least 200.")
    line, said = with_quantity(lines["COLA"], 30)
    assert line.quantity == 48 and "More than 0 will not sell before its date" in said


def test_totals_say_how_far_the_terms_are():
    named = Terms(1, "Northgate", 10000, 40000, ())
    assert total_words(6000, 1, named, "CAD") == (
        "60.00 CAD · 1 without a price · 40.00 below the minimum of 100.00 · 340.00 more for free carriage at 400.00"
    )
    assert total_words(40000, 0, named, "CAD") == "400.00 CAD · minimum 100.00 reached · carriage free from 400.00"
    assert (named.goal(6000), named.goal(20000), named.goal(40000)) == (10000, 40000, 0)


def test_an_order_is_filled_up_with_what_is_needed_soonest_and_nothing_else(
    depot: Depot, desk: Operator, tmp_path: Path
):
    moves = "date,type,part_number,from_location,to_location,quantity\n"
    moves += "".join(f"2026-{month:02d}-03,issue,CLP,A-01-03-1,JOB,1\n" for month in range(7, 12))
    (tmp_path / "moves.csv").write_text(moves)
    import_file(Import(depot, desk), "moves", tmp_path / "moves.csv")
    motor = by_part(monday_report(depot, MONDAY))["MTR"]  # 60.00 of the 100.00 Northgate asks for
    others = {the_item(depot, part).id for part in ("NEW", "SCR")}  # due as well, but left out on purpose
    more = fill_up(depot, "Northgate", [motor], 10000, MONDAY, left_out=others)
    assert [line.low.part_number for line in more] == ["CLP"], "the only part with use: the rest would be padding"
    assert more[0].quantity % 5 == 0
    assert fill_up(depot, "Northgate", [motor], 10000, MONDAY, left_out={*others, more[0].low.item_id}) == ()
    assert fill_up(depot, "Northgate", [motor], 6000, MONDAY) == (), "the goal is reached"


# -- the report being worked on ----------------------------------------------------------------------------


def test_changes_survive_a_fresh_report_and_a_restart(depot: Depot):
    sheet = OrderSheet(depot, monday_report(depot, MONDAY))
    sheet.set_quantity(sheet.line(the_item(depot, "MTR").id), 9)
    sheet.line(the_item(depot, "SCR").id).skipped = True
    sheet.add(depot, the_item(depot, "CLP"), 3)
    again = OrderSheet(depot, monday_report(depot, MONDAY), sheet.edits())
    assert again.edits() == sheet.edits() and again.edited
    final = by_part(again.final())
    assert final["MTR"].quantity == 9 and "SCR" not in final and final["CLP"].quantity == 5
    again.drop_changes()
    assert not again.edited


def test_groups_add_up_what_goes(depot: Depot):
    sheet = OrderSheet(depot, monday_report(depot, MONDAY))
    group = sheet.group("Northgate")
    assert group.total == 6000 + 1000 + 11000  # motors, screws, new boards
    assert {line.low.part_number for line in group.going} == {"MTR", "SCR", "NEW"}
    assert group.goal == 40000
    assert sheet.group("").unpriced == 1


def test_a_superseded_item_cannot_be_added(depot: Depot):
    sheet = OrderSheet(depot, monday_report(depot, MONDAY))
    with pytest.raises(Refused, match="OLD is superseded by NEW; add that"):
        sheet.add(depot, the_item(depot, "OLD"), 1)


def test_zero_skips_a_line(depot: Depot):
    sheet = OrderSheet(depot, monday_report(depot, MONDAY))
    line = sheet.line(the_item(depot, "MTR").id)
    assert sheet.set_quantity(line, 0) == "The line is skipped." and not line.goes


def test_figures_of_an_item_that_is_not_due(depot: Depot):
    low = figures_of(depot, the_item(depot, "CLP"))
    assert (low.on_hand, low.reorder_point, low.order_up_to, low.pack_size, low.supplier) == (9, 4, 12, 5, "Northgate")
    assert the_place(depot, "SHELF").kind == "shelf"


def test_the_other_hand_of_what_is_ordered_goes_along_up_to_its_level(depot: Depot):
    motor, clip = (the_item(depot, part).id for part in ("MTR", "CLP"))
    depot.run(
        "UPDATE items SET opposite_hand = iif(id = ?, ?, ?) WHERE id IN (?, ?)", (motor, clip, motor, motor, clip)
    )
    line = by_part(monday_report(depot, MONDAY))["MTR"]
    (more,) = fill_up(depot, "Northgate", [line], 0, MONDAY)
    assert (more.low.part_number, more.quantity) == ("CLP", 5)  # 9 are here, up to 12 in packs of 5
    assert more.note.startswith("moved together")
    assert fill_up(depot, "Northgate", [line, more], 0, MONDAY) == ()
