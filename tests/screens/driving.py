"""Driving the program in tests: enter, scan, answer questions, and wait for what the screen must show."""

from __future__ import annotations

from collections.abc import Callable

from textual.pilot import Pilot
from textual.widgets import DataTable, Static

from partsbin.screens.app import PartsbinApp
from partsbin.screens.entry import ScanEntry


def message(pilot: Pilot[None]) -> str:
    """What the message line says."""
    return str(front(pilot).query_one("#message", Static).render())


def front(pilot: Pilot[None]):
    app = pilot.app
    assert isinstance(app, PartsbinApp)
    assert app.front is not None
    return app.front


async def until(pilot: Pilot[None], true: Callable[[], object], what: str = "") -> None:
    """Wait for a condition; questions keep workers open, so their end is no sign."""
    for _ in range(500):
        await pilot.pause(0.01)
        if true():
            return
    raise AssertionError(f"never came: {what or message(pilot)}")


async def quiet(pilot: Pilot[None]) -> None:
    """Wait until nothing is under way but a question that waits for its answer."""
    still = 0
    for _ in range(500):
        await pilot.pause(0.01)
        asking = pilot.app.screen is not front(pilot)
        busy = [worker for worker in pilot.app.workers if worker.is_running]
        still = still + 1 if asking or not busy else 0
        if still >= 3:
            return
    raise AssertionError(f"never quiet: {message(pilot)}")


async def entered(pilot: Pilot[None], text: str) -> None:
    """Type into the line in front, a question's or the screen's, and press Enter."""
    entry = pilot.app.screen.query_one(ScanEntry)
    entry.focus()
    entry.value = text
    await pilot.press("enter")
    await quiet(pilot)


async def scanned(pilot: Pilot[None], text: str) -> None:
    pilot.app.scan(text)
    await quiet(pilot)


async def pressed(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    await quiet(pilot)


def asked(pilot: Pilot[None]) -> str:
    """The question that stands before the screen, with the rows to choose from."""
    screen = pilot.app.screen
    found = [str(words.render()) for words in screen.query(".asked, .detail Static").results(Static)]
    for table in screen.query("#choices").results(DataTable):
        found += [str(cell) for row in range(table.row_count) for cell in table.get_row_at(row)]
    return "\n".join(found)


def rows(pilot: Pilot[None], table: str) -> list[list[str]]:
    """A table's rows as texts."""
    found = front(pilot).query_one(table, DataTable)
    return [[str(cell) for cell in found.get_row_at(at)] for at in range(found.row_count)]


def column(pilot: Pilot[None], table: str, heading: str) -> list[str]:
    """One column of a table as texts; empty texts where the table leaves it out."""
    found = front(pilot).query_one(table, DataTable)
    labels = [str(one.label) for one in found.ordered_columns]
    at = labels.index(heading) if heading in labels else None
    return ["" if at is None else row[at] for row in rows(pilot, table)]
