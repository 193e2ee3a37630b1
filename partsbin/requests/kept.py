"""An index written down and read back, so that a single question need not wait for a large catalogue to be read.

One JSON document a line, data only: a foreign text raises ValueError or KeyError and is to be made anew. What only part
numbers need, most of it, is read once one is asked for.
"""

from __future__ import annotations

import gc
import json
from array import array
from collections.abc import Callable, Iterable, Iterator

from partsbin.requests.index import Alternatives, Index
from partsbin.requests.terms import NUMBER_PART
from partsbin.requests.types import CatalogueItem
from partsbin.requests.words import Words

Fetch = Callable[[int], CatalogueItem]


def written(index: Index) -> Iterator[str]:
    """The lines an index is written down in."""
    for part in _parts(index):
        yield json.dumps(part, ensure_ascii=False, separators=(",", ":"))


def _parts(index: Index) -> Iterator[object]:
    postings = index.postings
    yield [index.at(slot).item_id for slot in range(len(index))]
    for of_numbers in (False, True):
        some = {term: places for term, places in postings.items() if term.startswith(NUMBER_PART) is of_numbers}
        yield list(some)
        yield [len(places) for places in some.values()]
        yield b"".join(places.tobytes() for places in some.values()).hex()
    yield index.numbers.fronts()
    yield from index.numbers.tables()
    yield index.machines.uses
    yield [[list(name), list(items)] for name, items in index.names.items.items()]
    yield {kind: list(values) for kind, values in index.terms.value_terms.items()}


class KeptIndex(Index):
    """An index read back: it answers, and fetches the few items an answer looks at. It does not follow edits."""

    def __init__(self, lines: Iterable[str], words: Words, fetch: Fetch) -> None:
        super().__init__((), words)
        self._fetch = fetch
        collecting = gc.isenabled()
        gc.disable()  # everything read here stays
        try:
            self._take(iter(lines))
        finally:
            if collecting:
                gc.enable()

    def _take(self, rows: Iterator[str]) -> None:
        self._ids: list[int] = json.loads(next(rows))
        self._items = [None] * len(self._ids)
        self._slots = {item_id: slot for slot, item_id in enumerate(self._ids)}
        self._read_postings([next(rows) for _ in range(3)])
        self._number_parts = [next(rows) for _ in range(3)]
        fronts, tables = json.loads(next(rows)), [next(rows) for _ in range(4)]
        self.numbers.take(fronts, lambda: [json.loads(table) for table in tables])
        for machine, uses in json.loads(next(rows)).items():
            self.machines.add([machine], uses)
        self.names.items = {tuple(name): tuple(items) for name, items in json.loads(next(rows))}
        self.terms.take_values(json.loads(next(rows)))

    def search(self, groups: list[tuple[Alternatives, float]], limit: int) -> list[int]:
        """As any index does; what is known by part of a number is read once one is asked for."""
        terms = (term for alternatives, _ in groups for term, _ in alternatives)
        if self._number_parts and any(term.startswith(NUMBER_PART) for term in terms):
            self._read_postings(self._number_parts)
            self._number_parts = []
        return super().search(groups, limit)

    def at(self, slot: int) -> CatalogueItem:
        """The item at a place in the index."""
        item = self._items[slot]
        if item is None:
            item = self._items[slot] = self._fetch(self._ids[slot])
        return item

    def update(self, item: CatalogueItem) -> None:
        """Refused: what the item said before is not known here."""
        raise NotImplementedError

    def remove(self, item_id: int) -> None:
        """Refused, as for ``update``."""
        raise NotImplementedError

    def _read_postings(self, rows: list[str]) -> None:
        terms, lengths, raw = (json.loads(row) for row in rows)
        places = array("i")
        places.frombytes(bytes.fromhex(raw))
        if len(terms) != len(lengths) or sum(lengths) != len(places):
            message = "the postings are torn"
            raise ValueError(message)
        at = 0
        for term, length in zip(terms, lengths, strict=True):
            self.postings[term] = places[at : at + length]
            at += length
            if term[0].isalpha():
                self.speller.add(term)
