"""What stands in letters and is no part of a request: telephone numbers, addresses, dates, office hours, door codes."""

from __future__ import annotations

import re

from partsbin.requests.token import Known

_PHONES = (
    re.compile(
        r"\b(?:tel|phone|call|ring|mob|mobile|cell|fax|text|whatsapp|contact)\b(?:\W+[a-z]+){0,3}\W+"
        r"(?P<phone>\+?\(?\d[\d ()-]{5,}\d)",
        re.IGNORECASE,
    ),
    re.compile(r"(?<![\w/-])(?P<phone>(?:\+\d{1,3}[ -]?\(?|\(?0|\(\d)\d+[ )-][\d ()-]{5,}\d)(?![\w/-])"),
)
# Names are known by their capitals; "10 Spacer Lane" is left alone where the catalogue knows spacers.
_ADDRESS = re.compile(
    r"(?:\b(?:Unit|Suite|Flat|Block) \w{1,4},? )?\b\d{1,4}[A-Za-z]?,? (?P<name>(?:[A-Z][\w'.]*\s){1,3})"
    r"(?:Road|Rd|Street|St|Lane|Ln|Avenue|Ave|Way|Close|Drive|Court|Place|Square|Crescent|Terrace|Quay|Hill)\b\.?"
)
_MONTH = r"(?:Jan|Feb|March|Mar|April|Apr|May|June|July|Aug|Sept?|Oct|Nov|Dec)(?:[a-z]{4,6})?\b"
# "Deliver to: Harbour House": a labelled line says where and who.
_LABELLED = re.compile(
    r"^\s*(?:deliver(?:y)?(?: to| address)?|ship to|send to|address|attn|attention|contact|"
    r"invoice to|collect from|technician|engineer|requested by|requester|ordered by|signed|date|dept|department|"
    r"tel|telephone|phone|mobile|e-?mail|account|cost cent(?:re|er)|reason|priority)\s*:.*$",
    re.IGNORECASE,
)
_OTHERS = (
    re.compile(
        r"\b(?:reads?|reading|says?|saying|shows?|showing|display(?:s|ing)?)\b[^.\"\n]{0,12}\"[^\"\n]{1,40}\"",
        re.IGNORECASE,
    ),
    re.compile(r"(?<![\w/.-])(?:[0-3]?\d[/.][01]?\d[/.](?:20)?\d\d|20\d\d-[01]\d-[0-3]\d)(?![\w/.-])"),
    re.compile(rf"\b\d{{1,2}}(?:st|nd|rd|th)? (?:of )?{_MONTH}(?:,? 20\d\d\b)?"),
    re.compile(r"[£$€] ?\d[\d.,]*\d|[£$€] ?\d"),
    re.compile(r"\(?\b(?:ext|extn|extension)[.:]? ?\d{2,5}\b\)?", re.IGNORECASE),
    re.compile(r"\b(?:from )?\d{1,2}(?:[.:]\d\d)? ?(?:am|pm)? (?:till?|until) \d{1,2}(?:[.:]\d\d)?\b", re.IGNORECASE),
    re.compile(r"\b(?:gate|door|access|alarm|entry) (?:code|pin)\b\W{1,3}\d{3,6}\b", re.IGNORECASE),
)


def without_furniture(line: str, known: Known | None) -> str:
    """The line with all such blanked, its length kept: what the catalogue knows as its own stays."""
    for pattern in _PHONES:
        line = pattern.sub(lambda found: _blank(found) if _rings(found["phone"], known) else found[0], line)
    line = _LABELLED.sub(_blank, line)
    line = _ADDRESS.sub(lambda found: found[0] if _stocked(found["name"], known) else _blank(found), line)
    for pattern in _OTHERS:
        line = pattern.sub(_blank, line)
    return line


def _rings(figures: str, known: Known | None) -> bool:
    """Whether figures in groups are a telephone's: more than six of them, and no part number."""
    return sum(sign.isdigit() for sign in figures) > 6 and (known is None or known.code(figures) is None)


def _stocked(name: str, known: Known | None) -> bool:
    return known is not None and any(known.word(word.lower()) for word in name.split())


def _blank(found: re.Match[str]) -> str:
    return " " * len(found[0])
