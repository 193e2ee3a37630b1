"""Requests answered on the real depot: the index kept in step with the catalogue, and what follows a match."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partsbin.depot.catalogue import (
    Caution,
    Item,
    cautions_of,
    first_checks_of,
    item_by_id,
    kits_with,
    substitutes_of,
    successor,
)
from partsbin.depot.file import Depot
from partsbin.depot.places import Place, aboard
from partsbin.depot.stock import holdings_of

if TYPE_CHECKING:  # the request room brings numpy; it is imported where a request is read, so screens come up fast
    from partsbin.requests import Answer, CatalogueItem, Index, Message, Words


class Finder:
    """Reads requests against one depot. Build it once; ``refresh`` follows edits of the catalogue in a moment."""

    def __init__(self, depot: Depot) -> None:
        self._read(depot)

    def _read(self, depot: Depot) -> None:
        self.seen = _newest(depot)
        self._spoken = _words_print(depot)
        self.words = trade_words(depot)
        self.index = self._make(depot, self.words)

    def _make(self, depot: Depot, words: Words) -> Index:
        from partsbin.requests import Index

        return Index(catalogue(depot), words)

    def refresh(self, depot: Depot) -> int:
        """Take in items edited since the last look; returns how many. Other trade words: all is read anew."""
        newest = _newest(depot)
        if _words_print(depot) != self._spoken or newest < self.seen:
            self._read(depot)
            return len(self.index)
        if newest == self.seen:
            return 0
        changed = list(catalogue(depot, since=self.seen))
        for item in changed:
            self.index.update(item)
        self.seen = newest
        return len(changed)

    def find(self, text: str, limit: int = 5) -> list[Answer]:
        """Answer one query; a query may hold several lines."""
        from partsbin.requests import answer_text

        return answer_text(self.index, text, limit)

    def read(self, text: str, limit: int = 5) -> tuple[Message, list[Answer]]:
        """Answer a whole message."""
        from partsbin.requests import answer_message

        return answer_message(self.index, text, limit)


def _newest(depot: Depot) -> int:
    return int(depot.value("SELECT ifnull(max(changed), 0) FROM items"))


def _words_print(depot: Depot) -> int:
    """Tells one set of trade words from another."""
    return hash(
        depot.value("SELECT group_concat(word || char(31) || means || char(31) || kind, char(30)) FROM trade_words")
    )


def trade_words(depot: Depot) -> Words:
    """The trade's words as this depot has them."""
    from partsbin.requests import TradeWord, Words

    words = [TradeWord(*tuple(row)) for row in depot.all("SELECT word, means, kind FROM trade_words")]
    return Words.load(words) if words else Words.shipped()


def catalogue(depot: Depot, since: int = -1, only: int | None = None) -> Iterator[CatalogueItem]:
    """Yield the catalogue, what was edited after change number ``since``, or one item, as the reader wants it."""
    from partsbin.requests import CatalogueItem

    which = _which(since, only)
    fits = _lists(depot, "item_fits", "machine", which)
    numbers = _lists(depot, "item_suppliers", "their_number", which)
    gtins = _lists(depot, "item_gtins", "gtin", which)
    aliases = _lists(depot, "item_words", "words", which, "source = 'catalogue'")
    learned = _learned(depot, which)
    columns = "id, part_number, description, category, kind, unit, pack_size, family, hand, superseded_by, retired"
    for row in _bare(depot, f"SELECT {columns} FROM items WHERE {which.format('id')} ORDER BY id"):
        key, number, description, category, kind, unit, pack_size, family, hand, superseded_by, retired = row
        yield CatalogueItem(
            *(key, number, description, category, kind, unit, pack_size, family, hand),
            fits=fits.get(key, ()),
            aliases=aliases.get(key, ()),
            learned=learned.get(key, ()),
            supplier_numbers=numbers.get(key, ()),
            gtins=gtins.get(key, ()),
            superseded_by=superseded_by,
            retired=bool(retired),
        )


