"""Bringing a van to par: what to pick, in walking order; what is short and where else it is; one checkout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsbin.depot.asks import Asked, keep_request, owed
from partsbin.depot.catalogue import Caution, Item, cautions_of, item_by_id, substitutes_of, successor
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, aboard, place_by_id
from partsbin.depot.pulling import oldest_first
from partsbin.depot.setpoints import set_points_at
from partsbin.depot.stock import Holding, holdings_at, holdings_of, where_else


@dataclass(frozen=True, slots=True)
class Pick:
    """One line of a checkout: take ``quantity`` from ``source`` (lot named where there is one) for ``target``."""

    item: Item
    source: Place
    target: Place
    quantity: int
    lot_id: int | None
    lot: str
    best_before: str
    par: int
    aboard: int
    cautions: tuple[Caution, ...] = ()
    request_line: int | None = None
    job: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """What the shelf cannot give: how many, and who else has it or what goes instead."""

    item: Item
    quantity: int
    elsewhere: tuple[tuple[str, int], ...]
    instead: tuple[tuple[str, int], ...] = ()
    request_line: int | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A proposed checkout for one van."""

    van: Place
    picks: tuple[Pick, ...]
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True)
class _Want:
    item_id: int
    target: int
    quantity: int
    par: int
    aboard: int
    request_line: int | None = None
    job: str = ""


def propose(depot: Depot, van: Place, today: str = "") -> Proposal:
    """Return what brings a van to par and what it was promised, in walking order.

    Only bins are picked from, oldest best-before first and never past its date (``today``, ISO). A van's drawers
    have pars of their own. Drinks and parts already promised to the van come first.
    """
    free: dict[int, list[Holding]] = {}
    picks: list[Pick] = []
    missing: list[Missing] = []
    for want in _wants(depot, van):
        item = item_by_id(depot, want.item_id)
        if item.id not in free:
            free[item.id] = _on_shelf(depot, item.id, today)
        rest = _take(depot, free, item, want, picks)
        if rest:
            missing.append(_missing(depot, item, rest, van, want.request_line))
    picks.sort(key=lambda pick: (pick.source.walk, pick.source.code, pick.item.part_number, pick.best_before))
    return Proposal(van, tuple(picks), tuple(missing))


def _wants(depot: Depot, van: Place) -> list[_Want]:
    there: dict[tuple[int, int], int] = {}
    for held in holdings_at(depot, van):
        there[held.item_id, held.place_id] = there.get((held.item_id, held.place_id), 0) + held.quantity
    wants = [
        _Want(line.item_id, van.id, line.due, 0, 0, line.id, line.job)
        for line in owed(depot, van=van.id)
        if line.due > 0
    ]
    drawers = [place for place in aboard(depot, van) if place != van.id]
    own = {(point.item_id, drawer): point for drawer in drawers for point in set_points_at(depot, drawer)}
    in_drawers = {item for item, _ in own}
    for (item_id, drawer), point in own.items():
        has = there.get((item_id, drawer), 0)
        wants.append(_Want(item_id, drawer, point.order_up_to - has, point.order_up_to, has))
    for point in set_points_at(depot, van.id):
        places = [van.id] if point.item_id in in_drawers else [van.id, *drawers]
        has = sum(there.get((point.item_id, place), 0) for place in places)
        wants.append(_Want(point.item_id, van.id, point.order_up_to - has, point.order_up_to, has))
    return [want for want in wants if want.quantity > 0]


def _on_shelf(depot: Depot, item_id: int, today: str) -> list[Holding]:
    bins = [held for held in holdings_of(depot, item_id) if held.kind == "bin"]
    good = [held for held in bins if not (today and held.best_before and held.best_before < today)]
    dated = [held for held in good if held.best_before]
    return [*oldest_first(dated), *(held for held in good if not held.best_before)]


def _take(depot: Depot, free: dict[int, list[Holding]], item: Item, want: _Want, picks: list[Pick]) -> int:
    """Take from the free shelf stock into ``picks``; returns what could not be had."""
    rest = want.quantity
    left: list[Holding] = []
    for held in free[item.id]:
        take = min(rest, held.quantity)
        if take:
            rest -= take
            picks.append(
                Pick(
                    item=item,
                    source=place_by_id(depot, held.place_id),
                    target=place_by_id(depot, want.target),
                    quantity=take,
                    lot_id=held.lot_id or None,
                    lot=held.lot,
                    best_before=held.best_before,
                    par=want.par,
                    aboard=want.aboard,
                    cautions=tuple(cautions_of(depot, item.id)),
                    request_line=want.request_line,
                    job=want.job,
                )
            )
        if held.quantity > take:
            left.append(replace(held, quantity=held.quantity - take))
    free[item.id] = left
    return rest


def _missing(depot: Depot, item: Item, quantity: int, van: Place, request_line: int | None) -> Missing:
    others = [successor(depot, item), *substitutes_of(depot, item.id)]
    instead = []
    for other in others:
        have = sum(held.quantity for held in holdings_of(depot, other.id) if held.kind == "bin")
        if other.id != item.id and have:
            instead.append((other.part_number, have))
    return Missing(item, quantity, tuple(where_else(depot, item.id, exclude=van.id)), tuple(instead), request_line)


def check_out(
    depot: Depot,
    operator: Operator,
    van: Place,
    picks: Sequence[Pick],
    missing: Sequence[Missing] = (),
    *,
    reference: str = "",
) -> int:
    """Post one checkout of the picks, and promise what was missing to the van; returns the slip's number.

    Missing lines that were promised already stay so; others become a request that Monday's report counts.
    """
    lines = [
        Line(p.item.id, p.source.id, p.target.id, p.quantity, p.lot_id, request_line=p.request_line) for p in picks
    ]
    with depot.write():
        slip = post(depot, "checkout", lines, operator=operator, reference=reference or f"restock {van.code}")
        already = {line.item_id for line in owed(depot, van=van.id)}
        asks = [
            Asked(f"restock of {van.code}: {m.quantity} {m.item.description}", m.item.id, m.quantity, promised=True)
            for m in missing
            if m.request_line is None and m.item.id not in already
        ]
        if asks:
            keep_request(depot, f"Short at the restock of {van.code}", asks, operator=operator, van=van.id)
    return slip
