"""Looking back: slips and their lines."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.depot.file import Depot


@dataclass(frozen=True, slots=True)
class SlipHead:
    """A posted slip as a list shows it."""

    id: int
    kind: str
    posted_at: str
    operator: str
    reference: str
    reason: str
    reverses: int | None
    reversed_by: int | None
    lines: int


@dataclass(frozen=True, slots=True)
class SlipLine:
    """One move of a slip, in words."""

    line: int
    part_number: str
    description: str
    lot: str
    serial: str
    source: str
    target: str
    quantity: int
    entered: str


_HEADS = """
SELECT s.id, s.kind, s.posted_at, o.initials, s.reference, s.reason, s.reverses,
       (SELECT r.id FROM slips r WHERE r.reverses = s.id), (SELECT count(*) FROM moves m WHERE m.slip_id = s.id)
FROM slips s JOIN operators o ON o.id = s.operator
"""


def slips(depot: Depot, *, words: str = "", before: int | None = None, limit: int = 200) -> list[SlipHead]:
    """Return slips, the newest first; ``words`` narrows by number, kind, reference, operator, part or place."""
    where, values = ["1"], dict[str, str | int]()
    if before is not None:
        where.append("s.id < :before")
        values["before"] = before
    for number, word in enumerate(words.split()):
        key = f"w{number}"
        values[key] = f"%{word}%"
        values[f"{key}_id"] = word
        where.append(
            f"(s.id = :{key}_id OR s.kind LIKE :{key} OR s.reference LIKE :{key} OR o.initials LIKE :{key} "
            f"OR s.posted_at LIKE :{key} OR EXISTS (SELECT 1 FROM moves m JOIN items i ON i.id = m.item_id "
            "JOIN places f ON f.id = m.from_place JOIN places t ON t.id = m.to_place WHERE m.slip_id = s.id "
            f"AND (i.part_number LIKE :{key} OR f.code LIKE :{key} OR t.code LIKE :{key})))"
        )
    values["limit"] = limit
    rows = depot.all(f"{_HEADS} WHERE {' AND '.join(where)} ORDER BY s.id DESC LIMIT :limit", values)
    return [SlipHead(*tuple(row)) for row in rows]


def slip_head(depot: Depot, slip_id: int) -> SlipHead | None:
    """Return one slip's head, or None."""
    row = depot.one(f"{_HEADS} WHERE s.id = ?", (slip_id,))
    return SlipHead(*tuple(row)) if row else None


def slip_lines(depot: Depot, slip_id: int) -> list[SlipLine]:
    """Return a slip's moves in words, in line order."""
    rows = depot.all(
        "SELECT m.line, i.part_number, i.description, ifnull(l.code, ''), ifnull(x.serial, ''), f.code, t.code, "
        "m.quantity, m.entered FROM moves m JOIN items i ON i.id = m.item_id JOIN places f ON f.id = m.from_place "
        "JOIN places t ON t.id = m.to_place LEFT JOIN lots l ON l.id = m.lot_id "
        "LEFT JOIN serials x ON x.id = m.serial_id WHERE m.slip_id = ? ORDER BY m.line",
        (slip_id,),
    )
    return [SlipLine(*tuple(row)) for row in rows]
