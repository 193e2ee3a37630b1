"""Bringing a van to par: what to pick, in walking order; what is short and where else it is; one checkout.

What was promised to a van for no particular job counts towards its par; what was promised for a job comes on top.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from partsbin.depot.asks import Asked, keep_request, owed
from partsbin.depot.catalogue import Caution, Item, cautions_of, item_by_id, substitutes_of, successor
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, aboard, place_by_id, places_of
from partsbin.depot.pulling import oldest_first
from partsbin.depot.setpoints import set_points_at
from partsbin.depot.stock import Holding, holdings_at, holdings_of


@dataclass(frozen=True, slots=True)
class Pick:
    """One line of a checkout: take ``quantity`` from ``source`` (lot named where there is one) for ``target``.

    ``there`` is what the source holds of that lot; ``aboard`` is what the van has, ``par`` what it should have.
    """

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
    there: int = 0

    @property
    def key(self) -> str:
        """A name that stays the same from one proposal to the next."""
        parts = (self.item.id, self.source.id, self.lot_id or 0, self.target.id, self.request_line or 0)
        return "-".join(str(part) for part in parts)

    @property
    def spot(self) -> tuple[int, int, int]:
        """What it takes from: (item, place, lot or 0)."""
        return self.item.id, self.source.id, self.lot_id or 0


@dataclass(frozen=True, slots=True)
class Missing:
    """What the shelf cannot give: how many, and who else has it or what goes instead."""

    item: Item
    quantity: int
    elsewhere: tuple[tuple[str, int], ...]
    instead: tuple[tuple[str, int], ...] = ()
    request_line: int | None = None

    @property
    def key(self) -> str:
        """A name that stays the same from one proposal to the next."""
        return f"short-{self.item.id}-{self.request_line or 0}"


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
            free[item.id] = on_shelf(depot, item.id, today)
        rest = _take(depot, free, item, want, picks)
        if rest:
            missing.append(missing_line(depot, item, rest, van, want.request_line))
    return Proposal(van, tuple(sorted(picks, key=walking)), tuple(missing))


def walking(pick: Pick) -> tuple[int, str, str, str]:
    """Return what sorts picks into walking order: aisle by aisle, bays serpentine, then by part and date."""
    return pick.source.walk, pick.source.code, pick.item.part_number, pick.best_before


@dataclass(frozen=True, slots=True)
class VanNeed:
    """How far a van is from par: items below it, pieces wanted, and how many of the lines were promised."""

    van: Place
    drivers: str
    lines: int
    pieces: int
    promised: int


def van_needs(depot: Depot) -> list[VanNeed]:
    """Return every van in use with what it wants, by code."""
    found = []
    for van in places_of(depot, "van"):
        rows = depot.all("SELECT name FROM operators WHERE van = ? AND retired = 0 ORDER BY name", (van.id,))
        wants = _wants(depot, van)
        promised = sum(1 for want in wants if want.request_line)
        drivers = ", ".join(row["name"] for row in rows)
        found.append(VanNeed(van, drivers, len(wants), sum(want.quantity for want in wants), promised))
    return found


def _wants(depot: Depot, van: Place) -> list[_Want]:
    levels = _levels(depot, van)
    wants, towards_par = _promised(depot, van, levels)
    for (item_id, target), (par, has) in levels.items():
        lacks = par - has
        covered = min(max(lacks, 0), towards_par.get(item_id, 0))
        towards_par[item_id] = towards_par.get(item_id, 0) - covered
        wants.append(_Want(item_id, target, lacks - covered, par, has))
    return [want for want in wants if want.quantity > 0]


def _levels(depot: Depot, van: Place) -> dict[tuple[int, int], tuple[int, int]]:
    """Return {(item, place on the van): (par, what is there)}, drawers first."""
    there: dict[tuple[int, int], int] = {}
    for held in holdings_at(depot, van):
        there[held.item_id, held.place_id] = there.get((held.item_id, held.place_id), 0) + held.quantity
    drawers = [place for place in aboard(depot, van) if place != van.id]
    levels = {
        (point.item_id, drawer): (point.order_up_to, there.get((point.item_id, drawer), 0))
        for drawer in drawers
        for point in set_points_at(depot, drawer)
    }
    in_drawers = {item_id for item_id, _ in levels}
    for point in set_points_at(depot, van.id):
        places = [van.id] if point.item_id in in_drawers else [van.id, *drawers]
        has = sum(there.get((point.item_id, place), 0) for place in places)
        levels[point.item_id, van.id] = (point.order_up_to, has)
    return levels


def _promised(
    depot: Depot, van: Place, levels: dict[tuple[int, int], tuple[int, int]]
) -> tuple[list[_Want], dict[int, int]]:
    """Return what the van was promised, and {item: how much of that counts towards its par}."""
    homes = dict(reversed(levels))  # the first drawer that has a par for it
    wants: list[_Want] = []
    towards_par: dict[int, int] = {}
    for line in owed(depot, van=van.id):
        if line.due <= 0:
            continue
        target = homes.get(line.item_id, van.id)
        par, has = levels.get((line.item_id, target), (0, 0))
        wants.append(_Want(line.item_id, target, line.due, par, has, line.id, line.job))
        if not line.job:
            towards_par[line.item_id] = towards_par.get(line.item_id, 0) + line.due
    return wants, towards_par


def on_shelf(depot: Depot, item_id: int, today: str) -> list[Holding]:
    """Return what the bins hold of an item and may go out, in the order it must go; nothing past its date."""
    bins = [held for held in holdings_of(depot, item_id) if held.kind == "bin" and held.quantity > 0]
    good = [held for held in bins if not (today and held.best_before and held.best_before < today)]
    dated = [held for held in good if held.best_before]
    return [*oldest_first(dated), *(held for held in good if not held.best_before)]


def _take(depot: Depot, free: dict[int, list[Holding]], item: Item, want: _Want, picks: list[Pick]) -> int:
    """Take from the free shelf stock into ``picks``; returns what could not be had."""
    rest = want.quantity
    left: list[Holding] = []
    target = place_by_id(depot, want.target)
    for held in free[item.id]:
        take = min(rest, held.quantity)
        if take:
            rest -= take
            pick = pick_from(depot, item, held, target, take)
            asked = want.request_line
            picks.append(replace(pick, par=want.par, aboard=want.aboard, request_line=asked, job=want.job))
        if held.quantity > take:
            left.append(replace(held, quantity=held.quantity - take))
    free[item.id] = left
    return rest


def pick_from(depot: Depot, item: Item, held: Holding, target: Place, quantity: int) -> Pick:
    """Return the line that takes ``quantity`` of a holding."""
    return Pick(
        item=item,
        source=place_by_id(depot, held.place_id),
        target=target,
        quantity=quantity,
        lot_id=held.lot_id or None,
        lot=held.lot,
        best_before=held.best_before,
        par=0,
        aboard=0,
        cautions=tuple(cautions_of(depot, item.id)),
        there=held.quantity,
    )


def missing_line(depot: Depot, item: Item, quantity: int, van: Place, request_line: int | None = None) -> Missing:
    """Return what is short, with who else has it and what goes instead: the successor first, then substitutes."""
    riding = set(aboard(depot, van))
    elsewhere: dict[str, int] = {}
    for held in holdings_of(depot, item.id):
        if held.place_id not in riding:
            elsewhere[held.place] = elsewhere.get(held.place, 0) + held.quantity
    instead: dict[str, int] = {}
    for other in [successor(depot, item), *substitutes_of(depot, item.id)]:
        have = sum(held.quantity for held in holdings_of(depot, other.id) if held.kind == "bin")
        if other.id != item.id and have:
            instead[other.part_number] = have
    return Missing(item, quantity, tuple(elsewhere.items()), tuple(instead.items()), request_line)


def check_out(
    depot: Depot,
    operator: Operator,
    van: Place,
    picks: Sequence[Pick],
    missing: Sequence[Missing] = (),
    *,
    reference: str = "",
    reason: str = "",
    serials: Mapping[str, Sequence[int]] | None = None,
) -> int:
    """Post one checkout of the picks, and promise what was missing to the van; returns the slip's number.

    Missing lines that were promised already stay so; others become a request that Monday's report counts.
    ``serials`` names the units that go, as {pick's key: serial ids}.
    """
    lines = [line for pick in picks for line in _lines(pick, (serials or {}).get(pick.key, ()))]
    with depot.write():
        slip = post(
            depot, "checkout", lines, operator=operator, reference=reference or f"restock {van.code}", reason=reason
        )
        promise_missing(depot, operator, van, missing)
    return slip


def _lines(pick: Pick, serials: Sequence[int]) -> list[Line]:
    ends = (pick.item.id, pick.source.id, pick.target.id)
    named = [Line(*ends, 1, None, serial, request_line=pick.request_line) for serial in serials[: pick.quantity]]
    rest = pick.quantity - len(named)
    return [*named, *([Line(*ends, rest, pick.lot_id, request_line=pick.request_line)] if rest else [])]


def promise_missing(depot: Depot, operator: Operator, van: Place, missing: Sequence[Missing]) -> int | None:
    """Promise to the van what is missing and not promised yet, as one request; returns its number."""
    asks = [
        Asked(f"restock of {van.code}: {m.quantity} {m.item.description}", m.item.id, m.quantity, promised=True)
        for m in missing
        if m.request_line is None
    ]
    if not asks:
        return None
    return keep_request(depot, f"Short at the restock of {van.code}", asks, operator=operator, van=van.id)
