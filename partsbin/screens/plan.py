"""Set points: what the depot's history proposes, with its sums, for the lead to accept; van kits and what-if."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import DataTable, Static

from partsbin.depot.file import Depot
from partsbin.depot.places import places_of
from partsbin.desk.plan import Planned, accept, propose, what_if
from partsbin.desk.plan_paper import write_plan
from partsbin.desk.plan_targets import NAMES, class_targets, read_targets, set_targets, targets_in_words
from partsbin.desk.van_plan import VanKit, accept_kit, propose_kit
from partsbin.exchange.values import decimal, major, money
from partsbin.screens.base import DeskScreen, Lines
from partsbin.screens.entry import ScanEntry
from partsbin.screens.item_choice import item_read
from partsbin.screens.place_choice import choose_place
from partsbin.screens.questions import Ask, Sure

if TYPE_CHECKING:
    from partsbin.planning import WhatIf

_TARGETS = (0.80, 0.85, 0.90, 0.93, 0.95, 0.97, 0.98, 0.99)
_BAR = 30


class Plan(DeskScreen):
    """Review and accept proposed set points."""

    NAME = "plan"
    TITLE_TEXT = "Set points"
    HELP = """
The depot's own history proposes a reorder point and an order-up-to level for every item, for a weekly review on Monday.
The sums of the item under the cursor stand below. Nothing changes until it is accepted; who accepted and when is kept.

