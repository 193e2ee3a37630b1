"""Signing on, roles, limits: refused in the ledger and the flows, not only on screens, and written down."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta

import pytest

from partsbin.depot import clock
from partsbin.depot.catalogue import item_by_id
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post, reverse
from partsbin.depot.operators import Operator, by_badge, signed_on, the_operator
from partsbin.depot.orders import place_order
from partsbin.depot.places import outside, the_place
from partsbin.depot.refusals import refusals
from partsbin.depot.rights import Forbidden
from partsbin.depot.setpoints import SetPoint, set_point
from partsbin.desk import people
from partsbin.desk.editing import change_field
from partsbin.errors import Refused


@pytest.fixture
def clerk(depot: Depot, desk: Operator) -> Operator:
    return people.add_person(depot, desk, "km", "Kim", badge="B-7")


def receipt(depot: Depot, by: Operator, quantity: int = 200) -> int:
    line = Line(1, outside(depot, "supplier").id, the_place(depot, "A-01-01-1").id, quantity)
    return post(depot, "receipt", [line], operator=by)


def scrap(depot: Depot, by: Operator, quantity: int) -> int:
    line = Line(1, the_place(depot, "A-01-01-1").id, outside(depot, "scrap").id, quantity)
    return post(depot, "correction", [line], operator=by, reason="broken")


def wait_over(depot: Depot) -> None:
    past = (datetime.now(UTC) - timedelta(seconds=1)).strftime(clock.STAMP)
    with depot.write():
        depot.run("UPDATE operators SET locked_until = ? WHERE locked_until <> ''", (past,))


def test_a_new_depot_asks_nobody_to_sign_on_and_its_desk_may_do_everything(depot, desk) -> None:
    assert not people.must_sign_on(depot)
    receipt(depot, desk)
    reverse(depot, scrap(depot, desk, 150), operator=desk, reason="was whole")


def test_a_clerk_adjusts_within_the_limit_and_is_told_who_may_go_beyond(depot, desk, clerk) -> None:
    receipt(depot, clerk)
    scrap(depot, clerk, 50)
    with pytest.raises(Forbidden, match="by 51 pieces, more than the 50 that KM may adjust alone. Ask a lead"):
        scrap(depot, clerk, 51)
    depot.set_setting("adjust_limit_quantity", "60")
    scrap(depot, clerk, 51)
    assert [row["what"] for row in refusals(depot)] == ["may not adjust"]
    assert differences(depot) == []


def test_where_the_cost_is_known_the_limit_is_one_of_value(depot, desk, clerk) -> None:
    receipt(depot, clerk)
    with depot.write():
        depot.run("INSERT INTO suppliers (id, name) VALUES (1, 'S')")
        depot.run("INSERT INTO item_suppliers (item_id, supplier_id, cost) VALUES (1, 1, 1250)")
    scrap(depot, clerk, 8)
    with pytest.raises(Forbidden, match=r"by 112\.50, more than the 100\.00"):
        scrap(depot, clerk, 9)


def test_a_clerk_reverses_their_own_slip_of_today_and_no_other(depot, desk, clerk) -> None:
    own, other = receipt(depot, clerk), receipt(depot, desk)
    reverse(depot, own, operator=clerk, reason="wrong bin")
    with pytest.raises(Forbidden, match="KM is a clerk here and may not reverse slips of others"):
        reverse(depot, other, operator=clerk, reason="wrong bin")
    depot.set_setting("may:reverse", "clerk technician")
    reverse(depot, other, operator=clerk, reason="wrong bin")


def test_a_clerk_orders_and_edits_the_catalogue_a_technician_does_not_unless_the_lead_says_so(
    depot, desk, clerk
) -> None:
    supplier = depot.run("INSERT INTO suppliers (name) VALUES ('Acme')").lastrowid
    depot.run("UPDATE operators SET role = 'technician' WHERE id = ?", (clerk.id,))
    with pytest.raises(Forbidden, match="KM is a technician here and may not place orders with suppliers"):
        place_order(depot, supplier, [(1, 2, None)], operator=clerk)
    with pytest.raises(Forbidden, match="may not change the catalogue"):
        change_field(depot, clerk, item_by_id(depot, 1), "description", "Motor")
    assert depot.value("SELECT count(*) FROM orders") == 0
    assert depot.value("SELECT count(*) FROM refusals") == 2
    depot.run("UPDATE operators SET role = 'clerk' WHERE id = ?", (clerk.id,))
    place_order(depot, supplier, [(1, 2, None)], operator=clerk)
    assert change_field(depot, clerk, item_by_id(depot, 1), "description", "Motor").description == "Motor"
    depot.set_setting("may:order", "lead")
    with pytest.raises(Forbidden, match="may not place orders"):
        place_order(depot, supplier, [(1, 2, None)], operator=clerk)


def test_a_refusal_inside_a_larger_transaction_is_written_down_all_the_same(depot, desk, clerk) -> None:
    with pytest.raises(Forbidden), depot.write():
        receipt(depot, clerk)
        set_point(depot, SetPoint(1, outside(depot, "shelf").id, 1, 2), clerk)
    assert depot.value("SELECT count(*) FROM slips") == 0
    assert [(row["initials"], row["what"]) for row in refusals(depot)] == [("KM", "may not setpoints")]


def test_a_role_taken_away_counts_at_once_for_who_is_still_signed_on(depot, desk, clerk) -> None:
    lead = people.set_role(depot, desk, "KM", "lead")
    people.set_role(depot, desk, "KM", "clerk")
    with pytest.raises(Forbidden):
        people.add_person(depot, lead, "XX")


def test_a_pin_is_kept_hashed_and_asked_for(depot, desk, clerk) -> None:
    people.set_pin(depot, desk, "KM", "2580")
    kept = depot.value("SELECT pin_hash FROM operators WHERE initials = 'KM'")
    assert kept.startswith("$argon2id$") and "2580" not in kept
    assert people.must_sign_on(depot)
    assert signed_on(depot, "km", "2580").initials == "KM"
    with pytest.raises(Refused, match="not the PIN of KM"):
        signed_on(depot, "KM", "2581")
    assert refusals(depot)[0]["what"] == "sign on"


def test_wrong_pins_are_slowed_ever_more_and_the_right_one_too_until_the_wait_is_over(depot, desk, clerk) -> None:
    people.set_pin(depot, desk, "KM", "2580")
    for _ in range(3):
        with pytest.raises(Refused, match="not the PIN"):
            signed_on(depot, "KM", "0001")
    with pytest.raises(Refused, match=r"wait [1-5] s"), Depot.open(depot.path) as other_terminal:
        signed_on(other_terminal, "KM", "2580")
    wait_over(depot)
    with pytest.raises(Refused, match="not the PIN"):
        signed_on(depot, "KM", "0001")
    with pytest.raises(Refused, match=r"wait ([6-9]|10) s"):
        signed_on(depot, "KM", "2580")
    wait_over(depot)
    assert signed_on(depot, "KM", "2580")
    assert depot.value("SELECT failed FROM operators WHERE initials = 'KM'") == 0


def test_a_clock_gone_back_locks_nobody_out_for_longer_than_the_wait(depot, desk, clerk) -> None:
    people.set_pin(depot, desk, "KM", "2580")
    with depot.write():
        depot.run("UPDATE operators SET failed = 3, locked_until = '2099-01-01T00:00:00Z' WHERE initials = 'KM'")
    with pytest.raises(Refused, match="wait 5 s"):
        signed_on(depot, "KM", "2580")


@pytest.mark.parametrize(
    ("pin", "says"), [("123", "4 to 12"), ("12a4", "4 to 12"), ("0000", "one digit"), ("²²²²", "4 to")]
)
def test_a_pin_that_is_none_is_refused(depot, desk, clerk, pin: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        people.set_pin(depot, desk, "KM", pin)


def test_the_only_lead_can_neither_go_nor_step_down(depot, desk, clerk) -> None:
    for deed in (
        lambda: people.retire_person(depot, desk, "DESK"),
        lambda: people.set_role(depot, desk, "DESK", "clerk"),
    ):
        with pytest.raises(Refused, match="only lead"):
            deed()
    people.set_role(depot, desk, "KM", "lead")
    people.retire_person(depot, desk, "DESK")
    assert the_operator(depot).initials == "KM"


def test_badges_are_one_persons(depot, desk, clerk) -> None:
    assert by_badge(depot, "B-7") == clerk
    people.add_person(depot, desk, "BO")
    with pytest.raises(Refused, match="Badge B-7 is KM's"):
        people.set_badge(depot, desk, "BO", "B-7")
    with pytest.raises(Refused, match="printable"):
        people.set_badge(depot, desk, "BO", "B\x1b[2J")


def test_refusals_are_neither_changed_nor_deleted_and_check_names_the_first_that_was(depot, desk, clerk) -> None:
    for _ in range(3):
        with pytest.raises(Forbidden):
            people.add_person(depot, clerk, "XX")
    for sql in ("UPDATE refusals SET message = 'x'", "DELETE FROM refusals"):
        with pytest.raises(sqlite3.IntegrityError, match="refusals are never"):
            depot.run(sql)
    depot.run("DROP TRIGGER refusals_last")
    depot.run("DELETE FROM refusals WHERE id = 2")
    assert differences(depot) == [
        "triggers missing, changed or added: refusals_last; somebody opened the file past the program",
        "refusal 3: the list of refusals breaks here; it was changed or shortened by hand",
    ]


def test_a_try_during_the_wait_is_refused_and_written_down_like_every_other(depot, desk, clerk) -> None:
    people.set_pin(depot, desk, "KM", "2580")
    for _ in range(4):
        with pytest.raises(Refused):
            signed_on(depot, "KM", "0000")
    said = [row["message"] for row in refusals(depot)]
    assert said[0].startswith("Too many wrong PINs for KM") and len(said) == 4
