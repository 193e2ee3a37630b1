"""From lines asked for to stock handed over: a checkout to a van, an issue to a job, or a promise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from partsbin.depot.asks import Asked, keep_request
from partsbin.depot.catalogue import Item, item_by_id, parts_of_kit
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, aboard, outside
from partsbin.depot.pulling import oldest_first, split_past
from partsbin.depot.stock import Holding, holdings_of
from partsbin.errors import Refused

NOTHING_SETTLED = "No line says both what and how many yet; settle the lines first."


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line to supply: the words it came from, the item, whole base units."""

    text: str
    item_id: int
    quantity: int


@dataclass(frozen=True, slots=True)
class Supplied:
    """What came of it: the slip (None when nothing was there), the request, and what stays owed as (item, quantity)."""

    slip: int | None
    request: int
    owed: tuple[tuple[Item, int], ...]


def explode(depot: Depot, wanted: Wanted) -> list[Wanted]:
    """Return a kit's parts in place of a kit that is not itself on a shelf; anything else as it is."""
    parts = parts_of_kit(depot, wanted.item_id)
    if not parts or any(held.kind == "bin" for held in holdings_of(depot, wanted.item_id)):
        return [wanted]
    return [Wanted(wanted.text, item.id, each * wanted.quantity) for item, each in parts]


def supply(
    depot: Depot,
    operator: Operator,
    text: str,
    wanted: Sequence[Wanted],
    *,
    target: Place,
    job: str = "",
    first: Place | None = None,
    seen: Mapping[int, int] | None = None,
) -> Supplied:
    """Hand lines over to a van (checkout) or a job (issue) from the shelf; what is not there stays promised.

    ``first`` is where to take from before anything else: a bin that was scanned, or for a job the van that asks.
    ``seen`` is what somebody saw ``within_reach`` when they decided. Request, slip and promises are one transaction.
    Refuses an empty request, and in words where another terminal has since taken what was seen.
    """
    lines = [part for line in wanted for part in explode(depot, line)]
    if not lines:
        raise Refused(NOTHING_SETTLED)
    van = target.id if target.kind == "van" else (first.id if first is not None and first.kind == "van" else None)
    with depot.write():
        asks = [Asked(line.text, line.item_id, line.quantity, promised=True) for line in lines]
        request = keep_request(depot, text, asks, operator=operator, van=van, job=job)
        rows = depot.all("SELECT id FROM request_lines WHERE request_id = ? ORDER BY line", (request,))
        free: dict[int, dict[tuple[int, int], int]] = {}
        moves: list[Line] = []
        owed: list[tuple[Item, int]] = []
        for line, row in zip(lines, rows, strict=True):
            rest = _take(depot, free, line, target, first, row["id"], moves)
            if rest:
                _require_as_seen(depot, line.item_id, first, seen)
                owed.append((item_by_id(depot, line.item_id), rest))
        kind = "checkout" if target.kind in ("van", "drawer") else "issue"
        slip = post(depot, kind, moves, operator=operator, reference=job or f"request {request}") if moves else None
    return Supplied(slip, request, tuple(owed))


def _take(
    depot: Depot,
    free: dict[int, dict[tuple[int, int], int]],
    line: Wanted,
    target: Place,
    first: Place | None,
    request_line: int,
    moves: list[Line],
) -> int:
    """Add moves for one line; returns what could not be had. ``free`` carries what earlier lines left."""
    held = _reach(depot, line.item_id, first)
    left = free.setdefault(line.item_id, {(h.place_id, h.lot_id): h.quantity for h in held})
    rest = line.quantity
    for holding in held:
        key = (holding.place_id, holding.lot_id)
        take = min(rest, left.get(key, 0))
        if take > 0 and holding.place_id != target.id:
            left[key] -= take
            rest -= take
            moves.append(
                Line(
                    *(line.item_id, holding.place_id, target.id, take, holding.lot_id or None),
                    request_line=request_line,
                )
            )
    return rest


def _reach(depot: Depot, item_id: int, first: Place | None) -> list[Holding]:
    """Return what an item can be taken from: aboard ``first``, then the bins, the oldest that is not past its date."""
    near = set(aboard(depot, first)) if first is not None else set()
    good, _ = split_past(depot, [h for h in holdings_of(depot, item_id) if h.kind == "bin" or h.place_id in near])
    return sorted(oldest_first(good), key=lambda h: h.place_id not in near)


def within_reach(depot: Depot, wanted: Sequence[Wanted], first: Place | None = None) -> dict[int, int]:
    """Return how many of each item lines can be supplied from now: {item id: base units}; kits by their parts."""
    items = {part.item_id for line in wanted for part in explode(depot, line)}
    return {item_id: sum(held.quantity for held in _reach(depot, item_id, first)) for item_id in items}


def _require_as_seen(depot: Depot, item_id: int, first: Place | None, seen: Mapping[int, int] | None) -> None:
    there = sum(held.quantity for held in _reach(depot, item_id, first))
    if seen is not None and there < seen.get(item_id, there):
        message = (
            f"{item_by_id(depot, item_id).part_number}: {there} left of {seen[item_id]}, another terminal took the "
            "rest. Nothing was posted; post again to take what is left and promise the rest."
        )
        raise Refused(message)


def promise_lines(
    depot: Depot, operator: Operator, text: str, wanted: Sequence[Wanted], *, van: Place | None = None, job: str = ""
) -> int:
    """Keep lines as promised, to be supplied at the next restock; Monday's report counts them. Returns the request."""
    if not wanted:
        raise Refused(NOTHING_SETTLED)
    asks = [Asked(line.text, line.item_id, line.quantity, promised=True) for line in wanted]
    return keep_request(depot, text, asks, operator=operator, van=van.id if van else None, job=job)


def job_place(depot: Depot) -> Place:
    """Return the place that stands for all jobs."""
    return outside(depot, "job")
