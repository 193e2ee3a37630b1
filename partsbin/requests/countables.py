"""Words that are units in one breath and things in the next: "four tube" tells a mech, "four tubes" counts tubes."""

from __future__ import annotations

import re

from partsbin.requests.measures import figure
from partsbin.requests.wordlists import listed

# Units that are also things: "four tube" tells a mech, "four tubes" counts tubes.
THINGS = listed(
    """
    characters character digits digit chars char tubes tube keys key pins pin ways way poles pole lanes lane ln
    columns column col coils wire pack packs pk selections selection select positions position pos
    """
)


CONTENTS = frozenset((150, 200, 250, 330, 355, 375, 440, 473, 500, 591, 600, 750, 1000, 1250, 1500, 2000))  # ml
PACK_SIZES = frozenset((4, 6, 8, 10, 12, 15, 18, 20, 24, 30, 32, 35, 36, 40, 48))


# Words that name a part together with the unit-like word before them: "2 selection buttons", "3 key switches".
_PARTS_BEHIND = {
    "selection": "button|btn|butn|keypad|key|switch|sw|panel button",
    "select": "button|btn|key|switch|sw",
    "key": "switch|sw|blank|ring|code|cutter|cap",
    "pin": "header|punch|kit",
    "wire": "tie|clip|end|connector|nut|harness",
    "tube": "light|lamp|clip|holder|cap",
    "foot": "level|lvl|pad|plate|panel|screw",
    "feet": r"m\d",
    "coil": "motor|end|clip|coupl|hub|retainer|bush|grom|spring",
    "count": "er",
    "position": "sensor|switch lever",
    "pole": "mount",
    "turn": "button|table",
    "way": "bill",
}


# Buttons are counted unless a panel of so many is asked for.
_PANEL = r"(?:key|kpd|pad|panel|membrane|overlay|touch|lock|barrel|cyl)"
_PANEL_NEAR = re.compile(rf"\s*(?:\w+\s+)?{_PANEL}")
_BREAK = re.compile(r"[,;:.+&(]|\bw/|\b(?:and|with|plus)\b")


def tells_panel(before: str, unit: str, after: str) -> bool:
    """Whether so many keys tell what panel is meant: "12 button keypad", "keypad 12 button", not "4 key blanks"."""
    said_before = re.search(_PANEL, _BREAK.split(before)[-1])
    return bool(_PANEL_NEAR.match(after) or (said_before and not _part_behind(unit, after)))


# What is sold by length: beside these "mtr" is a metre, elsewhere a motor.
LONG = re.compile(
    r"cord|lead|cable|cbl|aerial|ant|harn|hrn|loom|hose|tub|strip|strp|ext|probe|prb|wire|flex|gasket|seal|bus"
)


def sold_by_length(lowered: str, start: int) -> bool:
    """Whether what is said in one breath with a place of a text is sold by length: there "mtr" is a metre."""
    said = _BREAK.split(lowered[:start])[-1] + _BREAK.split(lowered[start:])[0]
    return LONG.search(said) is not None


def names_a_part(unit: str, after: str) -> bool:
    """Whether a unit-like word and the text behind it name a part: the figure before it then counts parts."""
    if unit in ("button", "buttons", "btn", "btns"):
        return True
    if unit in ("lane", "lanes", "ln", "column", "col"):
        return counts_lane_parts(after)
    return _part_behind(unit, after)


def _part_behind(unit: str, after: str) -> bool:
    behind = _PARTS_BEHIND.get(unit.removesuffix("s") if unit != "pos" else "position")
    return bool(behind and re.match(rf"\s+(?:{behind})", after))


_LANE_PARTS = re.compile(
    r"\s+(?:sp[a-z]*c[a-z]*r|shim|filler|rail|div|conv|kit|insert|(?:motor|mtr)s?(?!\s+(?:dr|board|brd|bored|"
    r"control|contr|harn|hrn|loom|cable))|clip|coil|stop|liner|wall|coupler|changeover|change)"
)


def counts_lane_parts(after: str) -> bool:
    """Whether the text behind "3 lane" names a part of a lane: "3 lane spacers" are three, "8 lane harness" is one."""
    return bool(_LANE_PARTS.match(after))


_MOST_KEYS = 99
_ONES = listed("tube key pin lane column coils pack selection button btn")


def is_count(text: str) -> bool:
    """Whether a figure with a thing-like unit counts things: plural, one of it, or no usual pack size."""
    match = re.match(r"^([\d.,/]+)\s?(-?)\s?([a-z]+)$", text)
    if not match or match[3] not in THINGS or match[2]:
        return False
    count = figure(match[1])
    if match[3] in ("pack", "packs", "pk"):
        return count not in PACK_SIZES or match[3] == "packs"
    if match[3] == "key" and count > _MOST_KEYS:
        return True  # a key's own number
    return (
        (match[3].endswith("s") and match[3] != "pos")
        or (count == 1 and match[3] in _ONES)
        or (match[3] == "wire" and count < 3)
    )
