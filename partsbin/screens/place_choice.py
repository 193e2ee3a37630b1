"""One of several places chosen: by arrow keys, by its digit, or by the scan of its label."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from partsbin.desk.today import today

if TYPE_CHECKING:
    from partsbin.depot.places import Place
    from partsbin.screens.base import DeskScreen


async def choose_place(screen: DeskScreen, question: str, places: Sequence[Place], at: int = 0) -> Place | None:
    """Ask which of the places is meant; None when the question is left by Escape."""
    from partsbin.desk.scanned import look_up
    from partsbin.screens.questions import Pick

    def row_of(scanned: str) -> int | None:
        found = look_up(screen.depot, scanned, today(screen.depot)).place
        return next((row for row, place in enumerate(places) if found is not None and place.id == found.id), None)

    rows = [f"{place.code}  {place.name}" for place in places]
    chosen = await screen.app.push_screen_wait(Pick(question, rows, at, row_of=row_of))
    return None if chosen is None else places[chosen]
