"""Changing the Monday report and turning it into purchase orders."""

from __future__ import annotations

from collections.abc import Callable

from textual import work

from partsbin.depot.asks import withdraw
from partsbin.depot.catalogue import Item, item_by_id
from partsbin.depot.file import Depot
from partsbin.depot.orders import close_order
from partsbin.depot.plain_text import counted
from partsbin.desk.monday import Reorder, write_csv
from partsbin.desk.order_sheet import Group
from partsbin.desk.ordering import fill_up, place, total_words
from partsbin.desk.papers import paper_path, write_monday
from partsbin.errors import Refused
from partsbin.exchange.values import major
from partsbin.screens.clipping import clip
from partsbin.screens.figures import amount_of
from partsbin.screens.item_choice import choose_item
from partsbin.screens.questions import Ask, Sure
from partsbin.screens.reorder_lines import ORDERS, ReorderLines


class ReorderSteps(ReorderLines):
    """The keys of Reorder."""

    def changed(self, *, at: str = "") -> None:
        """Keep the draft and show the lines after a change."""
        if self.sheet is not None:
            self.keep_draft(self.sheet.edits() if self.sheet.edited else None)
        self.show_rows(at=at)

    # -- lines -------------------------------------------------------------------------------------------

    def action_skip(self) -> None:
        """Leave the line out of the order, or take it in again."""
        line, group = self.line, self.group
        if line is not None:
            line.skipped = not line.skipped
            line.quantity = line.quantity or line.proposed.quantity
            self.changed()
            self.table.action_cursor_down()
        elif group is not None:
            out = any(not one.skipped for one in group.lines)
            for one in group.lines:
                one.skipped = out
            self.changed()
            self.say(f"{group.supplier or 'These lines'}: all lines {'skipped' if out else 'taken in again'}.")

    @work(group="quantity")
    async def action_quantity(self) -> None:
        """Ask for another quantity of the line."""
        line = self.line
        if line is None:
            return
        low = line.proposed.low
        check = amount_of(item_by_id(self.depot, low.item_id))
        question = f"How many {low.part_number} {low.description}?"
        answer = await self.app.push_screen_wait(Ask(question, answer=str(line.quantity), check=check))
        if answer is not None:
            self.order_quantity(low.item_id, check(answer))

    def order_quantity(self, item_id: int, quantity: int) -> None:
        """Order another quantity of an item, in whole packs; the report may have been made anew meanwhile."""
        line = self.sheet.line(item_id) if self.sheet else None
        if self.sheet is None or line is None:
            self.complain("This part is off the report meanwhile; type its number to order it.")
            return
        said = self.sheet.set_quantity(line, quantity)
        self.changed()
        self.table.action_cursor_down()
        low = line.proposed.low
        self.say(said or f"{line.quantity} {low.part_number}, {major(line.final.value) or 'price not known'}.")

    def action_drop(self) -> None:
        """Go back to what the report proposes."""
        if self.sheet is not None and self.sheet.edited:
            self.sheet.drop_changes()
            self.changed()
            self.say("The report is as proposed again.")

    @work(exclusive=True, group="add")
    async def add_part(self, text: str) -> None:
        """Go to a part's line, or add a part the report does not propose."""
        found = await choose_item(self, text)
        sheet = self.sheet
        if found is None or sheet is None:
            return
        item, quantity = found
        line = sheet.line(item.id)
        if line is not None and quantity is None:
            self.show_rows(at=f"i:{item.id}")
            self.say(f"{item.part_number} is on the report; key a figure to change it.")
            return
        if quantity is None:
            check = amount_of(item)
            question = f"Order how many {item.part_number} {item.description}?"
            answer = await self.app.push_screen_wait(Ask(question, answer=str(item.pack_size), check=check))
            if answer is None:
                return
            quantity = check(answer)
        self._add(item, quantity)

    def _add(self, item: Item, quantity: int) -> None:
        if self.sheet is None or not quantity:
            return
        try:
            line, said = self.sheet.add(self.depot, item, quantity)
        except Refused as refused:
            self.complain(refused)
            return
        self.changed(at=f"i:{item.id}")
        self.say(said or f"{line.quantity} {item.part_number} added.")

    # -- orders ------------------------------------------------------------------------------------------

    @work(exclusive=True, group="fill")
    async def action_fill(self) -> None:
        """Add the other hands of what is ordered, then what is needed soonest up to the minimum or free carriage."""
        group, sheet = self.group, self.sheet
        if group is None or sheet is None:
            return
        going, monday = group.going, sheet.report.monday
        skipped = {line.proposed.low.item_id for line in group.lines if line.skipped}
        more = await self.attempt(
            lambda depot: fill_up(depot, group.supplier, going, group.goal, monday, left_out=skipped),
            saying="looking what will be needed soonest …",
        )
        if more and await self.app.push_screen_wait(_fill_question(group, more)):
            sheet = self.sheet or sheet  # made anew while the question stood
            for line in more:
                sheet.add(self.depot, item_by_id(self.depot, line.low.item_id), line.quantity, line.note)
            self.changed(at=f"s:{group.supplier}")
            self.say(f"Filled up with {counted(len(more), 'line')}.")
        elif more is not None:
            self.say("" if more else _nothing_to_add(group))

    @work(exclusive=True, group="order")
    async def action_order(self) -> None:
        """Turn the supplier's lines into a purchase order."""
        group, sheet = self.group, self.sheet
        if group is None or sheet is None:
            return
        if group.supplier and not group.going:
            self.complain(f"All of {group.supplier}'s lines are skipped; take one in again with Space.")
            return
        question = _order_question(group, self.depot.setting("currency"))
        if group.supplier and not await self.app.push_screen_wait(question):
            return
        going, operator, monday = group.going or [x.final for x in group.lines], self.operator, sheet.report.monday
        order = await self.post(
            lambda depot: place(depot, operator, going, monday), left=sheet.edits(without=going), saying="ordering …"
        )
        if order is not None:
            (self.sheet or sheet).forget(going)
            self.changed()
            self.say(
                f"Order {order} to {group.supplier} placed: {len(going)} lines. V shows it; F3 books what arrives."
            )
        self.refreshed()

    @work(exclusive=True, group="close")
    async def action_close(self) -> None:
        """Close the order under the cursor, or withdraw the short request."""
        if self.view == ORDERS:
            await self._close(self.key[2:])
        else:
            await self._withdraw()

    async def _close(self, number: str) -> None:
        lines = [line for line in self.orders if line.order == number]
        if not lines:
            return
        detail = "\n".join(f"{line.due} {line.part_number} {line.description}" for line in lines)
        question = Sure(f"Close {number}? What has not come is expected no longer:", detail)
        if await self.app.push_screen_wait(question) and await self.done(lambda depot: close_order(depot, number)):
            self.say(f"{number} is closed; what it still owed counts as not ordered from now on.")
            self.refreshed()

    async def _withdraw(self) -> None:
        found = self.short
        if found is None:
            return
        owed = found.owed
        for_whom = owed.van or owed.job or "the desk"
        question = Sure(f"Withdraw {owed.due} {owed.part_number} promised to {for_whom}?", owed.description)
        if await self.app.push_screen_wait(question) and await self.done(lambda depot: withdraw(depot, owed.id)):
            self.say(f"{owed.part_number} is no longer promised to {for_whom}.")
            self.refreshed()

    # -- papers ------------------------------------------------------------------------------------------

    @work(exclusive=True, group="write")
    async def action_write(self) -> None:
        """Write the report as it stands, as PDF and CSV."""
        if self.sheet is None:
            return
        report = self.sheet.final()
        try:
            pdf = paper_path(self.depot, f"monday-{report.week}.pdf")
        except Refused as refused:
            self.complain(refused)
            return
        sheet = pdf.with_suffix(".csv")

        def write(depot: Depot) -> None:
            write_csv(depot, report, sheet)
            write_monday(depot, report, pdf)

        self.say("writing …")
        if await self.done(write):
            self.say(f"Written: {pdf} and {sheet.name} beside it.")

    async def done(self, job: Callable[[Depot], None]) -> bool:
        """Run a flow; whether it was done, or refused and complained about."""

        def run(depot: Depot) -> bool:
            job(depot)
            return True

        return bool(await self.attempt(run))


