"""The zone mark: a letter in a shape in a colour, so that a black print or a colour-blind reader loses nothing."""

from __future__ import annotations

from math import cos, pi, sin

from partsbin.printing.pen import BLACK, WHITE, Box, Colour, Pen
from partsbin.printing.text import printable

# The Okabe-Ito colours, chosen to stay apart for the common kinds of colour blindness (hex values from memory).
_COLOURS = ("0072B2", "E69F00", "009E73", "D55E00", "56B4E9", "CC79A7", "F0E442")
SHAPES = ("circle", "square", "diamond", "hexagon", "house", "triangle")
_LETTER_SHARE = {"circle": 0.52, "square": 0.62, "diamond": 0.42, "hexagon": 0.52, "house": 0.46, "triangle": 0.36}
_MOST_LETTERS = 2  # two still read inside a mark
_LETTER_DROP = {"house": 0.10, "triangle": 0.16}  # of the mark's height below its middle


def mark_of(zone: str, code: str) -> str:
    """What stands in the mark of a place: its zone if one or two letters a font has, else its code's beginning.

    A zone with a name is not cut to its initial: the B of "bulk" on a bin of aisle A would send people to aisle B.
    """
    if 0 < len(zone.strip()) <= _MOST_LETTERS and not printable(zone).replaced:
        return zone.strip().upper()
    first = printable(code.upper()).text.split("-", maxsplit=1)[0].strip()
    return first if len(first) <= _MOST_LETTERS else first[:1]


def _index(zone: str) -> int:
    return sum((ord(letter) - ord("A")) * 26**place for place, letter in enumerate(reversed(zone)))


def shape_of(zone: str) -> str:
    """Name of the shape that stands for ``zone``."""
    return SHAPES[_index(zone) % len(SHAPES)]


def colour_of(zone: str) -> Colour:
    """Colour that stands for ``zone``, red, green, blue from 0 to 1."""
    code = _COLOURS[_index(zone) % len(_COLOURS)]
    return int(code[:2], 16) / 255, int(code[2:4], 16) / 255, int(code[4:], 16) / 255


def draw_zone(pen: Pen, box: Box, zone: str) -> None:
    """Draw the mark of ``zone`` as large as ``box`` allows; black with a white letter where the stock has no colour."""
    side = min(box.w, box.h)
    shape = shape_of(zone)
    fill = colour_of(zone) if pen.colour else BLACK
    middle_x, middle_y = box.x + box.w / 2, box.y + box.h / 2
    edge = max(1.0, side * 0.03)
    half = (side - edge) / 2
    if shape == "circle":
        pen.disc(middle_x, middle_y, half, fill, BLACK, edge)
    else:
        pen.polygon([(middle_x + half * x, middle_y + half * y) for x, y in _OUTLINES[shape]], fill, BLACK, edge)
    room = round(side * _LETTER_SHARE[shape])
    letter = Box(round(middle_x - room / 2), round(middle_y + _LETTER_DROP.get(shape, 0) * side - room / 2), room, room)
    kept = pen.cap_mm
    pen.write_in(letter, zone, align="centre", ink=_ink_on(fill))
    pen.cap_mm = kept  # the mark is not what the label is read by


def _ink_on(fill: Colour) -> Colour:
    """Black or white, whichever stands out more: relative luminance as WCAG 2 weighs it, without its curve."""
    return WHITE if 0.2126 * fill[0] + 0.7152 * fill[1] + 0.0722 * fill[2] < 0.42 else BLACK


def _regular(corners: int, turn: float) -> list[tuple[float, float]]:
    return [(sin(turn + 2 * pi * n / corners), -cos(turn + 2 * pi * n / corners)) for n in range(corners)]


_OUTLINES = {
    "square": [(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)],
    "diamond": _regular(4, 0),
    "hexagon": _regular(6, pi / 6),
    "house": [(0.0, -1.0), (0.95, -0.25), (0.95, 0.95), (-0.95, 0.95), (-0.95, -0.25)],
    "triangle": [(0.0, -0.95), (1.0, 0.85), (-1.0, 0.85)],
}
