"""What to count: the places that press most, and the places a walk is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsbin.depot.counts import places_by_count
from partsbin.depot.file import Depot
from partsbin.depot.places import PHYSICAL, Place, aboard, find_place, place_by_id, places_of, the_place, walk_order
from partsbin.desk.count_plan import count_plan
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.planning.counts import CountLine


@dataclass(frozen=True, slots=True)
class Due:
    """A place to count, and why. ``last`` as kept, empty when never."""

    code: str
    why: str
    last: str
    holdings: int


def due(depot: Depot, limit: int = 300) -> list[Due]:
    """Return the places to count, most pressing first.

    First what the week's count plan asks for (refused postings, picks that found less, what its class makes due), a
    place once; then the others that hold something: never counted, longest not counted.
    """
    known = {place.code: place for place in places_by_count(depot)}
    asked: dict[str, list[CountLine]] = {}
    for line in count_plan(depot).lines:
        asked.setdefault(line.place, []).append(line)
    found = []
    for code, lines in asked.items():
        more = f" (and {len(lines) - 1} more)" if len(lines) > 1 else ""
        place = known.pop(code, None)
        found.append(Due(code, lines[0].why + more, place.last if place else "", place.holdings if place else 0))
    found += [
        Due(place.code, "" if place.last else "never counted", place.last, place.holdings)
        for place in known.values()
        if place.holdings
    ]
    caught = {code for code, lines in asked.items() if lines[0].caught}
    found.sort(key=lambda one: (one.code not in caught, bool(one.last), one.last, walk_order(one.code)))
    return found[:limit]


def walk(depot: Depot, text: str) -> list[Place]:
    """Return the places meant by a bin, van, aisle (``A``), bay (``A-03``) or zone, in walking order.

    A van is its drawers, then the van itself. Refuses what means none of these.
    """
    place = find_place(depot, text)
    if place is not None:
        found = the_place(depot, text, kinds=PHYSICAL)
        return [place_by_id(depot, place_id) for place_id in [*aboard(depot, found)[1:], found.id]]
    wanted = text.strip().upper()
    bins = places_of(depot, "bin")
    chosen = [p for p in bins if wanted and p.zone.upper() == wanted]
    chosen = chosen or [p for p in bins if wanted and p.code.upper().startswith(wanted.rstrip("-") + "-")]
    if not chosen:
        zones = ", ".join(sorted({p.zone for p in bins if p.zone})[:6])
        hint = f" Or a zone: {zones}." if zones else ""
        try:
            return [the_place(depot, text, kinds=PHYSICAL)]
        except Refused as refused:
            message = f"{refused}{hint} An aisle is keyed like A, a bay like A-03."
            raise Refused(message) from refused
    return chosen
