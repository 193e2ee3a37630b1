"""What already stands on the ledger when a history comes in: the same rows again, or stock that was set by hand."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from partsbin.depot.file import Depot
from partsbin.depot.ledger import reverse
from partsbin.depot.places import outside
from partsbin.depot.plain_text import plain
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.sheet import MOST_NAMED, Problems

if TYPE_CHECKING:
    from partsbin.exchange.moves import Row

Figures = dict[tuple[int, int, int], int]
"""{(item, place, lot or 0): quantity}"""

STOCK_SLIP = "stock from "
"""How the reference of a slip begins that sets stock from a file."""


def refuse_again(depot: Depot, rows: list[Row], kinds: dict[str, str], problems: Problems) -> None:
    """Refuse rows that stand on the ledger already, so that a file taken in twice does not count double.

    Same moment, kind, item, ends, quantity and reference is the same move; of a count that sets a figure, the same
    moment, item and place. Rows alike within one file are several moves: only what was there before is compared.
    """
    if not rows:
        return
    there: dict[tuple[object, ...], int] = {}
    for move in depot.connection.execute(_MOVES, (rows[0].at, rows[-1].at)):
        there[tuple(move[:7])] = move[7]
        if move[1] == "count":
            there.update({("figure", move[0], move[2], move[end]): move[7] for end in (3, 4)})
    difference = outside(depot, "count-difference").id
    again = [(row, slip) for row in rows if there and (slip := there.get(_key(row, kinds, difference)))]
    if len(again) == len(rows) or len(again) >= MOST_NAMED:
        how_many = (
            "every row of it stands" if len(again) == len(rows) else f"{len(again):,} of {len(rows):,} rows stand"
        )
        first = f"line {again[0][0].line} on slip {again[0][1]}"
        message = f"{problems.path.name}: {how_many} on the ledger already ({first}); nothing was imported."
        raise Refused(message)
    for row, slip in again:
        reason = f"stands on the ledger already, on slip {slip}; if it moved twice, give the second another reference"
        problems.add(row.line, "", reason)


def _key(row: Row, kinds: dict[str, str], difference: int) -> tuple[object, ...]:
    ends = (row.source, row.target)
    if row.type == "count" and difference not in ends:
        return ("figure", row.at, row.item_id, row.target)
    return (row.at, kinds[row.type], row.item_id, *ends, row.quantity, plain(row.values.get("reference", "")))


_MOVES = """
SELECT s.posted_at, s.kind, m.item_id, m.from_place, m.to_place, m.quantity, s.reference, s.id
FROM slips s JOIN moves m ON m.slip_id = s.id WHERE s.posted_at BETWEEN ? AND ?
"""


def stock_slips(depot: Depot) -> list[int]:
    """Return the slips that set stock from a file and still hold, where the ledger has nothing else; else nothing."""
    set_by_file = "kind = 'count' AND reference LIKE ? || '%' AND reverses IS NULL"
    if depot.value(f"SELECT 1 FROM slips WHERE reverses IS NULL AND NOT ({set_by_file})", (STOCK_SLIP,)):
        return []
    sql = f"SELECT id FROM slips WHERE {set_by_file} AND id NOT IN (SELECT reverses FROM slips WHERE reverses > 0)"
    return [row[0] for row in depot.all(sql, (STOCK_SLIP,))]


def figures_now(depot: Depot) -> Figures:
    """Return every figure of the depot that is not zero, outside places too."""
    rows = depot.all("SELECT item_id, place_id, lot_id, quantity FROM stock WHERE quantity <> 0")
    return {(row[0], row[1], row[2]): row[3] for row in rows}


def make_room(job: Import, slips: Iterable[int], outcome: Figures | None, *, whole_ledger: bool, name: str) -> str:
    """Decide what a history means for stock set by hand before it; returns the note to give.

    Where the history by itself leads to exactly the stock that was set, that slip is taken back and the history tells
    it instead. Otherwise stock set by hand is what there was at the start, and the history comes on top; but a whole
    ledger of ours begins with nothing, and is refused. ``outcome`` is what the history by itself leads to,
    None where it runs short by itself.
    """
    depot = job.depot
    numbers = ", ".join(map(str, slips))
    if outcome is not None and _physical(depot, outcome) == _physical(depot, figures_now(depot)):
        for slip in slips:
            reverse(depot, slip, operator=job.operator, reason=f"{name} tells how this stock came to be")
        return f"{name} leads to the stock set on slip {numbers}; that slip was taken back, so nothing counts double"
    if whole_ledger:
        message = (
            f"{name} is a whole ledger, but stock was set on slip {numbers} and differs from what it leads to: the two "
            "would count double. Import it before stock.csv into an empty depot, or the folder with “import all”."
        )
        raise Refused(message)
    return f"{name} was added to the stock set on slip {numbers}, taken as what there was before its first row"


def _physical(depot: Depot, figures: Figures) -> Figures:
    physical = {row[0] for row in depot.all("SELECT id FROM places WHERE physical = 1")}
    return {key: quantity for key, quantity in figures.items() if quantity and key[1] in physical}
