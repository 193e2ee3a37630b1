"""Warning signs: the yellow triangle with a black edge that ISO 7010 and ISO 3864 prescribe, its figure drawn here.

The figures are our own simple drawings of the hazards named; they follow the standards' idea, not their artwork, and claim
no conformity. The word always stands beside the sign.
"""

from __future__ import annotations

from math import cos, pi, sin

from partsbin.printing.pen import BLACK, WHITE, Box, Pen

_YELLOW = (0.976, 0.780, 0.0)  # near the safety yellow of ISO 3864-4, from memory
_Figure = tuple[tuple[tuple[float, float], ...], ...]


def _arc(x: float, y: float, radius: float, start: float = 0, end: float = 360) -> tuple[tuple[float, float], ...]:
    steps = max(6, int(abs(end - start) / 20))
    angles = [(start + (end - start) * n / steps) * pi / 180 for n in range(steps + 1)]
    return tuple((x + radius * cos(angle), y + radius * sin(angle)) for angle in angles)


def _box(left: float, low: float, right: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((left, low), (right, low), (right, high), (left, high))


# Filled polygons, x and y from 0 to 100, y upward; the triangle's inside spans about 20..80 at the foot, apex at 50, 78.
_FIGURES: dict[str, _Figure] = {
    "general": (((45, 66), (55, 66), (53, 36), (47, 36)), _arc(50, 26, 5.5)),
    "electricity": (((56, 68), (40, 42), (49, 42), (44, 26), (38, 29), (42, 14), (54, 24), (49, 26), (59, 49), (50, 49)),),
    "flammable": (
        ((50, 68), (54, 56), (62, 48), (65, 38), (61, 28), (54, 23), (57, 31), (54, 37), (50, 42), (49, 34), (44, 29), (46, 23),
         (39, 28), (35, 37), (38, 47), (43, 53), (44, 46), (48, 56)),
        _box(32, 15, 68, 19),
    ),  # fmt: skip
    "heavy": (((35, 16), (65, 16), (60, 42), (40, 42)), (*_arc(50, 49, 9), *_arc(50, 49, 5, 360, 0))),
    "tip-over": (
        ((38, 22), (53, 16), (67, 50), (52, 56)),
        _box(28, 12, 74, 15),
        ((70, 47), (76, 30), (72, 31), (74, 25), (79, 31), (77, 31), (73, 48)),
    ),
    "sharp": (((32, 42), (64, 42), (64, 33), (40, 33)), _box(66, 34, 74, 41), ((36, 28), (48, 28), (44, 22), (42, 14), (39, 22))),
    "static": (
        ((41, 16), (58, 16), (61, 30), (61, 44), (57, 44), (57, 34), (55, 34), (55, 50), (51, 50), (51, 34), (49, 34), (49, 51),
         (45, 51), (45, 34), (43, 34), (43, 46), (39, 46), (39, 31), (33, 36), (31, 33)),
    ),  # fmt: skip
    "cell": ((_box(32, 18, 62, 42)), _box(62, 26, 67, 34)),
    "pressure": (
        ((42, 14), (58, 14), (58, 48), (55, 53), (45, 53), (42, 48)), _box(47, 53, 53, 58), _box(42, 58, 58, 62),
    ),  # fmt: skip
    "glass": (((36, 16), (64, 16), (64, 30), (55, 26), (52, 38), (45, 30), (36, 36)), ((38, 44), (48, 40), (46, 52)),
              ((54, 42), (63, 36), (62, 46)), ((49, 60), (54, 54), (55, 50), (48, 54))),
    "hot": (
        _box(30, 14, 70, 18),
        *(((x, 24), (x + 4, 24), (x + 7, 34), (x + 3, 42), (x + 7, 52), (x + 3, 52), (x - 1, 42), (x + 3, 34)) for x in (37, 48, 59)),
    ),
}  # fmt: skip
_CUT_OUT: dict[str, _Figure] = {  # drawn over the figure in the sign's own colour
    "cell": (_box(36, 28.5, 44, 31.5), _box(50, 28.5, 58, 31.5), _box(52.5, 26, 55.5, 34)),
}
_WORDS = (
    ("electricity", ("electric", "mains", "volt", "shock", "unplug", "plug", "earth")),
    ("flammable", ("flam", "r-290", "r-600", "propane", "butane", "fire")),
    ("pressure", ("sealed", "pressur", "refriger", "gas")),
    ("heavy", ("lift", "heavy", "weight", "two people")),
    ("tip-over", ("tip", "rock", "topple", "anchor", "level")),
    ("sharp", ("sharp", "blade", "cut", "finger", "pinch")),
    ("static", ("static", "esd")),
    ("cell", ("cell", "batter", "lithium")),
    ("glass", ("glass",)),
    ("hot", ("hot", "burn", "heat")),
)


def pictogram_for(word: str, text: str = "") -> str:
    """Name of the sign that goes with a caution's word, or failing that its sentence; ``general`` when none does."""
    for words in (word.lower(), text.lower()):
        for name, roots in _WORDS:
            if any(root in words for root in roots):
                return name
    return "general"


def pictogram_names() -> list[str]:
    """Every sign there is."""
    return sorted(_FIGURES)


def draw_pictogram(pen: Pen, box: Box, name: str) -> None:
    """Draw warning sign ``name`` (``general`` if unknown) as large as ``box`` allows; white instead of yellow without colour."""
    side = min(box.w, box.h)
    left, foot = box.x + (box.w - side) / 2, box.y + (box.h + side) / 2
    ground = _YELLOW if pen.colour else WHITE

    def at(points: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
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
