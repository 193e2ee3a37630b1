"""Audit files on the screen: what they say, and booking the sales after a yes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual.widgets import Static

from partsbin.errors import Refused
from partsbin.screens.questions import Ask, Sure

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.desk.round_booking import Booked
    from partsbin.desk.rounds import Look
    from partsbin.screens.machines import Machines


async def read_audits(screen: Machines) -> None:
    """Ask for a file or folder, show what was sold and what to load, and post it when the desk says so."""
    text = await screen.app.push_screen_wait(Ask("Audit file or folder?", hint="/media/stick/audit", check=_there))
    if not text:
        return
    path = Path(text).expanduser()
    answer = await screen.find_out(lambda depot: _looked(depot, path), "reading …")
    if answer is None:
        return
    found, words = answer
    screen.query_one("#lane", Static).update("\n".join(words))
    screen.say("")
    new = [reading for reading in found.readings if not reading.taken]
    question = f"Keep {len(new)} new readings, book their sales, and promise the vans their load?"
    if not found.readings or not await screen.app.push_screen_wait(Sure(question, "\n".join(words))):
        return
    operator = screen.operator

    def post(depot: Depot) -> tuple[list[Booked], str]:
        from partsbin.desk.load_paper import write_van_load
        from partsbin.desk.papers import paper_path
        from partsbin.desk.round_booking import take
        from partsbin.desk.today import today
        from partsbin.desk.van_loads import promise_load, round_loads

        with depot.write():
            loads = round_loads(depot, found.stops)
            booked = take(depot, operator, found)
            for load in loads:
                promise_load(depot, operator, load)
        if not any(load.drinks for load in loads):
            return booked, ""
        paper = paper_path(depot, f"van-load-{today(depot)}.pdf")
        write_van_load(depot, loads, paper)
        return booked, f" The load is on {paper}."

    done = await screen.attempt(post)
    if done is not None:
        screen.refreshed()
        screen.say(_done(done[0]) + done[1])


def _there(text: str) -> None:
    if text and not Path(text).expanduser().exists():
        message = f"There is nothing at {text}."
        raise Refused(message)


def _looked(depot: Depot, path: Path) -> tuple[Look, list[str]]:
    from partsbin.desk.event_leads import event_leads
    from partsbin.desk.rounds import look, read_path
    from partsbin.desk.van_loads import round_loads

    found = look(depot, *read_path(path))
    out = []
    for reading in found.readings:
        sold = f"{reading.sold.units} sold" if reading.sold else "taken before" if reading.taken else "first reading"
        out.append(f"{reading.machine.asset} {reading.machine.site}: {sold}")
        out += [f"   {note}" for note in reading.notes]
        for lead in event_leads(depot, reading.reading):
            out.append(f"   {lead.sentence()}")
            out += [f"      try first: {check}" for _, checks in lead.checks[:1] for check in checks[:2]]
    out += [f"Not taken: {sentence}" for sentence in found.refused]
    for load in round_loads(depot, found.stops):
        out.append(f"Load for {load.van.code if load.van else 'no van yet'}:")
        out += [
            f"   {d.load.words():>10}  {d.item.part_number} {d.item.description}" for d in load.drinks if d.load.each
        ]
    return found, out


def _done(booked: list[Booked]) -> str:
    slips = ", ".join(f"slip {b.slip} ({b.machine.asset}, {b.units} units)" for b in booked if b.slip)
    waiting = sum(units for b in booked for _, units in b.open)
    rest = f" {waiting} units wait until their van is loaded (F4), then read again." if waiting else ""
    return (f"Booked: {slips}." if slips else "Nothing was booked.") + rest
