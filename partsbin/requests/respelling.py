"""Misspelt and torn words put right where a value, a phrase or a unit hangs on them."""

from __future__ import annotations

from typing import Protocol

from rapidfuzz.distance import OSA

from partsbin.requests.describe import LINKS
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

    def sounding(self, said: str) -> str:
        """The stocked word that words run together sound like, or empty."""

    def word(self, word: str) -> bool:
        """Whether some item's description has this very word."""


def respell(tokens: list[Token], words: Words, known: Speller) -> list[Token]:
    """Put right misspelt words of a value, a phrase or a unit, and words torn apart ("thermos tat")."""
    out: list[Token] = []
    tokens = _heard_whole(tokens, words, known)
    for position, token in enumerate(tokens):
        before = out[-1] if out else None
        if token.kind != "word":
            out.append(token)
            continue
        if (
            before is not None
            and before.kind == "word"
            and token.text not in _ASKING
            and _torn(before.text, token.text, words, known)
        ):
            out[-1] = Token(before.text + token.text, before.start, token.end)
            continue
        if before is not None and (before.kind == "number" or before.text in _BEFORE_COUNTED):
            token.text = _counted_meant(token.text, words) or token.text
        if position and before is not None and before.kind == "number" and len(token.text) > 3:
            token.text = _unit_meant(token.text, words, known) or token.text
        elif _may_be_misspelt(token.text, before.text if before else "", words):
            spelt = known.spell(token.text)
            if _may_be_put_right(token.text, spelt) and (
                spelt in words.values or spelt in words.phrases or spelt in words.phrase_words
            ):
                token.text = spelt
        out.append(token)
    return out


def _may_be_misspelt(word: str, before: str, words: Words) -> bool:
    """Whether a word may be a slip; one that makes a phrase with the word before it ("no longer") is none."""
    if len(word) < 4 or not word.isalpha() or word in NUMBER_WORDS:
        return False
    return not any(word in parts for parts, _, _ in words.phrases.get(before, ()))


def _may_be_put_right(word: str, spelt: str) -> bool:
    """Whether a spelling is a slip of the word: one cut short may mean others, and a link is no thing."""
    return bool(spelt) and spelt not in LINKS and abs(len(spelt) - len(word)) < 4


def _heard_whole(tokens: list[Token], words: Words, known: Speller) -> list[Token]:
    """One stocked word of two to four that mean nothing here and sound like it: "real a" relay, "tell em a tree"."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        width, meant = next(
            (
                (width, meant)
                for width in (4, 3, 2)
                if (meant := _sound_of(tokens[position : position + width], width, words, known))
            ),
            (1, ""),
        )
        run = tokens[position : position + width]
        out.append(Token(meant, run[0].start, run[-1].end) if meant else run[0])
        position += width
    return out


_ASKING = listed("need needs want send get got have order take bring with for from the to and or of on in at is")


def _sound_of(run: list[Token], width: int, words: Words, known: Speller) -> str:
    texts = [token.text for token in run]
    joined = "".join(texts)
    if len(run) < width or len(joined) < 5 or not joined.isalpha() or texts[0] in _ASKING or texts[-1] in _ASKING:
        return ""
    if any(token.kind != "word" for token in run) or all(text in words.noise for text in texts):
        return ""
    meaning = sum(_means_something(token.text, words, known) for token in run)
    # Beside a word that means something else here, only a long word heard letter for letter: "cup assiter".
    if meaning == len(run) or (meaning and (len(joined) < 8 or all(_common(token.text, words) for token in run))):
        return ""
    return known.sounding(joined)


def _common(word: str, words: Words) -> bool:
    return _known(word, words) or words.usual(word)[0] in words.family_words


def _means_something(word: str, words: Words, known: Speller) -> bool:
    usual = words.usual(word)[0]
    return word in NUMBER_WORDS or word in words.values or usual in words.family_words or known.word(usual)


def _torn(first: str, second: str, words: Words, known: Speller) -> bool:
    """Two words nobody knows, or one and a stump, that make a known word together."""
    joined = first + second
    if (
        len(joined) < 6
        or not joined.isalpha()
        or NUMBER_WORDS.keys() & {first, second}
        or first in UNITS
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
