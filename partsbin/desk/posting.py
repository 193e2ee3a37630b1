"""The everyday slips from what was keyed: receive, move, issue, return, count. Screens and commands both call these."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from partsbin.depot.catalogue import Item, item_by_id, the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, Short, lot, note_refusal, post, serial
from partsbin.depot.operators import Operator
from partsbin.depot.orders import OrderLine, lines_of
from partsbin.depot.places import PHYSICAL, Place, outside, place_by_id, the_place
from partsbin.depot.pulling import pull
from partsbin.depot.stock import holdings_at, holdings_of
from partsbin.desk.amounts import read_amount
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.lanes.printed_dates import read_best_before


@dataclass(frozen=True, slots=True)
class Keyed:
    """One line as keyed: texts, not yet looked up. ``source`` and ``target`` are place codes, empty for the usual."""

    part: str
    quantity: str
    source: str = ""
    target: str = ""
    lot: str = ""
    best_before: str = ""
    serial: str = ""
    reason: str = ""


def usual_bin(depot: Depot, item: Item) -> Place:
    """Return where an item belongs on the shelf: its own bin, else the bin that holds most of it.

    Refuses an item without either: say the bin once, and it is the item's own from then on.
    """
    if item.home_bin is not None:
        return place_by_id(depot, item.home_bin)
    bins = [held for held in holdings_of(depot, item.id) if held.kind == "bin"]
    if bins:
        return place_by_id(depot, max(bins, key=lambda held: held.quantity).place_id)
    message = f"{item.part_number} has no bin yet; say which bin it goes into"
    raise Refused(message)


def receive(depot: Depot, operator: Operator, lines: Sequence[Keyed], *, order: str = "", reference: str = "") -> int:
    """Book a delivery onto the shelf, against a purchase order or without one; returns the slip's number.

    Against an order, quantities fill its open lines of the same part in order; more than was ordered is booked too.
    """
    open_by_item: dict[int, list[OrderLine]] = {}
    for ordered in lines_of(depot, order) if order else ():
        open_by_item.setdefault(ordered.item_id, []).append(ordered)
    supplier = outside(depot, "supplier")
    with depot.write():
        booked: list[Line] = []
        for number, keyed in enumerate(lines, 1):
            booked += _named(number, keyed, partial(_arrival, depot, keyed, supplier, open_by_item))
        return post(depot, "receipt", booked, operator=operator, reference=reference or order)


def _named(number: int, keyed: Keyed, make: Callable[[], list[Line]]) -> list[Line]:
    """Run one line's reading, and let a refusal say which line it is."""
    try:
        return make()
    except Refused as refused:
        if number == 1:
            raise
        refused.args = (f"line {number} ({keyed.part}): {refused}",)
        raise


def _arrival(depot: Depot, keyed: Keyed, supplier: Place, ordered: dict[int, list[OrderLine]]) -> list[Line]:
    item = the_item(depot, keyed.part)
    quantity, entered = read_amount(keyed.quantity, item)
    place = the_place(depot, keyed.target, kinds=PHYSICAL) if keyed.target else usual_bin(depot, item)
    _settle_home(depot, item, place)
    date = str(read_best_before(keyed.best_before, today(depot))) if keyed.best_before else ""
    keyed_lot = keyed.lot or date.replace("-", "")  # a date alone names the lot: cases of one date go together
    lot_id = lot(depot, item.id, keyed_lot, date) if keyed_lot else None
    if item.tracking == "lot" and lot_id is None:
        message = f"{item.part_number} is kept by lot; key the lot or the best-before from the case"
        raise Refused(message)
    serial_id = serial(depot, item.id, keyed.serial) if keyed.serial else None
    lines = []
    for line, take in _against(ordered.get(item.id, []), quantity):
        lines.append(Line(item.id, supplier.id, place.id, take, lot_id, serial_id, entered, order_line=line))
        entered = ""
    return lines


def _against(ordered: list[OrderLine], quantity: int) -> Iterable[tuple[int | None, int]]:
    """Split a quantity over open order lines; what no line expects goes to the last one, or to none.

    ``ordered`` is brought up to date, so that a second lot of the same item fills what the first left open.
    """
    last: int | None = None
    for number, line in enumerate(ordered):
        last = line.id
        take = min(line.due, quantity)
        if take:
            quantity -= take
            ordered[number] = replace(line, received=line.received + take)
            yield line.id, take
    if quantity:
        yield last, quantity


