"""Posting from keyed lines: orders filled in turn, lots, refusals that are remembered."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsbin.depot.catalogue import Item, the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Short
from partsbin.depot.operators import the_operator
from partsbin.depot.orders import lines_of, place_order
from partsbin.depot.places import add_place, the_place
from partsbin.depot.stock import holdings_at, on_hand
from partsbin.desk.amounts import looks_like_amount, read_amount
from partsbin.desk.posting import Keyed, count_differences, post_count, receive, transfer
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

ITEMS = """part_number,description,pack_size,tracking,home_bin,supplier,cost
MTR,Motor,1,quantity,A-01-01-1,Northgate,10
COLA,Cola case,24,lot,B-01-01-1,Northgate,1
NEW,No bin yet,1,quantity,,Northgate,1
"""


@pytest.fixture
def depot(tmp_path: Path):
    (tmp_path / "items.csv").write_text(ITEMS)
    with Depot.create(tmp_path / "p.depot") as depot:
        import_file(Import(depot, the_operator(depot)), "items", tmp_path / "items.csv")
        add_place(depot, "VAN1", "van")
        yield depot


def order(depot: Depot, *quantities: int) -> str:
    supplier = depot.value("SELECT id FROM suppliers")
    cola = the_item(depot, "COLA").id
    return place_order(depot, supplier, [(cola, q, 100) for q in quantities], operator=the_operator(depot))


def test_two_lots_fill_the_lines_of_an_order_in_turn(depot):
    number = order(depot, 24, 24)
    lines = [Keyed("COLA", "1 case", lot="L1"), Keyed("COLA", "1 case", lot="L2")]
    receive(depot, the_operator(depot), lines, order=number)
    assert [line.received for line in lines_of(depot, number)] == [24, 24]


def test_more_than_was_ordered_is_booked_on_the_last_line(depot):
    number = order(depot, 24, 24)
    receive(depot, the_operator(depot), [Keyed("COLA", "60", lot="L1")], order=number)
    assert [line.received for line in lines_of(depot, number)] == [24, 36]


def test_the_first_bin_becomes_the_items_own(depot):
    receive(depot, the_operator(depot), [Keyed("NEW", "1", target="A-01-01-1")])
    receive(depot, the_operator(depot), [Keyed("NEW", "2")])
    assert on_hand(depot, the_item(depot, "NEW").id, the_place(depot, "A-01-01-1")) == 3


@pytest.mark.parametrize(
    ("keyed", "said"),
    [
        (Keyed("NEW", "1"), "has no bin yet"),
        (Keyed("COLA", "1"), "kept by lot"),
        (Keyed("MTR", "1", target="Z-01-01-1"), "no place"),
        (Keyed("MTX", "1"), "Nearest: MTR Motor"),
        (Keyed("COLA", "1", best_before="2027-02-30"), "no day of the calendar"),
    ],
)
def test_a_line_that_cannot_be_takes_the_whole_slip_back(depot, keyed, said):
    with pytest.raises(Refused, match=said) as refused:
        receive(depot, the_operator(depot), [Keyed("MTR", "5"), keyed])
    assert "line 2" in str(refused.value)
    assert on_hand(depot, the_item(depot, "MTR").id) == 0


def test_what_a_bin_lacks_is_refused_and_remembered_for_the_count_plan(depot):
    receive(depot, the_operator(depot), [Keyed("MTR", "5")])
    with pytest.raises(Short, match="holds 5 MTR"):
        transfer(depot, the_operator(depot), "checkout", [Keyed("MTR", "6", target="VAN1")])
    row = depot.one("SELECT what, place_id FROM refusals")
    assert tuple(row) == ("checkout below zero", the_place(depot, "A-01-01-1").id)


def test_a_count_posts_both_ways_and_needs_a_reason(depot):
    operator, place = the_operator(depot), the_place(depot, "A-01-01-1")
    receive(depot, operator, [Keyed("MTR", "5"), Keyed("NEW", "4", target="A-01-01-1")])
    counted = {(the_item(depot, "MTR").id, ""): 7}
    found = count_differences(depot, place, counted)
    assert sorted(difference.gap for difference in found) == [-4, 2]
    with pytest.raises(Refused, match="needs a reason"):
        post_count(depot, operator, found, reason=" ")
    post_count(depot, operator, found, reason="found")
    assert [held.quantity for held in holdings_at(depot, place)] == [7]


CASE = Item(1, "P", "", unit="each", pack_size=24)


@pytest.mark.parametrize(
    ("text", "units", "entered"),
    [
        ("12", 12, ""),
        (" 12 ", 12, ""),
        ("2 case", 48, "2 case"),
        ("2cs+6", 54, "2cs+6"),
        ("1 dozen", 12, "1 dozen"),
        ("3 each", 3, "3 each"),
        ("1 BOX", 24, "1 BOX"),
        ("2 cs and 6", 54, "2 cs and 6"),
        ("48 cans", 48, "48 cans"),
        ("half a case + 3", 15, "half a case + 3"),
        ("2x12", 24, "2x12"),
    ],
)
def test_amounts_as_people_key_them(text, units, entered):
    assert looks_like_amount(text, CASE)
    assert read_amount(text, CASE) == (units, entered)


@pytest.mark.parametrize(
    "text", ["", "0", "-1", "1.5", "1,000", "a", "2 pallets", "100001", "4167 case", "+", "2 case +", "²"]
)
def test_amounts_nobody_can_mean_are_refused(text):
    with pytest.raises(Refused):
        read_amount(text, CASE)


def test_a_case_of_an_item_without_a_case_size_is_refused():
    with pytest.raises(Refused, match="no case size"):
        read_amount("2 case", Item(1, "P", ""))
    with pytest.raises(Refused, match="A case of P is 35 each"):
        read_amount("half case", Item(1, "P", "", pack_size=35))


@given(st.integers(0, 4000), st.integers(0, 100), st.integers(1, 24))
def test_cases_dozens_and_loose_add_up(cases, dozens, loose):
    terms = [f"{n} {unit}" for n, unit in ((cases, "case"), (dozens, "dozen"), (loose, "")) if n]
    assert read_amount(" + ".join(terms), CASE)[0] == cases * 24 + dozens * 12 + loose


@pytest.mark.parametrize("text", ["MTR-24", "24v", "12345678", "24 volt", "", "12 x"])
def test_what_may_be_a_part_number_is_no_amount(text):
    assert not looks_like_amount(text, CASE)
