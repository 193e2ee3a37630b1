"""Catalogue items as lane parts: thickness, pitch, turns and purpose read from the words of the description."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from partsbin.lanes.containers import Kind
from partsbin.lanes.kits import LanePart, Role
from partsbin.lengths import FIGURE, UNIT, millimetres

ROLES: Final = {"DLV-SPC": Role.SPACER, "DLV-COIL": Role.COIL, "DLV-END": Role.INSERT, "DLV-CLIP": Role.RETAINER}
WORDS: Final = {
    Role.INSERT: ("coil end", "coil insert", "end piece", "pusher"),
    Role.COIL: ("coil", "helix", "spiral", "auger"),
    Role.RETAINER: ("retainer", "product stop", "front keeper"),
    Role.SPACER: ("spacer", "shim", "filler"),
}
"""What says the role of a part where its family is none of ours, looked for in this order."""

TOLD_BY: Final = ("pitch", *(name for role, names in WORDS.items() if role is not Role.COIL for name in names))
"""One of these stands in the words of every such part: a coil says its pitch."""

_OUR_FAMILY: Final = re.compile(r"[A-Z]{3}-[A-Z]+")
_SIZE: Final = rf"((?<![\d/.,]){FIGURE}\s*{UNIT})"
_THICKNESS: Final = re.compile(
    rf"{_SIZE}\s*(?:thick|thk)|{_SIZE}(?!\s*(?:wide|long|high|tall)?\s*(?:lane|tray|wide|long|high|tall|x)\b)",
    re.IGNORECASE,
)
_PITCH: Final = re.compile(rf"{_SIZE}\s+pitch|pitch\s+{_SIZE}", re.IGNORECASE)
_TURNS: Final = re.compile(r"\b(\d{1,2})[\s-]*(?:count|ct|turns?)\b", re.IGNORECASE)
_LEFT: Final = re.compile(r"\b(?:lh|l/h|left)\b", re.IGNORECASE)
_RIGHT: Final = re.compile(r"\b(?:rh|r/h|right)\b", re.IGNORECASE)


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
    """The lane part an item is, or None when it has no role in a lane or its sizes are not in its words.

    A spacer needs ``6 mm`` in its description, a coil ``8 count`` and ``70 mm pitch``; ``can`` or ``bottle`` says what
    a coil insert or a retainer is for. A hand that is not given is read from the words too.
    """
    role = _role(family, description)
    if role is None:
        return None
    thickness = _length(_THICKNESS, description) if role is Role.SPACER else 0.0
    pitch = _length(_PITCH, description) if role is Role.COIL else 0.0
    said = _TURNS.search(description)
    turns = int(said[1]) if said and role is Role.COIL else 0
    if (role is Role.SPACER and not thickness) or (role is Role.COIL and not (pitch and turns)):
        return None
    return LanePart(
        part_number,
        role,
        description,
        hand or _hand(description),
        on_hand,
        thickness,
        pitch,
        turns,
        _suits(description) if role in (Role.INSERT, Role.RETAINER) else None,
        disposition == "reusable",
        cautions,
        places,
    )


def _role(family: str, description: str) -> Role | None:
    if _OUR_FAMILY.fullmatch(family):
        return ROLES.get(family)
    words = description.lower()
    return next((role for role, names in WORDS.items() if any(name in words for name in names)), None)


def _hand(description: str) -> str:
    left, right = _LEFT.search(description), _RIGHT.search(description)
    return "" if bool(left) == bool(right) else "LH" if left else "RH"


def _length(pattern: re.Pattern[str], text: str) -> float:
    match = pattern.search(text)
    said = next(g for g in match.groups() if g) if match else ""
    return round(millimetres(said) or 0.0, 2)


def _suits(description: str) -> Kind | None:
    words = set(re.findall(r"[a-z]+", description.lower()))
    if words & {"can", "cans"}:
        return Kind.CAN
    return Kind.PET if words & {"bottle", "bottles", "pet"} else None


def for_family(parts: Iterable[tuple[LanePart, tuple[str, ...]]], family: str) -> list[LanePart]:
    """The parts whose listed families include ``family``, however it is spaced; a part that lists none fits all."""
    wanted = _letters(family)
    return [part for part, fits in parts if not fits or wanted in map(_letters, fits)]


def _letters(text: str) -> str:
    return re.sub(r"[\W_]", "", text.lower())
