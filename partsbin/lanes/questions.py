"""Lane questions in words: "what spacers for the 250 slim in a 74 lane", "swap 5 lanes from can to 20oz"."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from typing import Final

from partsbin.lanes.containers import Container
from partsbin.lanes.kits import MOST_LANES
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.lane_words import Where, plain_words, read_where
from partsbin.lanes.named_containers import Named, named_containers, without_names

MOST_CHARACTERS: Final = 500


@dataclass(frozen=True, slots=True)
class LaneQuestion:
    """A lane question as read. Several containers or lane types mean the words allow several: ask.

    No container at all means the one now in the lanes of the machine. ``was`` are the containers a swap comes from
    (empty: not said). ``width_mm`` is the lane width said (0: none), ``asset`` and ``numbers`` a machine's lanes,
    ``lanes`` how many lanes; ``every`` asks which lanes will do. ``fault`` is what goes wrong there, as first checks
    name it. ``doubts`` are sentences to put to the asker.
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
    every: bool = False
    fault: str = ""
    doubts: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """True when the words leave one container, a lane, and no doubt."""
        return len(self.containers) == 1 and not self.doubts and bool(self.lane_types or (self.asset and self.numbers))


_SWAP: Final = re.compile(r"\b(?:swap|swop|convert|change|switch)\b")
_FROM: Final = re.compile(r"\bfrom\b(.*?)(?=\b(?:to|into|onto)\b|$)")
_TO: Final = re.compile(r"\b(?:to|into|onto|for)\b(.*?)(?=\bfrom\b|$)")
_ASKS: Final = re.compile(r"\b(?:what|which|wot|how many|does|will|fits?|can (?:i|we|you) (?:put|fit|run|have))\b")
_ABOUT: Final = re.compile(r"\b(?:spacers?|shims?|fillers?|fits?|lane kits?|set ?up)\b")
_LANES: Final = re.compile(r"\b(?:lane|slot|tray)s?\b")
_FAULT: Final = re.compile(
    r"\b(?:(?:fall|stick|jam|lean|tip|wedge|rattle)(?:s|ing)?|stuck|jamm(?:ed|ing)|tipping|wedged|too (?:loose|tight)|"
    r"(?:drop|vend)(?:s|p?ing)? (?:two|2|double)(?: at (?:a|one) time)?|double[- ]vend(?:s|ing)?|hang(?:s|ing)? up)\b"
)
_DOUBLE: Final = re.compile(r"\b(?:two|2|double)\b")
_HINT: Final = re.compile(r"\b(?:cans?|bottles?|pet|slim|sleek|tall|ml|oz|water)\b|\d(?:ml|oz)\b")
_ORDERS: Final = re.compile(
    r"(?<![\w.])(?:x?\d{1,2}x?|two|three|four|five|six|couple(?: of)?|pair(?: of)?)\s+"
    r"(?:(?:left|right|lh|rh|small|thin|thick|universal|\d+(?:\.\d+)?\s*(?:mm|mil))\s+)*(?:spacer|shim|filler)s?\b"
)
_FILLERS: Final = (
    "a an the in on of at to it is are and for its my our that this these ones one machine lane lanes badly always "
    "keep keeps out down up over please pls again now when with"
)


def may_be_lane_question(text: str) -> bool:
    """Say in no time whether a text could be a lane question at all, before anything is looked up."""
    lowered = text[:MOST_CHARACTERS].lower()
    return any(pattern.search(lowered) for pattern in (_SWAP, _ABOUT, _LANES, _FAULT, _HINT))


def read_lane_question(
    text: str,
    containers: Sequence[Container],
    lane_types: Sequence[LaneType],
    assets: Collection[str] = (),
    drinks: Callable[[str], Named] = lambda _words: Named(),
) -> LaneQuestion | None:
    """Read a question about a container in a lane; None when ``text`` is none (a parts request, say).

    It is one when it names a container and a lane, asks what fits a container, swaps lanes to a container, or says
    how a drink comes out badly and nothing else. ``assets`` are the machines' numbers in upper case; ``drinks`` tells
    the containers of drinks named in words. Nothing is guessed: what the words leave open comes back as several
    candidates or a doubt.
    """
    if len(text) > MOST_CHARACTERS:
        return None
    words = plain_words(text)
    where = read_where(words, lane_types, assets)
    swap, about, fault = (bool(pattern.search(words)) for pattern in (_SWAP, _ABOUT, _FAULT))
    was, target = _read_containers(where.rest, containers, swap=swap)
    about |= bool(_ASKS.search(words) and _LANES.search(words))
    asks = bool(where.placed or _ASKS.search(words) or (swap and (about or was.said)))
    if not target.said and (fault or (about and asks)):
        target = drinks(where.rest)
    asked = (swap or about) and target.said and asks and not _ORDERS.search(words)
    if not asked and not _says_nothing_else(where, target, fault=fault):
        return None
    doubts = (*target.doubts, *was.doubts, *_where_doubts(where, lane_types))
    return LaneQuestion(
        *(text, swap, target.containers, was.containers, where.types, where.width_mm, where.asset, where.numbers),
        *(where.lanes, where.every, _fault(words), doubts),
    )


def _fault(words: str) -> str:
    said = _FAULT.search(words)
    return "" if said is None else "double vend" if _DOUBLE.search(said[0]) else "stuck product"


def _says_nothing_else(where: Where, target: Named, *, fault: bool) -> bool:
    """True for a container and a lane, or what goes wrong with one of them, and not a word besides."""
    if not (target.said and (where.placed or fault)) and not (fault and where.in_machine):
        return False
    left = re.findall(r"[\w.]+", without_names(_FAULT.sub(" ", where.rest)))
    return set(left) <= {*_FILLERS.split(), *target.words}


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


def _where_doubts(where: Where, lane_types: Sequence[LaneType]) -> list[str]:
    doubts = []
    if where.width_mm and not where.types:
        widths = ", ".join(f"{w:g}" for w in sorted({t.width_mm for t in lane_types}))
        doubts.append(f"no lane {where.width_mm:g} mm wide is known; widths are {widths or 'not entered yet'}")
    if not where.placed and not where.asset:
        doubts.append("which lane: give its width, its type, or machine and lane number")
    if not 1 <= where.lanes <= MOST_LANES:
        doubts.append(f"{where.lanes} lanes cannot be; how many?")
    return doubts
