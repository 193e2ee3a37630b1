"""Blind sheets, recounts, what a count leaves behind, and that stock always ends at what was counted."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.depot.stock import holdings_at
from partsbin.desk.counting import count_again, draw_up, gaps, moved_meanwhile, post_sheet, to_recount
from partsbin.desk.counts_due import due, walk
from partsbin.desk.posting import Keyed, receive
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

ITEMS = """part_number,description,pack_size,tracking,home_bin,supplier,cost
MTR,Motor,1,quantity,A-01-01-1,Northgate,10
SHM,Shim,50,quantity,A-01-01-1,Northgate,0.5
EMPTY,Not here now,1,quantity,A-01-01-1,Northgate,1
COLA,Cola case,24,lot,B-01-01-1,Northgate,1
"""


@pytest.fixture
def depot(tmp_path: Path):
    (tmp_path / "items.csv").write_text(ITEMS)
    with Depot.create(tmp_path / "c.depot") as depot:
        operator = the_operator(depot)
        import_file(Import(depot, operator), "items", tmp_path / "items.csv")
        receive(depot, operator, [Keyed("MTR", "5"), Keyed("SHM", "100"), Keyed("COLA", "48", lot="L1")])
        yield depot


def sheet_of(depot: Depot, code: str, *figures: str):
    sheet = draw_up(depot, the_place(depot, code))
    for at, figure in enumerate(figures):
        sheet.key(depot, at, figure)
    return sheet


def test_a_sheet_lists_what_belongs_there_without_a_figure(depot):
    sheet = draw_up(depot, the_place(depot, "A-01-01-1"))
    assert [(line.part, line.count) for line in sheet.lines] == [("EMPTY", None), ("MTR", None), ("SHM", None)]
    assert "100" not in str(sheet.draft()["lines"])


@pytest.mark.parametrize(
    ("motors", "shims", "again"),
    [
        ("5", "100", []),
        ("3", "100", []),
        ("2", "100", ["MTR"]),
        ("5", "95", []),
        ("5", "94", ["SHM"]),
        ("8", "1 case", ["MTR", "SHM"]),
    ],
)
def test_only_gaps_above_two_units_and_five_percent_are_counted_again(depot, motors, shims, again):
    sheet = sheet_of(depot, "A-01-01-1", "0", motors, shims)
    assert [line.part for line in to_recount(depot, sheet)] == again
    sheet.again = True
    assert to_recount(depot, sheet) == []


def test_a_plus_adds_and_a_bare_figure_replaces(depot):
    sheet = sheet_of(depot, "A-01-01-1", "0", "2", "1 case")
    sheet.key(depot, 1, "+3")
    sheet.key(depot, 2, "2 case + 1")
    assert [line.count for line in sheet.lines] == [0, 5, 101]


def test_a_count_is_kept_with_its_lines_and_only_what_differs_is_posted(depot):
    sheet = sheet_of(depot, "A-01-01-1", "0", "4", "100")
    with pytest.raises(Refused, match="MTR differs by -1: give a reason"):
        post_sheet(depot, the_operator(depot), sheet, {})
    slip = post_sheet(depot, the_operator(depot), sheet, {"MTR|": "damaged"})
    assert depot.value("SELECT count(*) FROM moves WHERE slip_id = ?", (slip,)) == 1
    kept = depot.all("SELECT expected, counted FROM count_lines ORDER BY count_id, item_id, lot_id")
    assert [tuple(line) for line in kept] == [(5, 4), (100, 100), (0, 0)]
    assert tuple(depot.one("SELECT lines, hits FROM counts")) == (3, 2)


def test_value_of_a_gap_is_signed_and_unknown_without_a_cost(depot):
    depot.run("UPDATE item_suppliers SET cost = NULL WHERE item_id = ?", (the_item(depot, "SHM").id,))
    found = gaps(depot, sheet_of(depot, "A-01-01-1", "0", "3", "90"))
    assert [(gap.found.gap, gap.value) for gap in found] == [(-2, -2000), (-10, None)]


def test_stock_moved_since_the_sheet_was_drawn_up_is_not_posted_over(depot):
    sheet = sheet_of(depot, "A-01-01-1", "0", "5", "100")
    receive(depot, the_operator(depot), [Keyed("MTR", "2")])
    with pytest.raises(Refused, match="MTR was moved at A-01-01-1 while you counted"):
        post_sheet(depot, the_operator(depot), sheet, {})
    count_again(depot, sheet, moved_meanwhile(depot, sheet))
    assert [line.count for line in sheet.lines] == [0, None, 100]
    sheet.key(depot, 1, "7")
    assert post_sheet(depot, the_operator(depot), sheet, {}) is None


def test_walks(depot):
    assert [place.code for place in walk(depot, "a")] == ["A-01-01-1"]
    assert [place.code for place in walk(depot, "B-01")] == ["B-01-01-1"]
    assert [place.code for place in walk(depot, "b010101")] == ["B-01-01-1"]
    with pytest.raises(Refused, match="Nearest: "):
        walk(depot, "C-01-01-1")


def test_counted_places_go_to_the_end_of_what_is_due(depot):
    assert "A-01-01-1" in [one.code for one in due(depot)]
    post_sheet(depot, the_operator(depot), sheet_of(depot, "A-01-01-1", "0", "5", "100"), {})
    assert [one.code for one in due(depot)][-1] == "A-01-01-1"


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.integers(0, 300), min_size=3, max_size=3), st.integers(0, 90))
def test_after_a_count_the_file_says_what_was_counted(depot, figures, loose):
    operator = the_operator(depot)
    sheet = sheet_of(depot, "A-01-01-1", *map(str, figures))
    post_sheet(depot, operator, sheet, dict.fromkeys((gap.key for gap in gaps(depot, sheet)), "found"))
    cola = sheet_of(depot, "B-01-01-1")
    at = next(n for n, line in enumerate(cola.lines) if line.part == "COLA")
    cola.key(depot, at, str(loose))
    post_sheet(depot, operator, cola, dict.fromkeys((gap.key for gap in gaps(depot, cola)), "found"))
    held = {h.item_id: h.quantity for h in holdings_at(depot, the_place(depot, "A-01-01-1"))}
    names = ("EMPTY", "MTR", "SHM")
    assert [held.get(the_item(depot, name).id, 0) for name in names] == figures
    assert sum(h.quantity for h in holdings_at(depot, the_place(depot, "B-01-01-1"))) == loose
