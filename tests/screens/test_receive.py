"""Receive at 80x24: against an order, without one, scanned and keyed, refused, kept, posted and labelled."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.events import Paste

from partsbin.codes import encode_badge
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_lines, slips
from partsbin.depot.operators import the_operator
from partsbin.depot.orders import lines_of, place_order
from partsbin.depot.places import find_place
from partsbin.depot.stock import on_hand
from partsbin.desk.posting import Keyed, receive
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from partsbin.screens.app import PartsbinApp
from tests.screens.driving import asked, column, entered, front, message, pressed, quiet, rows, scanned, until

ITEMS = """part_number,description,kind,pack_size,tracking,gtin,cost,supplier,supplier_part_number,home_bin,cautions
MTR-24-L,"Vend motor 24 V, left",part,1,quantity,,32.50,Northgate,NG-7,A-01-01-1,
SHM-3,"Shim 3 mm",part,50,quantity,,0.40,Northgate,,A-01-02-1,
VLV-CO2,"Gas valve",part,1,quantity,,18.00,Northgate,,A-01-03-1,GAS
DRK-COLA,"Cola 330 ml, case of 24",product case,24,lot,09521234543213,0.50,Pell,,B-01-01-1,
RDR-1,"Card reader",board,1,serial,,140.00,Pell,,A-01-04-1,
"""
CAUTIONS = """code,word,text,severity,basis
GAS,Pressure,Shut the bottle and vent first,1,
"""
GS = "\x1d"
FAR = (date.today() + timedelta(days=400)).replace(day=15)


def case(gtin: str = "09521234543213", lot: str = "L7", best: date = FAR, more: str = "") -> str:
    return f"]C101{gtin}15{best:%y%m%d}10{lot}{more}"


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The depot as it is before every test, made once."""
    tmp_path = tmp_path_factory.mktemp("depot")
    (tmp_path / "items.csv").write_text(ITEMS)
    (tmp_path / "cautions.csv").write_text(CAUTIONS)
    with Depot.create(tmp_path / "r.depot") as depot:
        job = Import(depot, the_operator(depot))
        import_file(job, "cautions", tmp_path / "cautions.csv")
        import_file(job, "items", tmp_path / "items.csv")
        supplier = int(depot.value("SELECT id FROM suppliers WHERE name = 'Northgate'"))
        ids = [the_item(depot, number).id for number in ("MTR-24-L", "DRK-COLA", "SHM-3")]
        lines = [(ids[0], 4, 3250), (ids[1], 96, 50), (ids[2], 100, 40)]
        place_order(depot, supplier, lines, operator=job.operator, expected_on="2026-11-25")
    return tmp_path / "r.depot"


@pytest.fixture
def path(template: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(template, tmp_path))


@pytest.fixture
async def pilot(path: Path):
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.press("f3")
        await quiet(pilot)
        yield pilot


async def test_an_order_is_chosen_from_the_list_checked_and_posted(pilot, path):
    assert rows(pilot, "#orders")[0][:2] == ["PO-1001", "Northgate"]
    await pressed(pilot, "escape")
    await pressed(pilot, "enter")
    assert [row[3:5] for row in rows(pilot, "#arrivals")] == [["4", "4"], ["96", "96"], ["100", "100"]]
    await entered(pilot, "MTR-24-L")
    await scanned(pilot, case())
    await scanned(pilot, case())
    await entered(pilot, "shm-3")
    await entered(pilot, "1 case + 10")
    assert [row[0] + row[3] for row in rows(pilot, "#arrivals")] == ["✓4", "✓48", "✓1 case + 10 = 60"]
    await pressed(pilot, "escape")
    await pressed(pilot, "p")
    await entered(pilot, "DN-5")
    await pressed(pilot, "1")
    with Depot.open(path) as depot:
        head = slips(depot)[0]
        assert (head.kind, head.reference, head.lines) == ("receipt", "PO-1001 DN-5", 3)
        assert [line.due for line in lines_of(depot, "PO-1001")] == [0, 48, 40]
        assert [line.entered for line in slip_lines(depot, head.id)] == ["", "", "1 case + 10"]
    assert front(pilot).left_draft() is None


async def test_what_another_terminal_booked_of_the_same_order_is_told_before_posting(pilot, path):
    await entered(pilot, "PO-1001")
    await entered(pilot, "MTR-24-L")
    with Depot.open(path) as other:
        receive(other, the_operator(other), [Keyed("SHM-3", "100"), Keyed("MTR-24-L", "4")], order="PO-1001")
        await pressed(pilot, "escape", "p", "1")
        assert "Another terminal has booked this against PO-1001 meanwhile" in asked(pilot)
        assert "slip 1: 4 MTR-24-L" in asked(pilot) and "SHM-3" not in asked(pilot)
        await pressed(pilot, "n")
        assert other.value("SELECT max(id) FROM slips") == 1


