"""The chain of slips: whatever is changed by hand, check names the first slip that is broken."""

from __future__ import annotations

import sqlite3

import pytest

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, lot, post, reverse, serial
from partsbin.depot.operators import Operator
from partsbin.depot.places import outside, the_place

TRIGGERS = ("moves_stay", "moves_last", "slips_stay", "slips_last", "moves_keep_stock")
SLIP = {
    "kind": "'issue'",
    "posted_at": "'2020-01-01T00:00:00Z'",
    "operator": "2",
    "reference": "'another'",
    "reason": "'another'",
    "reverses": "1",
    "previous": "'0'",
    "hash": "'0'",
}
MOVE = {
    "line": "9",
    "item_id": "2",
    "lot_id": "2",
    "serial_id": "1",
    "from_place": "2",
    "to_place": "7",
    "quantity": "quantity + 1",
    "entered": "'2 case'",
}


@pytest.fixture
def ledger(depot: Depot, desk: Operator) -> Depot:
    """Five slips; the third holds two moves, one of them with a lot."""
    supplier, shelf = outside(depot, "supplier").id, the_place(depot, "A-01-01-1").id
    with depot.write():
        depot.run("INSERT INTO operators (initials, role) VALUES ('KM', 'clerk')")
        lots = [lot(depot, 1, "L1"), lot(depot, 1, "L2")]
        serial(depot, 3, "S-1")
    for number in range(1, 6):
        lines = [Line(1, supplier, shelf, number, lots[0]), Line(3, supplier, shelf, 1)]
        post(depot, "receipt", lines, operator=desk, reference=f"note {number}", reason="as ordered")
    depot.run("PRAGMA foreign_keys = OFF")
    for trigger in TRIGGERS:
        depot.run(f"DROP TRIGGER {trigger}")
    assert differences(depot) == [
        f"triggers missing, changed or added: {', '.join(sorted(TRIGGERS))}; somebody opened the file past the program"
    ]
    return depot


def broken(depot: Depot) -> list[str]:
    return [line for line in differences(depot) if "chain of slips breaks" in line]


@pytest.mark.parametrize("column", SLIP)
def test_a_changed_field_of_a_slip(ledger: Depot, column: str) -> None:
    ledger.run(f"UPDATE slips SET {column} = {SLIP[column]} WHERE id = 3")
    assert broken(ledger) == ["slip 3: the chain of slips breaks here; it was changed or removed by hand"]


@pytest.mark.parametrize("column", MOVE)
def test_a_changed_field_of_a_move(ledger: Depot, column: str) -> None:
    row = "slip_id = 3 AND line = 2" if column in ("serial_id",) else "slip_id = 3 AND line = 1"
    ledger.run(f"UPDATE moves SET {column} = {MOVE[column]} WHERE {row}")
    assert broken(ledger)[0].startswith("slip 3:")


def test_a_slip_renumbered_taken_out_or_put_in(ledger: Depot) -> None:
    ledger.run("UPDATE moves SET slip_id = 9 WHERE slip_id = 3")
    ledger.run("UPDATE slips SET id = 9 WHERE id = 3")
    assert broken(ledger)[0].startswith("slip 3:")
    ledger.run("DELETE FROM moves WHERE slip_id = 9")
    ledger.run("DELETE FROM slips WHERE id = 9")
    assert broken(ledger)[0].startswith("slip 3:")


def test_a_move_taken_out_or_put_in(ledger: Depot) -> None:
    ledger.run("INSERT INTO moves (slip_id, line, item_id, from_place, to_place, quantity) VALUES (4, 3, 1, 1, 7, 1)")
    assert broken(ledger)[0].startswith("slip 4:")
    ledger.run("DELETE FROM moves WHERE slip_id = 2 AND line = 2")
    assert broken(ledger)[0].startswith("slip 2:")


def test_a_move_of_a_slip_that_is_not_there(ledger: Depot) -> None:
    ledger.run("INSERT INTO moves (slip_id, line, item_id, from_place, to_place, quantity) VALUES (77, 1, 1, 1, 7, 1)")
    assert any("slip" in line for line in differences(ledger))


def test_the_file_itself_lets_nobody_change_what_is_posted(depot: Depot, desk: Operator) -> None:
    shelf = the_place(depot, "A-01-01-1").id
    slip = post(depot, "receipt", [Line(1, outside(depot, "supplier").id, shelf, 1)], operator=desk)
    reverse(depot, slip, operator=desk, reason="wrong")
    with sqlite3.connect(depot.path) as other:
        for sql in ("UPDATE moves SET quantity = 2", "DELETE FROM slips", "UPDATE slips SET hash = 'x'"):
            with pytest.raises(sqlite3.IntegrityError, match="never"):
                other.execute(sql)
    other.close()
