"""A small program around the scan-safe entry line; writes what it is told to the file named on its command line.

Its quit key, its single-letter keys and its button are there to be pressed by a careless code.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import DataTable, Footer, Input, Static

from partsbin.screens.entry import ScanEntry
from partsbin.screens.scan_router import ScanRouter


class Host(ScanRouter):
    """One entry line, one plain field, one table."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("x", "note_key('x')", "Throw away"),
        Binding("f2", "focus('table')", "Table"),
        Binding("f3", "focus('field')", "Field"),
        Binding("f10", "quit", "Quit"),
    ]

    def __init__(self, log: Path) -> None:
        super().__init__()
        self._log = log.open("a", buffering=1, encoding="utf-8")

    def compose(self) -> ComposeResult:
        yield ScanEntry(id="entry")
        yield Input(id="field")
        yield DataTable(id="table")
        yield Static("", id="status", markup=False)
        yield Footer()

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        table.add_columns("place", "quantity")
        table.add_rows([("A-01-01-1", "3"), ("A-01-01-2", "4")])
        self.query_one(Static).update("ready")

    def note(self, kind: str, text: str) -> None:
        self._log.write(json.dumps([kind, text]) + "\n")

    def action_note_key(self, key: str) -> None:
        self.note("key", key)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        self.note("scan", message.text)

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        self.note("typed", message.text)

    @on(ScanEntry.Pasted)
    def pasted(self, message: ScanEntry.Pasted) -> None:
        self.note("pasted", message.text)

    @on(Input.Submitted, "#field")
    def submitted(self, message: Input.Submitted) -> None:
        self.note("field", message.value)


if __name__ == "__main__":
    Host(Path(sys.argv[1])).run()
