"""Questions that stand before a screen: one line of text, yes or no, one of a list; and the help."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar
from zlib import crc32

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import DataTable, Static

from partsbin.errors import Refused
from partsbin.screens.entry import ScanEntry, shown
from partsbin.screens.typing_kept import TypingKept


class Ask(TypingKept, ModalScreen[str | None]):
    """Ask for one line; a scan answers it too. ``check`` refuses an answer in words. Escape answers None.

    What is half typed when the program ends stands there again when the same question is next asked.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Back")]

    def __init__(
        self, question: str, *, answer: str = "", hint: str = "", check: Callable[[str], object] | None = None
    ) -> None:
        super().__init__()
        self._question, self._answer, self._hint, self._check = question, answer, hint, check

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        with Vertical(classes="question"):
            yield Static(self._question, markup=False, classes="asked")
            yield ScanEntry(self._answer, placeholder=self._hint)
            yield Static("Enter answers · Esc goes back", markup=False, classes="hint")

    def on_mount(self) -> None:
        """Put the cursor behind what is there; a figure is marked, so that the first digit keyed takes its place."""
        line = self.query_one(ScanEntry)
        left = self.desk.drafts.left(self.desk.operator, self._kept_as)
        if left:
            line.value = left
            self.query_one(".hint", Static).update("This was half typed when the program ended · Enter answers")
        line.cursor_position = len(line.value)
        self.set_focus(line)  # at once: focus() comes after the question is painted, and a key between is lost
        if line.value.isdigit():
            line.select_all()

    def half_typed(self) -> dict[str, str | None]:
        """Return what was typed beside the answer that was offered, by the name it is kept under."""
        text = self.query_one(ScanEntry).value
        return {self._kept_as: text if text and text != self._answer else None}

    def dismiss(self, result: str | None = None) -> AwaitComplete:
        """Answer; what was typed is no longer half typed."""
        if self.keeping is not None:
            self.keeping.stop()
        self.desk.drafts.keep(self.desk.operator, {self._kept_as: None})
        return super().dismiss(result)

    @property
    def _kept_as(self) -> str:
        return f"answer {crc32(self._question.encode()):08x}"

    @on(ScanEntry.Entered)
    @on(ScanEntry.Scanned)
    def answered(self, message: ScanEntry.Entered | ScanEntry.Scanned) -> None:
        """Take the answer, or say what is wrong with it and keep it there."""
        message.stop()
        text = message.text.strip()
        try:
            if self._check is not None:
                self._check(text)
        except Refused as refused:
            self.query_one(".hint", Static).update(f"✗ {refused}")
            self.query_one(ScanEntry).value = text
            self.query_one(ScanEntry).cursor_position = len(text)
            return
        self.dismiss(text)


class Sure(ModalScreen[bool]):
    """Ask yes or no, with what it would do spelled out. Escape is no."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,enter", "dismiss(True)", "Yes"),
        Binding("n,escape", "dismiss(False)", "No"),
    ]

    def __init__(self, question: str, detail: str = "") -> None:
        super().__init__()
        self._question, self._detail = question, detail

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        with Vertical(classes="question"):
            yield Static(self._question, markup=False, classes="asked")
            if self._detail:
                with VerticalScroll(classes="detail"):
                    yield Static(self._detail, markup=False)
            yield Static("Y or Enter: yes · N or Esc: no", markup=False, classes="hint")


class Pick(ModalScreen[int | None]):
    """Choose one of a list by arrow keys or its digit; answers its place in the list. Escape answers None.

    ``row_of`` says which row a scan stands for, where a scan may answer.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss(None)", "Back"),
        *[Binding(str(n), f"take({n - 1})", show=False) for n in range(1, 10)],
    ]

    def __init__(
        self, question: str, rows: Sequence[str], at: int = 0, *, row_of: Callable[[str], int | None] | None = None
    ) -> None:
        super().__init__()
        self._question, self._rows, self._at, self._row_of = question, rows, at, row_of

    def compose(self) -> ComposeResult:
        """Lay out the list."""
        with Vertical(classes="question"):
            yield Static(self._question, markup=False, classes="asked")
            yield DataTable(cursor_type="row", show_header=False, id="choices")
            yield Static("Enter or its digit takes it · Esc goes back", markup=False, classes="hint")

    def on_mount(self) -> None:
        """Fill the list."""
        table = self.query_one(DataTable)
        table.add_columns("n", "what")
        for number, row in enumerate(self._rows, 1):
            table.add_row(Text(f"{number}" if number < 10 else ""), Text(row))
        if self._rows:
            table.move_cursor(row=min(self._at, len(self._rows) - 1))
        table.focus()

    @on(DataTable.RowSelected)
    def taken(self, message: DataTable.RowSelected) -> None:
        """Answer with the line under the cursor."""
        message.stop()
        self.dismiss(message.cursor_row)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Take the row whose label was scanned; any other scan stays on the list, and is said to be none of it."""
        if self._row_of is None:
            return
        message.stop()
        row = self._row_of(message.text)
        if row is None:
            self.app.bell()
            self.query_one(".hint", Static).update(f"{shown(message.text)} is none of these. Esc goes back")
        else:
            self.dismiss(row)

    def action_take(self, place: int) -> None:
        """Answer with a line by its digit."""
        if place < len(self._rows):
            self.dismiss(place)


class Help(ModalScreen[None]):
    """What a screen is for, how its flow goes, and the keys that work there now."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,f1,enter,q", "dismiss(None)", "Back")]

    def __init__(self, title: str, text: str, keys: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._title, self._text, self._keys = title, text, keys

    def compose(self) -> ComposeResult:
        """Lay out the help."""
        lines = "\n".join(f"{key:>10}  {what}" for key, what in self._keys)
        with VerticalScroll(classes="question help"):
            yield Static(self._title, markup=False, classes="asked")
            yield Static(_flowing(self._text), markup=False)
            yield Static(f"\nKeys that work here now\n{lines}\n\nEsc goes back", markup=False)


def _flowing(text: str) -> str:
    """Return paragraphs on one line each, for the screen to wrap at its own width."""
    return "\n\n".join(" ".join(part.split()) for part in text.strip().split("\n\n"))
