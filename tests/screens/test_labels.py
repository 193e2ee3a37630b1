"""Labels at 80x24: choosing in words and by scan, the sheet, PDF, a printer that fails, jobs offered again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

import pypdfium2
import pytest
from textual.pilot import Pilot

from partsbin.codes import encode_case, encode_slip
from partsbin.depot.file import Depot
from partsbin.desk.label_jobs import open_jobs
from partsbin.printing.stock import stock_names
from partsbin.screens import labels
from partsbin.screens.app import PartsbinApp
from partsbin.screens.labels import Labels
from tests.desk.label_depot import label_depot
from tests.printing.stand_in_printer import Behaviour, printer
from tests.screens.driving import asked, entered, front, message, pressed, rows, scanned, until


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return label_depot(tmp_path)


@pytest.fixture
async def pilot(path: Path):
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pressed(pilot, "f7")
        await until(pilot, lambda: isinstance(front(pilot), Labels))
        yield pilot


@pytest.fixture
def stand_in(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, Behaviour]]:
    monkeypatch.setattr("partsbin.desk.label_sending._wait", lambda _leaving, _seconds: None)
    with printer() as (uri, behaviour, _):
        yield uri, behaviour


def chosen(pilot: Pilot[None]) -> list[str]:
    return [row[0] for row in rows(pilot, "#chosen")]


def words(pilot: Pilot[None]) -> str:
    return str(front(pilot).query_one("#words").render())


def hint(pilot: Pilot[None]) -> str:
    """What a question says below its line: its keys, or why an answer was refused."""
    return str(pilot.app.screen.query_one(".hint").render())


async def test_words_and_scans_choose_labels_and_the_preview_says_what_comes_out(pilot: Pilot[None]) -> None:
    await entered(pilot, "A-01..")
    assert chosen(pilot) == ["A-01-01-1"]
    await scanned(pilot, "B01011")
    await scanned(pilot, "MTR-L")
    assert chosen(pilot) == ["A-01-01-1", "B-01-01-1", "MTR-L"]
    await until(pilot, lambda: "letter-30" in words(pilot))
    assert "#" in words(pilot)
    assert front(pilot).query_one("#chosen").has_focus  # the next scan finds the entry line by itself
    await pressed(pilot, "x")
    await until(pilot, lambda: chosen(pilot) == ["B-01-01-1", "MTR-L"])


def until_stopped(run: Callable[..., object]) -> Callable[..., object]:
    """The same run, so long that it is stopped before its second page."""

    def long(*args: object, progress: Callable[[int], None], cancelled: Callable[[], bool]) -> object:
        def told(done: int) -> None:
            progress(done)
            if done:
                cancelled.__self__.wait(30)  # type: ignore[attr-defined]

        return run(*args, progress=told, cancelled=cancelled)

    return long


async def test_a_long_run_tells_how_far_it_is_and_escape_stops_it(
    pilot: Pilot[None], path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(labels, "_TOLD_EVERY", 0)
    for run in ("preview", "make_job"):
        monkeypatch.setattr(labels, run, until_stopped(getattr(labels, run)))
    (path.parent / "many.csv").write_text("code,copies\nA-01-01-1,90\n")
    pilot.app.screen.entry().value = "many.csv"
    await pilot.press("enter")
    await until(pilot, lambda: "laying out … 30 of 90 labels · Esc stops" in words(pilot))
    await pilot.press("escape")
    await until(pilot, lambda: "90 labels chosen, not laid out" in words(pilot))
    await pilot.press("p")
    await until(pilot, lambda: "drawing … 30 of 90 labels · Esc stops" in message(pilot))
    await pilot.press("escape")
    await until(pilot, lambda: "Stopped after" in message(pilot))
    assert len(front(pilot).chosen) == 90
    with Depot.open(path) as depot:
        assert open_jobs(depot) == []
    await pressed(pilot, "c")


async def test_what_was_refused_stands_in_the_line_again(pilot: Pilot[None]) -> None:
    await entered(pilot, "A-77-01-1")
    assert "There is no bin" in message(pilot)
    assert front(pilot).entry().value == "A-77-01-1" and chosen(pilot) == []


async def test_a_part_used_sheet_starts_where_it_is_free(pilot: Pilot[None], path: Path) -> None:
    await entered(pilot, "bins")
    await pressed(pilot, "n")
    assert "First free position (1–30)" in asked(pilot)
    await entered(pilot, "31")
    assert "from 1 to 30" in hint(pilot)
    await entered(pilot, "29")
    await until(pilot, lambda: "2 sheets" in words(pilot))
    await pressed(pilot, "u")
    await entered(pilot, "30")
    await pressed(pilot, "p")
    await until(pilot, lambda: ".pdf" in message(pilot))
    (paper,) = path.parent.rglob("labels-*.pdf")
    assert len(pypdfium2.PdfDocument(paper)) == 2
    assert chosen(pilot) == [] and front(pilot).sheet.start == 4


async def test_a_job_lost_with_a_printer_is_offered_again_and_printed_once(
    pilot: Pilot[None], path: Path, stand_in: tuple[str, Behaviour]
) -> None:
    uri, behaviour = stand_in
    behaviour.accepting = False
    await entered(pilot, "bins")
    await pressed(pilot, "s")
    await entered(pilot, uri)
    await until(pilot, lambda: "1 job did not come out yet" in words(pilot))
    assert chosen(pilot) == []  # the job holds them now, so a second S cannot print them twice
    behaviour.accepting = True
    behaviour.job_states = [(9, "none")]
    await pressed(pilot, "j")
    await until(pilot, lambda: "bins: 4 labels" in asked(pilot))
    await pressed(pilot, "enter")
    await until(pilot, lambda: "send it again" in asked(pilot))
    await pressed(pilot, "enter")
    await until(pilot, lambda: "printed" in message(pilot))
    assert len(behaviour.jobs) == 1
    with Depot.open(path) as depot:
        assert open_jobs(depot) == []
    await pressed(pilot, "j")
    await until(pilot, lambda: "Every label job came out" in message(pilot))


async def test_a_job_is_struck_off(pilot: Pilot[None], path: Path, stand_in: tuple[str, Behaviour]) -> None:
    stand_in[1].accepting = False
    await entered(pilot, "vans")
    await pressed(pilot, "s")
    await entered(pilot, stand_in[0])
    await until(pilot, lambda: "did not come out yet" in words(pilot))
    await pressed(pilot, "j")
    await until(pilot, lambda: "vans: 1 label" in asked(pilot))
    await pressed(pilot, "enter")
    await pressed(pilot, "down", "down", "enter")
    await until(pilot, lambda: "struck off" in message(pilot))
    with Depot.open(path) as depot:
        assert open_jobs(depot) == []


async def test_a_printers_address_that_is_none_is_told_before_anything_is_drawn(pilot: Pilot[None], path: Path) -> None:
    await entered(pilot, "vans")
    await pressed(pilot, "s")
    await entered(pilot, "the one by the door")
    assert "is no printer address" in hint(pilot)
    await pressed(pilot, "escape")
    assert chosen(pilot) == ["VAN1"]
    with Depot.open(path) as depot:
        assert open_jobs(depot) == []


async def test_another_sheet_and_its_calibration_page(pilot: Pilot[None], path: Path) -> None:
    first = stock_names(path.parent)[0]
    await entered(pilot, "bins")
    await pressed(pilot, "k")
    await until(pilot, lambda: "a4-24" in asked(pilot))
    await pressed(pilot, "1")
    await until(pilot, lambda: front(pilot).sheet.stock == first)
    await pressed(pilot, "l")
    await until(pilot, lambda: "Calibration page" in message(pilot))
    assert list(path.parent.rglob(f"calibration-{first}.pdf"))
    await pressed(pilot, "g")
    await entered(pilot, "0.5 -1 99.8 100")
    await until(pilot, lambda: "moved so from now on" in message(pilot))


async def test_a_case_past_its_date_is_told_when_it_is_scanned_at_the_counter(pilot: Pilot[None]) -> None:
    await pressed(pilot, "f2")
    await scanned(pilot, encode_case("COLA", "L7", date(2024, 3, 31), 24))
    await until(pilot, lambda: "Best before 2024-03-31 has passed" in message(pilot))
    await pressed(pilot, "n")
    await scanned(pilot, encode_case("COLA", "L9", date.today() + timedelta(days=90), 24))
    await until(pilot, lambda: len(front(pilot).slate.lines) == 1)
    assert "has passed" not in message(pilot)


async def test_a_slips_paper_scanned_at_the_counter_shows_the_slip(pilot: Pilot[None]) -> None:
    await pressed(pilot, "f2")
    await scanned(pilot, encode_slip(1))
    await until(pilot, lambda: front(pilot).NAME == "history")
    await until(pilot, lambda: [row[0] for row in rows(pilot, "#slips")] == ["1"])
    await scanned(pilot, encode_slip(999))
    await until(pilot, lambda: "Slip 999 was not posted in this depot" in message(pilot))
