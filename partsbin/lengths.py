"""Lengths as people write them: millimetres, centimetres, inches with fractions."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

MM_PER_INCH: Final = 25.4
_IN_MM: Final = {"": 1.0, "mm": 1.0, "cm": 10.0}
_INCH: Final = r"(?:inch(?:es)?|in\.?|\"|''|[”″])"
FIGURE: Final = r"(?:(?:\d{1,3}[\s-]+)?\d{1,2}/\d{1,2}|\d{1,4}(?:[.,]\d{1,4})?)"
"""The pattern of a figure: ``66.1``, ``66,1``, ``1/4``, ``2 11/16``."""

UNIT: Final = rf"(?:mm|cm|{_INCH})"
_LENGTH: Final = re.compile(rf"({FIGURE})\s*({UNIT})?", re.IGNORECASE)


def millimetres(text: str) -> float | None:
    """Read ``66.1``, ``6,61 cm``, ``2.6 in`` or ``2 11/16"`` in mm, a bare figure being mm; None: it is no length."""
    match = _LENGTH.fullmatch(text.strip())
    if not match or re.search(r"/0+$", match[1]):
        return None
    unit = (match[2] or "").lower()
    whole, _, part = match[1].replace(",", ".").replace("-", " ").rpartition(" ")
    figure = float(Fraction(part)) + float(whole or 0)
    return round(figure * _IN_MM.get(unit, MM_PER_INCH), 4)
