"""Posting: one slip, all of it or none; nothing below zero; nothing changed afterwards."""

from __future__ import annotations

import sqlite3

import pytest

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import MOST, Line, Short, lot, post, reverse, serial, whole_quantity
from partsbin.depot.operators import Operator
from partsbin.depot.places import outside, the_place
from partsbin.depot.setpoints import require_order
from partsbin.depot.stock import on_hand
from partsbin.errors import Refused

MOTOR, OTHER = 1, 2


def where(depot: Depot, code: str) -> int:
    return the_place(depot, code).id


def stocked(depot: Depot, desk: Operator, quantity: int = 10) -> int:
    line = Line(MOTOR, outside(depot, "supplier").id, where(depot, "A-01-01-1"), quantity)
    return post(depot, "receipt", [line], operator=desk)


def test_a_receipt_puts_stock_on_the_shelf_and_the_sum_over_all_places_stays_zero(depot, desk) -> None:
    stocked(depot, desk)
    assert on_hand(depot, MOTOR) == 10
    assert depot.value("SELECT sum(quantity) FROM stock WHERE item_id = ?", (MOTOR,)) == 0


def test_what_would_go_below_zero_is_refused_with_what_is_there_and_where_else_it_is(depot, desk) -> None:
    stocked(depot, desk)
    shelf, van, other = where(depot, "A-01-01-1"), where(depot, "VAN1"), where(depot, "VAN2")
    post(depot, "checkout", [Line(MOTOR, shelf, van, 4)], operator=desk)
    with pytest.raises(Short, match="A-01-01-1 holds 6 MTR-24-L, 7 were asked for.*VAN1 has 4") as refused:
        post(depot, "checkout", [Line(MOTOR, shelf, other, 7)], operator=desk)
    assert (refused.value.item_id, refused.value.place_id) == (MOTOR, shelf)
    assert depot.value("SELECT count(*) FROM refusals WHERE place_id = ?", (shelf,)) == 1


def test_a_slip_with_one_bad_line_posts_no_line(depot, desk) -> None:
    stocked(depot, desk)
    shelf, van = where(depot, "A-01-01-1"), where(depot, "VAN1")
    with pytest.raises(Refused):
        post(depot, "checkout", [Line(MOTOR, shelf, van, 1), Line(OTHER, shelf, van, 1)], operator=desk)
    assert on_hand(depot, MOTOR) == 10
    assert depot.value("SELECT count(*) FROM slips") == 1


def test_posted_moves_and_slips_can_be_neither_changed_nor_deleted(depot, desk) -> None:
    stocked(depot, desk)
    for sql in (
        "UPDATE moves SET quantity = 99",
        "DELETE FROM moves",
        "UPDATE slips SET reason = 'x'",
        "DELETE FROM slips",
        "DELETE FROM items",
    ):
        with pytest.raises(sqlite3.IntegrityError), depot.connection:
            depot.run(sql)
    assert differences(depot) == []


def test_a_reversal_names_what_it_reverses_and_can_be_done_once(depot, desk) -> None:
    slip = stocked(depot, desk)
    back = reverse(depot, slip, operator=desk, reason="wrong bin")
    assert on_hand(depot, MOTOR) == 0
    assert depot.value("SELECT reverses FROM slips WHERE id = ?", (back,)) == slip
    with pytest.raises(Refused, match=f"already reversed by slip {back}"):
        reverse(depot, slip, operator=desk, reason="again")
    with pytest.raises(Refused, match="itself a reversal"):
        reverse(depot, back, operator=desk, reason="back again")
    with pytest.raises(Refused, match="There is no slip 99"):
        reverse(depot, 99, operator=desk, reason="x")


def test_two_terminals_that_reverse_one_slip_at_once_reverse_it_once(depot, desk, monkeypatch) -> None:
    slip = stocked(depot, desk)

    def meanwhile(_depot, operator, slip_id) -> None:
        monkeypatch.undo()
        with Depot.open(depot.path) as other:
            reverse(other, slip_id, operator=operator, reason="first")

    monkeypatch.setattr("partsbin.depot.ledger.require_reversal", meanwhile)
    with pytest.raises(Refused, match="already reversed by slip"):
        reverse(depot, slip, operator=desk, reason="second")
    assert differences(depot) == []


