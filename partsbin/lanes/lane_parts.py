"""Catalogue items as lane parts: thickness, pitch, turns and purpose read from the words of the description."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from partsbin.lanes.containers import Kind
from partsbin.lanes.kits import LanePart, Role

ROLES: Final = {"DLV-SPC": Role.SPACER, "DLV-COIL": Role.COIL, "DLV-END": Role.INSERT, "DLV-CLIP": Role.RETAINER}
_MM: Final = r"(\d+(?:\.\d+)?)\s*mm\b"
_THICKNESS: Final = re.compile(_MM)
_PITCH: Final = re.compile(rf"{_MM}\s+pitch|pitch\s+{_MM}", re.IGNORECASE)
_TURNS: Final = re.compile(r"\b(\d{1,2})\s*(?:count|ct|turns?)\b", re.IGNORECASE)


def read_lane_part(
    part_number: str,
    family: str,
    description: str,
    *,
    hand: str = "",
    on_hand: int = 0,
    disposition: str = "reusable",
    cautions: tuple[str, ...] = (),
    places: tuple[tuple[str, int], ...] = (),
) -> LanePart | None:
    """The lane part an item is, or None when its family has no role in a lane or its sizes are not in its words.

    A spacer needs ``6 mm`` in its description, a coil ``8 count`` and ``70 mm pitch``; ``can`` or ``bottle`` says what
    a coil insert or a retainer is for.
    """
    role = ROLES.get(family)
    if role is None:
        return None
    thickness = _first(_THICKNESS, description) if role is Role.SPACER else 0.0
    pitch = _first(_PITCH, description) if role is Role.COIL else 0.0
    turns = int(_first(_TURNS, description)) if role is Role.COIL else 0
    if (role is Role.SPACER and not thickness) or (role is Role.COIL and not (pitch and turns)):
        return None
    return LanePart(
        part_number,
        role,
        description,
        hand,
        on_hand,
        thickness,
        pitch,
        turns,
        _suits(description) if role in (Role.INSERT, Role.RETAINER) else None,
        disposition == "reusable",
        cautions,
        places,
    )


def _first(pattern: re.Pattern[str], text: str) -> float:
    match = pattern.search(text)
    return float(next(g for g in match.groups() if g)) if match else 0.0


def _suits(description: str) -> Kind | None:
    words = set(re.findall(r"[a-z]+", description.lower()))
    if words & {"can", "cans"}:
        return Kind.CAN
    return Kind.PET if words & {"bottle", "bottles", "pet"} else None


def for_family(parts: Iterable[tuple[LanePart, tuple[str, ...]]], family: str) -> list[LanePart]:
    """The parts whose listed machine families include ``family``; a part that lists none fits all."""
    wanted = family.lower()
    return [part for part, fits in parts if not fits or wanted in (f.strip().lower() for f in fits)]
