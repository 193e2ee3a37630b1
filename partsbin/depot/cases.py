"""Cases of a lot: how many units each holds, and the ones that were opened."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator


@dataclass(frozen=True, slots=True)
class CaseBreak:
    """One case opened: when, by whom, of what, where. ``slip`` is the slip that took the first of it, if any yet."""

    at: str
    operator: str
    part_number: str
    lot: str
    place: str
    per_case: int
    slip: int | None
    reason: str


def per_case(depot: Depot, lot_id: int) -> int:
    """Return the units a case of this lot holds: as it came, else the item's pack."""
    return int(
        depot.value(
            "SELECT ifnull(l.per_case, i.pack_size) FROM lots l JOIN items i ON i.id = l.item_id WHERE l.id = ?",
            (lot_id,),
        )
    )


def standing_open(depot: Depot, lot_id: int, place_id: int) -> int:
    """Return the cases of a lot opened at a place that nothing was taken from yet."""
    sql = "SELECT count(*) FROM case_breaks WHERE lot_id = ? AND place_id = ? AND slip_id IS NULL"
    return int(depot.value(sql, (lot_id, place_id)))


def note_break(
    depot: Depot, operator: Operator, item_id: int, lot_id: int, place_id: int, cases: int, reason: str
) -> None:
    """Write down that cases were opened; stock is counted in each and does not change. Call inside ``write()``."""
    row = (clock.now(), operator.id, item_id, lot_id, place_id, per_case(depot, lot_id), reason)
    for _ in range(cases):
        depot.run(
            "INSERT INTO case_breaks (at, operator, item_id, lot_id, place_id, per_case, reason) "
            "VALUES (?,?,?,?,?,?,?)",
            row,
        )


def case_breaks(depot: Depot, item_id: int | None = None, limit: int = 50) -> list[CaseBreak]:
    """Return opened cases, the newest first; of one item or of all."""
    rows = depot.all(
        "SELECT b.at, o.initials, i.part_number, l.code, p.code, b.per_case, b.slip_id, b.reason FROM case_breaks b "
        "JOIN operators o ON o.id = b.operator JOIN items i ON i.id = b.item_id JOIN lots l ON l.id = b.lot_id "
        "JOIN places p ON p.id = b.place_id WHERE :item IS NULL OR b.item_id = :item ORDER BY b.id DESC LIMIT :limit",
        {"item": item_id, "limit": limit},
    )
    return [CaseBreak(*tuple(row)) for row in rows]
