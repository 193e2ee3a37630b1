"""What each van loads for its round: cases and loose units of each drink, packed with the last stop first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsbin.depot.asks import Asked, keep_request, owed
from partsbin.depot.catalogue import Item, the_item
from partsbin.depot.file import Depot
from partsbin.depot.machines import find_machine
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, place_by_id
from partsbin.depot.stock import on_hand
from partsbin.lanes.cases import Pool, as_cases
from partsbin.lanes.refill import Stop, needed, packing


@dataclass(frozen=True, slots=True)
class DrinkToLoad:
    """One drink: ``need`` for the round, ``aboard`` already, ``coming`` promised to the van, ``load`` what is left."""

    item: Item
    need: int
    aboard: int
    coming: int
    load: Pool


@dataclass(frozen=True, slots=True)
class RoundLoad:
    """The load of one van (None: machines no van fills yet); ``packing`` are the stops, the last one first."""

    van: Place | None
    packing: tuple[Stop, ...]
    drinks: tuple[DrinkToLoad, ...]


def round_loads(depot: Depot, stops: Sequence[Stop]) -> list[RoundLoad]:
    """Return what each van must carry to fill these stops, van by van."""
    by_van: dict[int, list[Stop]] = {}
    for stop in stops:
        machine = find_machine(depot, stop.machine.asset)
        by_van.setdefault((machine.van if machine else None) or 0, []).append(stop)
    found = []
    for van_id, own in sorted(by_van.items()):
        van = place_by_id(depot, van_id) if van_id else None
        drinks = tuple(_drink(depot, the_item(depot, part), need, van) for part, need in needed(own).items())
        found.append(RoundLoad(van, tuple(packing(own)), drinks))
    return found


def _drink(depot: Depot, item: Item, need: int, van: Place | None) -> DrinkToLoad:
    aboard = on_hand(depot, item.id, van) if van else 0
    coming = sum(line.due for line in owed(depot, van=van.id) if line.item_id == item.id) if van else 0
    return DrinkToLoad(item, need, aboard, coming, as_cases(max(0, need - aboard - coming), item.pack_size))


def promise_load(depot: Depot, operator: Operator, load: RoundLoad) -> int | None:
    """Promise the van what its round needs and it lacks; Restock then picks it. Returns the request, or None."""
    if load.van is None:
        return None
    stops = ", ".join(stop.machine.asset for stop in reversed(load.packing))
    asks = [
        Asked(
            f"load for {stops}: {drink.load.words()} {drink.item.description}",
            drink.item.id,
            drink.load.each,
            promised=True,
        )
        for drink in load.drinks
        if drink.load.each
    ]
    if not asks:
        return None
    return keep_request(depot, f"Load for {stops}", asks, operator=operator, van=load.van.id, job=f"fill {stops}")
