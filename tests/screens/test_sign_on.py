"""Signing on at the desk: asked for only where it must be; badges and PINs; what is entered stays."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.codes import encode_badge
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk import people
from partsbin.screens.app import PartsbinApp
from partsbin.screens.entry import ScanEntry
from partsbin.screens.sign_on import SignOn
from partsbin.screens.ways import WAYS, screen_class
from tests.screens.driving import asked, entered, message, pressed, quiet, scanned, until


@pytest.fixture
def path(tmp_path: Path) -> Path:
    with Depot.create(tmp_path / "p.depot") as depot:
        desk = the_operator(depot)
        people.add_person(depot, desk, "KM", "Kim", badge="B-7")
        people.add_person(depot, desk, "LE", "Lee", role="lead", badge="B-9")
    return tmp_path / "p.depot"


def give_pin(path: Path, initials: str, pin: str) -> None:
    with Depot.open(path) as depot:
        people.set_pin(depot, the_operator(depot), initials, pin)


async def test_where_no_pin_is_set_the_counter_comes_up_at_once(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        assert app.operator.initials == "DESK" and app.screen is app.front
        app.sign_on("B-7")
        await quiet(pilot)
        assert app.operator.initials == "KM" and "KM Kim is at the desk" in message(pilot)


async def test_where_a_pin_is_set_everybody_says_who_they_are(path: Path) -> None:
    give_pin(path, "LE", "2580")
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        assert isinstance(app.screen, SignOn)
        await pressed(pilot, "f3")
        assert isinstance(app.screen, SignOn)
        await entered(pilot, "zz")
        assert "Nobody here has the initials" in str(app.screen.query_one(".hint").render())
        await entered(pilot, "le")
        assert "PIN of LE Lee" in asked(pilot) and app.screen.query_one(ScanEntry).password
        await entered(pilot, "1111")
        await until(pilot, lambda: "not the PIN of LE" in str(app.screen.query_one(".hint").render()))
        await entered(pilot, "2580")
        await until(pilot, lambda: app.screen is app.front)
        assert app.operator.initials == "LE"


async def test_a_screen_not_laid_out_yet_waits_for_its_turn(path: Path) -> None:
    app = PartsbinApp(path, "KM")
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        for way in WAYS:
            screen_class(way.name)().renew()


async def test_escape_at_the_first_question_leaves_the_program(path: Path) -> None:
    give_pin(path, "LE", "2580")
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert not app.is_running or app._exit


async def test_a_badge_scanned_in_the_middle_of_work_asks_for_the_pin_and_escape_changes_nobody(path: Path) -> None:
    give_pin(path, "LE", "2580")
    app = PartsbinApp(path, "KM")
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        assert app.screen is app.front and app.operator.initials == "KM"
        app.sign_on("B-9")
        await quiet(pilot)
        await pressed(pilot, "escape")
        assert app.operator.initials == "KM"
        await pressed(pilot, "ctrl+o")
        await scanned(pilot, "B-9")
        assert "PIN of LE" in asked(pilot)
        await entered(pilot, "2580")
        assert app.operator.initials == "LE"


async def test_a_scanned_badge_nobody_wears_is_said(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, "ctrl+o")
        await scanned(pilot, "B-404")
        assert "Nobody here wears" in str(app.screen.query_one(".hint").render())


async def test_a_badge_is_taken_on_every_screen_and_its_first_characters_leave_the_entry_line(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await quiet(pilot)
        for number, way in enumerate(WAYS):
            initials, badge = (("KM", "B-7"), ("LE", "B-9"))[number % 2]
            await pressed(pilot, way.key)
            app.front.entry().value = "slim OP"
            app.front.entry().cursor_position = 7
            app.scan("]C0" + encode_badge(badge), "OP")
            await quiet(pilot)
            assert app.operator.initials == initials, way.name
            assert app.front.entry().value == "slim ", way.name
