"""The catalogue held in memory for finding: built once, kept up to date item by item."""

from __future__ import annotations

import gc
import math
import time
from array import array
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from partsbin.requests.describe import Describer, Description, families
from partsbin.requests.machines import Machines
from partsbin.requests.measures import Value
from partsbin.requests.names import Names
from partsbin.requests.numbers import Numbers, segments
from partsbin.requests.spelling import Speller, skeleton
from partsbin.requests.types import CatalogueItem
from partsbin.requests.words import Words, split_words

Alternatives = list[tuple[str, float]]
# Values that mark a special sort: unasked, the ordinary one is meant.
MARKS = frozenset(
    (
        ("diet", "yes"),
        ("heated", "yes"),
        ("lanes", "dual"),
        ("plugend", "y"),
        ("plugend", "extension"),
        ("keyed", "alike"),
        ("condition", "refurbished"),
        ("sides", "universal"),
    )
)
_PAUSE_EVERY = 256
_VIEWS_KEPT = 20_000
_LARGE = 20_000


@dataclass(frozen=True, slots=True)
class View:
    """An item as the matcher sees it."""

    item: CatalogueItem
    ordered: tuple[str, ...]
    words: frozenset[str]
    attributes: dict[str, set[Value]]
    figures: set[float]
    families: dict[str, float]
    fits: frozenset[str]
    aliases: tuple[frozenset[str], ...]
    learned: tuple[tuple[frozenset[str], int], ...]
    plain: frozenset[str]
    marks: frozenset[str]


