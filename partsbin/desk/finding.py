"""Requests answered on the real depot: the index kept in step with the catalogue, and what follows a match."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

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
    from partsbin.requests import Answer, CatalogueItem, Message


class Finder:
    """Reads requests against one depot. Build it once; ``refresh`` follows edits of the catalogue in a moment."""

    def __init__(self, depot: Depot) -> None:
        from partsbin.requests import Index, TradeWord, Words

        self.seen = int(depot.value("SELECT ifnull(max(changed), 0) FROM items"))
        words = [TradeWord(*tuple(row)) for row in depot.all("SELECT word, means, kind FROM trade_words")]
        self.words = Words.load(words) if words else Words.shipped()
        self.index = Index(catalogue(depot), self.words)

    def refresh(self, depot: Depot) -> int:
        """Take in items edited since the last look; returns how many."""
        newest = int(depot.value("SELECT ifnull(max(changed), 0) FROM items"))
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


def catalogue(depot: Depot, since: int = -1) -> Iterator[CatalogueItem]:
    """Yield the catalogue, or what was edited after change number ``since``, as the request reader wants it."""
    from partsbin.requests import CatalogueItem

    fits = _lists(depot, "item_fits", "machine", since)
    numbers = _lists(depot, "item_suppliers", "their_number", since)
    gtins = _lists(depot, "item_gtins", "gtin", since)
    aliases = _lists(depot, "item_words", "words", since, "x.source = 'catalogue'")
    learned = _learned(depot, since)
    columns = "id, part_number, description, category, kind, unit, pack_size, family, hand"
    rows = depot.connection.cursor()
    rows.row_factory = None  # bare tuples: a hundred thousand rows are read
    rows.execute(f"SELECT superseded_by, retired, {columns} FROM items WHERE changed > ? ORDER BY id", (since,))
    for superseded_by, retired, *row in rows:
        key = row[0]
        more = (fits.get(key, ()), aliases.get(key, ()), learned.get(key, ()), numbers.get(key, ()), gtins.get(key, ()))
        yield CatalogueItem(*row, *more, superseded_by, bool(retired))


def _lists(depot: Depot, table: str, column: str, since: int, only: str = "true") -> dict[int, tuple[str, ...]]:
    """Texts by item of one of the catalogue's side tables."""
    recent = "x.item_id IN (SELECT id FROM items WHERE changed > ?)" if since >= 0 else "? < 0"
    cursor = depot.connection.cursor()
    cursor.row_factory = None
    found: dict[int, tuple[str, ...]] = {}
    sql = (
        f"SELECT x.item_id, x.{column} FROM {table} x WHERE x.{column} <> '' AND {only} AND {recent} ORDER BY x.item_id"
    )
    for item_id, text in cursor.execute(sql, (since,)):
        found[item_id] = (*found[item_id], text) if item_id in found else (text,)
    return found


def _learned(depot: Depot, since: int) -> dict[int, tuple[tuple[str, int], ...]]:
    found: dict[int, list[tuple[str, int]]] = {}
    sql = (
        "SELECT x.item_id, x.words, x.times FROM item_words x JOIN items i ON i.id = x.item_id "
        "WHERE x.source = 'learned' AND i.changed > ?"
    )
    for item_id, words, times in depot.connection.execute(sql, (since,)):
        found.setdefault(item_id, []).append((words, times))
    return {item_id: tuple(texts) for item_id, texts in found.items()}


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
