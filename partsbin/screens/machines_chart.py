"""A machine drawn as its shelves: a cell a lane, arrow keys walk, the space bar marks lanes that change together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.geometry import Region
from textual.message import Message
from textual.widgets import Static

from partsbin.depot.machines import LaneRow
from partsbin.screens.clipping import clip

_NARROWEST, _WIDEST = 7, 18
_ROOMY, _CLOSE = 3, 2  # lines a shelf: number and count, drink, and a rule below where there is room


class LaneChart(VerticalScroll):
    """The shelves of one machine. Posts ``Walked`` when another lane comes under the cursor."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "walk(0, -1)", "Walk the lanes", show=False),
        Binding("right", "walk(0, 1)", show=False),
        Binding("up", "walk(-1, 0)", show=False),
        Binding("down", "walk(1, 0)", show=False),
        Binding("space", "mark", "Mark", id="machines.mark"),
    ]

    class Walked(Message):
        """Another lane is under the cursor."""

    def __init__(self) -> None:
        super().__init__(id="chart")
        self.shelves: list[list[LaneRow]] = []
        self.marked: list[str] = []
        self._spacers: Mapping[str, str] = {}
        self._at = (0, 0)

    def compose(self):  # type: ignore[no-untyped-def]  # noqa: ANN201 - Textual's own signature
        """One drawing, longer than the screen where the machine is."""
        yield Static(id="drawn", markup=False)

    def show(self, lanes: Sequence[LaneRow], spacers: Mapping[str, str]) -> None:
        """Draw these lanes with their spacers; the cursor stays where it was as far as there is a lane."""
        self._spacers = spacers
        rows: dict[int, list[LaneRow]] = {}
        for lane in lanes:
            rows.setdefault(lane.shelf, []).append(lane)
        self.shelves = [sorted(row, key=lambda x: x.position) for _, row in sorted(rows.items())]
        known = {lane.lane for lane in lanes}
        self.marked = [number for number in self.marked if number in known]
        self._settle(*self._at)
        self.draw()

    @property
    def lane(self) -> LaneRow | None:
        """The lane under the cursor."""
        return self.shelves[self._at[0]][self._at[1]] if self.shelves else None

    def go_to(self, number: str) -> bool:
        """Put the cursor on a lane; returns whether there is one."""
        for shelf, row in enumerate(self.shelves):
            for place, lane in enumerate(row):
                if lane.lane.lower() == number.strip().lower():
                    self._at = (shelf, place)
                    self.draw()
                    self.post_message(self.Walked())
                    return True
        return False

    def action_walk(self, down: int, along: int) -> None:
        """Walk to the next lane."""
        if self.shelves:
            self._settle(self._at[0] + down, self._at[1] + along)
            self.draw()
            self.post_message(self.Walked())

    def action_mark(self) -> None:
        """Mark the lane, or take its mark off."""
        lane = self.lane
        if lane is None:
            return
        if lane.lane in self.marked:
            self.marked.remove(lane.lane)
        else:
            self.marked.append(lane.lane)
        self.action_walk(0, 1)

    def on_resize(self) -> None:
        """Draw anew where the terminal changed."""
        self.draw()

    def _settle(self, shelf: int, place: int) -> None:
        shelf = min(max(shelf, 0), max(len(self.shelves) - 1, 0))
        row = self.shelves[shelf] if self.shelves else []
        self._at = (shelf, min(max(place, 0), max(len(row) - 1, 0)))

    def draw(self) -> None:
        """Draw the shelves and bring the cursor into view."""
        most = max((len(row) for row in self.shelves), default=1)
        width = min(max((self.size.width - 3) // most, _NARROWEST), _WIDEST)
        rows = _ROOMY if len(self.shelves) * _ROOMY <= self.size.height else _CLOSE
        text = Text(no_wrap=True)
        for shelf, row in enumerate(self.shelves):
            for part in range(2):
                ruled = " underline" if part and rows == _CLOSE else ""
                text.append("│", "dim")
                for place, lane in enumerate(row):
                    head = f"{'*' if lane.lane in self.marked else ''}{lane.lane}"
                    words = _named(lane, width - 1) if part else _held(head, lane, self._spacers, width - 1)
                    text.append(words, self._style((shelf, place), lane) + ruled)
                    text.append("│", "dim")
                text.append("\n")
            if rows == _ROOMY:
                text.append("└" + "┴".join("─" * (width - 1) for _ in row) + "┘\n", "dim")
        if not self.shelves:
            text = Text("No lanes are known of this machine: import lanes (lanes.csv).")
        self.query_one("#drawn", Static).update(text)
        self.scroll_to_region(Region(0, self._at[0] * rows, 1, rows), animate=False)

    def _style(self, spot: tuple[int, int], lane: LaneRow) -> str:
        if spot == self._at:
            return "reverse bold"
        return "bold" if lane.lane in self.marked else "" if lane.part_number else "dim"


def _held(head: str, lane: LaneRow, spacers: Mapping[str, str], width: int) -> str:
    """A lane's number, what it holds and, where there is room, its spacers; “!” is empty, “?” not counted."""
    held = "?" if lane.count is None else str(lane.count)
    warn = "!" if lane.count == 0 and lane.part_number else ""
    words = head + (f" {held}/{lane.capacity}{warn}" if lane.capacity else "")
    mark = spacers.get(lane.lane, "")
    room = width - len(words)
    return words + mark.rjust(room) if mark and room > len(mark) else clip(words, width).ljust(width)


def _named(lane: LaneRow, width: int) -> str:
    """A lane's container and, where there is room, its drink."""
    words = lane.container or "–"
    if width > len(words) + 6 and lane.description:
        words = f"{words} {lane.description}"
    return clip(words, width).ljust(width)
