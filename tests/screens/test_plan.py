"""Set points on screen: proposals with their sums, accepted one, some or all; what-if; a van's kit."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from partsbin.depot.file import Depot
from partsbin.screens.app import PartsbinApp
from tests.screens.test_counter import entered, message, settled


@pytest.fixture
def built(demo_built: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_built, tmp_path))


async def opened(app: PartsbinApp, pilot) -> None:
    await settled(pilot)
    await pilot.press("f12")
    await settled(pilot)


async def test_one_marked_and_all_listed_are_accepted_with_who_and_when(built: Path) -> None:
    app = PartsbinApp(built)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        assert "would change" in message(app)
        await entered(pilot, "110-5035")
        assert "order when" in str(app.front.query_one("#sums").render())
        await pilot.press("space")
        await pilot.press("a")
        await settled(pilot)
        await entered(pilot, "110-5040")
        await pilot.press("l")
        await pilot.pause()
        await pilot.press("y")
        await settled(pilot)
    with Depot.open(built) as depot:
        rows = depot.all("SELECT operator, since FROM set_points WHERE source = 'planned'")
        assert len(rows) == 3
        assert all(row["operator"] == 1 and row["since"] for row in rows)


async def test_what_if_another_target_and_the_targets_of_the_classes(built: Path) -> None:
    app = PartsbinApp(built)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        assert "targets fast 98 · medium 95 · slow 90 · other 95 %" in message(app)
        await entered(pilot, "")
        await pilot.press("w")
        await settled(pilot)
        assert "short a year" in str(app.front.query_one("#sums").render())
        await pilot.press("t")
        await pilot.pause()
        await pilot.press("ctrl+u", *"200", "enter")
        await settled(pilot)
        assert "not a share between 0 and 100" in message(app)
        await pilot.press("c")
        await pilot.pause()
        await pilot.press("ctrl+u", *"fast 97", "enter")
        await settled(pilot)
        assert "targets fast 97 · medium 95" in message(app)
    with Depot.open(built) as depot:
        assert depot.setting("target:fast") == "0.97"


async def test_a_vans_kit_is_shown_before_it_becomes_its_par(built: Path) -> None:
    app = PartsbinApp(built)
    async with app.run_test(size=(80, 24)) as pilot:
        await opened(app, pilot)
        await entered(pilot, "")
        await pilot.press("v")
        await pilot.pause()
        await pilot.press("1")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("enter")
        for _ in range(400):
            await pilot.pause(0.05)
            asked = "Make it the par?" in str([w.render() for w in app.screen.query("Static")])
            if asked and app.screen.query_one(".hint").region:  # said and laid out
                break
        hint = app.screen.query_one(".hint")
        assert hint.region.bottom < app.screen.query_one(".question").region.bottom, "how to answer stays in sight"
        await pilot.press("n")
        await settled(pilot)
    with Depot.open(built) as depot:
        vans = "SELECT id FROM places WHERE kind = 'van'"
        sql = f"SELECT count(*) FROM set_points WHERE source = 'planned' AND place_id IN ({vans})"
        assert depot.value(sql) == 0