async def test_two_lots_of_an_item_fill_both_order_lines(pilot, path):
    await entered(pilot, "po1001")
    await scanned(pilot, case())
    await scanned(pilot, case(lot="L8", more=f"{GS}3048"))
    assert [row[3] for row in rows(pilot, "#arrivals") if row[1] == "DRK-COLA"] == ["24", "48"]
    await pressed(pilot, "escape", "p")
    assert "not checked" in asked(pilot)
    await pressed(pilot, "1")
    await entered(pilot, "")
    with Depot.open(path) as depot:
        assert [line.due for line in lines_of(depot, "PO-1001")] == [4, 24, 100]


async def test_a_part_without_an_order_goes_to_its_usual_bin_or_where_it_is_sent(pilot, path):
    await entered(pilot, "NG-7 12")
    await entered(pilot, "A-01-02-1")
    assert rows(pilot, "#arrivals") == [["✓", "MTR-24-L", "Vend motor 24 V, left", "12", "A-01-02-1"]]
    assert "On order PO-1001" in str(front(pilot).query_one("#about").render())
    await pressed(pilot, "escape", "p")
    await entered(pilot, "")
    await pressed(pilot, "1")
    with Depot.open(path) as depot:
        assert on_hand(depot, the_item(depot, "MTR-24-L").id, find_place(depot, "A-01-02-1")) == 12
        assert lines_of(depot, "PO-1001")[0].received == 0


async def test_an_unknown_number_asks_whose_it_is_and_remembers(pilot, path):
    await scanned(pilot, "4006381333931")
    assert "04006381333931" in asked(pilot)
    await pressed(pilot, "1")
    await entered(pilot, "shm-3")
    await entered(pilot, "")
    assert rows(pilot, "#arrivals")[0][1:4] == ["SHM-3", "Shim 3 mm", "50"]
    await scanned(pilot, "4006381333931")
    assert rows(pilot, "#arrivals")[0][3] == "100"
    with Depot.open(path) as depot:
        assert depot.value("SELECT quantity FROM item_gtins WHERE gtin = '04006381333931'") == 50


async def test_an_empty_depot_is_worked_from_here(tmp_path):
    Depot.create(tmp_path / "e.depot").close()
    app = PartsbinApp(tmp_path / "e.depot")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pressed(pilot, "f3")
        await scanned(pilot, case("10400001000011"))
        await pressed(pilot, "2")
        for answer in ("DRK-1", "Lemon 330 ml, case of 24", "24"):
            await entered(pilot, answer)
        await entered(pilot, "C-01-01-1")
        await pressed(pilot, "y")
        await pressed(pilot, "escape", "p")
        await entered(pilot, "")
        await pressed(pilot, "1")
        assert "Slip 1" in message(pilot)
    with Depot.open(tmp_path / "e.depot") as depot:
        item = the_item(depot, "DRK-1")
        assert (item.pack_size, item.tracking, item.home_bin) == (24, "lot", find_place(depot, "C-01-01-1").id)
        assert on_hand(depot, item.id) == 24


async def test_a_bad_scan_is_refused_in_words(pilot):
    for text, said in (("4006381333932", "check digit 2 is wrong"), ("]C1019521234543213", "(01)")):
        await scanned(pilot, text)
        assert said in message(pilot)
        assert rows(pilot, "#arrivals") == []


async def test_what_cannot_be_is_refused_and_nothing_is_lost(pilot):
    await entered(pilot, "12")
    assert "12 of what?" in message(pilot)
    await entered(pilot, "MTR-24-L 3")
    for text, said in (
        ("2000000", "more than 100,000"),
        ("-4", "above zero"),
        ("1.5", "not a whole number"),
        ("2 case", "no case size"),
        ("bb 2027-13-01", "no day of the calendar"),
        ("bb 3027-01-01", "between 2000 and 2099"),
    ):
        await entered(pilot, text)
        assert said in message(pilot)
        assert rows(pilot, "#arrivals")[0][3] == "3"


async def test_lines_are_ticked_and_given_figures_without_leaving_them(pilot, path):
    await entered(pilot, "po-1001")
    await pressed(pilot, "escape", "space", "down", "7", "0", "enter")
    await pressed(pilot, "p")
    assert "1 line not checked" in asked(pilot)
    assert [row[0] + row[3] for row in rows(pilot, "#arrivals")] == ["✓4", "!96", "✓70"]
    await pressed(pilot, "1")
    await entered(pilot, "")
    with Depot.open(path) as depot:
        assert [line.received for line in lines_of(depot, "PO-1001")] == [4, 0, 70]