def _nothing_to_add(group: Group) -> str:
    if not group.goal:
        return f"{group.supplier or 'This'}: there is no minimum or free carriage left to fill up to."
    return f"Nothing {group.supplier} sells will be needed within half a year: wait, or pay."


def _fill_question(group: Group, more: tuple[Reorder, ...]) -> Sure:
    value = sum(line.value or 0 for line in more)
    rows = [
        f"{x.quantity:>5} {x.low.part_number:<12} {major(x.value):>8}  {clip(x.low.description, 40)}\n{'':28}{x.note}"
        for x in more
    ]
    reached = group.total + value
    short = f"; still {major(group.goal - reached)} short" if reached < group.goal else ""
    of = f" of {major(group.goal)}{short}" if group.goal else ""
    becomes = f"{major(group.total)} becomes {major(reached)}{of}"
    return Sure(f"Add {counted(len(more), 'line')}, {major(value)}? {becomes}.", "\n".join(rows))


def _order_question(group: Group, currency: str) -> Sure:
    lines = group.going
    rows = [f"{x.quantity:>5} {x.low.part_number:<14} {major(x.value):>9}  {x.low.description}" for x in lines]
    said = total_words(group.total, group.unpriced, group.terms, currency)
    return Sure(f"Order {counted(len(lines), 'line')} from {group.supplier}? {said}.", "\n".join(rows))