def test_a_reversal_whose_stock_has_gone_is_refused(depot, desk) -> None:
    slip = stocked(depot, desk)
    post(depot, "checkout", [Line(MOTOR, where(depot, "A-01-01-1"), where(depot, "VAN1"), 3)], operator=desk)
    with pytest.raises(Short, match="holds 7"):
        reverse(depot, slip, operator=desk, reason="wrong delivery")
    assert differences(depot) == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("2.5", "not a whole number"),
        ("1_000", "not a whole number"),
        ("-1", "above zero"),
        ("0", "above zero"),
        ("100001", "more than 100,000"),
        ("x", "x"),
    ],
)
def test_a_quantity_that_is_none_is_refused_with_the_rule_it_broke(text: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        whole_quantity(text)
    assert whole_quantity(str(MOST)) == MOST


def test_a_serial_moves_only_from_where_it_is(depot, desk) -> None:
    supplier, shelf, van = outside(depot, "supplier").id, where(depot, "A-01-01-1"), where(depot, "VAN1")
    with depot.write():
        number = serial(depot, MOTOR, "S-1")
        post(depot, "receipt", [Line(MOTOR, supplier, shelf, 1, serial_id=number)], operator=desk)
        post(depot, "receipt", [Line(MOTOR, supplier, van, 1)], operator=desk)
    with pytest.raises(Refused, match="names one piece: give quantity 1 on its line, not 2"):
        post(depot, "receipt", [Line(MOTOR, supplier, shelf, 2, serial_id=number)], operator=desk)
    with pytest.raises(Refused, match="serial is not where"):
        post(depot, "return", [Line(MOTOR, van, shelf, 1, serial_id=number)], operator=desk)
    post(depot, "checkout", [Line(MOTOR, shelf, van, 1, serial_id=number)], operator=desk)
    assert depot.value("SELECT place_id FROM serials WHERE id = ?", (number,)) == van


def test_one_lot_code_has_one_date(depot) -> None:
    with depot.write():
        first = lot(depot, MOTOR, "L7", "2026-12-01")
        assert lot(depot, MOTOR, "L7") == first
        with pytest.raises(Refused, match="already here with best-before 2026-12-01"):
            lot(depot, MOTOR, "L7", "2027-01-01")


def test_check_names_the_first_slip_somebody_changed_by_hand(depot, desk) -> None:
    for _ in range(3):
        stocked(depot, desk, 1)
    depot.run("DROP TRIGGER slips_stay")
    depot.run("UPDATE slips SET reference = 'mine now' WHERE id = 2")
    assert any("slip 2: the chain of slips breaks" in line for line in differences(depot))


def test_check_names_a_stock_figure_that_its_moves_do_not_give(depot, desk) -> None:
    stocked(depot, desk)
    depot.run("UPDATE stock SET quantity = 12 WHERE quantity = 10")
    assert "MTR-24-L at A-01-01-1: the file says 12, its moves add up to 10" in differences(depot)


def test_the_shelf_as_a_whole_holds_nothing_itself(depot, desk) -> None:
    supplier, shelf = outside(depot, "supplier").id, outside(depot, "shelf").id
    with pytest.raises(Refused, match="no stock of its own"):
        post(depot, "receipt", [Line(MOTOR, supplier, shelf, 1)], operator=desk)


def test_a_slip_without_lines_is_refused_and_writes_nothing(depot, desk) -> None:
    with pytest.raises(Refused, match="nothing on this slip to post"):
        post(depot, "receipt", [], operator=desk)
    assert depot.value("SELECT count(*) FROM slips") == 0


def test_reference_and_reason_stand_on_the_slip_each_in_its_place(depot, desk) -> None:
    line = Line(MOTOR, outside(depot, "supplier").id, where(depot, "A-01-01-1"), 1)
    slip = post(depot, "receipt", [line], operator=desk, reference="DN 7", reason="as ordered")
    kept = depot.one("SELECT reference, reason FROM slips WHERE id = ?", (slip,))
    assert tuple(kept) == ("DN 7", "as ordered")


@pytest.mark.parametrize(("point", "level", "says"), [(-1, 2, "zero or more"), (3, 2, "below the reorder point 3")])
def test_set_points_that_cannot_work_are_refused(point: int, level: int, says: str) -> None:
    with pytest.raises(Refused, match=says):
        require_order(point, level)
    require_order(2, 2)


def test_elsewhere_never_means_the_place_itself(depot, desk) -> None:
    stocked(depot, desk, 6)
    with pytest.raises(Short, match=r"There is none elsewhere in the depot\."):
        post(depot, "checkout", [Line(MOTOR, where(depot, "A-01-01-1"), where(depot, "VAN1"), 7)], operator=desk)
