"""From event codes in audit files to part families worth a look: leads with their raw text, never orders."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Final

from partsbin.exchange.audit import Event


@dataclass(frozen=True, slots=True)
class EventHint:
    """What a code points to. ``code`` is a whole code, a pattern with ``?``, or the first 2 or 3 letters of many.

    ``families`` are part families, likeliest first, possibly none; ``symptom`` names the first checks; ``text`` is
    what to say.
    """

    code: str
    families: tuple[str, ...]
    symptom: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Lead:
    """One event with what it points to; ``hint`` None means the code is unknown and nothing follows from it."""

    event: Event
    hint: EventHint | None = None


_CODE: Final = re.compile(r"E[A-O][A-Z0-9]{0,2}(?:_[A-Z0-9]{1,3})?")


def hint_for(raw: str, hints: Sequence[EventHint]) -> EventHint | None:
    """The hint for a code as written: the whole code, then patterns, then its first 3 and 2 letters.

    Padding and case do not matter. Makers' private texts are not codes and get none.
    """
    code = raw.strip().upper()
    if not _CODE.fullmatch(code):
        return None
    table = {h.code: h for h in hints}
    pattern = next((h for h in hints if "?" in h.code and fnmatchcase(code, h.code)), None)
    return table.get(code) or pattern or table.get(code[:3]) or table.get(code[:2])


def leads(events: Iterable[Event], hints: Sequence[EventHint]) -> list[Lead]:
    """A lead for each event, known ones first, most frequent first."""
    rows = [Lead(event, hint_for(event.raw, hints)) for event in events]
    return sorted(rows, key=lambda r: (r.hint is None, -(r.event.count or 0), r.event.raw))
