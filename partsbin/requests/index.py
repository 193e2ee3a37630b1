"""The catalogue held in memory for finding: built once, kept up to date item by item."""

from __future__ import annotations

import gc
import math
import re
import time
from array import array
from collections.abc import Iterable
from operator import itemgetter

import numpy as np

from partsbin.requests.machines import Machines
from partsbin.requests.measures import Value
from partsbin.requests.names import Names
from partsbin.requests.numbers import Numbers
from partsbin.requests.spelling import Speller
from partsbin.requests.terms import Terms, called
from partsbin.requests.types import CatalogueItem
from partsbin.requests.view import View, inherit, look
from partsbin.requests.words import Words, singular

Alternatives = list[tuple[str, float]]
Places = np.ndarray[tuple[int], np.dtype[np.intc]]
_PAUSE_EVERY = 256
_VIEWS_KEPT = 20_000
_LARGE = 20_000
_NOWHERE = array("i")


class Index:
    """Items findable by word, attribute, family, machine and number.

    Building 100,000 items takes seconds of pure Python: pass ``gentle=True`` when a screen shares the interpreter, and
    the build gives way every few hundred items. One thread may edit while none reads.
    """

    def __init__(
        self, items: Iterable[CatalogueItem] = (), words: Words | None = None, *, gentle: bool = False
    ) -> None:
        self.words = words or Words.shipped()
        self.numbers = Numbers()
        self.machines = Machines(self.words)
        self.names = Names(self.words)
        self.speller = Speller(sorted(self.words.known))
        self.terms = Terms(self.words, self.speller)
        self._items: list[CatalogueItem | None] = []
        self._slots: dict[int, int] = {}
        self._free: list[int] = []
        self.postings: dict[str, array[int]] = {}
        self._views: dict[int, View] = {}
        self._build(items, gentle=gentle)

    def _build(self, items: Iterable[CatalogueItem], *, gentle: bool) -> None:
        # Hundreds of thousands of small lasting objects: the collector would walk them all again and again.
        collecting = gc.isenabled()
        gc.disable()
        try:
            rows = items if isinstance(items, list) else list(items)
            for count, item in enumerate(rows):
                self._place(item)
                if gentle and count % _PAUSE_EVERY == 0:
                    time.sleep(0)
            self.numbers.fill(rows)
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
        for term in self.terms.of(item):
            places = self.postings.get(term)
            if places is not None:
                places.remove(slot)
                if not places:
                    del self.postings[term]
        self.numbers.remove(item)
        self.names.remove(item.item_id, called(item))
        self.machines.remove(item.fits)
        self._views.clear()  # what an item is may stand in the view of one it took the place of
        self._items[slot] = None
        self._free.append(slot)

    def get(self, item_id: int) -> CatalogueItem | None:
        """The item with this id, if it is known."""
        slot = self._slots.get(item_id)
        return None if slot is None else self.at(slot)

    def live(self, item_id: int) -> tuple[CatalogueItem | None, tuple[str, ...]]:
        """The item that stands in for this one today and the numbers passed on the way; None when a chain circles."""
        item = self.get(item_id)
        if item is None or item.superseded_by is None:
            return item, ()
        passed: list[str] = []
        seen: set[int] = set()
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
        return term in self.postings

    def rarity(self, term: str) -> float:
        """How telling a term is: near 0.4 for one every item has, 1.3 for one a single item has."""
        count = len(self.postings.get(term, ()))
        size = max(len(self._slots), 2)
        return 0.4 + 0.9 * math.log((size + 1) / (count + 1)) / math.log(size + 1)

    def values(self, kind: str) -> list[Value]:
        """All values of an attribute kind met so far."""
        return list(self.terms.values(kind))

    def search(self, groups: list[tuple[Alternatives, float]], limit: int) -> list[int]:
        """Places of the items that best meet the groups of alternatives (each with its weight), best first."""
        size = len(self._items)
        if not size:
            return []
        lists = [self._lists(alternatives, weight) for alternatives, weight in groups]
        total = np.zeros(size, dtype=np.float32)
        part = np.zeros(size if any(len(found) > 1 for found in lists) else 0, dtype=np.float32)
        for found in lists:
            if len(found) == 1:
                total[found[0][0]] += found[0][1]
                continue
            for places, gain in found:
                part[places] = gain
            for places, _ in reversed(found):  # an item that has several counts with its best, and once
                total[places] += part[places]
                part[places] = 0
        return _best(total, limit)

    def _lists(self, alternatives: Alternatives, weight: float) -> list[tuple[Places, float]]:
        """Where each alternative is found and what it counts, the least first."""
        known = [(self.postings[term], weight * share) for term, share in alternatives if term in self.postings]
        return [(np.frombuffer(places, dtype=np.intc), gain) for places, gain in sorted(known, key=itemgetter(1))]

    def shared(self, terms: Iterable[str]) -> bool:
        """Whether some item has all these terms."""
        return bool(self._having(terms).size)

    def having(self, terms: Iterable[str]) -> set[int]:
        """Places of the items that have all these terms."""
        return set(self._having(terms).tolist())

    def some(self, terms: Iterable[str], most: int) -> list[int]:
        """Places of at most so many of the items that have all these terms."""
        return [int(place) for place in self._having(terms)[:most]]

    def _having(self, terms: Iterable[str]) -> Places:
        lists = sorted((self.postings.get(term, _NOWHERE) for term in set(terms)), key=len) or [_NOWHERE]
        left = np.array(lists[0], dtype=np.intc)
        for places in lists[1:] if left.size else ():
            has = np.zeros(len(self._items), dtype=np.bool_)
            has[np.frombuffer(places, dtype=np.intc)] = True
            left = left[has[left]]
        return left

    def heads(self, term: str, said: Iterable[str]) -> bool:
        """Whether a term, as one of the words said, opens a description or ends its first part.

        That part ends at a comma or a figure: "Hose clip, …", "Push-in elbow 8 mm".
        """
        words = "|".join(re.escape(singular(word)) for word in said)
        head = re.compile(rf"(?:^|^[^,]*\b)(?:{words})s?\s*(?:,|\s\d)|^(?:{words})s?\b", re.IGNORECASE)
        places = self.postings.get(term, ())
        return any(head.search(self.at(place).description) for place in places[:50])

    def view(self, slot: int) -> View:
        """The matcher's view of the item at a place."""
        view = self._views.get(slot)
        if view is None:
            if len(self._views) > _VIEWS_KEPT:
                self._views.clear()
            item = self.at(slot)
            view = look(self.terms, item)
            heir, passed = self.live(item.item_id)
            if heir is not None and passed:
                view = inherit(view, look(self.terms, heir))
            self._views[slot] = view
        return view

    def _add(self, item: CatalogueItem) -> None:
        self._place(item)
        self.numbers.add(item)

    def _place(self, item: CatalogueItem) -> None:
        slot = self._free.pop() if self._free else len(self._items)
        if slot == len(self._items):
            self._items.append(item)
        else:
            self._items[slot] = item
        self._slots[item.item_id] = slot
        postings = self.postings
        for term in self.terms.of(item):
            places = postings.get(term)
            if places is None:
                places = postings[term] = array("i")
                if term[0].isalpha():
                    self.speller.add(term)
            places.append(slot)
        if item.aliases or item.learned:
            self.names.add(item.item_id, called(item))
        if item.fits:
            self.machines.add(item.fits)


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
