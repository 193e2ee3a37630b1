"""A lane question at the Counter: what it is answered with, and its kit as lines of the slate."""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsbin.depot.catalogue import the_item
from partsbin.depot.plain_text import counted
from partsbin.screens.counter_lines import AskedFor

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.depot.places import Place
    from partsbin.desk.lane_answers import LaneAnswer
    from partsbin.desk.lane_questions import LaneAsked
    from partsbin.lanes.kits import LaneKit
    from partsbin.screens.base import DeskScreen

NEXT = "K puts the kit on the slate, Esc goes back to the entry line. F11 changes a machine's lanes."


async def lane_asked(screen: DeskScreen, text: str, van: Place | None) -> LaneAsked | None:
    """Answer a question about a container in a lane away from the event loop; None for anything else."""
    from partsbin.desk.lane_questions import asked
    from partsbin.lanes.questions import may_be_lane_question

    found: LaneAsked | None = (
        await screen.desk.away(lambda depot: asked(depot, text, van)) if may_be_lane_question(text) else None
    )
    return found


def kits_of(asked: LaneAsked | None) -> list[tuple[LaneAnswer, LaneKit]]:
    """The answers that come with a kit of parts to take."""
    return [(x, x.kit) for x in (asked.answers if asked else ()) if x.kit is not None and x.kit.take]


async def kit_lines(screen: DeskScreen, asked: LaneAsked | None) -> list[AskedFor]:
    """The lines of the kit somebody wants, asked for where the question allows several; none when given up."""
    kits = kits_of(asked)
    at: int | None = 0
    if len(kits) > 1:
        from partsbin.screens.questions import Pick

        at = await screen.app.push_screen_wait(Pick("Which kit?", [answer.fit.sentence() for answer, _ in kits]))
    if at is None or not kits:
        return []
    return _lines(screen.depot, *kits[at])


def _lines(depot: Depot, answer: LaneAnswer, kit: LaneKit) -> list[AskedFor]:
    head = f"lane kit, {counted(kit.lanes, 'lane')} {answer.fit.lane_type.code}: {answer.fit.container.name}"
    return [AskedFor(head, None, the_item(depot, x.part_number).id, x.quantity, chosen=True) for x in kit.take]
