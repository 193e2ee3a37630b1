"""Machines: the lane chart drawn as shelves; what is in a lane, and changing it to another drink."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from partsbin.depot.catalogue import Item
from partsbin.depot.machines import MachineRow, lanes_of, machines, set_van, the_machine
from partsbin.depot.places import Place, place_by_id
from partsbin.desk.door_chart import spacer_mark
from partsbin.errors import Refused
from partsbin.exchange import read_scan
from partsbin.screens.base import DeskScreen
from partsbin.screens.entry import ScanEntry
from partsbin.screens.item_choice import choose_item
from partsbin.screens.machines_chart import LaneChart
from partsbin.screens.machines_keeping import ask_count, ask_measure, ask_van
from partsbin.screens.machines_words import lane_words, machine_line
from partsbin.screens.questions import Ask, Pick, Sure

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.desk.lane_kits import LaneChange


class Machines(DeskScreen):
    """The machines in the field."""

    NAME = "machines"
    TITLE_TEXT = "Machines"
    DEFAULT_CSS = "Machines #machine-panel { max-height: 8; }"
    HELP = """
A machine drawn as its shelves, seen with the door open: lane number, what it holds of what it can, its spacers where
there is room (15L is 15 mm on the left), container. “!” is an empty lane, “?” one that nobody counted. Arrow keys walk;
below stands the lane under the cursor in full, Tab and PageDown read on there. Key an asset number, a serial, words of
the site or a lane and press Enter; Enter alone lists the machines.

C changes the lane, or all lanes marked with the space bar, to another drink: it shows only what differs, the parts to
take and the parts that come back. K then checks that kit out to a van with its slip; D, once the work is done, writes
the chart, books the parts out of the van and puts back what came out.

