"""What an item is found by: a catalogue row's words, values, families, machines and number parts as index terms."""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Iterator

from partsbin.requests.describe import EXTRAS, Describer, Description, families
from partsbin.requests.measures import Value
from partsbin.requests.numbers import segments
from partsbin.requests.spelling import Speller, abbreviates, skeleton
from partsbin.requests.types import CatalogueItem
from partsbin.requests.words import Words, split_words

Postings = dict[str, "array[int]"]
_REMEMBERED = 100_000
NUMBER_PART = "#"
"""How the term of a part of a number begins."""


class Terms:
    """Turns items into terms with one set of words; what was met once is remembered, for catalogue words repeat."""

    def __init__(self, words: Words, speller: Speller) -> None:
        self.words = words
        self.describer = Describer(words)
        self.speller = speller
        self.value_terms: dict[str, dict[Value, str]] = {}
        self._families: dict[tuple[str, ...], dict[str, float]] = {}
        self._bases: dict[tuple[str, ...], tuple[str, ...]] = {}
        self._tokens: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {}
        self._links: dict[str, tuple[str, ...]] = {}
        self._shorts: dict[str, tuple[str, ...]] = {}
        self._things: dict[str, list[str]] = {}
        for thing in sorted(words.family_words):
            self._things.setdefault(thing[0], []).append(thing)

    def of(self, item: CatalogueItem) -> set[str]:
        """An item's terms."""
        terms = self._described(item) if item.aliases or item.learned else self._plainly(item)
        contents = self.value_terms.get("ml", {})
        if not terms.isdisjoint(contents.values()) and (count := packed(item)):
            terms.add(self._value_term("pack", count))
        if item.unit != "each":
            terms.add(unit_term(item.unit))
        for name in item.fits:
            terms.add("@" + name)
        for part in segments(item.part_number):
            terms.add(NUMBER_PART + part)
        return terms

    def values(self, kind: str) -> Iterable[Value]:
        """All values of an attribute kind met so far."""
        return self.value_terms.get(kind, ())

    def take_values(self, values: dict[str, list[Value]]) -> None:
        """Take the attribute values met by another that read the same catalogue."""
        self.value_terms = {kind: {one: attribute_term(kind, one) for one in some} for kind, some in values.items()}

    def describe(self, item: CatalogueItem) -> Description:
        """An item's words and values: what the description says, then the item's own hand, then what aliases add."""
        described = self.describer.read(item.description)
        described.words = self.linked(described.words)
        if item.hand:
            described.attributes["hand"] = {item.hand}
        if "ml" in described.attributes and (count := packed(item)):
            described.attributes.setdefault("pack", {count})
        for alias in item.aliases:
            for kind, values in self.describer.read(alias).attributes.items():
                if kind not in described.attributes:
                    described.attributes[kind] = set(values)
        return described

    def families(self, item: CatalogueItem, ordered: list[str]) -> dict[str, float]:
        """The trade families of an item: its own, or what its words name."""
        if item.family:
            return {item.family: 1.0}
        key = tuple(ordered)
        found = self._families.get(key)
        if found is None:
            found = self._named(ordered) if ordered else {}
            if not found:
                found = families(self.words, split_usual(self.words, item.kind)) if item.kind else {}
            if len(self._families) < _REMEMBERED:
                self._families[key] = found
        return found

    def _named(self, ordered: list[str]) -> dict[str, float]:
        """Families by words; "cord with leakage protection" is a cord, and a leakage cord if that is asked."""
        found = families(self.words, ordered)
        cut = next((place for place, word in enumerate(ordered) if word in EXTRAS), 0)
        if cut:
            behind = families(self.words, ordered[cut + 1 :]) if ordered[cut + 1 :] else {}
            for code in families(self.words, [word for word in ordered if word not in EXTRAS]):
                if code not in behind or code == "CAB-GFCI":
                    found.setdefault(code, 0.7)
        return found

    def linked(self, words: Iterable[str]) -> list[str]:
        """Catalogue shorthand the trade's words lack, linked to the one trade word with the same bones."""
        links = self._links
        linked: list[str] = []
        for word in words:
            means = links.get(word)
            if means is None:
                means = links[word] = self._link(word)
            linked.extend(means)
        return self._settled(linked)

    def _settled(self, words: list[str]) -> list[str]:
        """Shorthand read by what stands beside it: GRD beside FAN is a guard, for the trade knows a fan guard."""
        for place, word in enumerate(words):
            if means := self._shorts.get(word):
                words[place] = self._beside(word, means, set(words))
        return words

    def _beside(self, word: str, means: tuple[str, ...], bag: set[str]) -> str:
        """The one thing a word may stand short for that the trade knows together with its neighbours; else the word."""
        fits = {
            thing: max(
                (len(pattern) for pattern in self.words.family_words[thing] if pattern - {thing} <= bag), default=0
            )
            for thing in means
        }
        most = max(fits.values())
        best = [thing for thing, size in fits.items() if size == most]
        return best[0] if most > 1 and len(best) == 1 else word

    def _plainly(self, item: CatalogueItem) -> set[str]:
        """The terms of an item that has nothing but its description: the quick way for most of a large catalogue."""
        words: list[str] = []
        terms: list[str] = []
        tokens = self._tokens
        for token in self.describer.pieces(item.description):
            if isinstance(token, tuple):
                words.extend(self.linked(token[0]))
                terms.extend(self._value_term(kind, value) for kind, value in token[1])
                continue
            known = tokens.get(token)
            if known is None:
                known = self._known(token)
            words.extend(known[0])
            terms.extend(known[1])
        words = self._settled(words)
        if item.hand:
            terms = [term for term in terms if not term.startswith("=hand:")]
            terms.append(self._value_term("hand", item.hand))
        key = (item.family, *words)
        base = self._bases.get(key)
        if base is None:
            base = (*words, *("+" + code for code in self.families(item, words)))
            if len(self._bases) < _REMEMBERED and words:
                self._bases[key] = base
        return {*base, *terms}

    def _known(self, token: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        words, attributes, number = self.describer.token(token)
        terms = [self._value_term(kind, value) for kind, value in attributes]
        if number is not None:
            terms.append(f"={number:g}")
        known = (tuple(self.linked(words)), tuple(terms))
        if len(self._tokens) < 2 * _REMEMBERED:
            self._tokens[token] = known
        return known

    def _described(self, item: CatalogueItem) -> set[str]:
        described = self.describe(item)
        terms = set(described.words)
        for kind, values in described.attributes.items():
            terms.update(self._value_term(kind, value) for value in values)
        terms.update(f"={number:g}" for number in described.figures)
        terms.update("+" + code for code in self.families(item, described.words))
        for text in called(item):
            terms.update(self.linked(self.describer.read(text).words))
        return terms

    def _value_term(self, kind: str, value: Value) -> str:
        known = self.value_terms.setdefault(kind, {})
        term = known.get(value)
        if term is None:
            term = known[value] = attribute_term(kind, value)
        return term

    def _link(self, word: str) -> tuple[str, ...]:
        words = self.words
        if word in words.known or word in words.noise or word in words.values or not word.isalpha():
            return (word,)
        if means := tuple(thing for thing in self._things.get(word[0], ()) if abbreviates(word, thing)):
            self._shorts[word] = means
        if len(word) < 4:
            return (word,)
        bones = skeleton(word)
        full = {
            words.usual(guess)
            for guess, _ in self.speller.guesses(word)
            if guess in words.known
            and ((bones == word and skeleton(guess) == word) or (guess.startswith(word) and word[-1] not in "aeiou"))
        }
        return full.pop() if len(full) == 1 else (word,)


_CASE = re.compile(r"\b(?:x|cs)\s?(\d{1,2})\b|\b(\d{1,2})\s?x\s?\d", re.IGNORECASE)


def packed(item: CatalogueItem) -> float:
    """How many singles a case of what has a content holds, by the item's pack or its description; 0 when unsaid."""
    if item.pack_size > 1:
        return float(item.pack_size)
    case = _CASE.search(item.description)
    return float(case[1] or case[2]) if case else 0.0


def says_its_pack(item: CatalogueItem) -> bool:
    """Whether a description says how many a case holds: "x24", "24 x 330 ml"."""
    return _CASE.search(item.description) is not None


def called(item: CatalogueItem) -> Iterator[str]:
    """What an item is called besides its description."""
    yield from item.aliases
    for words, _ in item.learned:
        yield words


def attribute_term(kind: str, value: Value) -> str:
    """The index term of an attribute value."""
    return f"={kind}:{value:g}" if isinstance(value, float) else f"={kind}:{value}"


def unit_term(unit: str) -> str:
    """The index term of what items are kept in: a sleeve, a jar, a roll."""
    return "~" + unit.lower()


def split_usual(words: Words, text: str) -> list[str]:
    """The usual words of a short text."""
    return [usual for word in split_words(text) for usual in words.usual(word)]
