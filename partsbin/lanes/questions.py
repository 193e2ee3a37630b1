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
    ``asset`` and ``lane`` a machine's lane, ``lanes`` how many lanes. ``doubts`` are sentences to put to the asker.
    """

    text: str
    swap: bool
    containers: tuple[Container, ...]
    was: tuple[Container, ...] = ()
    lane_types: tuple[LaneType, ...] = ()
    width_mm: float = 0.0
    asset: str = ""
    lane: str = ""
    lanes: int = 1
    doubts: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """True when the words leave one container, a lane, and no doubt."""
        return len(self.containers) == 1 and not self.doubts and bool(self.lane_types or (self.asset and self.lane))


@dataclass(frozen=True, slots=True)
class _Where:
    """The lane part of a question, and the text with it taken out."""

    rest: str
    width_mm: float
    asset: str
    lane: str
    lanes: int
    codes: tuple[LaneType, ...]


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
_LANE: Final = re.compile(r"\blane\s+(?:no\.?\s*|number\s+)?(\d{1,3}[a-z]?)\b")
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
    placed = bool(where.width_mm or where.codes or (where.asset and where.lane))
    about = bool(_ABOUT.search(words))
    if not target.said or not (placed or _ASKS.search(words) or (swap and (about or was.said))):
        return None
    found = where.codes or tuple(t for t in lane_types if where.width_mm and abs(t.width_mm - where.width_mm) < 0.5)
    doubts = (*target.doubts, *was.doubts, *_where_doubts(where, found, lane_types))
    return LaneQuestion(
        text,
        swap,
        target.containers,
        was.containers,
        found,
        where.width_mm,
        where.asset.upper(),
        where.lane.upper(),
        where.lanes,
        doubts,
    )


def _plain(text: str) -> str:
    lowered = " ".join(text.lower().replace("’", "'").split())
    return re.sub(r"[?!;,\"()]", " ", lowered)


def _read_where(words: str, lane_types: Sequence[LaneType]) -> _Where:
    codes = tuple(t for t in lane_types if re.search(rf"(?<![\w-]){re.escape(t.code.lower())}(?![\w-])", words))
    for lane_type in codes:
        words = words.replace(lane_type.code.lower(), " ")
    asset, words = _pull(_ASSET, words)
    count, words = _pull(_COUNT, words)
    width, words = _pull(_WIDTH, words)
    lane, words = _pull(_LANE, words)
    lanes = int(count) if count.isdigit() else _NUMBER_WORDS.get(count, 1)
    return _Where(words, float(width or 0), asset, lane, lanes, codes)


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


def _where_doubts(where: _Where, found: Sequence[LaneType], lane_types: Sequence[LaneType]) -> list[str]:
    doubts = []
    if where.width_mm and not found:
        widths = ", ".join(f"{w:g}" for w in sorted({t.width_mm for t in lane_types}))
        doubts.append(f"no lane {where.width_mm:g} mm wide is known; widths are {widths or 'not entered yet'}")
    if not (found or where.width_mm or (where.asset and where.lane)):
        doubts.append("which lane: give its width, its type, or machine and lane number")
    if not 1 <= where.lanes <= MOST_LANES:
        doubts.append(f"{where.lanes} lanes cannot be; how many?")
    return doubts
