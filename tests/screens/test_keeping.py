"""Long work under the screens: how far it is, Esc and leaving stop it; the file proved and backed up on History."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from threading import Event

import pytest

from partsbin.depot.backup_plan import backup_folder
from partsbin.depot.file import Depot
from partsbin.errors import Refused
from partsbin.screens.app import PartsbinApp
from partsbin.screens.entry import ScanEntry
from partsbin.wanted import still_wanted
from tests.faults.yard import build
from tests.screens.driving import asked, entered, front, message, pressed, quiet, until


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return build(tmp_path / "there" / "t.depot", each=5)


_ENDLESS = "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT count(*) FROM n"


def _sums(_depot: Depot) -> None:
    while not Event().wait(0.001):
        still_wanted()


def _query(depot: Depot) -> None:
    depot.value(_ENDLESS)


def planning(endless: Callable[[Depot], None], monkeypatch: pytest.MonkeyPatch) -> tuple[Event, Event]:
    """Let the plan work without end; the events tell that it has begun, and that it was stopped as it should be."""
    begun, ended = Event(), Event()
    stopped: type[Exception] = Refused if endless is _sums else sqlite3.OperationalError

    def work(depot: Depot, target: float | None = None) -> None:
        begun.set()
        try:
            endless(depot)
        except stopped:
            ended.set()
            raise

    monkeypatch.setattr("partsbin.screens.plan.propose", work)
    return begun, ended


@pytest.mark.parametrize("endless", [_sums, _query])
async def test_esc_ends_sums_and_queries_in_their_thread(path: Path, endless, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, ended = planning(endless, monkeypatch)
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pilot.press("f12")
        await until(pilot, begun.is_set)
        await pressed(pilot, "escape")
        assert message(pilot) == "Stopped; nothing was changed."
        await until(pilot, ended.is_set)


async def test_leaving_ends_what_is_under_way(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, ended = planning(_query, monkeypatch)
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pilot.press("f12")
        await until(pilot, begun.is_set)
    assert ended.wait(10)


async def test_the_days_backup_is_told_in_the_heading_and_leaving_ends_it(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ended = Event()

    def slow(_depot: Depot, progress) -> None:
        try:
            while not Event().wait(0.001):
                progress(60, 100)
        except Refused:
            ended.set()
            raise

    monkeypatch.setattr("partsbin.depot.backup_plan.back_up_today", slow)
    monkeypatch.setattr("partsbin.screens.app._BACK_UP_AFTER", 0.1)
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "day's backup 40 %" in str(front(pilot).query_one("#heading").render()))
        await pilot.press("f8")
        await until(pilot, lambda: "day's backup 40 %" in str(front(pilot).query_one("#heading").render()))
    assert ended.wait(10)
    assert not backup_folder(path).exists()


async def test_history_proves_the_file_and_names_what_does_not_add_up(path: Path) -> None:
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pressed(pilot, "f8", "escape", "k")
        assert message(pilot) == "The depot is proved: every figure adds up."
        with sqlite3.connect(path) as other:
            other.execute("UPDATE stock SET quantity = quantity + 1 WHERE item_id = 1")
        await pressed(pilot, "k")
        assert "difference" in message(pilot)
        front(pilot).renew()
        assert "moves" in str(front(pilot).query_one("#detail").render())
        await pressed(pilot, "escape", "enter")
        assert "Slip 1" in str(front(pilot).query_one("#detail").render())


async def test_history_backs_up_to_a_file_of_ones_choice_and_refuses_one_that_is_there(path: Path) -> None:
    target = path.parent / "stick.backup"
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pressed(pilot, "f8", "escape", "b")
        assert "Back up to which file?" in asked(pilot)
        await entered(pilot, str(path))
        assert "is already there" in str(pilot.app.screen.query_one(".hint").render())
        await entered(pilot, str(target))
        assert "opened and proved" in message(pilot)
        await pressed(pilot, "b", "enter")
        assert "opened and proved" in message(pilot)
    assert len([*backup_folder(path).glob("t-*T*.backup")]) == 1
    Depot.open(target).close()


async def test_an_answer_half_typed_stands_there_when_the_question_is_asked_again(path: Path) -> None:
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pressed(pilot, "f8", "escape", "r")
        await pilot.press(*"wro")
        await until(pilot, lambda: pilot.app.depot.value("SELECT count(*) FROM drafts WHERE body = '\"wro\"'"))
    async with PartsbinApp(path).run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pressed(pilot, "f8", "escape", "r")
        assert pilot.app.screen.query_one(ScanEntry).value == "wro"
        assert "half typed when the program ended" in str(pilot.app.screen.query_one(".hint").render())
        await pressed(pilot, "n", "g", "enter")
        assert "was taken back" in message(pilot)
        assert not pilot.app.depot.value("SELECT count(*) FROM drafts")
