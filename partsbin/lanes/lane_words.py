"""The lane part of a question: a width, a lane type or machine family, lanes of a machine, or any lane at all."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from partsbin.lanes.kits import MOST_LANES
from partsbin.lanes.lane_types import LaneType
from partsbin.lengths import FIGURE, millimetres


@dataclass(frozen=True, slots=True)
class Where:
    """The lanes a text names, and ``rest``, the text with them taken out.

    ``every`` means the text asks which lanes will do; ``types`` are then all there are.
    """

    rest: str
    width_mm: float
    asset: str
    numbers: tuple[str, ...]
    lanes: int
    types: tuple[LaneType, ...]
    every: bool = False

    @property
    def in_machine(self) -> bool:
        """True when lanes of one machine are named."""
        return bool(self.asset and self.numbers)

    @property
    def placed(self) -> bool:
        """True when the text says which lanes are meant."""
        return bool(self.width_mm or self.types or self.in_machine)


_WIDEST_OFF_MM: Final = 0.8  # half of the sixteenth of an inch that lanes are measured to
_NUMBER_WORDS: Final = dict(
    zip(("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"), range(1, 11), strict=True)
)
_COUNT: Final = re.compile(rf"\b(\d{{1,3}}|{'|'.join(_NUMBER_WORDS)})\s+lanes\b")
_INCHES: Final = re.compile(rf"({FIGURE})[\s-]*(?:inch(?:es)?|in|\"|'')[\s-]*(?=(?:wide|lane|tray)\b)")
_WIDTH: Final = re.compile(
    r"\b(\d{2,3}(?:\.\d+)?)\s*(?:mm)?[\s-]*(?:wide\s+(?:lane|tray)|wide|(?:lane|tray)(?!s))\b"
    r"|\b(?:lane|tray)\s+(?:of\s+)?(\d{2,3}(?:\.\d+)?)\s*(?:mm|wide)\b"
)
_IN_WIDTH: Final = re.compile(r"\b(?:in|for)\s+(?:an?|the)\s+(\d{2,3})\s*(?:mm)?(?=\s*(?:$|[.,|]))")
_NUMBER: Final = r"[a-z]?\d{1,3}[a-z]?"
_LANES_TO: Final = re.compile(r"\b(lanes|slots)\s+(\d{1,2})\s+to\s+(\d{1,2})\b(?!\s*(?:ml|cl|oz))")
_LANE: Final = re.compile(
    r"\b(?:lane|slot|selection|column)s?\s+(?:no\.?\s*|numbers?\s+|#\s*)?"
    rf"({_NUMBER}(?:\s*(?:and|&|\+|[-–]|,(?=\s*\d+\b))\s*{_NUMBER}\b)*)\b"
)
_EVERY: Final = re.compile(r"\b(?:which|what|wot|any|all)\s+lanes?\b(?!\s+kit)|^\s*where\b")


def plain_words(text: str) -> str:
    """The text in lower case, lane widths in inches turned into mm, without marks that say nothing."""
    lowered = " ".join(text.lower().replace("’", "'").split())
    metric = _INCHES.sub(lambda m: f"{millimetres(f'{m[1]} in') or 0:.1f} mm ", lowered)
    return re.sub(r"[?!;\"()]", " ", _LANES_TO.sub(r"\1 \2-\3", metric))


def read_where(words: str, lane_types: Sequence[LaneType], assets: Collection[str] = ()) -> Where:
    """Read which lanes ``words`` (see :func:`plain_words`) name; ``assets`` are the machines' numbers, upper case."""
    types, words = _named_types(words, lane_types)
    asset, words = _named_asset(words, assets)
    count, words = _pull(_COUNT, words)
    width, words = _pull(_WIDTH, words)
    lane, words = _pull(_LANE, words)
    if not (width or lane):
        width, words = _pull(_IN_WIDTH, words)
    if lane and not (width or asset or types) and any(f"{t.width_mm:g}" == lane for t in lane_types):
        width, lane = lane, ""
    every = bool(_EVERY.search(words)) and not (width or lane or types)
    if every:
        types, words = tuple(lane_types), _EVERY.sub(" | ", words)
    if width:
        types = _of_width(float(width), types or tuple(lane_types))
    numbers = _numbers(lane)
    lanes = int(count) if count.isdigit() else _NUMBER_WORDS.get(count, max(1, len(numbers)))
    return Where(words, float(width or 0), asset, numbers, lanes, types, every)


def _of_width(width_mm: float, types: Sequence[LaneType]) -> tuple[LaneType, ...]:
    """The lane types nearest to a width as measured, none where none comes near."""
    off = min((abs(t.width_mm - width_mm) for t in types), default=_WIDEST_OFF_MM)
    return tuple(t for t in types if abs(t.width_mm - width_mm) <= off < _WIDEST_OFF_MM)


def _numbers(lane: str) -> tuple[str, ...]:
    """Lane numbers one by one, ``11-14`` being four of them."""
    out: list[str] = []
    for first, last in re.findall(rf"({_NUMBER})(?:\s*[-–]\s*({_NUMBER}))?", lane):
        if last and first.isdigit() and last.isdigit() and 0 < int(last) - int(first) < MOST_LANES:
            out += map(str, range(int(first), int(last) + 1))
        else:
            out += [number.upper() for number in (first, last) if number]
    return tuple(dict.fromkeys(out))


def _named_types(words: str, lane_types: Sequence[LaneType]) -> tuple[tuple[LaneType, ...], str]:
    """Lane types named by their code, else by their machine family, and the words without those names."""
    for names in ({t.code.lower(): t.code for t in lane_types}, {t.family.lower(): t.family for t in lane_types}):
        said = set()
        for name in names:
            words, times = _loosely(name).subn(" | ", words)
            said |= {names[name]} if times else set()
        if said:
            return tuple(t for t in lane_types if t.code in said or t.family in said), words
    return (), words


def _loosely(name: str) -> re.Pattern[str]:
    """A name however it is spaced: “TR-9” is also said “tr9” and “tr 9”."""
    parts = map(re.escape, re.findall(r"[a-z]+|\d+|[^\sa-z\d_-]+", name))
    spaced = r"[\s_-]*".join(parts)
    return re.compile(rf"(?<![\w-]){spaced}(?![\w-])")


def _named_asset(words: str, assets: Collection[str]) -> tuple[str, str]:
    """The first word that is the number of a machine; a bare figure only after “machine” or “asset”."""
    for match in re.finditer(r"(?:(machine|asset)\s+)?([\w/.-]*\w)", words):
        if match[2].upper() in assets and (match[1] or not match[2].isdigit()):
            return match[2].upper(), f"{words[: match.start()]} | {words[match.end() :]}"
    return "", words


def _pull(pattern: re.Pattern[str], words: str) -> tuple[str, str]:
    """The first group matched (empty when none), and the words without the match."""
    match = pattern.search(words)
    if not match:
        return "", words
    return next(g for g in match.groups() if g), f"{words[: match.start()]} | {words[match.end() :]}"
