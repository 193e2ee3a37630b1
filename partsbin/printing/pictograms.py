"""Warning signs: the yellow triangle with a black edge that ISO 7010 and ISO 3864 prescribe, its figure drawn here.

The figures are our own simple drawings of the hazards named; they follow the standards' idea, not their artwork, and
claim no conformity. The word always stands beside the sign.
"""

from __future__ import annotations

import re
from math import cos, pi, sin

from partsbin.printing.pen import BLACK, WHITE, Box, Pen

_YELLOW = (0.976, 0.780, 0.0)  # near the safety yellow of ISO 3864-4, from memory
_Outline = tuple[tuple[float, float], ...]


def _arc(x: float, y: float, radius: float, start: float = 0, end: float = 360) -> _Outline:
    steps = max(6, int(abs(end - start) / 20))
    angles = [(start + (end - start) * n / steps) * pi / 180 for n in range(steps + 1)]
    return tuple((x + radius * cos(angle), y + radius * sin(angle)) for angle in angles)


def _outline(points: str) -> _Outline:
    return tuple((float(x), float(y)) for x, y in (point.split(",") for point in points.split()))


def _waves(*starts: float) -> list[_Outline]:
    wave = _outline("0,24 4,24 7,34 3,42 7,52 3,52 -1,42 3,34")
    return [tuple((x + start, y) for x, y in wave) for start in starts]


# Filled outlines, x and y from 0 to 100, y upward; the triangle's inside is 20 to 80 at its foot, its apex 50, 78.
_FIGURES: dict[str, list[_Outline]] = {
    "general": [_outline("45,66 55,66 53,36 47,36"), _arc(50, 26, 5.5)],
    "electricity": [_outline("56,68 40,42 49,42 44,26 38,29 42,14 54,24 49,26 59,49 50,49")],
    "flammable": [
        _outline(
            "50,68 54,56 62,48 65,38 61,28 54,23 57,31 54,37 50,42 49,34 44,29 46,23 39,28 35,37"
            " 38,47 43,53 44,46 48,56"
        ),
        _outline("32,15 68,15 68,19 32,19"),
    ],
    "heavy": [_outline("35,16 65,16 60,42 40,42"), (*_arc(50, 49, 9), *_arc(50, 49, 5, 360, 0))],
    "tip-over": [
        _outline("38,22 53,16 67,50 52,56"),
        _outline("28,12 74,12 74,15 28,15"),
        _outline("68,42 72,26 69,27 71,21 76,27 74,27 71,43"),
    ],
    "sharp": [
        _outline("32,46 64,46 64,35 42,35"),
        _outline("65,37 72,37 72,44 65,44"),
        _outline("36,30 48,30 44,23 42,14 39,23"),
    ],
    "crush": [
        _outline("30,42 70,42 70,52 30,52"),
        _outline("26,13 74,13 74,20 26,20"),
        _outline("26,26 58,26 62,29 62,32 58,35 26,35"),
        _outline("47,67 53,67 53,60 57,60 50,54 43,60 47,60"),
    ],
    "static": [
        _outline(
            "41,16 58,16 61,30 61,44 57,44 57,34 55,34 55,50 51,50 51,34 49,34 49,51 45,51 45,34 43,34 43,46 39,46"
            " 39,31 33,36 31,33"
        )
    ],
    "cell": [_outline("32,18 62,18 62,42 32,42"), _outline("62,26 67,26 67,34 62,34")],
    "pressure": [
        _outline("42,14 58,14 58,48 55,53 45,53 42,48"),
        _outline("47,53 53,53 53,58 47,58"),
        _outline("42,58 58,58 58,62 42,62"),
    ],
    "glass": [
        _outline("36,16 64,16 64,30 55,26 52,38 45,30 36,36"),
        _outline("38,44 48,40 46,52"),
        _outline("54,42 63,36 62,46"),
        _outline("49,60 54,54 55,50 48,54"),
    ],
    "hot": [_outline("30,14 70,14 70,18 30,18"), *_waves(37, 48, 59)],
}
_CUT_OUT = {  # drawn over the figure in the sign's own colour
    "cell": [
        _outline("36,28.5 44,28.5 44,31.5 36,31.5"),
        _outline("50,28.5 58,28.5 58,31.5 50,31.5"),
        _outline("52.5,26 55.5,26 55.5,34 52.5,34"),
    ],
}
_HAZARDS = {  # sign: what it warns of, and how words that call for it begin
    "electricity": ("electricity", ("electric", "mains", "volt", "shock", "unplug", "plug", "capacitor", "earth")),
    "flammable": ("flammable", ("flam", "r-290", "r-600", "propane", "butane", "fire")),
    "pressure": ("under pressure", ("sealed", "pressur", "refriger", "gas\\b")),
    "heavy": ("heavy", ("lift", "heavy", "weigh", "two people")),
    "tip-over": ("can tip over", ("tip", "rock", "toppl", "anchor", "level")),
    "crush": ("pinch point", ("pinch", "finger", "crush", "gears")),
    "sharp": ("sharp", ("sharp", "blade", "cut")),
    "static": ("static", ("static", "esd\\b")),
    "cell": ("cell", ("cell", "batter", "lithium")),
    "glass": ("glass", ("glass",)),
    "hot": ("hot", ("hot\\b", "burn", "heat\\b")),
}
_ROOTS = {name: re.compile(r"\b(?:" + "|".join(roots) + ")") for name, (_, roots) in _HAZARDS.items()}


def pictogram_for(word: str, text: str = "") -> str:
    """Name of the sign for what a caution's word, or failing that its sentence, speaks of first; else ``general``."""
    for words in (word.lower(), text.lower()):
        found = [(match.start(), name) for name, roots in _ROOTS.items() if (match := roots.search(words))]
        if found:
            return min(found)[1]
    return "general"


def hazard_of(name: str) -> str:
    """What sign ``name`` warns of, in words; empty for ``general``."""
    return _HAZARDS[name][0] if name in _HAZARDS else ""


def draw_pictogram(pen: Pen, box: Box, name: str) -> None:
    """Draw sign ``name`` (``general`` if unknown) as large as ``box`` allows; white, not yellow, without colour."""
    side = min(box.w, box.h)
    left, foot = box.x + (box.w - side) / 2, box.y + (box.h + side) / 2
    ground = _YELLOW if pen.colour else WHITE

    def at(points: _Outline) -> list[tuple[float, float]]:
        return [(left + x * side / 100, foot - y * side / 100) for x, y in points]

    pen.polygon(at(((8, 9), (92, 9), (50, 86))), ground, BLACK, side * 0.08)
    known = name if name in _FIGURES else "general"
    for points in _FIGURES[known]:
        pen.polygon(at(points), BLACK)
    for points in _CUT_OUT.get(known, ()):
        pen.polygon(at(points), ground)
    if known == "static":
        pen.line(at(((28, 18), (68, 54))), side * 0.05, ground)
        pen.line(at(((30, 16), (70, 52))), side * 0.03)
