"""What is asked at a machine: what a lane holds, how wide a container is, which van."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from partsbin.depot.containers import measured
from partsbin.depot.machines import set_lane_count
from partsbin.depot.places import Place, find_place, places_of
from partsbin.screens.machines_words import read_measure
from partsbin.screens.place_choice import choose_place
from partsbin.screens.questions import Ask

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.screens.machines import Machines


async def ask_count(screen: Machines) -> None:
    """Ask what the lane under the cursor holds, and keep it."""
    lane = screen.chart.lane
    if lane is None:
        return
    shown = "" if lane.count is None else str(lane.count)
    text = await screen.app.push_screen_wait(
        Ask(f"How many are in {lane.asset} lane {lane.lane}?", answer=shown, hint=f"0 to {lane.capacity}")
    )
    if text and await screen.attempt(partial(_keep_count, lane.asset, lane.lane, text)):
        screen.say(f"{lane.asset} lane {lane.lane} holds {text.strip()}.")


async def ask_measure(screen: Machines) -> None:
    """Ask for the diameter of the container of the lane under the cursor, and keep it as measured."""
    lane = screen.chart.lane
    if lane is None or not lane.container:
        return
    question = f"{lane.container}: diameter at its widest, and its spread, in mm?"
    text = await screen.app.push_screen_wait(Ask(question, hint="66.1 0.3", check=read_measure))
    if text:
        body, spread = read_measure(text)
        code = lane.container
        await screen.attempt(lambda depot: measured(depot, code, body, spread))
        screen.say(f"{code} is {body:g} mm ±{spread:g}, measured here.")


async def ask_van(screen: Machines, question: str, *, shelf: bool = False) -> Place | None:
    """Ask which van, the machine's own first; ``shelf`` offers all bins together too."""
    places = places_of(screen.depot, "van")
    whole = find_place(screen.depot, "SHELF") if shelf else None
    places += [whole] if whole else []
    own = screen.machine.van if screen.machine else None
    at = next((i for i, place in enumerate(places) if place.id == own), 0)
    return await choose_place(screen, question, places, at)


def _keep_count(asset: str, lane: str, text: str, depot: Depot) -> bool:
    from partsbin.depot.ledger import whole_quantity

    set_lane_count(depot, asset, lane, 0 if text.strip() == "0" else whole_quantity(text))
    return True
