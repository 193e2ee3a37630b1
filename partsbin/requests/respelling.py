"""Misspelt and torn words put right where a value, a phrase or a unit hangs on them."""

from __future__ import annotations

from typing import Protocol

from rapidfuzz.distance import OSA

from partsbin.requests.spoken import NUMBER_WORDS
from partsbin.requests.token import Token
from partsbin.requests.units import UNITS
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, singular

_SPELT_UNITS = (
    "volt",
    "volts",
    "watt",
    "watts",
    "amps",
    "inch",
    "inches",
    "millimetre",
    "millimeter",
    "millimetres",
    "millimeters",
    "count",
    "ounce",
    "metre",
    "meter",
)


class Speller(Protocol):
    """Anything that can suggest a spelling."""

    def spell(self, word: str) -> str:
        """The best spelling of a word neither the trade nor the catalogue knows, or empty."""


def respell(tokens: list[Token], words: Words, known: Speller) -> list[Token]:
    """Put right misspelt words of a value, a phrase or a unit, and words torn apart ("thermos tat")."""
    out: list[Token] = []
    for position, token in enumerate(tokens):
        before = out[-1] if out else None
        if token.kind != "word":
            out.append(token)
            continue
        if before is not None and before.kind == "word" and _torn(before.text, token.text, words, known):
            out[-1] = Token(before.text + token.text, before.start, token.end)
            continue
        if before is not None and (before.kind == "number" or before.text in _BEFORE_COUNTED):
            token.text = _counted_meant(token.text, words) or token.text
        if position and before is not None and before.kind == "number" and len(token.text) > 3:
            token.text = _unit_meant(token.text, words, known) or token.text
        elif len(token.text) > 3 and token.text.isalpha() and token.text not in NUMBER_WORDS:
            spelt = known.spell(token.text)
            if spelt and (spelt in words.values or spelt in words.phrases or spelt in words.phrase_words):
                token.text = spelt
        out.append(token)
    return out


def _torn(first: str, second: str, words: Words, known: Speller) -> bool:
    """Two words nobody knows, or one and a stump, that make a known word together."""
    joined = first + second
    if (
        len(joined) < 6
        or not joined.isalpha()
        or first in NUMBER_WORDS
        or first in words.family_words
        or second in words.family_words
    ):
        return False
    stump = known.spell(second) or not _known(second, words)
    if stump and _known(singular(joined), words):
        return joined not in words.noise
    return known.spell(joined) in words.phrase_starts and not _known(singular(first), words)


def _known(word: str, words: Words) -> bool:
    return word in words.known or word in words.noise or word in words.values or word in words.heard


_BEFORE_COUNTED = listed("a half one two three four five six seven eight nine ten couple to too for ate won")
_COUNTED = ("case", "cases", "dozen", "boxes", "packs", "pairs", "packets", "crates", "couple", "quarter", "eighth")


def _counted_meant(word: str, words: Words) -> str:
    """A misspelt case, dozen or pair behind a figure."""
    if len(word) < 4 or not word.isalpha() or _known(singular(word), words) or word in words.canon or word in UNITS:
        return ""
    return next((one for one in _COUNTED if OSA.distance(word, one, score_cutoff=1) <= 1), "")


def _unit_meant(word: str, words: Words, known: Speller) -> str:
    if word in UNITS or word in words.noise or word in words.canon or not known.spell(word):
        return ""
    near = (
        unit
        for unit in _SPELT_UNITS
        if abs(len(unit) - len(word)) < 2 and OSA.distance(word, unit, score_cutoff=1) <= 1
    )
    return next(near, "")
