"""What spoken words most likely mean beside each other: misspellings and mishearings settled by their neighbours."""

from __future__ import annotations

from collections.abc import Sequence

from partsbin.requests.index import Index
from partsbin.requests.spelling import VOWELS, Guess
from partsbin.requests.spoken import NUMBER_WORDS
from partsbin.requests.units import UNITS

ENOUGH = 0.7
_AT_HAND = 0.05
"""What it counts for a guess that the catalogue has the word."""


def likely(word: str, index: Index) -> list[Guess]:
    """What an unknown word may be, likeliest first; what the catalogue has goes before what is only known of."""

    def rank(guess: Guess) -> float:
        return -guess[1] - _AT_HAND * index.knows(index.words.usual(guess[0])[0])

    # A slip of a whole word does not lead through an abbreviation: "trops" is no TRPT.
    whole = not VOWELS.isdisjoint(word)
    values = index.words.values  # RGT is a hand
    guesses = [one for one in index.speller.guesses(word) if not whole or one[0] in values or VOWELS & set(one[0])]
    return sorted(guesses, key=rank)


def unknown(word: str, index: Index) -> bool:
    """Whether neither the trade's words nor the catalogue know a word."""
    words = index.words
    if word in UNITS or word in NUMBER_WORDS or word == "hundred":
        return False
    if word in words.noise or word in words.canon or word in words.heard or word in words.vague or word in words.values:
        return False
    usual = words.usual(word)[0]
    return not (usual in words.known or index.knows(usual) or index.machines.telling(word))


def spelling(word: str, index: Index) -> str:
    """The likeliest spelling of a word nobody knows; empty for a known word or a hopeless one."""
    if not unknown(word, index):
        return ""
    return next((guess for guess, weight in likely(word, index) if weight >= ENOUGH), "")


def settle(said: Sequence[str], index: Index) -> dict[str, str]:
    """Spellings for the unknown words of a stretch: a guess that names a thing with its neighbours goes first."""
    found: dict[str, str] = {}
    for place, word in enumerate(said):
        if word in found or not unknown(word, index):
            continue
        guesses = [guess for guess in likely(word, index) if guess[1] >= ENOUGH]
        if guesses:
            found[word] = _fitting(said, place, guesses, index) or guesses[0][0]
    return found


def _fitting(said: Sequence[str], place: int, guesses: list[Guess], index: Index) -> str:
    words = index.words
    near = [said[at] for at in (place - 2, place - 1, place + 1, place + 2) if 0 <= at < len(said)]
    around = {usual for word in near for usual in words.usual(word)}
    for guess, _ in guesses:
        own = set(words.usual(guess))
        for one in own:
            if any(
                len(pattern) > 1 and pattern - own <= around and pattern - own
                for pattern in words.family_words.get(one, ())
            ):
                return guess
    return ""