async def test_a_pasted_delivery_note_is_taken_line_by_line(pilot):
    pilot.app.post_message(Paste("MTR-24-L 3\nSHM-3 = 2 case\nNG-7 1"))
    await until(pilot, lambda: len(rows(pilot, "#arrivals")) == 2)
    await quiet(pilot)
    assert [row[1] + " " + row[3] for row in rows(pilot, "#arrivals")] == ["MTR-24-L 4", "SHM-3 2 case = 100"]


async def test_a_passed_date_is_marked_and_asked_about_before_posting(pilot, path):
    await scanned(pilot, case(lot="OLD", best=date(2024, 5, 31)))
    assert "has passed" in message(pilot)
    assert column(pilot, "#arrivals", "Best before")[0] == "✗2024-05-31"
    await entered(pilot, "SHM-3 10")
    await pressed(pilot, "escape", "p")
    assert "Past their date" in asked(pilot)
    await pressed(pilot, "1")
    await entered(pilot, "")
    await pressed(pilot, "1")
    with Depot.open(path) as depot:
        assert [line.part_number for line in slip_lines(depot, 1)] == ["SHM-3"]


async def test_a_lot_with_another_date_is_refused(pilot):
    await scanned(pilot, case())
    await scanned(pilot, case(best=FAR + timedelta(days=31)))
    assert "check the case" in message(pilot)
    assert [row[3] for row in rows(pilot, "#arrivals")] == ["24"]


async def test_serial_numbers_get_a_line_each_and_none_twice(pilot, path):
    await entered(pilot, "RDR-1")
    await entered(pilot, "sn 100")
    await scanned(pilot, "SN101")
    await scanned(pilot, "SN102")
    assert column(pilot, "#arrivals", "Lot") == ["100", "SN101", "SN102"]
    assert column(pilot, "#arrivals", "Qty") == ["1", "1", "1"]
    await scanned(pilot, "SN102")
    assert "already entered" in message(pilot)
    await entered(pilot, "RDR-1 3")
    await pressed(pilot, "escape", "p")
    assert "without serial numbers" in asked(pilot)
    await pressed(pilot, "y")
    await entered(pilot, "")
    await pressed(pilot, "1")
    with Depot.open(path) as depot:
        posted = [(line.serial, line.quantity) for line in slip_lines(depot, 1)]
        assert posted == [("100", 1), ("SN101", 1), ("SN102", 1), ("", 3)]


async def test_what_is_half_entered_is_there_after_a_restart(path):
    for start in (True, False):
        app = PartsbinApp(path)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.app.workers.wait_for_complete()
            await pressed(pilot, "f3")
            if start:
                await entered(pilot, "MTR-24-L")
                await entered(pilot, "2 dozen")
                continue
            line = rows(pilot, "#arrivals")[0]
            assert [line[0], line[1], line[3]] == ["✓", "MTR-24-L", "2 dozen = 24"]
            assert "half entered" in message(pilot)


async def test_a_delivery_handed_over_to_a_colleague_is_kept_as_theirs(pilot, path):
    with Depot.open(path) as depot:
        depot.run("INSERT INTO operators (initials, name, role, badge) VALUES ('AB', 'Ann', 'clerk', '17')")
    await entered(pilot, "MTR-24-L 3")
    await scanned(pilot, encode_badge("17"))
    assert "Ann is at the desk" in message(pilot)
    await entered(pilot, "4")
    with Depot.open(path) as depot:
        whose = depot.all("SELECT initials FROM drafts JOIN operators ON operators.id = drafts.operator")
        assert [row["initials"] for row in whose] == ["AB"]


async def test_cautions_travel_with_the_item(pilot):
    await entered(pilot, "VLV-CO2 2")
    assert "Pressure: Shut the bottle" in str(front(pilot).query_one("#about").render())
    await pressed(pilot, "escape", "p")
    assert "Pressure: Shut the bottle" in asked(pilot)


async def test_labels_of_what_came_lie_beside_the_depot(pilot, path):
    await scanned(pilot, case(more=f"{GS}3048"))
    await pressed(pilot, "escape", "p")
    await entered(pilot, "")
    assert "one a case (2)" in asked(pilot)
    await pressed(pilot, "3")
    await quiet(pilot)
    assert "2 labels" in message(pilot)
    assert next(path.parent.rglob("labels-slip-1.pdf")).read_bytes().startswith(b"%PDF")


async def test_keys_fit_the_footer(pilot):
    await entered(pilot, "MTR-24-L 3")
    await pressed(pilot, "escape")
    shown = [key for key, active in front(pilot).active_bindings.items() if active.binding.show]
    assert len(shown) <= 7
    await pressed(pilot, "n")
    assert front(pilot).query_one("#orders").display
