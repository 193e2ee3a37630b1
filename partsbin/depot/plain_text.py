"""Text as the file keeps it: no control characters, nothing that steers a terminal or turns the direction of writing.

Tabs and line feeds stay. What is stripped: C0 and C1 controls (among them escape, the 8-bit control sequence introducer
and the group separator), delete, line and paragraph separators, direction overrides and isolates, byte order marks,
and lone surrogates, which stand for bytes that were no UTF-8. ``counted`` lies here too, for every room above to say.
"""

from __future__ import annotations

import re

_STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufff9-\ufffb\ud800-\udfff]"
)


def plain(text: str) -> str:
    """Return a text without characters that steer a terminal."""
    return text if text.isprintable() else _STEERING.sub("", text)


def shown(text: str) -> str:
    """Return a text safe to print: what would steer the terminal is written out as an escape one can read."""
    if text.isprintable():
        return text
    return _STEERING.sub(lambda found: found[0].encode("unicode_escape", "surrogatepass").decode("ascii"), text)


def shown_json(document: str) -> str:
    """Return the same JSON document safe to print: what would steer the terminal stands as its number."""
    return document if document.isprintable() else _STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", document)


def counted(number: int, word: str) -> str:
    """Return ``1 line`` or ``3 lines``."""
    return f"{number} {word}" + ("" if number == 1 else "s")
