"""Posting: the only way stock changes. One slip, one transaction, every move or none."""

from __future__ import annotations

import hashlib
import json
import re
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from partsbin.depot import clock
from partsbin.depot.catalogue import item_by_id
from partsbin.depot.file import Depot, Row
from partsbin.depot.operators import Operator
from partsbin.depot.places import place_by_id
from partsbin.depot.plain_text import plain
from partsbin.depot.refusals import note_refusal
from partsbin.depot.rights import require_adjustment, require_reversal
from partsbin.depot.stock import shortage
from partsbin.errors import Refused

__all__ = ["KINDS", "MOST", "Line", "Short", "lot", "note_refusal", "post", "reverse", "serial", "whole_quantity"]

KINDS = ("receipt", "put-away", "checkout", "return", "issue", "count", "correction")
MOST = 100_000
"""The largest quantity one line may carry: more is a slip of the finger."""

_MOVE = (
    "INSERT INTO moves (slip_id, line, item_id, lot_id, serial_id, from_place, to_place, quantity, "
    "entered, order_line, request_line) VALUES (?,?,?,?,?,?,?,?,?,?,?)"
)
_WHOLE = re.compile(r"[+-]?\d{1,30}")
_BODY = json.JSONEncoder(separators=(",", ":")).encode


@dataclass(frozen=True, slots=True)
class Line:
    """One move to post: whole base units of an item from one place to another (ids as in the file)."""

    item_id: int
    from_place: int
    to_place: int
    quantity: int
    lot_id: int | None = None
    serial_id: int | None = None
    entered: str = ""
    order_line: int | None = None
    request_line: int | None = None


class Short(Refused):
    """A posting would have taken a physical place below zero; carries which item and place."""

    def __init__(self, message: str, item_id: int, place_id: int) -> None:
        super().__init__(message)
        self.item_id = item_id
        self.place_id = place_id


def whole_quantity(text: object) -> int:
    """Read a quantity of 1 to 100,000 whole base units; refuses anything else and says which rule it broke."""
    shown = str(text).strip()
    if not _WHOLE.fullmatch(shown):
        message = f"“{shown}” is not a whole number; give a quantity such as 12"
        raise Refused(message)
    value = int(shown)
    if value <= 0:
        message = f"{value} is not a quantity: give a whole number above zero"
        raise Refused(message)
    if value > MOST:
        message = f"{value:,} is more than {MOST:,} on one line; check the quantity"
        raise Refused(message)
    return value


def post(
    depot: Depot,
    kind: str,
    lines: Sequence[Line],
    *,
    operator: Operator,
    reference: str = "",
    reason: str = "",
    at: str = "",
    reverses: int | None = None,
) -> int:
    """Post one slip and return its number.

    ``at`` (UTC, as kept) is for history only; otherwise the slip carries the present. Refuses an empty slip,
    a wrong quantity, and what would take a physical place below zero, saying what is there and where else it is.
    """
    _require_sound(kind, lines)
    try:
        with depot.write():
            if kind in ("count", "correction") and reverses is None and not at:
                require_adjustment(depot, operator, lines)
            return _write_slip(depot, kind, lines, operator, (reference, reason, at or clock.now(), reverses))
    except Short as short:
        if not depot.connection.in_transaction:
            note_refusal(depot, operator, f"{kind} below zero", str(short), short.item_id, short.place_id)
        raise


def _require_sound(kind: str, lines: Sequence[Line]) -> None:
    if kind not in KINDS:
        message = f"“{kind}” is not a kind of slip; slips are {', '.join(KINDS)}"
        raise Refused(message)
    if not lines:
        message = "There is nothing on this slip to post; add a line."
        raise Refused(message)
    for line in lines:
        if whole_quantity(line.quantity) > 1 and line.serial_id is not None:
            message = f"A serial number names one piece: give quantity 1 on its line, not {line.quantity}."
            raise Refused(message)


def _write_slip(
    depot: Depot,
    kind: str,
    lines: Sequence[Line],
    operator: Operator,
    head: tuple[str, str, str, int | None],
) -> int:
    reference, reason, at, reverses = plain(head[0]), plain(head[1]), head[2], head[3]  # as kept, or the hash is not
    if reverses is not None:
        _require_not_reversed(depot, reverses)  # asked once more now that no other terminal can come first
    last = depot.one("SELECT id, hash FROM slips ORDER BY id DESC LIMIT 1")
    slip_id, previous = (last["id"] + 1, last["hash"]) if last else (1, "")
    slip = (slip_id, kind, at, operator.id, reference, reason, reverses)
    moves = [
        (number, x.item_id, x.lot_id, x.serial_id, x.from_place, x.to_place, x.quantity, plain(x.entered))
        for number, x in enumerate(lines, 1)
    ]
    # straight to the connection: every text was made plain above, and a posting is what the desk waits for
    insert = depot.connection.execute
    insert("INSERT INTO slips VALUES (?,?,?,?,?,?,?,?,?)", (*slip, previous, slip_hash(previous, slip, moves)))
    for line, move in zip(lines, moves, strict=True):
        try:
            insert(_MOVE, (slip_id, *move, line.order_line, line.request_line))
        except sqlite3.IntegrityError as error:
            raise _refusal(depot, line, str(error)) from error
    return slip_id


