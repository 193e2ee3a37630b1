"""Handing over what stands on the Counter's slate: to a van, to a job, or promised for later."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from textual import work

from partsbin.depot.places import Place, places_of
from partsbin.depot.plain_text import counted
from partsbin.screens.base import DeskScreen
from partsbin.screens.counter_lines import Slate

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.depot.operators import Operator
    from partsbin.desk.supplying import Supplied
    from partsbin.requests import Answer


class CounterFinish(DeskScreen):
    """From settled lines to a slip or a promise. Flows are imported when first used: the prompt comes before them."""

    def __init__(self) -> None:
        super().__init__()
        self.slate = Slate()

    def show_slate(self) -> None:
        """Show the slate as it stands now."""

    def keep_slate(self) -> None:
        """Keep the slate as it now is."""

    def changed(self) -> None:
        """Keep the slate as it now is, and show it."""
        self.keep_slate()
        self.show_slate()

    @work
    async def action_van(self) -> None:
        """Say which van asks."""
        await self._ask_van("Which van asks?")
        self.changed()

    async def _ask_van(self, question: str) -> Place | None:
        vans = places_of(self.depot, "van")
        if not vans:
            self.complain("There is no van yet; on F9 Items, B adds one.")
            return None
        at = next((i for i, van in enumerate(vans) if self.slate.van and van.id == self.slate.van.id), 0)
        from partsbin.screens.place_choice import choose_place

        chosen = await choose_place(self, question, vans, at)
        self.slate.van = chosen or self.slate.van
        return chosen

    @work
    async def action_check_out(self) -> None:
        """Check the settled lines out to the van that asks."""
        if not self._any_settled():
            return
        seen = self.slate.seen
        van = self.slate.van or await self._ask_van("Check out to which van?")
        if van is not None:
            self._hand_over(van, self.slate.job, seen)

    @work
    async def action_issue(self) -> None:
        """Issue the settled lines to a job, from the van that asks first."""
        from partsbin.desk.supplying import job_place
        from partsbin.screens.questions import Ask

        if not self._any_settled():
            return
        seen = self.slate.seen
        job = await self.app.push_screen_wait(Ask("Which job?", answer=self.slate.job, hint="job number"))
        if job:
            self._hand_over(job_place(self.depot), job, seen)

    def _any_settled(self) -> bool:
        """Tell before a van or a job is asked for, not after, that no line can be handed over yet."""
        from partsbin.desk.supplying import NOTHING_SETTLED

        if not self.slate.settled():
            self.complain(NOTHING_SETTLED)
        return bool(self.slate.settled())

    @work(exclusive=True, group="post")
    async def _hand_over(self, target: Place, job: str, seen: dict[int, int]) -> None:
        from partsbin.desk.supplying import supply

        slate, operator = self.slate, self.operator
        wanted, text = slate.settled(), slate.text
        first = slate.source or (slate.van if target.kind == "job" else None)
        done: Supplied | None = await self.post(
            lambda depot: supply(depot, operator, text, wanted, target=target, job=job, first=first, seen=seen),
            left=slate.rest().draft(),
        )
        if done is None:
            return
        owed = "; ".join(f"{quantity} {item.part_number}" for item, quantity in done.owed)
        lines = counted(len(wanted), "line")
        slip = f"Slip {done.slip}: {lines} to {job or target.code}." if done.slip else "Nothing is here."
        await self._finished(f"{slip} Promised for later: {owed}." if owed else slip)

    @work(exclusive=True, group="post")
    async def action_promise(self) -> None:
        """Promise the settled lines for later."""
        from partsbin.desk.supplying import promise_lines

        slate, operator = self.slate, self.operator
        wanted = slate.settled()
        request = await self.post(
            lambda depot: promise_lines(depot, operator, slate.text, wanted, van=slate.van, job=slate.job),
            left=slate.rest().draft(),
        )
        if request is not None:
            await self._finished(
                f"Request {request}: {counted(len(wanted), 'line')} promised; Monday's report counts them."
            )

    async def _finished(self, words: str) -> None:
        """Learn from what the desk chose, keep what was not settled, and say what was done."""
        operator = self.operator
        picked = [(line.answer, line.item_id) for line in self.slate.lines if line.chosen and line.answer]
        for answer, item_id in picked:
            if item_id is not None:
                await self.attempt(partial(_learn, operator, answer, item_id))
        self.slate = self.slate.rest()
        left = self.slate.lines
        self.refresh_bindings()
        self.changed()
        self.say(words + (f" {counted(len(left), 'line')} still to settle." if left else ""))
        if not left:
            self.entry().focus()


def _learn(operator: Operator, answer: Answer, item_id: int, depot: Depot) -> bool:
    from partsbin.desk.asking import chose

    return chose(depot, operator, answer, item_id)
