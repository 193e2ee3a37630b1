"""What to count: the places that press most, and the places a walk is made of."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.counts import places_by_count
from partsbin.depot.file import Depot
from partsbin.depot.places import PHYSICAL, Place, aboard, find_place, place_by_id, places_of, the_place, walk_order
from partsbin.desk.count_plan import count_plan
from partsbin.errors import Refused


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
    place once; then the others: postings refused there, never counted, longest not counted.
    """
    counted = {place.code: place for place in places_by_count(depot)}
    asked: dict[str, list[str]] = {}
    for line in count_plan(depot).lines:
        asked.setdefault(line.place, []).append(line.why)
    found = []
    for code, reasons in asked.items():
        known = counted.pop(code, None)
        more = f" (and {len(reasons) - 1} more)" if len(reasons) > 1 else ""
        found.append(
            Due(code, reasons[0] + more, known.last if known else "", known.holdings if known else len(reasons))
        )
    for place in counted.values():
        times = "" if place.refused == 1 else f" {place.refused} times"
        why = f"a posting was refused{times}" if place.refused else "" if place.last else "never counted"
        found.append(Due(place.code, why, place.last, place.holdings))
    found.sort(
        key=lambda one: (
            "refused" not in one.why and "found less" not in one.why,
            bool(one.last),
            one.last,
            walk_order(one.code),
        )
    )
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
