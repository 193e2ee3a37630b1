"""The router that tells scans from typing and feeds the entry line of the screen in front.

``ScanRouter`` is the program's base class. It sees every key before any widget or binding does, keeps back the few
milliseconds' worth that might be a scan, and sends a whole scan to the entry line of the screen in front, wherever the
focus is. What proves to be typing goes on its normal way, in order. So a code can neither press a button nor quit the
program, and two scans in a row cannot run into each other.
"""

from __future__ import annotations

import gc

from textual import events
from textual.app import App
from textual.message import Message
from textual.timer import Timer

from partsbin.screens.entry import ScanEntry, shown
from partsbin.screens.entry_burst import (
    END_KEYS,
    LULL,
    STRAY_GAP,
    TYPING_GAP,
    Burst,
    Stroke,
    came_quickly,
    looks_scanned,
    text_of,
    typed_strokes,
)

_ONE_TURN = 0.005  # seconds


class ScanRouter(App[None]):
    """A program whose screens take scans at any time.

    Under ``run_test`` keys are not kept back, since a test types faster than a scanner: set ``scans_in_tests``, or call
    ``scan``.
    """

    scans_in_tests = False

    def __init__(self) -> None:
        super().__init__()
        self._burst = Burst()
        self._held: list[events.Key] = []
        self._pause: Timer | None = None
        self._after_return = float("-inf")  # until when a line feed belongs to the Enter before it
        self._strayed: list[Stroke] = []
        self._doubted: events.Key | None = None

    def on_ready(self) -> None:
        """Once the first screen stands, spare the scanner the long pauses of the garbage collector."""
        self.call_after_refresh(self.settle)

    @staticmethod
    def settle() -> None:
        """Take everything now in memory for lasting; call again after loading much.

        A full collection looks at every object and stops all threads, a few tenths of a second in a large depot: long
        enough to tear a scan apart. What is taken for lasting is not looked at again, not even now: the little
        rubbish that stays is cheaper than a prompt that waits.
        """
        gc.freeze()

    def scan(self, text: str, strayed: str = "") -> None:
        """Deliver ``text`` as a scan to the screen in front; ``strayed`` as in ``ScanEntry.Scanned``."""
        entry = self.scan_entry
        message = ScanEntry.Scanned(text, entry, shown(strayed))
        (entry or self.screen).post_message(message)

    @property
    def scan_entry(self) -> ScanEntry | None:
        """The entry line of the screen in front: the focused one, else the first that is in use."""
        if isinstance(self.focused, ScanEntry):
            return self.focused
        lines = self.screen.query(ScanEntry)
        return next((line for line in lines if line.display and not line.disabled), None)

    def on_scan_entry_scanned(self, message: ScanEntry.Scanned) -> None:
        """Say so when a scan came to a screen that has no use for it."""
        message.stop()
        self.bell()
        self.notify(
            f"{message.text} was scanned, but nothing here takes a scan. Finish this first, then scan again.",
            severity="warning",
            markup=False,
        )

    async def on_event(self, event: events.Event) -> None:
        """Keep keys back while they may be a scan; let everything else pass behind them, in order."""
        if isinstance(event, events.Key) and not event.is_forwarded and (self.scans_in_tests or not self.is_headless):
            await self._on_stroke(event)
            return
        if isinstance(event, events.Paste) and not event.is_forwarded:
            await self._let_go()
        await super().on_event(event)

    async def _on_stroke(self, event: events.Key) -> None:
        stroke = Stroke(event.key, event.character, event.time)
        after_return, self._after_return = stroke.time <= self._after_return, float("-inf")
        if stroke.key == "ctrl+j" and after_return:
            return  # the line feed of a CR LF
        if self._held and not self._burst.continues(stroke):
            await self._let_go()
        if not self._strayed_before(stroke):
            self._strayed = []
        if not self._held and not stroke.may_begin and not (self._strayed and stroke.key in END_KEYS):
            self._note_end(stroke, TYPING_GAP)
            await super().on_event(event)
            return
        self._burst.strokes.append(stroke)
        self._held.append(event)
        if stroke.key in END_KEYS:
            await self._decide(stroke)
        elif self._pause is None:
            self._pause = self.set_timer(TYPING_GAP, self._after_pause)

    def _strayed_before(self, stroke: Stroke) -> bool:
        """Whether keys were let go so recently that ``stroke`` may be the rest of a scan that stalled."""
        first = self._burst.strokes[0] if self._held else stroke
        lull = LULL if came_quickly(self._strayed) else STRAY_GAP
        return bool(self._strayed) and first.time - self._strayed[-1].time <= lull

    @property
    def _typing(self) -> bool:
        """Whether the focus is where words are typed."""
        return self.focused is not None and self.focused.check_consume_key("a", "a")

    def _note_end(self, stroke: Stroke, lull: float) -> None:
        if stroke.key in {"enter", "ctrl+m"}:
            self._after_return = stroke.time + lull

    async def _decide(self, end: Stroke) -> None:
        """A key that ends codes came: deliver the scan, or let the typing go."""
        whole = [*self._strayed, *self._burst.strokes]
        if looks_scanned(whole, words_are_typed=self._typing):
            strayed = self._strayed
            self._forget()
            self._note_end(end, LULL)
            self.scan(text_of(whole), text_of(strayed))
        else:
            self._note_end(end, TYPING_GAP)
            await self._let_go()

    async def _after_pause(self) -> None:
        """Time has passed since the first key held: decide, or wait on if keys have come since."""
        self._pause = None
        if not self._held:
            return
        last = self._held[-1]
        left = self._burst.patience - (Message().time - last.time)
        if left > 0:
            self._pause = self.set_timer(left, self._after_pause)
        elif self._doubted is not last:  # keys may wait behind a busy program: give them one more turn
            self._doubted = last
            self._pause = self.set_timer(_ONE_TURN, self._after_pause)
        else:
            await self._let_go()

    async def _let_go(self) -> None:
        """Act on the keys held, as typed. A code without an end goes to the entry line instead of pressing buttons."""
        held, strokes, strayed = self._held, self._burst.strokes, self._strayed
        self._forget()
        entry = self.scan_entry
        if entry is not None and not self._typing and looks_scanned(strokes, words_are_typed=False):
            entry.focus()
            entry.put(text_of(strokes))
            return
        if strokes and strokes[-1].key not in END_KEYS:
            self._strayed = [*strayed, *strokes]
        for number in typed_strokes(strokes):
            await super().on_event(held[number])

    def _forget(self) -> None:
        self._burst, self._held, self._strayed = Burst(), [], []
