"""One stretch of a sentence that names at most one thing."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import takewhile

from partsbin.requests.describe import LINKS
from partsbin.requests.measures import Value
from partsbin.requests.token import Token
from partsbin.requests.words import Words

BEHIND = LINKS | {"w", "without", "holds", "hold", "holding"}


# A bare figure behind these is a size sooner than a count: "spacer left 10", "fuse 5".
TOLD_BY_SIZE = frozenset(("DLV-SPC", "DLV-COIL", "CTL-FUSE", "DOR-LED", "CTL-RLY", "PAY-HARN", "DLV-TRHN"))


ARTICLES = ("a", "an", "another")
"""Words that make a thing one."""


SUPPLIES = frozenset((110, 115, 120, 208, 220, 230, 240))


@dataclass(slots=True)
class Segment:
    """One stretch that names at most one thing.

    ``named`` says that the catalogue has it, whatever the trade knows; ``noun`` is where the stretches start that have
    one noun between them, -1 for one that has its own.
    """

    tokens: list[Token] = field(default_factory=list)
    joined: str = ""
    quantity: Token | None = None
    vague: bool = False
    facts: list[tuple[str, Value, bool]] = field(default_factory=list)
    figures: list[float] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    machine: str = ""
    lane: str = ""
    each: Token | None = None
    families: dict[str, float] = field(default_factory=dict)
    unknown: list[str] = field(default_factory=list)
    plural: bool = False
    negated: bool = False
    amends: bool = False
    again: bool = False
    named: bool = False
    noun: int = -1

    @property
    def has_article(self) -> bool:
        """Whether it is one by its article: "a roll", "please send an arm"; "lid of a drum" is not."""
        front = takewhile(lambda token: token.kind in ("word", "filler") and token.text not in BEHIND, self.tokens)
        return any(token.text in ARTICLES for token in front)

    @property
    def head(self) -> bool:
        """Whether the segment names a thing."""
        return bool(self.families or self.codes or self.named)

    @property
    def said(self) -> str:
        """Its words as they were said."""
        return " ".join(token.text for token in self.tokens)

    @property
    def start(self) -> int:
        """Where the segment's words start."""
        return self.tokens[0].start if self.tokens else 0

    @property
    def end(self) -> int:
        """Where the segment's words end."""
        return max((token.end for token in self.tokens), default=0)


def usual_of(words: Words, *said: str) -> list[str]:
    """Usual words of spoken words, mishearings put right."""
    return [one for word in words.hear(list(said)) for part in word.split() for one in words.usual(part)]