def _settle_home(depot: Depot, item: Item, place: Place) -> None:
    if item.home_bin is None and place.kind == "bin":
        depot.run("UPDATE items SET home_bin = ? WHERE id = ?", (place.id, item.id))


def transfer(
    depot: Depot, operator: Operator, kind: str, lines: Sequence[Keyed], *, reference: str = "", reason: str = ""
) -> int:
    """Post a put-away, checkout, issue, return or write-off from keyed lines; returns the slip's number.

    Dated cases go first expired first out; another lot needs a reason.
    """
    try:
        with depot.write():
            booked: list[Line] = []
            for number, keyed in enumerate(lines, 1):
                booked += _named(number, keyed, partial(_transfer_lines, depot, kind, keyed, reason))
            why = reason or "; ".join(dict.fromkeys(keyed.reason for keyed in lines if keyed.reason))
            return post(depot, kind, booked, operator=operator, reference=reference, reason=why)
    except Short as short:  # noted once what was begun is undone, or the note would go with it
        if not depot.connection.in_transaction:
            note_refusal(depot, operator, f"{kind} below zero", str(short), short.item_id, short.place_id)
        raise


def _transfer_lines(depot: Depot, kind: str, keyed: Keyed, reason: str) -> list[Line]:
    item = the_item(depot, keyed.part)
    quantity, entered = read_amount(keyed.quantity, item)
    source = the_place(depot, keyed.source) if keyed.source else _usual_source(depot, kind, item)
    target = the_place(depot, keyed.target) if keyed.target else _usual_target(depot, kind, item)
    if source.id == target.id:
        message = f"{source.code} is both where it comes from and where it goes; name another place"
        raise Refused(message)
    if not source.physical:
        lot_id = lot(depot, item.id, keyed.lot, keyed.best_before) if keyed.lot else None
        serial_id = serial(depot, item.id, keyed.serial) if keyed.serial else None
        return [Line(item.id, source.id, target.id, quantity, lot_id, serial_id, entered)]
    if keyed.serial:
        serial_id = serial(depot, item.id, keyed.serial)
        return [Line(item.id, source.id, target.id, quantity, None, serial_id, entered)]
    why = reason or keyed.reason
    return pull(depot, item, source, target, quantity, lot=keyed.lot, reason=why, entered=entered)


def _usual_source(depot: Depot, kind: str, item: Item) -> Place:
    return outside(depot, "job") if kind == "return" else usual_bin(depot, item)


def _usual_target(depot: Depot, kind: str, item: Item) -> Place:
    if kind == "issue":
        return outside(depot, "job")
    return outside(depot, "scrap") if kind == "correction" else usual_bin(depot, item)


@dataclass(frozen=True, slots=True)
class Difference:
    """What a count found against the file, for one item and lot at one place."""

    item: Item
    place: Place
    lot_id: int | None
    lot: str
    expected: int
    counted: int

    @property
    def gap(self) -> int:
        """Counted less expected."""
        return self.counted - self.expected


def count_differences(
    depot: Depot, place: Place, counted: Mapping[tuple[int, str], int], *, whole_place: bool = True
) -> list[Difference]:
    """Compare a count of {(item id, lot code): quantity} with the file; only what differs is returned.

    With ``whole_place`` an item that the file has there and nobody counted counts as zero.
    """
    held = {(h.item_id, h.lot): h for h in holdings_at(depot, place) if h.place_id == place.id}
    keys = dict.fromkeys([*counted, *(held if whole_place else ())])
    found = []
    for item_id, code in keys:
        known = held.get((item_id, code))
        expected, there = (known.quantity if known else 0), counted.get((item_id, code), 0)
        if expected != there:
            lot_id = (known.lot_id or None) if known else None
            found.append(Difference(item_by_id(depot, item_id), place, lot_id, code, expected, there))
    return found


def post_count(
    depot: Depot, operator: Operator, differences: Sequence[Difference], *, reason: str, reference: str = ""
) -> int:
    """Post a count's differences; returns the slip's number. Refuses without a reason."""
    if not reason.strip():
        message = "A count difference needs a reason: say in a few words what was found."
        raise Refused(message)
    elsewhere = outside(depot, "count-difference").id
    with depot.write():
        lines = []
        for found in differences:
            lot_id = found.lot_id or (lot(depot, found.item.id, found.lot) if found.lot else None)
            source, target = (elsewhere, found.place.id) if found.gap > 0 else (found.place.id, elsewhere)
            lines.append(Line(found.item.id, source, target, abs(found.gap), lot_id))
        return post(depot, "count", lines, operator=operator, reason=reason.strip(), reference=reference)
