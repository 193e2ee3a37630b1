"""Where a message says it comes from or goes to: a site by its label, its kind of place or its name."""

from __future__ import annotations

import re

from partsbin.requests.token import Known

_SITE = re.compile(
    r"\b(?:site\s*:|location\s*:|(?:i'?m |we'?re |over |out |here |am |are )?at|from|"
    r"for)\s+((?:the\s+)?(?:[\w'.&-]+\s+){0,3}?(?:hospital|school|college|gym|leisure cent(?:re|er)|library|office|"
    r"offices|university|uni|hotel|station|depot|canteen|lobby|reception|airport|mall|factory|plant|campus|arena|"
    r"museum|foyer|breakroom|break room|staff room|waiting room|sports hall|swimming pool|pool|park|clinic|surgery|"
    r"barracks|prison|garage|dealership|supermarket|warehouse|works|mill|centre|center))\b",
    re.IGNORECASE,
)
_SITE_LABEL = re.compile(r"^\s*(?:site|location|customer|client)\s*[:=-]\s*([^,;\n]{2,60})", re.IGNORECASE)


# "At Ashby House", "for Mill Lane": a name by its capitals, where small letters stand beside it.
_NAMED = re.compile(
    r"\b(?i:at|outside|near|from|to|for|in|by)\s+(?P<site>(?:the )?(?:[A-Z][\w'&-]*\s){1,3}"
    r"(?:House|Hall|Court|Lodge|Tower|Towers|Plaza|Yard|Farm|Lane|Road|Street|Square|Hill|Green|Quay|Gate|Wharf|Bridge|"
    r"Cross|Inn|Arms|Club|School|Centre|Center|Park))\b|"
    r"\b(?i:at)\s+(?P<place>(?:the )?[A-Z][a-z][\w'&-]*(?:\s[A-Z][a-z][\w'&-]*){0,3})"
)


def site_of(line: str, known: Known | None) -> tuple[int, int] | None:
    """From where to where a line names a site: after a label, a phrase that ends in a kind of place, or a name."""
    found = _SITE_LABEL.search(line) or _SITE.search(line)
    if found is not None:
        return found.span(1)
    named = next((one for one in _NAMED.finditer(line) if not _stocked(one[one.lastgroup or 0], known)), None)
    return named.span(named.lastgroup or 0) if named else None


def _stocked(name: str, known: Known | None) -> bool:
    """Whether the catalogue knows a word of a name, or a machine so called."""
    words = name.lower().split()
    return known is not None and any(known.word(word) or known.machine_word(word) for word in words if word != "the")
