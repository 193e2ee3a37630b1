"""The README's pictures come from the real program on the demo depot; ``PARTSBIN_PICTURES=1`` renews them."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from partsbin.screens.app import PartsbinApp

HERE = Path(__file__).parent
REQUEST = "van 2: two 10 mm left shims for the drift, a 24v motor lh cascade and 12 can clips left drift"


@pytest.fixture
def path(demo_built: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_built, tmp_path))


def picture(app: PartsbinApp, name: str) -> str:
    """Return the screen as SVG without references to fonts on other machines; write it where asked."""
    drawn = re.sub(r"@font-face\s*{[^}]*}", "", app.export_screenshot(title="partsbin"))
    if os.environ.get("PARTSBIN_PICTURES"):
        (HERE / name).write_text(drawn)
    return drawn.replace("&#160;", " ")


async def settled(pilot) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def test_the_counter_as_the_readme_shows_it(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(110, 30)) as pilot:
        await settled(pilot)
        app.front.entry().value = REQUEST
        await pilot.press("enter")
        await settled(pilot)
        drawn = picture(app, "counter.svg")
    assert "Lane spacer 10 mm LH, Drift 9" in drawn
    assert "✓ sure" in drawn


async def test_restock_as_the_readme_shows_it(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(110, 30)) as pilot:
        await settled(pilot)
        await pilot.press("f4")
        await settled(pilot)
        app.scan("VAN1")
        await pilot.pause()
        await settled(pilot)
        drawn = picture(app, "restock.svg")
    assert "A-01-01-1" in drawn


def test_the_pictures_are_there_and_fetch_nothing() -> None:
    for name in ("counter.svg", "restock.svg"):
        drawn = (HERE / name).read_text()
        assert "<svg" in drawn
        assert "url(" not in drawn.replace("url(#", "")