Type words to narrow the list. Space marks a line. A accepts the marked lines, or the one under the cursor when none is
marked; L accepts every line listed. T tries one target for all (share of units that should be there at once) and plans
anew; C changes the targets kept for fast, medium and slow items. W shows what targets cost. V proposes a van's kit
from its own jobs, within the money and the weight that may ride with it. P writes it all as PDF.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "accept", "Accept", id="plan.accept"),
        Binding("l", "accept_all", "Accept all", id="plan.accept_all"),
        Binding("space", "mark", "Mark", id="plan.mark"),
        Binding("t", "target", "Target", id="plan.target"),
        Binding("c", "class_targets", "Class targets", show=False, id="plan.class_targets"),
        Binding("w", "what_if", "What if", id="plan.what_if"),
        Binding("v", "van", "Van kit", id="plan.van"),
        Binding("p", "paper", "PDF", show=False, id="plan.paper"),
        Binding("escape", "swap", "Entry line or list", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.planned: list[Planned] = []
        self.marked: set[int] = set()
        self._words = ""
        self._target: float | None = None

    def body(self) -> ComposeResult:
        """Entry line, proposals, sums."""
        yield ScanEntry(placeholder="narrow by part, words, supplier or class; Enter alone: all that change")
        yield Lines("", "Part", "What", "Now", "Proposed", "A week", "Money", id="planned")
        with VerticalScroll(classes="panel"):
            yield Static(id="sums", markup=False)

    def on_mount(self) -> None:
        """Plan in the background."""
        super().on_mount()
        self._plan()

    @work(exclusive=True, group="plan")
    async def _plan(self, done: str = "") -> None:
        target = self._target
        planned = await self.find_out(lambda depot: propose(depot, target=target), "planning …")
        if planned is not None:
            self.planned, self.marked = planned, set()
            self._show()
            self.say(f"{done} {self._told()}".strip())

    def _told(self) -> str:
        changing = sum(1 for one in self.planned if one.changes)
        if not self.planned:
            return "The catalogue is empty: nothing to plan yet."
        tied = sum(one.proposal.money_tied_up for one in self.planned if one.proposal.money_tied_up > 0)
        aim = f"target {100 * self._target:g} % for all" if self._target else f"targets {targets_in_words(self.depot)}"
        return f"{changing} of {len(self.planned)} would change; {major(round(tied))} on the shelf; {aim}."

    def listed(self) -> list[Planned]:
        """Return the proposals that fit the words; without words, those that would change something."""
        words = self._words.lower().split()
        if not words:
            return [one for one in self.planned if one.changes]
        return [
            one
            for one in self.planned
            if all(
                word in f"{one.part_number} {one.description} {one.supplier} {one.proposal.demand_class}".lower()
                for word in words
            )
        ]

    def _show(self) -> None:
        rows, keys = [], []
        for one in self.listed():
            p = one.proposal
            now = "none" if p.old_order_up_to is None else f"{p.old_reorder_point}/{p.old_order_up_to}"
            tied = major(round(p.money_tied_up)) if p.money_tied_up >= 0 else "?"
            mark = "●" if one.item_id in self.marked else "?" if p.questions else ""
            what = one.description if len(one.description) <= 26 else one.description[:25] + "…"
            new = f"{p.reorder_point}/{p.order_up_to}"
            rows.append((mark, one.part_number, what, now, new, f"{p.weekly_demand:.2g}", tied))
            keys.append(str(one.item_id))
        self.query_one("#planned", Lines).fill(rows, keys=keys)
        self._sums()

    @on(ScanEntry.Entered)
    @on(ScanEntry.Scanned)
    def narrowed(self, message: ScanEntry.Entered | ScanEntry.Scanned) -> None:
        """Narrow the list."""
        message.stop()
        item = item_read(self, message.text) if isinstance(message, ScanEntry.Scanned) else None
        self._words = item.part_number if item else message.text
        self._show()
        self.query_one("#planned", Lines).focus()

    @on(DataTable.RowHighlighted, "#planned")
    def walked(self) -> None:
        """Show the sums of the line under the cursor."""
        self._sums()

    @property
    def here(self) -> Planned | None:
        """The proposal under the cursor."""
        key = self.query_one("#planned", Lines).key_here
        return next((one for one in self.planned if str(one.item_id) == key), None)

    def _sums(self) -> None:
        one = self.here
        words = one.words if one else "Every set point is as the history proposes." if self.planned else ""
        questions = "".join(f"\n? {question}" for question in one.proposal.questions) if one else ""
        self.query_one("#sums", Static).update(words + questions)

    def action_mark(self) -> None:
        """Mark or unmark the line under the cursor."""
        one = self.here
        if one is not None:
            self.marked ^= {one.item_id}
            self._show()
            self.query_one("#planned", Lines).action_cursor_down()

    @work
    async def action_accept(self) -> None:
        """Accept the marked lines, or the one under the cursor."""
        chosen = [one for one in self.planned if one.item_id in self.marked] or [one for one in [self.here] if one]
        await self._accept(chosen)

    @work
    async def action_accept_all(self) -> None:
        """Accept every line listed."""
        chosen = [one for one in self.listed() if one.changes]
        if not chosen:
            return
        question = Sure(f"Accept {len(chosen)} proposed set points?")
        if await self.app.push_screen_wait(question):
            await self._accept(chosen)

    async def _accept(self, chosen: list[Planned]) -> None:
        operator = self.operator
        changed = await self.attempt(lambda depot: accept(depot, operator, chosen))
        if changed is not None:
            self._plan(f"{changed} set point(s) accepted by {operator.initials}.")

    @work
    async def action_target(self) -> None:
        """Plan for another share of units at once."""
        shown = f"{(self._target or 0.95) * 100:g}"
        answer = await self.app.push_screen_wait(
            Ask("Share of units that should be there at once, in %?", answer=shown)
        )
        if not answer:
            return
        try:
            share = float(answer.rstrip("% ")) / 100
        except ValueError:
            share = 0.0
        if not 0 < share < 1:
            self.complain(f"“{answer}” is not a share between 0 and 100 %, such as 95.")
            return
        self._target = share
        self._plan()

    @work
    async def action_class_targets(self) -> None:
        """Change the targets of the classes and plan anew."""
        shown = " ".join(f"{100 * share:g}" for share in class_targets(self.depot).values())
        question = f"Targets in % for {', '.join(NAMES)} items?"
        answer = await self.app.push_screen_wait(Ask(question, answer=shown, check=read_targets))
        if not answer:
            return
        shares, operator = read_targets(answer), self.operator

        def keep(depot: Depot) -> bool:
            set_targets(depot, operator, shares)
            return True

        if await self.attempt(keep):
            self._target = None
            self._plan()

    @work(exclusive=True, group="plan")
    async def action_what_if(self) -> None:
        """Show what targets cost."""
        points: list[WhatIf] | None = await self.find_out(lambda depot: what_if(depot, _TARGETS), "planning …")
        if points:
            self.query_one("#sums", Static).update(chart(points))
            self.say(self._told())

    @work
    async def action_van(self) -> None:
        """Propose a van's kit from its own jobs, and accept it if the lead says so."""
        vans = places_of(self.depot, "van")
        van = await choose_place(self, "Which van's kit?", vans)
        if van is None:
            return
        text = await self.app.push_screen_wait(Ask("Money that may ride with it?", hint="empty: as now"))
        if text is None:
            return
        heavy = await self.app.push_screen_wait(Ask("Kilograms that may ride with it?", hint="empty: no limit"))
        if heavy is None:
            return

        def propose_one(depot: Depot) -> VanKit:
            limit = decimal(heavy) if heavy else None
            return propose_kit(depot, van, budget=money(text) if text else None, load=limit)

        kit: VanKit | None = await self.find_out(propose_one, "looking at its jobs …")
        if kit is None:
            return
        lines = [
            f"{x.old:>3} → {x.new:<3} {x.item.part_number:<14} {x.item.description}"
            for x in kit.lines
            if x.old != x.new
        ]
        if await self.app.push_screen_wait(Sure(f"{kit.words} Make it the par?", "\n".join(lines))):
            operator = self.operator
            changed = await self.attempt(lambda depot: accept_kit(depot, operator, kit))
            if changed is not None:
                self.say(f"{van.code}: {changed} pars changed by {operator.initials}.")

    @work(exclusive=True, group="paper")
    async def action_paper(self) -> None:
        """Write the proposals and the chart as PDF."""
        folder = self.desk.path.parent / "papers"
        folder.mkdir(exist_ok=True)
        path, planned = folder / "set-points.pdf", list(self.planned)

        def write(depot: Depot) -> bool:
            write_plan(depot, planned, what_if(depot, _TARGETS), path)
            return True

        if await self.find_out(write, "writing …"):
            self.say(f"Proposals: {path}")


def chart(points: list[WhatIf]) -> str:
    """Return the what-if curve as bars: money on the shelf, and the units short a year, for each target."""
    most = max(point.stock_money for point in points) or 1
    rows = [
        f"{p.target:>5.0%} {'█' * round(_BAR * p.stock_money / most):<{_BAR}} {major(round(p.stock_money)):>12}"
        f"  {p.short_a_year:>8,.0f} short a year"
        for p in points
    ]
    return "Target, money on the shelf, units short a year\n" + "\n".join(rows)
