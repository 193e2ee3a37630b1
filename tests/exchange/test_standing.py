"""A history that comes in where something stands already: nothing counts double, and what happened is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.tables import export_folder, file_name, import_file, import_folder

ITEMS = "part_number,description\n70.114-B,MTR VEND 24VDC\n71.200-C,SHIM 5MM LH\n"
STOCK = "part_number,place,quantity\n70.114-B,WH-MAIN,7\n71.200-C,VAN-7,2\n"
MOVES = """date,type,part_number,from_location,to_location,quantity,reference
2026-03-02,RECEIPT,70.114-B,Supplier X,WH-MAIN,9,DN 1
2026-03-02,Receipt,71.200-C,Supplier X,WH-MAIN,4,DN 1
2026-03-03T08:00,checkout,71.200-C,WH-MAIN,VAN-7,4,
2026-03-04T09:30,issue,71.200-C,VAN-7,CUSTOMER 12,1,J1
2026-03-04T09:30,issue,71.200-C,VAN-7,CUSTOMER 12,1,J1
2026-03-05,count,70.114-B,,WH-MAIN,7,
"""
OUTCOME = {("70.114-B", "WH-MAIN"): 7, ("71.200-C", "VAN-7"): 2}


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.create(tmp_path / "new.depot") as made:
        take(made, tmp_path, "items", ITEMS)
        take(made, tmp_path, "places", "place,kind\nWH-MAIN,bin\nVAN-7,van\n")
        yield made


def take(depot: Depot, folder: Path, kind: str, text: str) -> Report:
    path = folder / f"{kind}.csv"
    path.write_text(text)
    return import_file(Import(depot, the_operator(depot), create_places=True), kind, path)


def stock(depot: Depot) -> dict[tuple[str, str], int]:
    rows = depot.all(
        "SELECT i.part_number, p.code, s.quantity FROM stock s JOIN items i ON i.id = s.item_id "
        "JOIN places p ON p.id = s.place_id WHERE p.physical = 1 AND s.quantity <> 0"
    )
    return {(row[0], row[1]): row[2] for row in rows}


def test_a_file_taken_in_twice_is_refused_and_rows_alike_within_one_file_all_count(depot, tmp_path) -> None:
    take(depot, tmp_path, "moves", MOVES)
    assert stock(depot) == OUTCOME
    with pytest.raises(Refused, match="every row of it stands on the ledger already"):
        take(depot, tmp_path, "moves", MOVES)
    assert stock(depot) == OUTCOME


def test_rows_of_last_week_in_this_weeks_file_are_named_and_nothing_comes_in(depot, tmp_path) -> None:
    take(depot, tmp_path, "moves", MOVES)
    with pytest.raises(Refused, match="line 5: stands on the ledger already, on slip") as refused:
        take(depot, tmp_path, "moves", MOVES + "2026-03-09,receipt,70.114-B,Supplier X,WH-MAIN,1,DN 2\n")
    assert "line 8" not in str(refused.value)
    assert stock(depot) == OUTCOME


def test_a_new_week_comes_on_top(depot, tmp_path) -> None:
    take(depot, tmp_path, "moves", MOVES)
    head = MOVES.splitlines()[0]
    take(depot, tmp_path, "moves", f"{head}\n2026-03-09,receipt,70.114-B,Supplier X,WH-MAIN,1,DN 1\n")
    assert stock(depot)["70.114-B", "WH-MAIN"] == 8


def test_stock_that_the_history_leads_to_does_not_count_double(depot, tmp_path) -> None:
    take(depot, tmp_path, "stock", STOCK)
    report = take(depot, tmp_path, "moves", MOVES)
    assert stock(depot) == OUTCOME
    assert "slip 1; that slip was taken back" in report.warnings[0]
    assert depot.value("SELECT reverses FROM slips WHERE id = 2") == 1
    assert differences(depot) == []


def test_stock_that_the_history_does_not_lead_to_is_what_there_was_at_the_start(depot, tmp_path) -> None:
    take(depot, tmp_path, "stock", "part_number,place,quantity\n71.200-C,VAN-7,10\n")
    head = MOVES.splitlines()[0]
    report = take(depot, tmp_path, "moves", f"{head}\n2026-03-09,issue,71.200-C,VAN-7,,3,J2\n")
    assert stock(depot) == {("71.200-C", "VAN-7"): 7}
    assert "added to the stock set on slip 1" in report.warnings[0]


@pytest.mark.parametrize("order", ["items places suppliers stock setpoints moves", "items places moves stock"])
def test_the_files_of_an_export_one_by_one_in_any_order(depot, tmp_path, order: str) -> None:
    take(depot, tmp_path, "moves", MOVES)
    export_folder(depot, tmp_path / "out")
    with Depot.create(tmp_path / "again.depot") as again:
        for kind in order.split():
            import_file(Import(again, the_operator(again)), kind, tmp_path / "out" / file_name(kind))
        assert stock(again) == OUTCOME
        assert differences(again) == []
        export_folder(again, tmp_path / "out again")
        with pytest.raises(Refused, match="every row of it stands on the ledger already"):
            import_folder(Import(again, the_operator(again)), tmp_path / "out")
    assert (tmp_path / "out/stock.csv").read_bytes() == (tmp_path / "out again/stock.csv").read_bytes()


def test_a_whole_ledger_is_refused_on_stock_it_does_not_lead_to(depot, tmp_path) -> None:
    take(depot, tmp_path, "moves", MOVES)
    export_folder(depot, tmp_path / "out")
    with Depot.create(tmp_path / "again.depot") as again:
        for kind in ("items", "places"):
            import_file(Import(again, the_operator(again)), kind, tmp_path / "out" / file_name(kind))
        take(again, tmp_path, "stock", "part_number,place,quantity\n70.114-B,WH-MAIN,99\n")
        with pytest.raises(Refused, match="is a whole ledger, but stock was set on slip 1"):
            import_file(Import(again, the_operator(again)), "moves", tmp_path / "out/moves.csv")
        assert stock(again) == {("70.114-B", "WH-MAIN"): 99}


def test_a_wrong_trade_item_number_is_named_by_line_and_part(depot, tmp_path) -> None:
    report = take(depot, tmp_path, "items", "part_number,description,gtin\n70.114-B,MTR VEND,4006381333932\n")
    assert report.warnings == (
        "line 2, gtin: 4006381333932: the check digit 2 is wrong, it should be 1; left out of 70.114-B",
    )