N keeps a count, M a diameter somebody measured, V the van that fills the machine. A reads audit files. P prints the
chart for the door. L changes what lanes are worked out from: clearances, containers and their cases, lane types.
"""
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "change", "Change drink", id="machines.change"),
        Binding("k", "hand_out", "Kit out", id="machines.hand_out"),
        Binding("d", "done", "Done", id="machines.done"),
        Binding("n", "count", "Count", id="machines.count"),
        Binding("m", "measure", "Measured", id="machines.measure"),
        Binding("v", "van", "Van", show=False, id="machines.van"),
        Binding("a", "audit", "Audit files", id="machines.audit"),
        Binding("p", "print", "Door chart", id="machines.print"),
        Binding("l", "data", "Lane data", show=False, id="machines.data"),
        Binding("escape", "swap", "Entry line or chart", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.machine: MachineRow | None = None
        self.change: LaneChange | None = None

    def body(self) -> ComposeResult:
        """Entry line, the shelves, the lane in full."""
        yield ScanEntry(placeholder="machine, site or lane;  Enter alone lists the machines")
        yield Static(id="machine", classes="hint", markup=False)
        yield LaneChart()
        with VerticalScroll(classes="panel", id="machine-panel"):
            yield Static(id="lane", markup=False)

    def refreshed(self) -> None:
        """Show the machine in hand, or the first there is."""
        known = machines(self.depot)
        asset = self.machine.asset if self.machine else ""
        self.machine = next((m for m in known if m.asset == asset), known[0] if known else None)
        lanes = lanes_of(self.depot, self.machine.asset) if self.machine else []
        self.chart.show(lanes, {lane.lane: spacer_mark(self.depot, lane) for lane in lanes})
        head = machine_line(self.machine) if self.machine else "No machines yet: import machines, lane types and lanes."
        self.query_one("#machine", Static).update(head)
        self._lane()
        if self.change is not None:
            self._renew_change(self.change)

    @property
    def chart(self) -> LaneChart:
        """The shelves."""
        return self.query_one(LaneChart)

    # -- going about -------------------------------------------------------------------------------------

    @on(ScanEntry.Entered)
    @on(ScanEntry.Scanned)
    def entered(self, message: ScanEntry.Entered | ScanEntry.Scanned) -> None:
        """Take what was keyed or scanned; a worker would stop the message too late to keep it from the desk."""
        message.stop()
        self._go(read_scan(message.text).text)

    @work
    async def _go(self, text: str) -> None:
        """Go to a lane of this machine, to another machine, or list them."""
        if text and self.chart.go_to(text):
            self.chart.focus()
            return
        machine = self._named(text) if text else await self._chosen()
        if machine is not None:
            self._show(machine)

    def _named(self, text: str) -> MachineRow | None:
        try:
            return the_machine(self.depot, text)
        except Refused as refused:
            self.complain(refused)
            return None

    async def _chosen(self) -> MachineRow | None:
        known = machines(self.depot)
        if not known:
            return None
        at = next((i for i, m in enumerate(known) if self.machine and m.asset == self.machine.asset), 0)
        chosen = await self.app.push_screen_wait(Pick("Which machine?", [machine_line(m) for m in known], at))
        return None if chosen is None else known[chosen]

    def _show(self, machine: MachineRow) -> None:
        self.machine = machine
        self.chart.marked.clear()
        self._take_up(None)
        self.refreshed()
        self.chart.focus()
        self.say("")

    @on(LaneChart.Walked)
    def walked(self) -> None:
        """Show the lane under the cursor, and leave the change that was in hand."""
        self._take_up(None)

    def _take_up(self, change: LaneChange | None) -> None:
        self.change = change
        self.refresh_bindings()
        self._lane()

    def _lane(self) -> None:
        """Show the change in hand, else the lane under the cursor."""
        from partsbin.desk.lane_kits import change_lines

        lane = self.chart.lane
        words = "\n".join(change_lines(self.change)) if self.change else lane_words(self.depot, lane) if lane else ""
        self.query_one("#lane", Static).update(words)

    def action_swap(self) -> None:
        """From the entry line to the chart and back."""
        (self.chart if self.entry().has_focus else self.entry()).focus()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys that work on a lane are there only while there is one; K and D only while a change is in hand."""
        if action in {"hand_out", "done"}:
            return self.change is not None
        if action in {"count", "measure", "audit", "print"} and self.change is not None:
            return False
        if action in {"change", "count", "measure", "van", "print"}:
            return self.machine is not None
        return super().check_action(action, parameters)

    # -- changing a lane ---------------------------------------------------------------------------------

    @work
    async def action_change(self) -> None:
        """Ask for the drink, and show what differs."""
        lane, machine = self.chart.lane, self.machine
        if lane is None or machine is None:
            return
        numbers = list(self.chart.marked) or [lane.lane]
        text = await self.app.push_screen_wait(Ask(f"{machine.asset} lane {'+'.join(numbers)}: which drink?"))
        found = await choose_item(self, text) if text else None
        if found is not None:
            await self._plan(machine, numbers, found[0])

    async def _plan(self, machine: MachineRow, numbers: list[str], item: Item) -> None:
        self._take_up(await self._worked_out(machine, numbers, item))
        if self.change is not None:
            self.say("K checks the kit out; D writes the chart when the work is done; arrows leave it.")

    @work(exclusive=True, group="renew")
    async def _renew_change(self, change: LaneChange) -> None:
        """Work the change in hand out anew from the stock there is now."""
        anew = await self._worked_out(change.machine, [lane.lane for lane in change.lanes], change.item)
        if anew is not None and self.change is change:
            self.change = anew
            self._lane()

    async def _worked_out(self, machine: MachineRow, numbers: list[str], item: Item) -> LaneChange | None:
        from partsbin.desk.lane_kits import plan_change

        van = self._van_of(machine)
        change: LaneChange | None = await self.attempt(
            lambda depot: plan_change(depot, machine.asset, numbers, item.part_number, van)
        )
        return change

    def _van_of(self, machine: MachineRow) -> Place | None:
        return place_by_id(self.depot, machine.van) if machine.van else None

    @work
    async def action_hand_out(self) -> None:
        """Check the kit out to a van, and write its slip."""
        change = self.change
        van = await ask_van(self, "Check the kit out to which van?") if change else None
        if change is None or van is None:
            return
        from partsbin.desk.lane_kits import hand_out

        operator = self.operator
        done = await self.attempt(lambda depot: hand_out(depot, operator, change, van))
        if done is None:
            return
        owed = "; ".join(f"{quantity} {item.part_number}" for item, quantity in done.owed)
        path = await self._kit_slip(change, done.slip)
        slip = f"Slip {done.slip}: the kit is on {van.code}, {path}." if done.slip else "Nothing of it is here."
        self.say(f"{slip} Promised for later: {owed}." if owed else slip)

    async def _kit_slip(self, change: LaneChange, slip: int | None) -> str:
        from partsbin.desk.lane_kits import write_kit_slip
        from partsbin.desk.papers import paper_path

        initials = self.operator.initials

        def write(depot: Depot) -> str:
            path = paper_path(depot, f"lane-kit-{slip or 'proposed'}.pdf")
            write_kit_slip(depot, change, slip, path, initials)
            return str(path)

        return str(await self.attempt(write) or "its slip could not be written")

    @work
    async def action_done(self) -> None:
        """Write the chart: the work is done."""
        from partsbin.desk.lane_kits import change_lines, finish

        change, operator = self.change, self.operator
        if change is None:
            return
        van = await ask_van(self, "Whose parts went in?", shelf=True)
        if van is None:
            return
        source = van if van.kind == "van" else None
        detail = "\n".join(change_lines(change))
        if not await self.app.push_screen_wait(Sure(f"{change.job} is done, parts from {van.code}?", detail)):
            return
        done = await self.attempt(lambda depot: finish(depot, operator, change, source))
        if done is not None:
            self._show(change.machine)
            slips = " and ".join(f"slip {s}" for s in (done.issue, done.back) if s) or "no parts moved"
            self.say(f"{change.job} sells {change.item.description} now ({slips}). N keeps what was loaded.")

    # -- keeping the chart -------------------------------------------------------------------------------

    @work
    async def action_count(self) -> None:
        """Keep what the lane holds now."""
        await ask_count(self)

    @work
    async def action_measure(self) -> None:
        """Keep the measured diameter of the lane's container; fits with it count as confirmed."""
        await ask_measure(self)
        self._lane()

    @work
    async def action_van(self) -> None:
        """Say which van fills the machine."""
        machine = self.machine
        van = await ask_van(self, "Which van fills this machine?") if machine else None
        if machine is not None and van is not None:
            await self.attempt(lambda depot: set_van(depot, machine.asset, van.id))
            self.refreshed()

    @work
    async def action_audit(self) -> None:
        """Read audit files from a file or folder."""
        from partsbin.screens.machines_audit import read_audits

        await read_audits(self)

    @work
    async def action_data(self) -> None:
        """Change clearances, containers, cases or lane types."""
        from partsbin.screens.machines_data import edit_lane_data

        await edit_lane_data(self, self.chart.lane)

    @work
    async def action_print(self) -> None:
        """Write the chart for the door as PDF."""
        from partsbin.desk.door_chart import write_door_chart
        from partsbin.desk.papers import paper_path

        machine = self.machine
        if machine is None:
            return

        def write(depot: Depot) -> str:
            path = paper_path(depot, f"door-chart-{machine.asset}.pdf")
            write_door_chart(depot, machine.asset, path)
            return str(path)

        path = await self.attempt(write)
        if path:
            self.say(f"The chart for the door of {machine.asset} is at {path}.")
