"""Machines at 80x24: chart, another drink, counts, measures, audit files; the Counter's lane questions."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Static

from partsbin.depot.file import Depot
from partsbin.depot.machines import lanes_of
from partsbin.depot.operators import the_operator
from partsbin.desk.posting import Keyed, transfer
from partsbin.screens.app import PartsbinApp
from tests.desk.lane_depot import build
from tests.screens.driving import asked, entered, front, message, pressed, quiet, scanned

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return build(tmp_path)


def panel(pilot) -> str:
    return str(front(pilot).query_one("#lane", Static).render())


def drawn(pilot) -> str:
    return str(front(pilot).query_one("#drawn", Static).render())


async def shown(pilot) -> None:
    await quiet(pilot)
    await pressed(pilot, "f11")
    front(pilot).chart.focus()
    await quiet(pilot)


@pytest.mark.parametrize("size", SIZES)
async def test_the_shelves_are_drawn_and_the_lane_under_the_cursor_in_full(path: Path, size: tuple[int, int]) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=size) as pilot:
        await shown(pilot)
        await entered(pilot, "M1")
        assert all(words in drawn(pilot) for words in ("10 7/7", "CAN355", "│21", "–"))
        assert "COLA  Cola 355 ml can" in panel(pilot)
        await pressed(pilot, "right", "right")
        assert "Lane 12 · T74" in panel(pilot)
        assert "unconfirmed: measure it (M)" in panel(pilot)
        assert "1 x SP15-L" in panel(pilot)
        await entered(pilot, "21")
        assert "No drink is set for this lane" in panel(pilot)


async def test_another_drink_shows_only_the_difference_then_kit_out_and_done(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        await entered(pilot, "Mill Street")
        await pressed(pilot, "space", "space", "c")
        assert "M1 lane 10+11: which drink?" in asked(pilot)
        await entered(pilot, "SLIM")
        assert "Take: 2 x SP15-L LEFT" in panel(pilot)
        assert "Comes back" not in panel(pilot)
        await pressed(pilot, "k")
        assert "VAN1" in asked(pilot)
        await pressed(pilot, "enter")
        assert "the kit is on VAN1" in message(pilot)
        assert list((path.parent / "papers").glob("lane-kit-*.pdf"))
        await pressed(pilot, "d", "enter")
        assert "is done, parts from VAN1?" in asked(pilot)
        await pressed(pilot, "y")
        assert "sells Energy 250 ml slim can" in message(pilot)
        assert "10 0/7!" in drawn(pilot)
        await entered(pilot, "10")
        await pressed(pilot, "n")
        await entered(pilot, "7")
        assert "10 7/7" in drawn(pilot)
        await pressed(pilot, "n")
        await entered(pilot, "8")
        assert "holds 0 to 7, not 8" in message(pilot)
    with Depot.open(path) as depot:
        assert [lane.container for lane in lanes_of(depot, "M1")[:2]] == ["SLM250", "SLM250"]


async def test_a_scan_goes_to_its_machine_and_walking_leaves_a_change(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(120, 40)) as pilot:
        await shown(pilot)
        await scanned(pilot, "T-100")
        await quiet(pilot)
        assert "M1  Mill Street" in str(front(pilot).query_one("#machine", Static).render())
        assert not list(app._notifications)
        assert "12 7/7 15L" in " ".join(drawn(pilot).split())
        await pressed(pilot, "right", "right", "c")
        await entered(pilot, "COLA")
        assert "Comes back: 1 x SP15-L" in panel(pilot)
        await pressed(pilot, "left", "k", "d")
        assert asked(pilot) == ""
        assert "Lane 11" in panel(pilot)


async def test_what_does_not_fit_is_said_and_k_and_d_are_not_there(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        await entered(pilot, "M1")
        await pressed(pilot, "c")
        await entered(pilot, "BIG")
        assert "mm too wide" in message(pilot)
        await pressed(pilot, "k", "d")
        assert asked(pilot) == ""


async def test_a_measured_diameter_is_kept(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        await entered(pilot, "M1")
        await entered(pilot, "12")
        await pressed(pilot, "m")
        await entered(pilot, "wide")
        assert "diameter" in asked(pilot)
        await entered(pilot, "53.0 0.2")
        assert "measured here" in message(pilot)
        assert "53 ±0.2 mm, measured" in panel(pilot)


async def test_an_audit_file_is_read_and_posted_after_a_yes(path: Path, tmp_path: Path) -> None:
    from tests.exchange.test_audit import sealed

    with Depot.open(path) as depot:
        transfer(depot, the_operator(depot), "checkout", [Keyed("COLA", "24", target="VAN1")])
    folder = tmp_path / "stick"
    folder.mkdir()
    for number, sold in (("1", 100), ("2", 103)):
        body = ["ID1*T-100*X*1***M1*6*1", f"ID5*2026030{number}*0800", "CB1*B1*X*1"]
        body += [f"VA1*{sold * 100}*{sold}*0*0", "PA1*10*100", f"PA2*{sold}*{sold * 100}*0*0"]
        (folder / f"{number}.dex").write_bytes(sealed(*body))
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        await pressed(pilot, "a")
        await entered(pilot, str(folder))
        assert "Keep 2 new readings" in asked(pilot)
        await pressed(pilot, "y")
        assert "3 units" in message(pilot)


async def test_the_door_chart_is_printed(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        await entered(pilot, "M1")
        await pressed(pilot, "p")
        assert "door-chart-M1.pdf" in message(pilot).replace("\n", "")
        assert (path.parent / "papers" / "door-chart-M1.pdf").read_bytes().startswith(b"%PDF")


async def test_a_depot_without_machines_says_what_to_import(tmp_path: Path) -> None:
    with Depot.create(tmp_path / "empty.depot"):
        pass
    app = PartsbinApp(tmp_path / "empty.depot")
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        assert "import lanes" in drawn(pilot)
        await pressed(pilot, "right", "space", "c", "n")
        await entered(pilot, "")
        assert asked(pilot) == ""


@pytest.mark.parametrize("size", SIZES)
async def test_the_counter_answers_what_spacers_a_can_needs(path: Path, size: tuple[int, int]) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=size) as pilot:
        await quiet(pilot)
        await entered(pilot, "what spacers for the 250 slim in a 74 lane")
        words = str(front(pilot).query_one("#words", Static).render())
        assert "1 x SP15-L LEFT" in words
        assert "7 in the lane" in words
        assert "F11" in message(pilot)
        assert front(pilot).slate.lines == []
        await entered(pilot, "2 x 6 mm left spacer")
        assert len(front(pilot).slate.lines) == 1


async def test_the_kit_a_lane_question_is_answered_with_goes_on_the_slate_and_to_a_van(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await entered(pilot, "what spacers for the 250 slim in a 74 lane")
        assert "K puts the kit on the slate" in message(pilot)
        await pressed(pilot, "k")
        lines = front(pilot).slate.lines
        assert [(line.quantity, line.is_settled) for line in lines] == [(1, True), (1, True)]
        assert all("lane kit, 1 lane T74" in line.text for line in lines)
        await pressed(pilot, "c", "enter")
        assert "2 lines to VAN1" in message(pilot)
        await entered(pilot, "two 6 mm left spacers")
        await pressed(pilot, "k")  # nothing to put there: the last thing read was no lane question
        assert len(front(pilot).slate.lines) == 1


async def test_what_lanes_are_worked_out_from_is_changed_on_the_screen(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await shown(pilot)
        await entered(pilot, "M1")
        await pressed(pilot, "l")
        assert all(words in asked(pilot) for words in ("container CAN355", "lane type T74", "clearances for cans"))
        await pressed(pilot, "3")
        assert "clear width, mm: 74" in asked(pilot)
        await pressed(pilot, "down", "enter")
        await entered(pilot, "far too wide")
        assert "width_mm" in message(pilot) and "clear width, mm: 74" in asked(pilot)
        await pressed(pilot, "enter")
        await entered(pilot, "75")
        assert "T74: clear width, mm is 75" in message(pilot)
        await pressed(pilot, "escape", "l", "4")
        assert "clearances for cans" in asked(pilot)
        await entered(pilot, "max-slack 9")
        assert "max-slack 9" in message(pilot)
    with Depot.open(path) as depot:
        assert depot.value("SELECT width_mm FROM lane_types WHERE code = 'T74'") == 75
