"""Reorder at 80x24: the sums behind a line, quantities, filling up, ordering, other views, papers, two terminals."""

from __future__ import annotations

import csv
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from partsbin.depot.asks import Asked, keep_request, owed
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.orders import open_lines, place_order
from partsbin.depot.places import the_place
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from partsbin.screens.app import PartsbinApp
from partsbin.screens.reorder import Reorder
from tests.screens.driving import asked, entered, front, message, pressed, rows, scanned, until

AGO = date.today() - timedelta(days=30)
FILES = {
    "cautions": "code,word,text,severity,basis\nMAINS,DANGER,Mains voltage: unplug first.,1,local code\n",
    "suppliers": """supplier,lead_time_days,minimum_order,free_carriage,order_days
Northgate,7,100.00,400.00,mon|thu
Pell,3,,,
""",
    "places": "place,kind\nVAN1,van\nA-01-01-1,bin\nA-01-02-1,bin\nA-01-03-1,bin\nB-01-01-1,bin\n",
    "items": """part_number,description,supplier,supplier_part_number,cost,pack_size,minimum,cautions
MTR,Motor [/b] 24 V,Northgate,NG-1,10.00,1,,MAINS
SCR,Screw,Northgate,NG-2,0.05,100,200,
CLP,Clip,Northgate,NG-3,4.00,5,,
PMP,Pump,Pell,P-1,30.00,1,,
LOST,Nobody sells it,,,,1,,
""",
    "stock": """part_number,place,quantity
MTR,A-01-01-1,2
SCR,A-01-02-1,50
CLP,A-01-03-1,30
""",
    "setpoints": """part_number,place,reorder_point,order_up_to
MTR,SHELF,3,8
SCR,SHELF,60,180
CLP,SHELF,4,12
PMP,SHELF,0,1
LOST,SHELF,1,2
""",
    "moves": "date,type,part_number,from_location,to_location,quantity\n"
    + "".join(f"{AGO + timedelta(days=day)},issue,CLP,A-01-03-1,JOB,5\n" for day in (0, 7, 14, 21)),
}


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The depot as it is before every test, made once."""
    tmp_path = tmp_path_factory.mktemp("depot")
    with Depot.create(tmp_path / "m.depot") as depot:
        job = Import(depot, the_operator(depot))
        for kind, text in FILES.items():
            (tmp_path / f"{kind}.csv").write_text(text)
            import_file(job, kind, tmp_path / f"{kind}.csv")
    return tmp_path / "m.depot"


@pytest.fixture
def path(template: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(template, tmp_path))


def screen(pilot: Pilot[None]) -> Reorder:
    found = front(pilot)
    assert isinstance(found, Reorder)
    return found


async def opened(pilot: Pilot[None]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pressed(pilot, "f6")
    await until(pilot, lambda: isinstance(front(pilot), Reorder) and front(pilot).sheet is not None)


@pytest.fixture
async def pilot(path: Path):
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        yield pilot


def words(pilot: Pilot[None]) -> str:
    return str(front(pilot).query_one("#reorder-words").render())


def lines(pilot: Pilot[None]) -> list[tuple[str, str, str]]:
    """Mark, quantity, part of every line shown."""
    return [(row[0], row[1], row[2]) for row in rows(pilot, "#rows")]


async def go(pilot: Pilot[None], part: str) -> None:
    screen(pilot).show_rows(at=f"i:{the_item(screen(pilot).depot, part).id}")
    await pressed(pilot)


async def test_lines_stand_by_supplier_with_the_sums_behind_them(pilot: Pilot[None]):
    assert lines(pilot) == [
        ("▸", "", "2 lines"),
        ("·", "6", "MTR"),
        ("·", "200", "SCR"),
        ("▸", "", "1 line"),
        ("·", "1", "PMP"),
        ("▸", "", "1 line"),
        ("·", "2", "LOST"),
    ]
    assert "30.00 below the minimum of 100.00" in words(pilot)
    await go(pilot, "MTR")
    said = words(pilot)
    assert "on hand 2 + on order 0 − promised 0 = position 2; reorder point 3: due" in said
    assert "up to 8 − 2 = 6 → 6; 6 × 10.00 = 60.00" in said
    assert "their number NG-1, lead time 7 days" in said
    assert "DANGER: Mains voltage: unplug first." in said
    await go(pilot, "SCR")
    assert "up to 180 − 50 = 130 → packs of 100, at least 200 → 200" in words(pilot)


async def test_digits_on_a_line_are_its_quantity_in_whole_packs(pilot: Pilot[None]):
    await go(pilot, "SCR")
    await pressed(pilot, "2", "3", "0", "enter")
    assert ("·", "300*", "SCR") in lines(pilot)
    assert "230 became 300: Northgate sells whole packs of 100" in message(pilot)
    assert screen(pilot).table.has_focus


async def test_wrong_quantities_are_refused_in_words(pilot: Pilot[None]):
    await go(pilot, "MTR")
    await entered(pilot, "100001")
    assert "more than 100,000" in message(pilot)
    assert ("·", "6", "MTR") in lines(pilot)


async def test_enter_asks_for_the_quantity(pilot: Pilot[None]):
    await go(pilot, "MTR")
    await pressed(pilot, "enter")
    assert "How many MTR Motor [/b] 24 V?" in asked(pilot)
    await entered(pilot, "9")
    assert ("·", "9*", "MTR") in lines(pilot)


async def test_space_skips_a_line_and_on_the_supplier_all(pilot: Pilot[None]):
    await go(pilot, "MTR")
    await pressed(pilot, "space")
    assert ("–", "6", "MTR") in lines(pilot)
    assert lines(pilot)[0][2] == "1 line"
    await pressed(pilot, "home")
    screen(pilot).show_rows(at="s:Northgate")
    await pressed(pilot, "space")
    assert {row[0] for row in lines(pilot)[1:3]} == {"–"}
    await pressed(pilot, "space")
    assert {row[0] for row in lines(pilot)[1:3]} == {"·"}


async def test_a_part_that_is_not_due_is_added(pilot: Pilot[None]):
    await entered(pilot, "CLP")
    assert "Order how many CLP Clip?" in asked(pilot)
    await entered(pilot, "6")
    assert ("+", "10", "CLP") in lines(pilot)
    await scanned(pilot, "MTR")
    assert screen(pilot).line.proposed.low.part_number == "MTR"


async def test_fill_up_offers_what_is_needed_soonest(pilot: Pilot[None]):
    await pressed(pilot, "f")
    assert "of 100.00" in asked(pilot)
    await pressed(pilot, "y")
    await until(pilot, lambda: "Filled up" in message(pilot))
    assert [row[2] for row in lines(pilot) if row[0] == "+"] == ["CLP"]
    assert screen(pilot).sheet.group("Northgate").total >= 10000


async def test_one_key_orders_a_suppliers_lines(pilot: Pilot[None], path: Path):
    await go(pilot, "SCR")
    await pressed(pilot, "space", "o")  # the skipped line's neighbour is another supplier's
    assert "Order 1 line from Pell?" in asked(pilot)
    await pressed(pilot, "n")
    screen(pilot).show_rows(at="s:Northgate")
    await pressed(pilot, "o")
    assert "Order 1 line from Northgate? 60.00 USD · 40.00 below the minimum" in asked(pilot)
    await pressed(pilot, "y")
    await until(pilot, lambda: "placed" in message(pilot))
    with Depot.open(path) as depot:
        assert [(x.part_number, x.quantity, x.supplier) for x in open_lines(depot)] == [("MTR", 6, "Northgate")]
    await until(pilot, lambda: "MTR" not in {row[2] for row in lines(pilot)})
    assert ("–", "200", "SCR") in lines(pilot), "the skipped line stays"


async def test_lines_nobody_sells_are_refused(pilot: Pilot[None]):
    await go(pilot, "LOST")
    await pressed(pilot, "o")
    await until(pilot, lambda: "name no supplier" in message(pilot))


async def test_another_terminal_ordered_first(pilot: Pilot[None], path: Path):
    await pressed(pilot, "o")
    with Depot.open(path) as depot:
        supplier = int(depot.value("SELECT id FROM suppliers WHERE name = 'Northgate'"))
        desk = the_operator(depot)
        place_order(depot, supplier, [(the_item(depot, "MTR").id, 6, 1000)], operator=desk)
    await pressed(pilot, "y")
    await until(pilot, lambda: "ordered meanwhile at another terminal" in message(pilot))
    with Depot.open(path) as depot:
        assert len(open_lines(depot)) == 1


async def test_changes_are_kept_over_a_restart_and_dropped_on_request(path: Path):
    for turn in (1, 2, 3):
        app = PartsbinApp(path)
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot)
            if turn == 1:
                await go(pilot, "MTR")
                await entered(pilot, "9")
            elif turn == 2:
                assert ("·", "9*", "MTR") in lines(pilot)
                await pressed(pilot, "u")
            assert ("·", "6", "MTR") in lines(pilot) or turn == 1


async def test_the_other_views(path: Path):
    with Depot.open(path) as depot:
        desk = the_operator(depot)
        supplier = int(depot.value("SELECT id FROM suppliers WHERE name = 'Pell'"))
        pump = the_item(depot, "PMP").id
        ago = date.today() - timedelta(days=30)  # here, not at import: a run may go past midnight
        place_order(depot, supplier, [(pump, 3, 3000)], operator=desk, expected_on=str(ago))
        van = the_place(depot, "VAN1").id
        keep_request(depot, "a pump", [Asked("pump", pump, 1, promised=True)], operator=desk, van=van)
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        await pressed(pilot, "v")
        await until(pilot, lambda: rows(pilot, "#rows"))
        assert rows(pilot, "#rows")[0][:2] == ["PO-1001", "Pell"] and "30 days late" in rows(pilot, "#rows")[0][-1]
        assert "3 PMP" in words(pilot)
        await pressed(pilot, "v")
        assert rows(pilot, "#rows")[0][2] == "PMP" and "3 on order PO-1001" in words(pilot)
        await pressed(pilot, "c")
        assert "Withdraw 1 PMP promised to VAN1?" in asked(pilot)
        await pressed(pilot, "y")
        await until(pilot, lambda: "no longer promised" in message(pilot))
        await pressed(pilot, "v")
        assert "Every dated lot will be used up" in words(pilot)
        await pressed(pilot, "v")
        await pressed(pilot, "v")
        await pressed(pilot, "c")
        assert "Close PO-1001?" in asked(pilot)
        await pressed(pilot, "y")
        await until(pilot, lambda: "is closed" in message(pilot))
    with Depot.open(path) as depot:
        assert open_lines(depot) == [] and owed(depot) == []


async def test_papers_are_written_as_changed_and_their_place_told(pilot: Pilot[None], path: Path):
    await go(pilot, "MTR")
    await entered(pilot, "9")
    await pressed(pilot, "escape")
    await go(pilot, "SCR")
    await pressed(pilot, "space", "w")
    await until(pilot, lambda: "Written:" in message(pilot))
    week = screen(pilot).sheet.report.week
    pdf = path.parent / "papers" / f"monday-{week}.pdf"
    assert pdf.name in message(pilot).replace("\n", "") and pdf.read_bytes()[:5] == b"%PDF-"
    parts = {row["part_number"]: row["quantity"] for row in csv.DictReader(pdf.with_suffix(".csv").open())}
    assert parts["MTR"] == "9" and "SCR" not in parts


async def test_another_week_is_shown_when_typed(pilot: Pilot[None]):
    await entered(pilot, "2026-W03")
    await until(pilot, lambda: screen(pilot).sheet.report.week == "2026-W03")
    await entered(pilot, "2026-W99")
    assert "2026-W99" in message(pilot)


async def test_an_empty_report_says_so_and_what_to_do_next(tmp_path: Path):
    Depot.create(tmp_path / "empty.depot").close()
    app = PartsbinApp(tmp_path / "empty.depot")
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(pilot)
        assert "no set points yet" in words(pilot) and "setpoints.csv" in words(pilot)
        await pressed(pilot, "o", "f", "space")
        await pressed(pilot, "v", "c", "v", "c", "v")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_lines_fit_the_terminal(path: Path, size: tuple[int, int]):
    app = PartsbinApp(path)
    async with app.run_test(size=size) as pilot:
        await opened(pilot)
        for _ in range(4):
            assert screen(pilot).table.virtual_size.width <= size[0]
            assert len([b for b in screen(pilot).active_bindings.values() if b.binding.show and b.enabled]) <= 7
            await pressed(pilot, "v")
