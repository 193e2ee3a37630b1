"""Taking stock from a place: which lots go, oldest best-before first, and what to say when there is not enough."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from partsbin.depot.catalogue import Item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, Short
from partsbin.depot.places import Place
from partsbin.depot.stock import Holding, holdings_at, shortage
from partsbin.errors import Refused


def oldest_first(holdings: Iterable[Holding]) -> list[Holding]:
    """Return holdings in the order they must go: earliest best-before, undated last, small remainders first."""
    return sorted(holdings, key=lambda held: (held.best_before or "9999", held.quantity, held.lot, held.place))


def split_past(depot: Depot, holdings: Iterable[Holding]) -> tuple[list[Holding], list[Holding]]:
    """Return (what is still good, what is past its date) by the depot's own day; the date itself still counts."""
    day = str(datetime.now(depot.zone).date())
    held = list(holdings)
    past = [h for h in held if h.best_before and h.best_before < day]
    return [h for h in held if h not in past], past


def pull(
    depot: Depot,
    item: Item,
    source: Place,
    target: Place,
    quantity: int,
    *,
    lot: str = "",
    reason: str = "",
    entered: str = "",
    request_line: int | None = None,
) -> list[Line]:
    """Return the lines that take a quantity from a place (a van with its drawers), first expired first out.

    ``lot`` names another lot to take; while an older good one stays behind that needs a ``reason``. What is past its
    date goes into no van and to no job unless a reason is given; to a bin or to scrap it goes first.
    Refuses when there is too little, saying what is there and where else it is.
    """
    held = oldest_first(h for h in holdings_at(depot, source) if h.item_id == item.id)
    past: list[Holding] = []
    goes_out = target.kind in ("van", "drawer", "job")
    if goes_out and not reason.strip():
        held, past = split_past(depot, held)
    if lot:
        why = reason if goes_out or target.kind == "bin" else reason or "scrap"
        held = _of_lot(depot, [*past, *held], item, source, lot, why, goes_out=goes_out)
    there = sum(h.quantity for h in held)
    if there < quantity:
        said = shortage(depot, item.id, item.part_number, source, wanted=quantity, there=there)
        if past and not lot:
            said += f" Another {sum(h.quantity for h in past)} there are past their date: write them off."
        raise Short(said, item.id, source.id)
    return list(_lines(held, target, quantity, entered, request_line))


def _lines(held: list[Holding], target: Place, quantity: int, entered: str, request_line: int | None) -> Iterator[Line]:
    """Take a quantity from holdings in their order; what was keyed stands on the first line only."""
    for holding in held:
        take = min(quantity, holding.quantity)
        if take <= 0:
            return
        move = (holding.item_id, holding.place_id, target.id, take, holding.lot_id or None)
        yield Line(*move, entered=entered, request_line=request_line)
        quantity, entered = quantity - take, ""


def _of_lot(
    depot: Depot, held: list[Holding], item: Item, source: Place, lot: str, reason: str, *, goes_out: bool
) -> list[Holding]:
    chosen = [h for h in held if h.lot.lower() == lot.lower()]
    if not chosen:
        known = ", ".join(f"{h.lot} ({h.quantity})" for h in held if h.lot) or "none"
        message = f"{source.code} holds no lot {lot} of {item.part_number}. Lots there: {known}."
        raise Refused(message)
    _, past = split_past(depot, held)
    if goes_out and chosen[0] in past and not reason.strip():
        message = (
            f"Lot {lot} of {item.part_number} is past its date ({chosen[0].best_before}); write it off, "
            "or give a reason for taking it."
        )
        raise Refused(message)
    older = [
        h
        for h in held
        if not (goes_out and h in past) and h.best_before and h.best_before < (chosen[0].best_before or "9999")
    ]
    if older and not reason.strip():
        message = (
            f"Lot {older[0].lot} of {item.part_number} (best before {older[0].best_before}) must go before {lot}; "
            "take that one, or give a reason for another lot."
        )
        raise Refused(message)
    return chosen
