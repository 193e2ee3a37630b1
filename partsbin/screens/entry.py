"""The entry line that takes words, codes and scans without losing a character; ``scan_router`` feeds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Input

from partsbin.screens.entry_burst import GS, GS_KEYS

GS_SHOWN = "␝"  # stands in the line for the group separator, which a terminal cannot show
_TRIM = " \r\n\t"  # never str.strip(): it takes group separators for blanks
_REMEMBERED = 100


class ScanEntry(Input):
    """A line for words, codes and scans.

    Enter, or a line feed, posts ``Entered`` and clears the line at once, so that the next key cannot join it. Scans
    come as ``Scanned`` and leave what stands in the line alone. Several pasted lines are posted as ``Pasted``. Handlers
    stop the message they have dealt with.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("alt+up", "recall(-1)", "Earlier entry", show=False),
        Binding("alt+down", "recall(1)", "Later entry", show=False),
    ]

    @dataclass
    class Scanned(Message):
        """A scanner sent ``text``: prefix and group separators kept, suffix gone. See ``exchange.read_scan``."""

        text: str
        entry: ScanEntry | None = None
        strayed: str = ""
        """First characters of ``text`` that were let into the line before the rest came."""

        @property
        def control(self) -> ScanEntry | None:
            """The entry line it was sent to; None when the screen in front has none."""
            return self.entry

    @dataclass
    class Entered(Message):
        """``text`` was typed and entered; may be empty."""

        text: str
        entry: ScanEntry

        @property
        def control(self) -> ScanEntry:
            """The entry line."""
            return self.entry

    @dataclass
    class Pasted(Message):
        """Several lines were pasted; nothing was put into the line."""

        text: str
        entry: ScanEntry

        @property
        def control(self) -> ScanEntry:
            """The entry line."""
            return self.entry

    def __init__(
        self,
        value: str = "",
        *,
        placeholder: str = "",
        id: str | None = None,  # noqa: A002 - Textual's name
        classes: str | None = None,
        name: str | None = None,
    ) -> None:
        super().__init__(
            shown(value), placeholder=placeholder, id=id, classes=classes, name=name, select_on_focus=False
        )
        self._entries: list[str] = []
        self._recalled = 0

    @property
    def text(self) -> str:
        """What stands in the line, group separators included."""
        return self.value.replace(GS_SHOWN, GS)

    async def _on_key(self, event: events.Key) -> None:
        if event.key in {"enter", "ctrl+j", "ctrl+m"}:
            self._enter()
        elif event.key in GS_KEYS or event.character == GS:
            self.insert_text_at_cursor(GS_SHOWN)
        else:
            return  # Input's own handler runs next
        event.stop()
        event.prevent_default()

    def _enter(self) -> None:
        text = self.text.strip(_TRIM)
        self.clear()
        if text:
            self._entries = [*self._entries[-_REMEMBERED:], text]
        self._recalled = len(self._entries)
        self.post_message(self.Entered(text, self))

    def _on_paste(self, event: events.Paste) -> None:
        text = event.text.strip(_TRIM)
        if "\n" in text or "\r" in text:
            self.post_message(self.Pasted(text.replace("\r\n", "\n").replace("\r", "\n"), self))
        else:
            self.put(text)
        event.stop()
        event.prevent_default()

    def on_scan_entry_scanned(self, message: Scanned) -> None:
        """Take back the first characters of a scan that stalled; then the message goes on to the screen."""
        self.take_back(message.strayed)

    def take_back(self, strayed: str) -> None:
        """Take characters out again that stand before the cursor and proved to be the beginning of a scan."""
        if strayed and self.value[: self.cursor_position].endswith(strayed):
            self.delete(self.cursor_position - len(strayed), self.cursor_position)

    def put(self, text: str) -> None:
        """Insert ``text`` at the cursor, replacing a selection, as if typed."""
        self.replace(shown(text), *sorted(self.selection))

    def action_recall(self, step: int) -> None:
        """Bring back an earlier or later entry."""
        if self._entries:
            self._recalled = max(0, min(len(self._entries), self._recalled + step))
            self.value = shown(self._entries[self._recalled]) if self._recalled < len(self._entries) else ""
            self.cursor_position = len(self.value)


def shown(text: str) -> str:
    """Return a text as the line shows it: group separators as a sign one can see."""
    return text.replace(GS, GS_SHOWN)
