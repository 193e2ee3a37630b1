"""Telling a scanner from fingers, by the clock and by what was sent. Knows keys by name, no screen.

A scanner that types sends its characters 0 to 20 ms apart and ends with Enter, a line feed or a tab; fingers take 60 ms
and more. A held key repeats every 33 ms, which is why a slower scan also needs three different characters.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

GS = "\x1d"
GS_KEYS = frozenset({"ctrl+right_square_bracket", "ctrl+\x1d", "ctrl+5"})
"""What terminals make of the group separator: plain, and two forms of the enhanced keyboard protocols."""
END_KEYS = frozenset({"enter", "ctrl+j", "ctrl+m", "tab"})
"""What a scanner sends after a code; ``ctrl+j`` is a line feed."""
TYPING_GAP = 0.060
"""Seconds of silence after which a lone key is known to be typed."""
SCAN_GAP = 0.045
"""Six of ten gaps inside a scan, or more, are shorter than this."""
PATIENCE = 0.600
"""Seconds to wait for the rest of what no fingers typed: the computer is busy."""
REPEAT_GAP = 0.015
"""A held key does not repeat as fast as this."""
STRAY_GAP = 0.300
"""Seconds after which one or two keys already let go can no longer be the beginning of a scan."""
LULL = 2.0
"""The same for keys that came as from a machine; also how late the line feed of a scan's CR LF may come."""
_LEAST_MACHINE = 3
_LEAST_CHARACTERS = 4
_LEAST_DIFFERENT = 3
_AIM = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_EDITING = frozenset({"backspace", "delete"})


@dataclass(frozen=True, slots=True)
class Stroke:
    """One key as the terminal reported it, at ``time`` in seconds."""

    key: str
    character: str | None
    time: float

    @property
    def data(self) -> str:
        """What it adds to a code: a printable character or the group separator; nothing for any other key."""
        if self.key in GS_KEYS or self.character == GS:
            return GS
        return self.character if self.character and self.character.isprintable() else ""

    @property
    def may_begin(self) -> bool:
        """Whether a code may begin with it; every other key is acted on without waiting."""
        if self.key in END_KEYS or self.key in _EDITING:
            return False
        return bool(self.data) or self.key.startswith("ctrl+")


@dataclass(slots=True)
class Burst:
    """Keys that came close together and are not yet known to be a scan or typing."""

    strokes: list[Stroke] = field(default_factory=list)

    @property
    def patience(self) -> float:
        """Seconds to wait for the next key before deciding."""
        return PATIENCE if came_quickly(self.strokes) else TYPING_GAP

    def continues(self, stroke: Stroke) -> bool:
        """Whether ``stroke`` came soon enough to belong to this burst."""
        return bool(self.strokes) and stroke.time - self.strokes[-1].time <= self.patience


def came_quickly(strokes: Sequence[Stroke]) -> bool:
    """Whether these are keys enough, and close enough, to know that no fingers pressed them."""
    return len(strokes) >= _LEAST_MACHINE and _quick(strokes)


def text_of(strokes: Iterable[Stroke]) -> str:
    """The code these keys spell, control characters other than the group separator left out."""
    return "".join(stroke.data for stroke in strokes)


def looks_scanned(strokes: Sequence[Stroke], *, words_are_typed: bool = True) -> bool:
    """Whether these keys are a code from a scanner: quick, most gaps under ``SCAN_GAP``.

    An AIM prefix or a group separator then makes it certain. Otherwise it takes at least four characters, faster than
    a held key repeats or three of them different, and, where ``words_are_typed``, no blank: words that arrive in one
    lump, over a slow line or pasted without brackets, are a request.
    """
    text = text_of(strokes)
    if not _quick(strokes):
        return False
    if _AIM.match(text) or GS in text:
        return True
    if len(text) < _LEAST_CHARACTERS or (words_are_typed and " " in text):
        return False
    return len(set(text)) >= _LEAST_DIFFERENT or _quick(strokes, REPEAT_GAP)


def _quick(strokes: Sequence[Stroke], gap: float = SCAN_GAP) -> bool:
    """Whether no fingers were so fast; one gap up to ``PATIENCE`` is forgiven: the computer was busy."""
    gaps = sorted(later.time - earlier.time for earlier, later in pairwise(strokes))
    if len(gaps) >= _LEAST_MACHINE and gaps[-1] <= PATIENCE:
        gaps.pop()
    return bool(gaps) and gaps[(len(gaps) * 6 - 1) // 10] < gap


def typed_strokes(strokes: Sequence[Stroke]) -> Iterable[int]:
    """Indices of the keys to act on when a burst proved no scan.

    A control key squeezed between others was in a short code, not pressed by a hand: it is left out.
    """
    for number, stroke in enumerate(strokes):
        near = [
            abs(other.time - stroke.time) < SCAN_GAP
            for other in (*strokes[max(0, number - 1) : number], *strokes[number + 1 : number + 2])
        ]
        if stroke.data or stroke.key in END_KEYS or not stroke.key.startswith("ctrl+") or not any(near):
            yield number
