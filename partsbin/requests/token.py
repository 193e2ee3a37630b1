"""What a stretch of a line is, and what a reader may ask of a catalogue."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import takewhile
from typing import Protocol

from partsbin.requests.measures import Stated, Value
from partsbin.requests.numbers import Hit
from partsbin.requests.wordlists import listed

# "we're", "it's", "don't": no owner's s.
CONTRACTED = re.compile(r"(?:i|we|you|they|he|she|it|that|there|here|what|who|where|how|let|[a-z]+n(?='t))'[a-z]+")


@dataclass(slots=True)
class Token:
    """A stretch of text and what it is.

    ``kind``: word, attribute, number, quantity, vague, code, machine, mark, van, job, asset, lane, place, when, each.
    ``count`` and ``unit`` belong to numbers and quantities, ``facts`` to attributes.
    """

    text: str
    start: int
    end: int
    kind: str = "word"
    count: float = 0.0
    unit: str = "each"
    facts: tuple[tuple[str, Value], ...] = ()
    spelt: bool = False
    weak: bool = False


class Known(Protocol):
    """What a reader may ask of a catalogue: numbers and machine names."""

    def code(self, text: str) -> Hit | None:
        """The hit for a number as written, or None."""

    def begins(self, text: str) -> bool:
        """Whether an item's number may begin like this text; most words are told by it to be none."""

    def number(self, text: str) -> bool:
        """Whether this is an item's own part number, however short."""

    def name(self, text: str) -> bool:
        """Whether some item goes by this name, though it says nothing of the trade."""

    def machine(self, text: str) -> bool:
        """Whether this is a machine's whole name."""

    def machine_word(self, word: str) -> str:
        """The word of a machine's name this word is, if it tells machines apart."""

    def machine_part(self, word: str) -> bool:
        """Whether the word or figure belongs to some machine's name."""

    def machine_figure(self, word: str, figure: str) -> bool:
        """Whether a figure behind a machine's word could be its own: all so called have one as long."""

    def word(self, word: str) -> bool:
        """Whether some item's description has this very word."""

    def says(self, figure: float, noun: str, beside: str = "") -> bool:
        """Whether some description has this figure right before this noun, and the word beside it too."""

    def states(self, facts: Iterable[Stated], said: Iterable[str]) -> bool:
        """Whether some item called one of the words said states all these values."""

    def has_figure(self, figure: float, said: Iterable[str]) -> bool:
        """Whether some item called one of the words said states this figure, in whatever unit."""

    def measures(self, kind: str, said: Iterable[str]) -> bool:
        """Whether some item called one of the words said states this kind of value."""

    def kept_in(self, unit: str, said: Iterable[str], *, of: bool) -> bool:
        """Whether what is called by the words said is counted in this unit; behind an ``of`` one of them is enough."""

    def sounding(self, said: str) -> str:
        """The stocked word that words run together sound like, or empty."""

    def spell(self, word: str) -> str:
        """The best spelling of a word neither the trade nor the catalogue knows, or empty."""


# A token made of several, and how many it took.
Found = tuple[Token, int] | None


def text_at(tokens: list[Token], position: int) -> str:
    """The text of the token at a position, empty past either end."""
    return tokens[position].text if 0 <= position < len(tokens) else ""


_BREAKS = listed(", ; : . ? ! ( ) & + and plus also then with w") | {"\n"}


def breath(tokens: list[Token], position: int) -> list[Token]:
    """The tokens said in one breath with the one at a position: up to the next mark or joining word on either side."""
    before = list(takewhile(lambda token: token.text not in _BREAKS, reversed(tokens[:position])))
    return before[::-1] + list(takewhile(lambda token: token.text not in _BREAKS, tokens[position:]))


def is_number(tokens: list[Token], position: int) -> bool:
    """Whether a whole number a desk could count to stands at a position."""
    return (
        0 <= position < len(tokens)
        and tokens[position].kind == "number"
        and tokens[position].count < 10_000
        and tokens[position].count == int(tokens[position].count)
    )


def counted(
    tokens: list[Token], position: int, taken: int, count: float, unit: str = "each", kind: str = "quantity"
) -> tuple[Token, int]:
    """The tokens from a position as one that says how many."""
    last = tokens[position + taken - 1]
    text = " ".join(token.text for token in tokens[position : position + taken])
    return Token(text, tokens[position].start, last.end, kind, count=count, unit=unit), taken
