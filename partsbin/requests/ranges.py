"""Ranges a part works in or fits: "-4/+4C", "minus four to plus four", "0 to 10 degrees", "hose clip 16-25"."""

from __future__ import annotations

import re

from partsbin.requests.number_words import SPELT, worth

_NUMBER = rf"(?:\d{{1,3}}|{SPELT})"
_SIGN = r"(?P<{0}>(?:minus|plus)\s|[-+−]\s?)?"
_DEGREE = r"(?:°\s?[cf]?|deg(?:ree)?s?\b(?:\s?[cf]\b)?|[cf])"
_LENGTH = r"(?:mms?|mil|millimet(?:re|er)s?)"
_RANGE = re.compile(
    rf"(?<![\w./+-]){_SIGN.format('below')}(?P<low>{_NUMBER})\s?(?:{_DEGREE}(?![a-z]))?\s?(?P<to>\bto\b|/|\.\.+|[-–])\s?"
    rf"{_SIGN.format('above')}(?P<high>{_NUMBER})(?:[\s-]?(?:(?P<degree>{_DEGREE})|(?P<length>{_LENGTH})))?(?![\w/]|[.-]\d)"
)
_THERMAL = re.compile(r"stat\b|stats\b|thermo|\btemp")
_CLIPPED = re.compile(r"\bcl[ai]m?ps?\b|\bglands?\b|\bclp\b")
_BETWEEN = re.compile(r"[/–-]|\bto\b|\.\.")  # what stands between the ends
RANGED = r"(?<![\w~])-?\d+~+-?\d+(?![\w~])"
_RANGED = re.compile(r"(-?\d+)~+(-?\d+)")


def with_ranges(text: str) -> str:
    """Lower-case text of the same length with each range in one piece: "-4~~~4"."""
    return _RANGE.sub(_in_one_piece, text) if _BETWEEN.search(text) else text


def range_of(token: str) -> str:
    """The range a piece made by :func:`with_ranges` states: "-4 to 4"; empty for anything else."""
    made = _RANGED.fullmatch(token)
    return f"{made[1]} to {made[2]}" if made else ""


def covers(stated: str, value: float) -> bool:
    """Whether a range ("16 to 25") has a value in it, ends included."""
    low, _, high = stated.partition(" to ")
    return float(low) <= value <= float(high)


def _in_one_piece(found: re.Match[str]) -> str:
    low, high = (_value(found[end], found[sign]) for end, sign in (("low", "below"), ("high", "above")))
    between = "~" * (len(found[0]) - len(f"{low}{high}"))
    return f"{low}{between}{high}" if low < high and between and _is_range(found) else found[0]


def _is_range(found: re.Match[str]) -> bool:
    """Whether two figures are the ends of a range: by their unit, a sign, or what is asked for before them."""
    before = found.string[: found.start()]
    if found["degree"] or found["length"]:
        return bool(found["degree"] or found["to"] != "/")
    if found["above"] or (found["below"] and found["to"] == "to"):
        return True
    if found["to"] == "to" and _THERMAL.search(before):
        return True
    return found["to"] != "/" and bool(_CLIPPED.search(before)) and found["low"].isdigit() and int(found["low"]) > 5


def _value(said: str, sign: str | None) -> int:
    value = worth(said)
    return -value if sign and sign.strip() in ("minus", "-", "−") else value
