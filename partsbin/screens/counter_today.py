"""What today needs, beside the Counter's slate: counted through away from the keyboard."""

from __future__ import annotations

from functools import partial

from textual import work
from textual.widgets import Static

from partsbin.desk.today import ToCount, Today, needs
from partsbin.screens.counter_finish import CounterFinish
from partsbin.screens.counter_lines import today_words


class CounterToday(CounterFinish):
    """Counts one at a time, however often the depot changes. ``today_told`` is what was counted last, in words."""

    def __init__(self) -> None:
        super().__init__()
        self.today_told = ""
        self._counting = self._count_again = False
        self._to_count = ToCount()

    def show_line(self) -> None:
        """Show what is known about the line under the cursor, or what today needs where there is none."""

    @work(group="today")
    async def count_needs(self) -> None:
        """Count what today needs; what the count plan asks for takes longest and is told when it is known."""
        self._count_again = True
        if self._counting:
            return
        self._counting = True
        try:
            while self._count_again:
                self._count_again = False
                found = await self.desk.away(needs)
                self._tell(found)
                self._tell(await self.desk.away(partial(self._to_count.added_to, found)))
        finally:
            self._counting = False

    def _tell(self, found: Today) -> None:
        if not self.query("#today"):  # the program was left meanwhile
            return
        self.today_told = today_words(found)
        self.query_one("#today", Static).update(self.today_told)
        if not self.slate.lines:
            self.show_line()
