"""What the reader of a message asks of the catalogue."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise

from partsbin.requests.describe import LINKS, families
from partsbin.requests.index import Index
from partsbin.requests.meaning import spelling
from partsbin.requests.measures import Stated, Value
from partsbin.requests.numbers import Hit
from partsbin.requests.packs import HOLDS
from partsbin.requests.terms import attribute_term, unit_term
from partsbin.requests.words import split_words


class Catalogue:
    """What the reader of a message asks of an index."""

    def __init__(self, index: Index) -> None:
        self._index = index

    def word(self, word: str) -> bool:
        """Whether some item's description has this very word."""
        return self._index.knows(word)

    def sounding(self, said: str) -> str:
        """The stocked word that words run together sound like, or empty."""
        index = self._index
        here = [guess for guess in index.speller.sounding(said) if index.knows(index.words.usual(guess[0])[0])]
        return max(here, key=lambda guess: guess[1], default=("", 0.0))[0]

    def spell(self, word: str) -> str:
        """The best spelling of a word neither the trade nor the catalogue knows, or empty."""
        return spelling(word, self._index)

    def states(self, facts: Iterable[Stated], said: Iterable[str]) -> bool:
        """Whether an item named by some of the words has all these values.

        Besides attributes, ``word`` is a bare word and ``figure`` a figure without a unit.
        """
        index = self._index
        places = index.having(_term(kind, value) for kind, value in facts)
        usual = [one for word in said for one in index.words.usual(self.spell(word) or word)]
        named = [*usual, *("+" + code for code in families(index.words, usual))] if places else []
        return any(not places.isdisjoint(index.postings.get(term, ())) for term in named)

    def has_figure(self, figure: float, said: Iterable[str]) -> bool:
        """Whether an item named by some of the words states this figure, in whatever unit."""
        words = list(said)
        values: list[Stated] = [("cell", f"{front}{figure:g}") for front in ("CR", "BR", "LR")]
        values += [(kind, figure) for kind in ("figure", *self._index.terms.value_terms)]
        return any(self.states((value,), words) for value in values)

    def kept_in(self, unit: str, said: Iterable[str], *, of: bool) -> bool:
        """Whether what is called by all the words said, or behind an ``of`` by one of them, is kept in this unit.

        What has no such word is as well counted in drums or tubs where nothing is called both.
        """
        index = self._index
        words = [word for word in said if word not in index.words.noise and word not in LINKS]
        terms = [one for word in words for one in index.words.usual(word) if index.knows(one)]
        kept = unit_term(unit)
        if not terms:
            return False
        if index.knows(kept) and (
            index.shared([*terms, kept]) or (of and any(index.shared([one, kept]) for one in terms))
        ):
            return True
        return unit in HOLDS and index.shared(terms) and not index.shared([*terms, *index.words.usual(unit)])

    def measures(self, kind: str, said: Iterable[str]) -> bool:
        """Whether some item called one of the words states this kind of value."""
        return any(self.states([(kind, value)], said) for value in self._index.values(kind))

    def code(self, text: str) -> Hit | None:
        """The items a number as written belongs to, or those whose number it is the front of."""
        hit = self._index.numbers.find(text)
        if hit is None and sum(sign.isdigit() for sign in text) > 4 and re.search(r"\w[.\-/]\w", text):
            return self._index.numbers.starting(text)  # the front of a number, its tail left out
        return hit

    def begins(self, text: str) -> bool:
        """Whether an item's number may begin like this text."""
        return self._index.numbers.begins(text)

    def number(self, text: str) -> bool:
        """Whether this is an item's own part number, however short."""
        return self._index.numbers.owned(text)

    def name(self, text: str) -> bool:
        """Whether some item goes by this name, and no other has its words: "clamps" is no name beside other clamps."""
        index = self._index
        named = {index.slot(item_id) for item_id in index.names.find(text)}
        if not named:
            return False
        usual = [one for word in split_words(text) for one in index.words.usual(word)]
        return index.having(usual) <= named

    def machine(self, text: str) -> bool:
        """Whether this is a machine's whole name."""
        return self._index.machines.whole(text)

    def machine_word(self, word: str) -> str:
        """The word of a machine's name this word is, if it tells machines apart."""
        return self._index.machines.telling(word)

    def machine_part(self, word: str) -> bool:
        """Whether the word or figure belongs to some machine's name."""
        return self._index.machines.belongs(word)

    def machine_figure(self, word: str, figure: str) -> bool:
        """Whether a figure behind a machine's word could be its own."""
        return self._index.machines.numbered(word, figure)

    def says(self, figure: float, noun: str, beside: str = "") -> bool:
        """Whether some description has this figure right before this noun ("3 section"), and the word beside it too."""
        index = self._index
        usual = [index.words.usual(word)[0] for word in (noun, beside) if word]
        places = index.having((f"={figure:g}", *usual))
        return any(self._right_before(index.at(place).description, figure, usual[0]) for place in sorted(places)[:20])

    def _right_before(self, description: str, figure: float, noun: str) -> bool:
        """Whether a description has a figure and this noun behind it: "3 section", "4 BLD", "two-part"."""
        describer = self._index.terms.describer
        pieces = [piece for piece in describer.pieces(description) if piece != "-"]
        return any(
            isinstance(first, str)
            and describer.token(first)[2] == figure
            and noun in (describer.token(after)[0] if isinstance(after, str) else after[0])
            for first, after in pairwise(pieces)
        )


def _term(kind: str, value: Value) -> str:
    if kind == "word":
        return str(value)
    return f"={value:g}" if kind == "figure" else attribute_term(kind, value)
