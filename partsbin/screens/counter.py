"""Counter."""
from textual.app import ComposeResult
from partsbin.screens.base import DeskScreen
from partsbin.screens.entry import ScanEntry
class Counter(DeskScreen):
    NAME = "counter"
    TITLE_TEXT = "Counter"
    HELP = "x"
    def body(self) -> ComposeResult:
        yield ScanEntry()
