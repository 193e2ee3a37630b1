"""What lanes are worked out from, on screen: clearances, containers, their cases, lane types."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from partsbin.desk.lane_editing import NEW, add_row, cases_words, change_cell, field_words, texts_of
from partsbin.desk.lane_limits import kept_words, limits_words, read_limits, set_limits
from partsbin.lanes.containers import Kind
from partsbin.screens.questions import Ask, Pick

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.depot.machines import LaneRow
    from partsbin.depot.operators import Operator
    from partsbin.screens.machines import Machines

_TITLES = {Kind.CAN: "clearances for cans", Kind.PET: "clearances for bottles"}
_HINTS = {
    "containers": "SLM330 57.4 146 330 slim",
    "lane-types": "T90 90 560 200 80 7 Teal",
    "case-forms": "SLM330 24 tray",
}


async def edit_lane_data(screen: Machines, lane: LaneRow | None) -> None:
    """Offer what lanes are worked out from, the lane's own first, and change what is chosen."""
    rows: list[tuple[str, Any]] = []
    if lane is not None and lane.container:
        cases = cases_words(screen.depot, lane.container)
        rows += [(f"container {lane.container}", partial(_fields, screen, "containers", lane.container))]
        rows += [(f"another case of {lane.container} ({cases})", partial(_add, screen, "case-forms"))]
    if lane is not None:
        rows += [(f"lane type {lane.lane_type}", partial(_fields, screen, "lane-types", lane.lane_type))]
    rows += [(_TITLES[kind], partial(_clearances, screen, kind)) for kind in Kind]
    rows += [
        ("another container, by its code", partial(_named, screen, "containers")),
        ("another lane type, by its code", partial(_named, screen, "lane-types")),
        ("a new container", partial(_add, screen, "containers")),
        ("a new lane type", partial(_add, screen, "lane-types")),
    ]
    chosen = await screen.app.push_screen_wait(Pick("Which figures?", [words for words, _ in rows]))
    if chosen is not None:
        await rows[chosen][1]()
        screen.refreshed()


async def _clearances(screen: Machines, kind: Kind) -> None:
    kept = kept_words(screen.depot, kind)
    question = f"{_TITLES[kind]}, mm; empty: the usual ones"
    text = await screen.app.push_screen_wait(Ask(question, answer=kept, check=lambda words: read_limits(words, kind)))
    if text is None:
        return
    operator = screen.operator
    limits = await screen.attempt(lambda depot: set_limits(depot, operator, kind, text))
    if limits is not None:
        screen.say(f"{_TITLES[kind]}: {limits_words(limits)}")


async def _fields(screen: Machines, kind: str, code: str) -> None:
    """Show every field with what it is, and change one after another until Esc."""
    texts = await screen.attempt(lambda depot: texts_of(depot, kind, code))
    at = 0
    while texts:
        columns = list(texts)[1:]
        rows = [f"{field_words(column)}: {texts[column] or '–'}" for column in columns]
        chosen = await screen.app.push_screen_wait(Pick(f"{code}: change what?", rows, at))
        if chosen is None:
            return
        at, column = chosen, columns[chosen]
        text = await screen.app.push_screen_wait(Ask(f"{code}: {field_words(column)}", answer=texts[column]))
        if text is not None:
            changed = await screen.attempt(partial(_change, screen.operator, kind, code, column, text))
            texts = changed or texts
            if changed:
                screen.say(f"{code}: {field_words(column)} is {changed[column] or 'empty'}.")


def _change(operator: Operator, kind: str, code: str, column: str, text: str, depot: Depot) -> dict[str, str]:
    return change_cell(depot, operator, kind, code, column, text)


async def _named(screen: Machines, kind: str) -> None:
    what = NEW[kind][0].replace("_", " ")
    code = await screen.app.push_screen_wait(
        Ask(f"Which {what}?", check=lambda text: text and texts_of(screen.depot, kind, text))
    )
    if code:
        await _fields(screen, kind, code.strip().upper())


async def _add(screen: Machines, kind: str) -> None:
    question = ", ".join(field_words(column) for column in NEW[kind])
    text = await screen.app.push_screen_wait(Ask(f"{question}?", hint=_HINTS[kind]))
    if not text:
        return
    operator = screen.operator
    code = await screen.attempt(lambda depot: add_row(depot, operator, kind, text))
    if code is not None and kind != "case-forms":
        await _fields(screen, kind, code)
    elif code is not None:
        screen.say(f"{code} comes in {cases_words(screen.depot, code)}.")
