"""Finishing a count: large gaps counted again, differences reviewed and reasoned, one slip posted."""

from __future__ import annotations

from textual import work

from partsbin.depot.plain_text import counted
from partsbin.desk.counting import REASONS, count_again, gaps, moved_meanwhile, post_sheet, to_recount
from partsbin.screens.count_entry import CountEntry
from partsbin.screens.questions import Ask, Pick, Sure

_OTHER = "other: say it in words"


class CountReview(CountEntry):
    """From the last figure keyed to the posted slip."""

    def next_place(self, told: str) -> None:
        """Go on to the next place of a walk, or back to the list."""
        if self.queue:
            self.start(self.queue)
            self.say(f"{told} Now {self.sheet.place if self.sheet else ''}.".strip())
            return
        self.sheet, self.phase, self.queue = None, "choose", []
        self.changed(0, told)
        self.entry().focus()

    @work(exclusive=True, group="finish")
    async def action_finish(self) -> None:
        """Finish the place: settle what was not counted, count large gaps again, then show the differences."""
        sheet = self.sheet
        if sheet is None:
            return
        missing = sheet.uncounted
        if missing and not await self._none_there([f"{line.part} {line.lot}" for line in missing]):
            return
        sheet.none_there()
        moved = moved_meanwhile(self.depot, sheet)
        if moved:
            count_again(self.depot, sheet, moved)
            self.changed(0)
            self.complain(f"{moved[0].part} was moved here while you counted: count it again.")
            return
        large = to_recount(self.depot, sheet)
        if large:
            sheet.again = True
            count_again(self.depot, sheet, large)
            first = sheet.lines.index(sheet.uncounted[0])
            self.changed(first)
            self.complain(f"Far from the file: {counted(len(large), 'line')}. Count once more: {large[0].part} …")
            return
        await self._review()

    async def _none_there(self, parts: list[str]) -> bool:
        named = "\n".join(parts[:12]) + (f"\n… and {len(parts) - 12} more" if len(parts) > 12 else "")
        question = f"{counted(len(parts), 'line')} without a count. Are there none here?"
        return await self.app.push_screen_wait(Sure(question, named))

    async def _review(self) -> None:
        self.phase = "review"
        self.gaps = gaps(self.depot, self.sheet) if self.sheet else []
        if self.gaps:
            self.changed(0, "P posts the differences; R gives the line a reason, C counts it again.")
            self.lines_table.focus()
        else:
            await self._post()

    # -- differences -------------------------------------------------------------------------------------

    @work
    async def action_reason(self) -> None:
        """Give the line under the cursor a reason."""
        if 0 <= self.at < len(self.gaps):
            gap = self.gaps[self.at]
            reason = await self._ask_reason(f"Why does {gap.found.item.part_number} differ by {gap.found.gap:+}?")
            if reason:
                self.reasons[gap.key] = reason
                self.changed(min(self.at + 1, len(self.gaps) - 1))

    async def _ask_reason(self, question: str) -> str | None:
        chosen = await self.app.push_screen_wait(Pick(question, [*REASONS, _OTHER]))
        if chosen is None:
            return None
        if chosen < len(REASONS):
            return REASONS[chosen]
        words = await self.app.push_screen_wait(Ask("What was found?"))
        return words or None

    def action_again(self) -> None:
        """Count the line under the cursor again."""
        if self.sheet and 0 <= self.at < len(self.gaps):
            key = self.gaps[self.at].key
            again = [line for line in self.sheet.lines if f"{line.part}|{line.lot}" == key]
            count_again(self.depot, self.sheet, again)
            self.reasons.pop(key, None)
            self.phase = "count"
            self.changed(next((n for n, line in enumerate(self.sheet.lines) if line.count is None), 0))
            self.entry().focus()

    @work(exclusive=True, group="post")
    async def action_post(self) -> None:
        """Post the differences; lines without a reason are asked for one together."""
        open_ones = [gap for gap in self.gaps if gap.key not in self.reasons]
        if open_ones:
            reason = await self._ask_reason(f"Why the difference on {counted(len(open_ones), 'line')}?")
            if not reason:
                return
            self.reasons |= {gap.key: reason for gap in open_ones}
        await self._post()

    async def _post(self) -> None:
        sheet, operator, reasons, differ = self.sheet, self.operator, dict(self.reasons), len(self.gaps)
        if sheet is None:
            return
        done = await self.attempt(lambda depot: (post_sheet(depot, operator, sheet, reasons),))
        if done is None:
            self.phase = "count"
            count_again(self.depot, sheet, moved_meanwhile(self.depot, sheet))
            self.refreshed()
            return
        told = (
            f"Slip {done[0]}: {counted(differ, 'difference')} at {sheet.place}."
            if done[0]
            else f"{sheet.place} agrees with the file."
        )
        self.next_place(told)
