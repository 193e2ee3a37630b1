"""The file or disk fails under an open screen: one sentence on its message line, and the program stays up."""

from __future__ import annotations

import os
from pathlib import Path
from threading import Event

import pytest

from partsbin.depot.file import Depot
from partsbin.screens.app import PartsbinApp
from partsbin.screens.ways import WAYS
from tests.faults.yard import PARTS, VANS, build
from tests.screens.driving import entered, front, message, pressed, quiet, until


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return build(tmp_path / "there" / "t.depot", each=5)


async def test_a_file_cut_short_is_told_in_words_on_every_screen_and_none_of_them_ends(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        os.truncate(path, 8192)
        app.look()
        assert message(pilot).startswith(f"✗ {path} is damaged.") and "partsbin restore" in message(pilot)
        for way in (*WAYS, WAYS[0]):
            await pressed(pilot, way.key)
            assert way.name == front(pilot).NAME
            front(pilot).say("")
            app.look()
            assert "is damaged" in message(pilot), way.name
        await entered(pilot, PARTS[0])
        assert "is damaged" in message(pilot)


async def test_a_folder_that_went_away_is_told_within_the_next_look_and_what_is_entered_stays(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await entered(pilot, f"2 {PARTS[0]}")
        aside = path.parent.rename(path.parent.with_name("aside"))
        await until(pilot, lambda: "no longer the file that was opened" in message(pilot))
        await pressed(pilot, "c")
        assert "no longer the file" in message(pilot) or app.screen is not app.front
        aside.rename(path.parent)
        await pressed(pilot, "escape", "f8", "f2")
        assert front(pilot).query_one("DataTable").row_count == 1


async def test_no_screen_waits_while_another_terminal_writes_and_its_draft_is_kept_afterwards(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        with Depot.open(path) as other:
            with other.write():
                other.run("UPDATE drafts SET body = body")
                await entered(pilot, f"2 {PARTS[0]}")
                assert front(pilot).query_one("DataTable").row_count == 1
                await pressed(pilot, "f8", "f2")
                assert not other.value("SELECT count(*) FROM drafts")
            app.look()
            assert PARTS[0] in other.value("SELECT body FROM drafts")


async def test_whoever_posts_while_another_terminal_writes_is_told_that_it_waits(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await entered(pilot, f"{VANS[0]}: 2 {PARTS[0]}")
        with Depot.open(path) as other:
            with other.write():
                other.run("UPDATE drafts SET body = body")
                await pilot.press("c")
                await until(pilot, lambda: "waiting for another terminal" in message(pilot))
            await until(pilot, lambda: f"1 line to {VANS[0]}" in message(pilot))


async def test_esc_leaves_what_takes_long_and_says_so(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, go_on = Event(), Event()

    def slow(_depot: Depot, target: float | None = None) -> list[object]:
        begun.set()
        go_on.wait(30)
        return []

    monkeypatch.setattr("partsbin.screens.plan.propose", slow)
    app = PartsbinApp(path)
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            await quiet(pilot)
            await pilot.press("f12")
            await until(pilot, lambda: "planning …" in message(pilot) and "Esc stops" in message(pilot))
            assert begun.is_set()
            await pressed(pilot, "escape")
            assert message(pilot) == "Stopped; nothing was changed."
            await pressed(pilot, "f2")
            go_on.set()
    finally:
        go_on.set()
