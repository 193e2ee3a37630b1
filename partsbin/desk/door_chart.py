"""The chart that hangs in a machine's door, from its lanes as kept."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from partsbin.depot.catalogue import find_item
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, lanes_of, the_machine
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.lanes.kits import HAND_WORDS, LanePart, Role
from partsbin.lanes.lane_parts import read_lane_part

_CARDS = ("MAINS", "TIP")


def write_door_chart(depot: Depot, asset: str, path: Path) -> None:
    """Write a machine's lane chart as a PDF of one page. Refuses a machine without lanes."""
    from partsbin.printing.lane_chart import ChartCell, ChartPaper, write_lane_chart

    machine = the_machine(depot, asset)
    rows: dict[int, list[ChartCell]] = {}
    for lane in lanes_of(depot, machine.asset):
        drink = lane.description.split(",")[0]
        changed = f"since {lane.changed_on}" if lane.changed_on else ""
        cell = ChartCell(lane.lane, drink, lane.container, spacer_words(depot, lane), lane.capacity, changed)
        rows.setdefault(lane.shelf, []).append(cell)
    if not rows:
        message = f"{machine.asset} has no lanes yet: import lanes."
        raise Refused(message)
    cards = depot.all("SELECT word, text FROM cautions WHERE code IN (?, ?) ORDER BY severity, code", _CARDS)
    about = f"{machine.site} · {machine.family} · serial {machine.serial or 'unknown'} · seen with the door open"
    write_lane_chart(
        ChartPaper(
            asset=machine.asset,
            about=about,
            depot=depot.setting("depot_name"),
            printed_on=str(today(depot)),
            shelves=tuple(tuple(row) for _, row in sorted(rows.items())),
            cautions=tuple(f"{card['word']}: {card['text']}" for card in cards),
            paper=depot.setting("paper"),
        ),
        path,
    )


def spacer_words(depot: Depot, lane: LaneRow) -> str:
    """Return the spacers fitted in a lane: ``15 mm LEFT``; what holds nothing on record says so."""
    found = [
        f"{'' if quantity == 1 else f'{quantity} x '}{part.thickness_mm:g} mm{HAND_WORDS.get(part.hand, '')}"
        for part, quantity in _spacers(depot, lane)
    ]
    return " + ".join(found) or ("no spacer" if lane.fitted else "")


def spacer_mark(depot: Depot, lane: LaneRow) -> str:
    """Return the spacers fitted in a lane in the shortest form: ``15L``, ``10L+10R``."""
    return "+".join(f"{part.thickness_mm:g}{part.hand[:1]}" for part, n in _spacers(depot, lane) for _ in range(n))


def _spacers(depot: Depot, lane: LaneRow) -> Iterator[tuple[LanePart, int]]:
    for number, quantity in lane.fitted:
        item = find_item(depot, number)
        part = read_lane_part(number, item.family, item.description, hand=item.hand) if item else None
        if part is not None and part.role is Role.SPACER:
            yield part, quantity