class Index:
    """Items findable by word, attribute, family, machine and number.

    Building 100,000 items takes seconds of pure Python: pass ``gentle=True`` when a screen shares the interpreter, and
    the build gives way every few hundred items. One thread may edit while none reads.
    """

    def __init__(
        self, items: Iterable[CatalogueItem] = (), words: Words | None = None, *, gentle: bool = False
    ) -> None:
        self.words = words or Words.shipped()
        self.describer = Describer(self.words)
        self.numbers = Numbers()
        self.machines = Machines(self.words)
        self.names = Names(self.words)
        self.speller = Speller(sorted(self.words.known))
        self._items: list[CatalogueItem | None] = []
        self._slots: dict[int, int] = {}
        self._free: list[int] = []
        self._postings: dict[str, array[int]] = {}
        self._attribute_terms: dict[tuple[str, Value], str] = {}
        self._family_memory: dict[tuple[str, ...], dict[str, float]] = {}
        self._views: dict[int, View] = {}
        self._fits_words: dict[tuple[str, ...], frozenset[str]] = {}
        self._links: dict[str, tuple[str, ...]] = {}
        self._build(items, gentle=gentle)

    def _build(self, items: Iterable[CatalogueItem], *, gentle: bool) -> None:
        # Hundreds of thousands of small lasting objects: the collector would walk them all again and again.
        collecting = gc.isenabled()
        gc.disable()
        try:
            for count, item in enumerate(items):
                self._add(item)
                if gentle and count % _PAUSE_EVERY == 0:
                    time.sleep(0)
        finally:
            if collecting:
                gc.enable()
        if len(self._slots) > _LARGE:
            # What was just built stays for good; left to the collector it would stall typing for a tenth of a second.
            gc.freeze()

    def __len__(self) -> int:
        return len(self._slots)

    def __contains__(self, item_id: int) -> bool:
        return item_id in self._slots

    def update(self, item: CatalogueItem) -> None:
        """Add an item, or take its new data in place of the old."""
        self.remove(item.item_id)
        self._add(item)

    def remove(self, item_id: int) -> None:
        """Forget an item; unknown ids are no matter."""
        slot = self._slots.pop(item_id, None)
        if slot is None:
            return
        item = self.at(slot)
        for term in self._terms(item):
            places = self._postings.get(term)
            if places is not None:
                places.remove(slot)
                if not places:
                    del self._postings[term]
        self.numbers.remove(item)
        self.names.remove(item.item_id, _names(item))
        self.machines.remove(item.fits)
        self._views.pop(slot, None)
        self._items[slot] = None
        self._free.append(slot)

    def get(self, item_id: int) -> CatalogueItem | None:
        """The item with this id, if it is known."""
        slot = self._slots.get(item_id)
        return None if slot is None else self._items[slot]

    def live(self, item_id: int) -> tuple[CatalogueItem | None, tuple[str, ...]]:
        """The item that stands in for this one today and the numbers passed on the way; None when a chain circles."""
        passed: list[str] = []
        seen: set[int] = set()
        item = self.get(item_id)
        while item is not None and item.superseded_by is not None:
            if item.item_id in seen:
                return None, tuple(passed)
            seen.add(item.item_id)
            follower = self.get(item.superseded_by)
            if follower is None:
                break
            passed.append(item.part_number)
            item = follower
        return item, tuple(passed)

    def slot(self, item_id: int) -> int:
        """Where an item lies in the index."""
        return self._slots[item_id]

    def at(self, slot: int) -> CatalogueItem:
        """The item at a place in the index."""
        item = self._items[slot]
        if item is None:
            message = f"nothing at place {slot}"
            raise KeyError(message)
        return item

    def knows(self, term: str) -> bool:
        """Whether any item has this term."""
        return term in self._postings

    def rarity(self, term: str) -> float:
        """How telling a term is: near 0.4 for one every item has, 1.3 for one a single item has."""
        count = len(self._postings.get(term, ()))
        size = max(len(self._slots), 2)
        return 0.4 + 0.9 * math.log((size + 1) / (count + 1)) / math.log(size + 1)

    def values(self, kind: str) -> list[Value]:
        """All values of an attribute kind met so far."""
        return [value for (known, value) in self._attribute_terms if known == kind]

    def search(self, groups: list[tuple[Alternatives, float]], limit: int) -> list[int]:
        """Places of the items that best meet the groups of alternatives (each with its weight), best first."""
        size = len(self._items)
        if not size:
            return []
        total = np.zeros(size, dtype=np.float32)
        for alternatives, weight in groups:
            found = [(self._postings[term], share) for term, share in alternatives if term in self._postings]
            if len(found) == 1:
                total[np.frombuffer(found[0][0], dtype=np.intc)] += weight * found[0][1]
            elif found:
                part = np.zeros(size, dtype=np.float32)
                for places, share in sorted(found, key=lambda pair: pair[1]):
                    part[np.frombuffer(places, dtype=np.intc)] = weight * share
                total += part
        return _best(total, limit)

    def shared(self, terms: Iterable[str]) -> bool:
        """Whether some item has all these terms."""
        lists = sorted((self._postings.get(term, ()) for term in set(terms)), key=len)
        if not lists or not lists[0]:
            return False
        left = set(lists[0])
        for places in lists[1:]:
            left.intersection_update(places)
        return bool(left)

    def view(self, slot: int) -> View:
        """The matcher's view of the item at a place."""
        view = self._views.get(slot)
        if view is None:
            if len(self._views) > _VIEWS_KEPT:
                self._views.clear()
            view = self._views[slot] = self._look(self.at(slot))
        return view

    def _add(self, item: CatalogueItem) -> None:
        slot = self._free.pop() if self._free else len(self._items)
        if slot == len(self._items):
            self._items.append(item)
        else:
            self._items[slot] = item
        self._slots[item.item_id] = slot
        postings = self._postings
        for term in self._terms(item):
            places = postings.get(term)
            if places is None:
                places = postings[term] = array("i")
                if term[0].isalpha():
                    self.speller.add(term)
            places.append(slot)
        self.numbers.add(item)
        if item.aliases or item.learned:
            self.names.add(item.item_id, _names(item))
        if item.fits:
            self.machines.add(item.fits)

    def _terms(self, item: CatalogueItem) -> set[str]:
        described = self._describe(item)
        terms = set(described.words)
        known = self._attribute_terms
        for kind, values in described.attributes.items():
            for value in values:
                term = known.get((kind, value))
                if term is None:
                    term = known[kind, value] = attribute_term(kind, value)
                terms.add(term)
        for number in described.figures:
            terms.add(f"={number:g}")
        for code in self._families(item, described):
            terms.add("+" + code)
        for name in item.fits:
            terms.add("@" + name)
        for part in segments(item.part_number):
            terms.add("#" + part)
        for text in _names(item):
            terms.update(self._linked(self.describer.read(text).words))
        return terms

    def _describe(self, item: CatalogueItem) -> Description:
        described = self.describer.read(item.description)
        described.words = self._linked(described.words)
        if item.hand:
            described.attributes["hand"] = {item.hand}
        for alias in item.aliases:
            for kind, values in self.describer.read(alias).attributes.items():
                if kind not in described.attributes:
                    described.attributes[kind] = set(values)
        return described

    def _families(self, item: CatalogueItem, described: Description) -> dict[str, float]:
        if item.family:
            return {item.family: 1.0}
        key = tuple(described.words)
        found = self._family_memory.get(key)
        if found is None:
            found = families(self.words, described.words) if described.words else {}
            if not found:
                found = families(self.words, split_usual(self.words, item.kind)) if item.kind else {}
            if len(self._family_memory) < 100_000:
                self._family_memory[key] = found
        return found

    def _linked(self, words: list[str]) -> list[str]:
        """Catalogue shorthand the trade's words lack, linked to the one trade word with the same bones."""
        links = self._links
        linked: list[str] = []
        for word in words:
            means = links.get(word)
            if means is None:
                means = links[word] = self._link(word)
            linked.extend(means)
        return linked

    def _link(self, word: str) -> tuple[str, ...]:
        words = self.words
        if word in words.known or word in words.noise or word in words.values or len(word) < 4 or not word.isalpha():
            return (word,)
        bones = skeleton(word)
        full = {
            words.usual(guess)
            for guess, _ in self.speller.guesses(word)
            if guess in words.known
            and ((bones == word and skeleton(guess) == word) or (guess.startswith(word) and word[-1] not in "aeiou"))
        }
        return full.pop() if len(full) == 1 else (word,)

    def _look(self, item: CatalogueItem) -> View:
        described = self._describe(item)
        aliases = [frozenset(self._linked(self.describer.read(alias).words)) for alias in item.aliases]
        learned = [(frozenset(self._linked(self.describer.read(text).words)), times) for text, times in item.learned]
        extra = set(split_usual(self.words, f"{item.category} {item.kind}"))
        words = frozenset(described.words).union(*aliases)
        return View(
            item,
            tuple(described.words),
            words | (extra & set(self.words.family_words)) if not described.words else words,
            described.attributes,
            described.figures,
            self._families(item, described),
            frozenset(item.fits),
            tuple(aliases),
            tuple(learned),
            frozenset(word for word in described.words if self._says_nothing(word)) | self._named(item.fits),
            self._marks(described.words),
        )

    def _named(self, fits: tuple[str, ...]) -> frozenset[str]:
        """Words of the machines' names."""
        found = self._fits_words.get(fits)
        if found is None:
            found = self._fits_words[fits] = frozenset(part for name in fits for part in split_words(name))
        return found

    def _marks(self, ordered: list[str]) -> frozenset[str]:
        """Words that make an item a special sort: a marked value, or what comes behind "with"."""
        marks = {word for word in ordered if self.words.values.get(word) in MARKS}
        for place, word in enumerate(ordered):
            if word in ("with", "w"):
                marks.update(
                    one for one in ordered[place + 1 : place + 3] if one not in self.words.noise and one.isalpha()
                )
        return frozenset(marks)

    def _says_nothing(self, word: str) -> bool:
        """Words of a description that need no asking for: values (compared as attributes), filler, figures."""
        return (
            word in self.words.values
            or (word in self.words.noise and word not in self.words.family_words)
            or not word.isalpha()
        )


def _best(total: np.ndarray[tuple[int], np.dtype[np.float32]], limit: int) -> list[int]:
    """Places of the highest totals, best first. Totals come in few steps, so the bar is lowered until enough pass."""
    top = float(total.max())
    if top <= 0:
        return []
    passed = np.flatnonzero(total >= top)
    for share in (0.97, 0.9, 0.8, 0.65, 0.5, 0.3, 0.0):
        if len(passed) >= limit:
            break
        passed = np.flatnonzero(total >= max(top * share, 1e-6))
    order = passed[np.argsort(-total[passed], kind="stable")]
    return [int(slot) for slot in order[:limit]]


def _names(item: CatalogueItem) -> Iterable[str]:
    """What an item is called besides its description."""
    return (*item.aliases, *(words for words, _ in item.learned))


def attribute_term(kind: str, value: Value) -> str:
    """The index term of an attribute value."""
    return f"={kind}:{value:g}" if isinstance(value, float) else f"={kind}:{value}"


def split_usual(words: Words, text: str) -> list[str]:
    """The usual words of a short text."""
    return [usual for word in split_words(text) for usual in words.usual(word)]