def slip_hash(previous: str, slip: Sequence[object], moves: Sequence[Sequence[object]]) -> str:
    """Return the SHA-256 that ties a slip and its moves to the slip before: a change anywhere breaks the chain."""
    return hashlib.sha256(_BODY((previous, slip, moves)).encode()).hexdigest()


def _refusal(depot: Depot, line: Line, said: str) -> Refused:
    item, source = item_by_id(depot, line.item_id), place_by_id(depot, line.from_place)
    if "below zero" not in said:
        return Refused(f"{item.part_number} from {source.code}: {said}.")
    there = depot.value(  # the failed statement was undone, so this counts earlier lines of the same slip too
        "SELECT ifnull(sum(quantity), 0) FROM stock WHERE item_id = ? AND place_id = ? AND lot_id = ?",
        (line.item_id, line.from_place, line.lot_id or 0),
    )
    lot = depot.value("SELECT ' of lot ' || code FROM lots WHERE id = ?", (line.lot_id,)) or ""
    said = shortage(depot, item.id, item.part_number + lot, source, wanted=line.quantity, there=there)
    return Short(said, line.item_id, line.from_place)


def moves_of(depot: Depot, slip_id: int) -> list[Row]:
    """Return a slip's moves as rows of the file, in line order."""
    return depot.all("SELECT * FROM moves WHERE slip_id = ? ORDER BY line", (slip_id,))


def reverse(depot: Depot, slip_id: int, *, operator: Operator, reason: str) -> int:
    """Post the slip that takes another one back, and return its number.

    Refuses an unknown slip, one already reversed, a reversal, one whose stock has since gone elsewhere, and to
    whoever may not.
    """
    slip = depot.one("SELECT * FROM slips WHERE id = ?", (slip_id,))
    if slip is None:
        message = f"There is no slip {slip_id}."
        raise Refused(message)
    if slip["reverses"] is not None:
        message = f"Slip {slip_id} is itself a reversal of slip {slip['reverses']}; post the right slip anew instead."
        raise Refused(message)
    _require_not_reversed(depot, slip_id)
    if not reason.strip():
        message = "A reversal needs a reason: say in a few words what was wrong."
        raise Refused(message)
    require_reversal(depot, operator, slip_id)
    lines = [
        Line(
            *(move["item_id"], move["to_place"], move["from_place"], move["quantity"]),
            **{key: move[key] for key in ("lot_id", "serial_id", "entered", "order_line", "request_line")},
        )
        for move in reversed(moves_of(depot, slip_id))
    ]
    reference = slip["reference"]
    return post(
        depot,
        "correction",
        lines,
        operator=operator,
        reference=reference,
        reason=reason.strip(),
        reverses=slip_id,
    )


def _require_not_reversed(depot: Depot, slip_id: int) -> None:
    already = depot.value("SELECT id FROM slips WHERE reverses = ?", (slip_id,))
    if already:
        message = f"Slip {slip_id} was already reversed by slip {already}."
        raise Refused(message)


def lot(depot: Depot, item_id: int, code: str, best_before: str = "") -> int:
    """Return the id of an item's lot, adding it when new. Call inside ``write()``.

    Refuses a best-before that is no date, or differs from the one the lot already has: two dates are two lots.
    """
    best_before = str(clock.iso_date(best_before)) if best_before else ""
    row = depot.one("SELECT id, best_before FROM lots WHERE item_id = ? AND code = ?", (item_id, code))
    if row is None:
        cursor = depot.run("INSERT INTO lots (item_id, code, best_before) VALUES (?,?,?)", (item_id, code, best_before))
        return int(cursor.lastrowid or 0)
    if best_before and not row["best_before"]:
        depot.run("UPDATE lots SET best_before = ? WHERE id = ?", (best_before, row["id"]))
    elif best_before and best_before != row["best_before"]:
        message = f"lot {code} is already here with best-before {row['best_before']}, not {best_before}; check the case"
        raise Refused(message)
    return int(row["id"])


def serial(depot: Depot, item_id: int, text: str) -> int:
    """Return the id of an item's serial number, adding it when new. Call inside ``write()``."""
    found = depot.value("SELECT id FROM serials WHERE item_id = ? AND serial = ?", (item_id, text))
    if found:
        return int(found)
    return int(depot.run("INSERT INTO serials (item_id, serial) VALUES (?,?)", (item_id, text)).lastrowid or 0)
