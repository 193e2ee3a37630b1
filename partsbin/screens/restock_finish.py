"""Posting a restock: one checkout, promises for what is short, the pick slip."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual import work

from partsbin.depot.file import Depot
from partsbin.depot.plain_text import counted
from partsbin.desk.papers import paper_path, write_pick_slip
from partsbin.desk.restock import Proposal
from partsbin.desk.restock_posting import differences, passed_over, post_sheet, promise_only
from partsbin.desk.restock_sheet import Sheet
from partsbin.errors import Refused
from partsbin.screens.questions import Ask, Pick, Sure
from partsbin.screens.restock_adding import RestockAdding, required


class RestockFinish(RestockAdding):
    """From a picked list to a posted slip."""

    @work(exclusive=True, group="post")
    async def action_post(self) -> None:
        """Post one checkout, promise what is short, write the pick slip."""
        if self.sheet is not None:
            self.settling = True
            try:
                await self._post(self.sheet, self.sheet.proposal)
            finally:
                self.settling = False

    async def _post(self, sheet: Sheet, seen: Proposal) -> None:
        """Post what was ``seen`` when the question was put: the list may be renewed while it stands."""
        only_ticked = await self._how_many(sheet)
        reason = None if only_ticked is None else await self._why_passed_over(sheet)
        if only_ticked is None or reason is None:
            told = differences(seen, sheet.proposal)
            if told:
                self.complain(" ".join(told))
            return
        final, operator = sheet.final(only_ticked=only_ticked), self.operator
        if not final.picks and not differences(seen, sheet.proposal):
            await self._promise(sheet)
            return
        slip = await self.post(
            lambda depot: post_sheet(depot, operator, sheet, seen, only_ticked=only_ticked, reason=reason),
            left=self._draft_without(sheet),
            saying="posting …",
        )
        if slip is None:
            await self.propose_anew(sheet)
        else:
            self.forget(sheet)
            await self._hand_out(final, slip)

    async def _hand_out(self, final: Proposal, slip: int) -> None:
        """Write the pick slip and say what was done."""
        initials = self.operator.initials
        path = self.depot.path.parent / "papers" / f"pick-slip-{slip}.pdf"
        said = f"Slip {slip} posted: {counted(len(final.picks), 'line')} onto {final.van.code}."
        promised = len([m for m in final.missing if not m.request_line])
        said += f" {promised} short, now promised." if promised else ""

        def write(depot: Depot) -> None:
            write_pick_slip(depot, final, slip, paper_path(depot, path.name), initials)

        try:
            await self.desk.away(write)
        except Refused as refused:
            self.complain(f"{said} But there is no pick slip: {refused}")
        else:
            self.say(f"{said} Pick slip: {path}")

    async def _how_many(self, sheet: Sheet) -> bool | None:
        """Ask whether all lines go or only the ticked ones: True for only those, None for not yet."""
        going = [line for line in sheet.lines if line.goes]
        ticked = [line for line in going if line.mark == "picked"]
        if not going and not sheet.final().missing:
            self.complain("There is nothing on this list to post.")
            return None
        short = [m for m in sheet.final().missing if not m.request_line]
        detail = "\n".join(f"short, promised: {m.quantity} {m.item.part_number} {m.item.description}" for m in short)
        if ticked and len(ticked) < len(going):
            rows = [f"All {len(going)} lines", f"Only the {len(ticked)} ticked; the others stay on the shelf"]
            chosen = await self.app.push_screen_wait(Pick(f"What goes onto {sheet.van.code}?", rows))
            return None if chosen is None else chosen == 1
        question = (
            f"Post {counted(len(going), 'line')} onto {sheet.van.code}?"
            if going
            else f"Promise what {sheet.van.code} lacks?"
        )
        return False if await self.app.push_screen_wait(Sure(question, detail)) else None

    async def _why_passed_over(self, sheet: Sheet) -> str | None:
        """Ask why older lots stay behind, where they do; empty when none do, None for not yet."""
        passed = passed_over(self.depot, sheet)
        if not passed:
            return ""
        return await self.app.push_screen_wait(Ask(" ".join(passed) + " Why?", check=required))

    async def _promise(self, sheet: Sheet) -> None:
        operator = self.operator
        if await self._done(lambda depot: promise_only(depot, operator, sheet)):
            self.forget(sheet)
            self.say(f"Nothing was picked; what {sheet.van.code} lacks is promised, and Monday's report counts it.")

    @work(exclusive=True, group="write")
    async def action_write(self) -> None:
        """Write the list on paper before it is posted."""
        if self.sheet is None:
            return
        final, initials = self.sheet.final(), self.operator.initials
        path = self.depot.path.parent / "papers" / f"pick-list-{self.sheet.van.code}.pdf"

        def write(depot: Depot) -> None:
            write_pick_slip(depot, final, None, paper_path(depot, path.name), initials)

        if await self._done(write):
            self.say(f"Pick list, not posted yet: {path}")

    async def _done(self, job: Callable[[Depot], None]) -> bool:
        """Run a flow; whether it was done, or refused and complained about."""

        def run(depot: Depot) -> bool:
            job(depot)
            return True

        return bool(await self.attempt(run))

    def _draft_without(self, sheet: Sheet) -> dict[str, Any] | None:
        others = {van: edits for van, edits in self.kept.items() if van != sheet.van.code}
        return {"van": "", "sheets": others} if others else None

    def forget(self, sheet: Sheet) -> None:
        """Forget a sheet that is done with, and go back to the vans."""
        self.keep_draft(self._draft_without(sheet))
        self.kept.pop(sheet.van.code, None)
        if self.sheet is sheet:
            self.sheet = None
            self.refreshed()
            self.entry().focus()
