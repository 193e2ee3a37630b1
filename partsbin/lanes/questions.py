"""Lane questions in words: "what spacers for the 250 slim in a 74 lane", "swap 5 lanes from can to 20oz"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from partsbin.lanes.containers import Container
from partsbin.lanes.kits import MOST_LANES
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.named_containers import Named, named_containers

MOST_CHARACTERS: Final = 500


@dataclass(frozen=True, slots=True)
class LaneQuestion:
    """A lane question as read. Several containers or lane types mean the words allow several: ask.

    ``was`` are the containers a swap comes from (empty: not said). ``width_mm`` is the lane width said (0: none),
    ``asset`` and ``numbers`` a machine's lanes, ``lanes`` how many lanes. ``doubts`` are sentences to put to the asker.
    """

    text: str
    swap: bool
    containers: tuple[Container, ...]
    was: tuple[Container, ...] = ()
    lane_types: tuple[LaneType, ...] = ()
    width_mm: float = 0.0
    asset: str = ""
    numbers: tuple[str, ...] = ()
    lanes: int = 1
    doubts: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """True when the words leave one container, a lane, and no doubt."""
        return len(self.containers) == 1 and not self.doubts and bool(self.lane_types or (self.asset and self.numbers))


@dataclass(frozen=True, slots=True)
class _Where:
    """The lane part of a question, and the text with it taken out."""

    rest: str
    width_mm: float
    asset: str
    numbers: tuple[str, ...]
    lanes: int
    types: tuple[LaneType, ...]

    @property
    def placed(self) -> bool:
        return bool(self.width_mm or self.types or (self.asset and self.numbers))


_NUMBER_WORDS: Final = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
}
_COUNT: Final = re.compile(rf"\b(\d{{1,3}}|{'|'.join(_NUMBER_WORDS)})\s+lanes\b")
_WIDTH: Final = re.compile(
    r"\b(\d{2,3}(?:\.\d+)?)\s*(?:mm)?[\s-]*(?:wide\s+(?:lane|tray)|wide|(?:lane|tray)(?!s))\b"
    r"|\b(?:lane|tray)\s+(?:of\s+)?(\d{2,3}(?:\.\d+)?)\s*(?:mm|wide)\b"
)
_IN_WIDTH: Final = re.compile(r"\b(?:in|for)\s+(?:an?|the)\s+(\d{2,3})\s*(?:mm)?(?=\s*(?:$|[.,|]))")
_NUMBER: Final = r"\d{1,3}[a-z]?"
_LANE: Final = re.compile(
    rf"\blanes?\s+(?:no\.?\s*|numbers?\s+)?({_NUMBER}(?:\s*(?:and|&|\+|,(?=\s*\d+\b))\s*{_NUMBER}\b)*)\b"
)
_ASSET: Final = re.compile(r"\b([a-z]\d{4})\b")
_SWAP: Final = re.compile(r"\b(?:swap|swop|convert|change|switch)\b")
_FROM: Final = re.compile(r"\bfrom\b(.*?)(?=\b(?:to|into|onto)\b|$)")
_TO: Final = re.compile(r"\b(?:to|into|onto|for)\b(.*?)(?=\bfrom\b|$)")
_ASKS: Final = re.compile(r"\b(?:what|which|wot|how many|does|will|fit|fits)\b")
_ABOUT: Final = re.compile(r"\b(?:spacers?|shims?|fillers?|lanes?|trays?|fits?)\b")


def read_lane_question(
    text: str, containers: Sequence[Container], lane_types: Sequence[LaneType]
) -> LaneQuestion | None:
    """Read a question about a container in a lane; None when ``text`` is none (a parts request, say).

    It is one when it names a container and a lane, asks what fits a container, or swaps lanes to a container.
    Nothing is guessed: what the words leave open comes back as several candidates or a doubt.
    """
    words = _plain(text)
    swap = bool(_SWAP.search(words))
    if len(text) > MOST_CHARACTERS or not (swap or _ABOUT.search(words)):
        return None
    where = _read_where(words, lane_types)
    was, target = _read_containers(where.rest, containers, swap=swap)
    about = bool(_ABOUT.search(words))
    if not target.said or not (where.placed or _ASKS.search(words) or (swap and (about or was.said))):
        return None
    doubts = (*target.doubts, *was.doubts, *_where_doubts(where, lane_types))
    return LaneQuestion(
        text,
        swap,
        target.containers,
        was.containers,
        where.types,
        where.width_mm,
        where.asset.upper(),
        where.numbers,
        where.lanes,
        doubts,
    )


def _plain(text: str) -> str:
    lowered = " ".join(text.lower().replace("’", "'").split())
    return re.sub(r"[?!;\"()]", " ", lowered)


def _read_where(words: str, lane_types: Sequence[LaneType]) -> _Where:
    types, words = _named_types(words, lane_types)
    asset, words = _pull(_ASSET, words)
    count, words = _pull(_COUNT, words)
    width, words = _pull(_WIDTH, words)
    lane, words = _pull(_LANE, words)
    if not (width or lane):
        width, words = _pull(_IN_WIDTH, words)
    if width:
        types = tuple(t for t in types or lane_types if abs(t.width_mm - float(width)) < 0.5)
    numbers = tuple(re.findall(_NUMBER, lane.upper(), re.IGNORECASE))
    lanes = int(count) if count.isdigit() else _NUMBER_WORDS.get(count, max(1, len(numbers)))
    return _Where(words, float(width or 0), asset, numbers, lanes, types)


def _named_types(words: str, lane_types: Sequence[LaneType]) -> tuple[tuple[LaneType, ...], str]:
    """Lane types named by their code, else by their machine family, and the words without those names."""
    for names in ({t.code.lower(): t.code for t in lane_types}, {t.family.lower(): t.family for t in lane_types}):
        found = [name for name in names if re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", words)]
        for name in found:
            words = words.replace(name, " | ")
        if found:
            said = {names[name] for name in found}
            return tuple(t for t in lane_types if t.code in said or t.family in said), words
    return (), words


def _pull(pattern: re.Pattern[str], words: str) -> tuple[str, str]:
    """The first group matched (empty when none), and the words without the match."""
    match = pattern.search(words)
    if not match:
        return "", words
    return next(g for g in match.groups() if g), f"{words[: match.start()]} | {words[match.end() :]}"


def _read_containers(words: str, containers: Sequence[Container], *, swap: bool) -> tuple[Named, Named]:
    """The containers before and after a swap, or nothing and the container asked about."""
    verb = _SWAP.search(words)
    after = words[verb.end() :] if verb else ""
    to = _TO.search(after)
    if not (swap and to):
        return Named(), named_containers(words, containers)
    origin = _FROM.search(after)
    was = origin[1] if origin else after[: to.start()]
    return named_containers(was, containers), named_containers(to[1], containers)


def _where_doubts(where: _Where, lane_types: Sequence[LaneType]) -> list[str]:
    doubts = []
    if where.width_mm and not where.types:
        widths = ", ".join(f"{w:g}" for w in sorted({t.width_mm for t in lane_types}))
        doubts.append(f"no lane {where.width_mm:g} mm wide is known; widths are {widths or 'not entered yet'}")
    if not where.placed:
        doubts.append("which lane: give its width, its type, or machine and lane number")
    if not 1 <= where.lanes <= MOST_LANES:
        doubts.append(f"{where.lanes} lanes cannot be; how many?")
    return doubts