def _which(since: int, only: int | None) -> str:
    """The condition on an item's number, ``{}`` standing for its column."""
    if only is not None:
        return f"{{}} = {int(only)}"
    return f"{{}} IN (SELECT id FROM items WHERE changed > {int(since)})" if since >= 0 else "{} > 0"


def _bare(depot: Depot, sql: str) -> Iterator[tuple[Any, ...]]:
    """Rows as bare tuples: a hundred thousand of them are read here."""
    cursor = depot.connection.cursor()
    cursor.row_factory = None
    yield from cursor.execute(sql)


def _lists(depot: Depot, table: str, column: str, which: str, only: str = "true") -> dict[int, tuple[str, ...]]:
    """Texts by item of one of the catalogue's side tables."""
    found: dict[int, tuple[str, ...]] = {}
    sql = f"SELECT item_id, {column} FROM {table} WHERE {column} <> '' AND {only} AND {which.format('item_id')}"
    for item_id, text in _bare(depot, sql):
        found[item_id] = (*found[item_id], text) if item_id in found else (text,)
    return found


def _learned(depot: Depot, which: str) -> dict[int, tuple[tuple[str, int], ...]]:
    found: dict[int, tuple[tuple[str, int], ...]] = {}
    where = f"source = 'learned' AND {which.format('item_id')}"
    for item_id, words, times in _bare(depot, f"SELECT item_id, words, times FROM item_words WHERE {where}"):
        found[item_id] = (*found.get(item_id, ()), (words, times))
    return found


def stock_of(depot: Depot, item_id: int, asking: Place | None = None) -> list[tuple[str, int]]:
    """Return (place, quantity) with the nearest first: the van asking, the shelf, other vans."""
    own = set(aboard(depot, asking)) if asking else set()
    held = sorted(holdings_of(depot, item_id), key=lambda h: (h.place_id not in own, h.kind != "bin"))
    totals: dict[str, int] = {}
    for holding in held:
        totals[holding.place] = totals.get(holding.place, 0) + holding.quantity
    return list(totals.items())


def as_json(depot: Depot, query: str, answers: Iterable[Answer], *, stock: bool = True) -> dict[str, object]:
    """Return answers in the shape the commands print."""
    return {"query": query, "lines": [_line_json(depot, answer, stock=stock) for answer in answers]}


def _line_json(depot: Depot, answer: Answer, *, stock: bool) -> dict[str, object]:
    candidates = []
    for candidate in answer.candidates:
        one: dict[str, object] = {
            "part_number": candidate.part_number,
            "description": candidate.description,
            "score": round(candidate.score, 3),
            "why": candidate.why,
        }
        if stock:
            places = stock_of(depot, candidate.item_id)
            one["stock"] = [{"place": place, "quantity": quantity} for place, quantity in places]
        candidates.append(one)
    line: dict[str, object] = {"text": answer.line.text, "quantity": answer.quantity, "status": answer.status}
    if answer.question:
        line["question"] = answer.question
    return {**line, "candidates": candidates}


@dataclass(frozen=True, slots=True)
class Advice:
    """What the desk says once the item is known."""

    item: Item
    stock: tuple[tuple[str, int], ...]
    first_checks: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    live: Item
    opposite: Item | None
    instead: tuple[Item, ...]
    kits: tuple[Item, ...]


def advise(depot: Depot, item_id: int, asking: Place | None = None) -> Advice:
    """Return stock, first checks, cautions, successor, opposite hand, substitutes and kits of an item."""
    item = item_by_id(depot, item_id)
    return Advice(
        item=item,
        stock=tuple(stock_of(depot, item_id, asking)),
        first_checks=tuple(first_checks_of(depot, item.family)),
        cautions=tuple(cautions_of(depot, item_id)),
        live=successor(depot, item),
        opposite=item_by_id(depot, item.opposite_hand) if item.opposite_hand else None,
        instead=tuple(substitutes_of(depot, item_id)),
        kits=tuple(kits_with(depot, item_id)),
    )
