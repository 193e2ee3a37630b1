"""What a word nobody has written down may have been: typo, sound-alike, shortened or clipped."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import jellyfish
from rapidfuzz import process
from rapidfuzz.distance import OSA

Guess = tuple[str, float]
VOWELS = frozenset("aeiouy")
_OPEN = frozenset("aiouy")


def skeleton(word: str) -> str:
    """First letter and the consonants after it, doubled letters once: ``bracket`` and ``brckt`` share ``brckt``."""
    kept = word[:1]
    for sign in word[1:]:
        if sign not in VOWELS and sign != kept[-1]:
            kept += sign
    return kept


@lru_cache(maxsize=65536)
def shortens(short: str, word: str) -> bool:
    """Whether a word of three letters and more is another cut short: its first letter, the others in order."""
    if not 3 <= len(short) < len(word) or short[0] != word[0]:
        return False
    rest = iter(word)
    return all(sign in rest for sign in short)


@lru_cache(maxsize=65536)
def abbreviates(short: str, word: str) -> bool:
    """Whether a catalogue may have written a word so: its front ("SIL"), or most of its consonants ("STKR", "CL")."""
    if not 2 <= len(short) < len(word) or short[0] != word[0]:
        return False
    if word.startswith(short):
        return len(short) > 2 or short[1] not in VOWELS
    rest = iter(word)
    most = 2 * len(short) > len(skeleton(word))
    return most and VOWELS.isdisjoint(short[1:]) and all(sign in rest for sign in short)


_ENDINGS = (
    "ations",
    "ation",
    "ators",
    "ator",
    "ings",
    "ing",
    "ions",
    "ion",
    "ers",
    "er",
    "ors",
    "or",
    "ed",
    "es",
    "s",
    "e",
)


def _stem(word: str) -> str:
    """A word without its ending, a doubled letter before it once: stirrer, stirring and stir share stir."""
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 4:
            word = word.removesuffix(ending)
            break
    return word[:-1] if len(word) > 4 and word[-1] == word[-2] else word


@lru_cache(maxsize=65536)
def kin(word: str, other: str) -> bool:
    """Whether two words are forms of one: evaporator and evaporation, braked and brake."""
    return word[:4] == other[:4] and word.isalpha() and other.isalpha() and _stem(word) == _stem(other)


class Speller:
    """Guesses among a vocabulary that grows with the catalogue."""

    def __init__(self, vocabulary: Iterable[str]) -> None:
        self._words: set[str] = set()
        self._by_length: dict[int, list[str]] = {}
        self._by_first: dict[str, list[str]] = {}
        self._skeletons: dict[str, list[str]] = {}
        self._sounds: dict[str, list[str]] | None = None
        self._memory: dict[str, tuple[Guess, ...]] = {}
        self._fresh: list[str] = []
        for word in vocabulary:
            self.add(word)

    def __contains__(self, word: str) -> bool:
        return word in self._words

    def add(self, word: str) -> None:
        """Learn a word; figures and codes are not spelt."""
        if word in self._words or len(word) < 3 or not word.isalpha():
            return
        self._words.add(word)
        self._by_length.setdefault(len(word), []).append(word)
        self._by_first.setdefault(word[0], []).append(word)
        self._skeletons.setdefault(skeleton(word), []).append(word)
        self._fresh.append(word)
        self._memory.clear()

    def guesses(self, word: str) -> tuple[Guess, ...]:
        """Vocabulary words this may stand for with a weight under 1, best first; at most six."""
        known = self._memory.get(word)
        if known is None:
            known = self._guess(word)
            if len(self._memory) > 20_000:
                self._memory.clear()
            self._memory[word] = known
        return known

    def _guess(self, word: str) -> tuple[Guess, ...]:
        if len(word) < 3 or not word.isalpha() or len(word) > 24:
            return ()
        found: dict[str, float] = {}
        for guess, weight in (*self._typos(word), *self._shortened(word), *self._alike(word), *self._clipped(word)):
            found[guess] = max(weight, found.get(guess, 0.0))
        if word[-1] == "a" and (ending := word[:-1] + "er") in self._words:
            found[ending] = 0.85  # "powda"
        if word[-1] == "s" and 4 < len(word) < 7:
            for guess, weight in self._typos(word[:-1]):
                found[guess] = max(weight - 0.02, found.get(guess, 0.0))
        for guess, weight in self.opened(word):
            found[guess] = max(weight, found.get(guess, 0.0))
        found.pop(word, None)
        best = sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))
        return tuple(pair for pair in best if pair[1] >= best[0][1] - 0.2)[:6]

    def _typos(self, word: str) -> Iterable[Guess]:
        slips = 1 if len(word) < 6 else 2
        if len(word) == 3:
            return
        for length in range(len(word) - slips, len(word) + slips + 1):
            pool = self._by_length.get(length)
            if not pool:
                continue
            for guess, distance, _ in process.extract(word, pool, scorer=OSA.distance, score_cutoff=slips, limit=8):
                weight = 0.95 - (0.75 if len(word) < 6 else 0.5) * distance / len(word)
                # The first letter is seldom the one mistyped.
                yield guess, weight - (0.2 if guess == word[1:] else 0.1 if guess[0] != word[0] else 0.0)

    def _shortened(self, word: str) -> Iterable[Guess]:
        bones = skeleton(word)
        if len(bones) < 3:
            return
        for guess in self._skeletons.get(bones, ()):
            yield guess, 0.85 if bones == word or skeleton(guess) == guess else 0.75

    def sounding(self, said: str) -> Iterable[Guess]:
        """Words that sound like what was heard as several ("comepresser", "reala"), open or closed at the end alike."""
        for guess in self._sounding(said):
            likeness = 1 - OSA.distance(said, guess) / max(len(said), len(guess))
            if likeness >= 0.4 and (said[-1] in _OPEN) == (guess[-1] in _OPEN):
                yield guess, likeness

    def _sounding(self, word: str) -> Iterable[str]:
        if self._sounds is None:
            self._sounds = {}
        for fresh in self._fresh:
            self._sounds.setdefault(jellyfish.metaphone(fresh), []).append(fresh)
        self._fresh.clear()
        return self._sounds.get(jellyfish.metaphone(word), ())

    def _alike(self, word: str) -> Iterable[Guess]:
        if len(word) < 4:
            return
        for guess in self._sounding(word):
            likeness = 1 - OSA.distance(word, guess) / max(len(word), len(guess))
            if likeness >= 0.4 and len(guess) > 3:
                yield guess, 0.6 + 0.28 * likeness

    def opened(self, word: str) -> Iterable[Guess]:
        """Words this may be cut from, the more of their consonants it keeps the likelier: lge, tscreen, cndsate."""
        for guess in self._by_first.get(word[:1], ()):
            if shortens(word, guess) and len(guess) < 4 * len(word):
                if len(word) > 4 and guess.endswith(word[1:]):
                    yield guess, 0.78  # tscreen
                    continue
                kept = len(skeleton(word)) / len(skeleton(guess))
                yield guess, 0.54 + 0.16 * min(kept, 1.0) + (0.04 if guess[-1] == word[-1] else 0.0)

    def _clipped(self, word: str) -> Iterable[Guess]:
        if len(word) < 4:
            return
        for length in range(len(word) + 1, len(word) + 9):
            for guess in self._by_length.get(length, ()):
                if guess.startswith(word):
                    yield guess, 0.78
