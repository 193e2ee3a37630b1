"""The machines a catalogue's items fit, recognised by full name, by part of it, or misspelt."""

from __future__ import annotations

import re
from collections.abc import Iterable

import jellyfish
from rapidfuzz.distance import OSA

from partsbin.requests.measures import stated
from partsbin.requests.numbers import plain
from partsbin.requests.words import Words, split_words

# "x2" and "2x" count things even where a machine is called that; beside its other words they still name it.
_REMEMBERED = 20_000
_COUNTS = re.compile(r"x\d+|\d+x")


def _other_figure(figures: set[str], name: str) -> bool:
    """Whether a name has figures and none of those said: a TR-9 is no TR-7."""
    own = {part for part in split_words(name) if part.isdigit()}
    return bool(figures and own) and not figures & own


def _keys(name: str) -> set[str]:
    """A name as it may be written: whole, its model alone (GF-12, gf 12), or an initial before a bare figure (T900)."""
    parts = split_words(name)
    model = "".join(parts[1:])
    if not model.isalnum() or not any(sign.isdigit() for sign in model):
        return {plain(name)}
    short = parts[0][0] + model if model.isdigit() else model
    doubtful = model.isdigit() and len(model) < 2
    return {plain(name)} if doubtful or stated(short) or _COUNTS.fullmatch(short) else {plain(name), plain(short)}


class Machines:
    """Machine names with the words that tell them apart."""

    def __init__(self, words: Words) -> None:
        self._words = words
        self.uses: dict[str, int] = {}
        self._plain: dict[str, set[str]] = {}
        self._by_word: dict[str, set[str]] = {}
        self._told: dict[str, str] = {}

    def __len__(self) -> int:
        return len(self.uses)

    def add(self, names: Iterable[str], items: int = 1) -> None:
        """Count one more item, or several, that fit these machines."""
        for name in names:
            if name in self.uses:
                self.uses[name] += items
                continue
            self.uses[name] = items
            self._told.clear()
            for key in _keys(name):
                self._plain.setdefault(key, set()).add(name)
            for word in split_words(name):
                self._by_word.setdefault(word, set()).add(name)

    def remove(self, names: Iterable[str]) -> None:
        """Count one item fewer; a machine nothing fits is forgotten."""
        for name in names:
            self.uses[name] = self.uses.get(name, 0) - 1
            if self.uses[name] > 0:
                continue
            self.uses.pop(name, None)
            self._told.clear()
            plainly = ((self._plain, key) for key in _keys(name))
            for table, key in [*plainly, *((self._by_word, word) for word in split_words(name))]:
                table.get(key, set()).discard(name)
                if not table.get(key):
                    table.pop(key, None)

    def resolve(self, said: str) -> frozenset[str]:
        """The machines a mention may mean: the full name alone, else every name with the most of its words."""
        whole = self._plain.get(plain(said))
        if whole:
            return frozenset(whole)
        counts: dict[str, int] = {}
        parts = split_words(said)
        lettered = any(not part.isdigit() for part in parts)
        if lettered and not any(not part.isdigit() and (self.telling(part) or part in self._by_word) for part in parts):
            return frozenset()  # "TR-9" is no "Drift 9"
        for word in parts:
            for name in self._by_word.get(self.telling(word) or word, ()):
                counts[name] = counts.get(name, 0) + 1
        figures = {part for part in parts if part.isdigit()}
        counts = {name: count for name, count in counts.items() if not _other_figure(figures, name)}
        most = max(counts.values(), default=0)
        return frozenset(name for name, count in counts.items() if count == most)

    def whole(self, text: str) -> bool:
        """Whether the text is a machine's whole name or its model alone, spacing and case aside."""
        return plain(text) in self._plain

    def telling(self, word: str) -> str:
        """The machine word this word is (misspelling allowed in long ones), if it tells machines apart from parts."""
        told = self._told.get(word)
        if told is None:
            if len(self._told) > _REMEMBERED:
                self._told.clear()
            told = self._told[word] = self._meant(word)
        return told

    def _meant(self, word: str) -> str:
        if word in self._by_word:
            return word if self._tells(word) else ""
        if len(word) < 5 or not word.isalpha() or self._common(word):
            return ""
        slips = 1 if len(word) < 8 else 2
        sound = jellyfish.metaphone(word)
        for known in self._by_word:
            if len(known) > 3 and known[0] == word[0] and self._tells(known) and jellyfish.metaphone(known) == sound:
                return known  # "larks" for a Larx
            alike = len(known) >= 5 and known[0] == word[0] and abs(len(known) - len(word)) <= slips
            if alike and self._tells(known) and OSA.distance(word, known, score_cutoff=slips) <= slips:
                return known
        return ""

    def belongs(self, word: str) -> bool:
        """Whether the word or figure is part of some machine's name."""
        return word in self._by_word

    def numbered(self, word: str, figure: str) -> bool:
        """Whether every machine with this word has a figure as long: beside Brant 600, Brant 900 is another machine.

        Figures of one or two digits are rather counts.
        """
        own = [[part for part in split_words(name) if part.isdigit()] for name in self._by_word.get(word, ())]
        return len(figure) > 2 and bool(own) and all(any(len(part) == len(figure) for part in parts) for parts in own)

    def _tells(self, word: str) -> bool:
        if word.isdigit() or _COUNTS.fullmatch(word):
            return False
        if any(sign.isdigit() for sign in word):
            return len(word) >= 2
        return len(word) >= 3 and not self._common(word)

    def _common(self, word: str) -> bool:
        words = self._words
        return (
            word in words.known
            or word in words.noise
            or word in words.values
            or words.usual(word)[0] in words.family_words
        )
