"""Which containers a few words name: size, style and material narrow the list; usual names settle the rest."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from partsbin.errors import Refused
from partsbin.lanes.containers import Container, Kind, read_can_code

ML_PER_FLUID_OZ: Final = 29.5735  # US fluid ounce
_NEAR: Final = 0.02  # 8.4 oz is 248 ml and sold as 250


@dataclass(frozen=True, slots=True)
class Named:
    """Containers that the words allow; ``said`` is False when they name none at all.

    ``words`` are those that named them, where that were neither sizes nor styles.
    """

    containers: tuple[Container, ...] = ()
    said: bool = False
    doubts: tuple[str, ...] = ()
    words: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Traits:
    """What was said of a container; empty where nothing was."""

    ml: float = 0.0
    bare: float = 0.0
    style: str = ""
    kind: Kind | None = None
    phrase: str = ""


_STYLES: Final = {
    "slim": "slim",
    "skinny": "slim",
    "sleek": "sleek",
    "tall": "tall",
    "standard": "standard",
    "std": "standard",
    "regular": "standard",
    "water": "water",
}
_KINDS: Final = {"can": Kind.CAN, "tin": Kind.CAN, "bottle": Kind.PET, "pet": Kind.PET, "plastic": Kind.PET}
_MODAL: Final = re.compile(
    r"(?:^|\|)\s*can\b(?=\s+\w)(?!\s+(?:lanes?|in|to|size)\b)"
    r"|\bcan\s+(?:you|u|i|we|it|they|someone|be|have|get|put|send|hold|take|carry)\b"
    r"|\b(?:what|which|lanes?|that|it)\s+can\b"
)
_CAN_SIZE: Final = re.compile(r"(?<![\w.])\d{3}(?:\s*[/x×]\s*\d{3}){1,2}(?![\w.])")
_SIZE: Final = re.compile(
    r"(?<![\w.])(\d+(?:\.\d+)?)\s*-?(?:us\s+)?(ml|mil|cl|l|lt|ltr|litre|liter|fl\.?\s*oz|ounces?|oz)\b"
)
_BARE: Final = re.compile(r"(?<![\w.])(\d{3}|\d{1,2}\.\d)(?!\.\d|[\da-rt-z]|\s*(?:mm|v|x)\b)")
_UNITS: Final = {
    "ml": 1.0,
    "mil": 1.0,
    "cl": 10.0,
    "l": 1000.0,
    "lt": 1000.0,
    "ltr": 1000.0,
    "litre": 1000.0,
    "liter": 1000.0,
}
LEAST_ML: Final = 100  # below that "10 mil" is a thickness


def named_containers(words: str, containers: Sequence[Container]) -> Named:
    """The containers that lower-case ``words`` may mean, narrowed by every trait said."""
    coded = tuple(c for c in containers if re.search(rf"(?<![\w-]){re.escape(c.code.lower())}(?![\w-])", words))
    if coded:
        return Named(coded, said=True, doubts=which(coded), words=frozenset(c.code.lower() for c in coded))
    sized = _of_can_size(words, containers)
    if sized is not None:
        return sized
    traits = read_traits(words)
    if not (traits.ml or traits.style or traits.kind or _fits_bare(traits, containers)):
        return Named()
    fits = [c for c in containers if _matches(c, traits)]
    if not fits:
        return Named((), said=True, doubts=(f"no container is known as {traits.phrase!r}",))
    usual = [c for c in fits if traits.phrase in c.words]
    chosen = tuple(usual or fits)
    return Named(chosen, said=True, doubts=which(chosen))


def without_names(words: str) -> str:
    """The words without sizes, styles and materials of containers."""
    for pattern in (_CAN_SIZE, _MODAL, _SIZE, _BARE):
        words = pattern.sub(" ", words)
    return re.sub(rf"\b(?:{'|'.join((*_STYLES, *_KINDS))})s?\b", " ", words)


def _of_can_size(words: str, containers: Sequence[Container]) -> Named | None:
    """The cans of a size in makers' notation, whichever order it is written in; None when there is no such size."""
    match = _CAN_SIZE.search(words)
    try:
        said = read_can_code(match[0]) if match else None
    except Refused:
        return None
    if match is None or said is None:
        return None
    coded = ((container, read_can_code(container.can_code)) for container in containers if container.can_code)
    found = tuple(
        container
        for container, code in coded
        if said.body_in == code.body_in
        and said.height_in in (0, code.height_in)
        and (not said.neck_in or not code.neck_in or said.neck_in == code.neck_in)
    )
    return Named(found, said=True, doubts=which(found) if found else (f"no can of size {match[0]} is known",))


def which(containers: Sequence[Container]) -> tuple[str, ...]:
    """What to ask where words allow several containers; empty for one or none."""
    if len(containers) < 2:
        return ()
    return (f"which container: {' or '.join(c.name for c in containers)}?",)


def read_traits(words: str) -> Traits:
    """What lower-case ``words`` say of a container's size, style and material."""
    words = _MODAL.sub(" ", words)
    words = re.sub(r"\bhalf\s+(?:an?\s+)?lit(?:re|er)\b", "500 ml", words)
    size = next((m for m in _SIZE.finditer(words) if _millilitres(m) >= LEAST_ML), None)
    bare = _BARE.search(words)
    tokens = [t.removesuffix("s") if t != "plus" else t for t in re.findall(r"[a-z]+", words)]
    style = next((_STYLES[t] for t in tokens if t in _STYLES), "")
    kind_word = next((t for t in tokens if t in _KINDS), "")
    ml = _millilitres(size) if size else 0.0
    number = float(bare[1]) if bare and not size else 0.0
    said = f"{size[1]} {_unit_word(size[2])}" if size else f"{number:g}" if number else ""
    phrase = " ".join(p for p in (said, style, kind_word) if p)
    return Traits(ml, number, style, _KINDS.get(kind_word), phrase)


def _millilitres(size: re.Match[str]) -> float:
    return float(size[1]) * _UNITS.get(size[2], ML_PER_FLUID_OZ)


def _unit_word(unit: str) -> str:
    return unit if unit in _UNITS else "oz"


def _fits_bare(traits: Traits, containers: Sequence[Container]) -> bool:
    """A bare number counts as a size only when some container has it."""
    return bool(traits.bare) and any(_has_size(c, traits.bare) for c in containers)


def _matches(container: Container, traits: Traits) -> bool:
    if traits.kind and container.kind is not traits.kind:
        return False
    if traits.style and container.style != traits.style:
        return False
    if traits.ml:
        return _near(traits.ml, container.nominal_ml)
    return not traits.bare or _has_size(container, traits.bare)


def _has_size(container: Container, number: float) -> bool:
    return _near(number, container.nominal_ml) or _near(number, container.fluid_oz)


def _near(said: float, real: float) -> bool:
    return real > 0 and abs(said - real) <= _NEAR * real
