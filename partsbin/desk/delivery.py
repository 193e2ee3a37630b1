"""A delivery while it is being booked: its lines as keyed and scanned, what they lack, and posting them as one slip."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from typing import Any

from partsbin.depot.catalogue import Item, find_item, item_by_id, the_item
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.orders import lines_of, open_lines
from partsbin.depot.places import PHYSICAL, Place, find_place, the_place
from partsbin.desk.amounts import read_amount
from partsbin.desk.posting import Keyed, receive, usual_bin
from partsbin.desk.scanned import Known
from partsbin.errors import Refused
from partsbin.lanes.printed_dates import read_best_before

_LONGEST = 40


@dataclass(frozen=True, slots=True)
class Arrival:
    """One line of a delivery, as keyed. ``checked`` is false while it only repeats what the order still expects."""

    part: str
    quantity: str = ""
    lot: str = ""
    best_before: str = ""
    serial: str = ""
    bin: str = ""
    checked: bool = True


@dataclass
class Delivery:
    """What has been entered so far: the order it answers, the delivery note's number, the lines."""

    order: str = ""
    note: str = ""
    lines: list[Arrival] = field(default_factory=list)
    seen: int = 0
    """The last slip there was when the order was chosen: what is booked against it later, others booked."""

    def draft(self) -> dict[str, Any] | None:
        """Return it as plain data to keep, or None when nothing is entered."""
        return asdict(self) if self.lines or self.order or self.note else None

    @classmethod
    def of_draft(cls, body: dict[str, Any]) -> Delivery:
        """Bring back what was kept."""
        return cls(body["order"], body["note"], [Arrival(**line) for line in body["lines"]], body.get("seen", 0))

    # -- lines in ----------------------------------------------------------------------------------------

    def answer(self, depot: Depot, order: str) -> int:
        """Book against this order: what it still expects becomes lines, those already checked stay.

        Returns the number of items due. Refuses an unknown order, and one of which nothing is due.
        """
        number = lines_of(depot, order)[0].order
        due = expected(depot, number)
        if not due:
            message = f"Nothing of {number} is due any more: all of it came, or it was closed. Book without an order."
            raise Refused(message)
        self.order, self.seen = number, depot.value("SELECT ifnull(max(id), 0) FROM slips")
        mine = [line for line in self.lines if line.checked]
        known = {line.part for line in mine}
        new = [Arrival(item.part_number, str(quantity), checked=False) for item, quantity in due]
        self.lines = [*mine, *(line for line in new if line.part not in known)]
        return len(due)

    def add(self, depot: Depot, known: Known, quantity: str) -> int:
        """Take in an item and how many, as keyed (empty: not said yet); returns the place of its line.

        It adds to the line of the same lot, or takes over the line that the order expects. Refuses a quantity that
        cannot be, a serial number already entered, and a lot with two dates.
        """
        item = known.item
        if item is None:
            message = f"“{known.text}” is not known here yet"
            raise Refused(message)
        if quantity:
            read_amount(quantity, item)
        best_before = known.best_before or date_of_lot(depot, item, known.lot)
        arrival = Arrival(item.part_number, "", known.lot, best_before, known.serial)
        self._require_one_date(depot, item, arrival)
        at = self._same(arrival, dated=known.dated)
        if at is None:
            mine = [number for number, line in enumerate(self.lines) if line.part == arrival.part]
            at = mine[-1] + 1 if mine else len(self.lines)
            self.lines.insert(at, replace(arrival, quantity=quantity))
            return at
        line = self.lines[at]
        if line.serial:
            message = f"Serial {line.serial} of {item.part_number} is already entered; look at the piece again"
            raise Refused(message)
        self.lines[at] = self._joined(item, line, arrival, quantity)
        return at

    def _same(self, new: Arrival, *, dated: bool) -> int | None:
        """The line that a new arrival belongs to, if any: of its lot or serial, else one that names none yet."""
        mine = [at for at, line in enumerate(self.lines) if line.part == new.part]
        if not dated:
            plain = [at for at in mine if not self.lines[at].serial]
            return plain[-1] if plain else None
        alike = [at for at in mine if _alike(self.lines[at], new)]
        bare = [at for at in mine if not _told_apart(self.lines[at])]
        return next(iter([*alike, *bare]), None)

    def _joined(self, item: Item, line: Arrival, new: Arrival, quantity: str) -> Arrival:
        """A line with an arrival added; the first one of an expected line puts its quantity in the order's place."""
        filled = replace(
            line,
            lot=line.lot or new.lot,
            best_before=line.best_before or new.best_before,
            serial=new.serial,
            checked=True,
        )
        if not quantity:
            return filled
        if not (line.checked and line.quantity):
            return replace(filled, quantity=quantity)
        both = f"{line.quantity} + {quantity}"
        total = read_amount(both, item)[0]
        return replace(filled, quantity=str(total) if quantity.isdigit() and line.quantity.isdigit() else both)

    def _require_one_date(self, depot: Depot, item: Item, arrival: Arrival) -> None:
        dates = [x.best_before for x in self.lines if x.part == arrival.part and x.lot and x.lot == arrival.lot]
        dates.append(date_of_lot(depot, item, arrival.lot))
        for other in dates:
            if other and arrival.best_before and other != arrival.best_before:
                message = (
                    f"Lot {arrival.lot} of {item.part_number} is here with best before {other}, this case says "
                    f"{arrival.best_before}; check the case, and key another lot if both are right"
                )
                raise Refused(message)

    # -- one line changed --------------------------------------------------------------------------------

    def change(self, depot: Depot, at: int, what: str, text: str, today: date) -> None:
        """Set ``quantity``, ``lot``, ``best_before``, ``serial`` or ``bin`` of a line; refuses what cannot be."""
        line = self.lines[at]
        item = the_item(depot, line.part)
        value = text.strip()
        if what == "quantity":
            read_amount(value, item)
        elif what == "best_before" and value:
            value = read_best_before(value, today).isoformat()
        elif what == "bin" and value:
            value = the_place(depot, value, kinds=PHYSICAL).code
        elif len(value) > _LONGEST:
            message = f"A {what} has at most {_LONGEST} characters; check what was entered"
            raise Refused(message)
        changed = replace(line, **{what: value}, checked=True)
        if what == "lot" and not changed.best_before:
            changed = replace(changed, best_before=date_of_lot(depot, item, value))
        if what == "serial" and value:
            changed = replace(changed, quantity="1")
        if what in ("lot", "best_before"):
            others = Delivery(lines=[x for n, x in enumerate(self.lines) if n != at])
            others._require_one_date(depot, item, changed)
        self.lines[at] = changed

    # -- posting -----------------------------------------------------------------------------------------

    def past_dates(self, today: date) -> list[Arrival]:
        """Return the lines whose best-before has passed."""
        return [line for line in self.lines if line.best_before and line.best_before < today.isoformat()]

    def booked_meanwhile(self, depot: Depot, lines: Sequence[Arrival]) -> list[str]:
        """Say what of these lines other terminals have booked against the order since it was chosen."""
        mine = {line.part for line in lines}
        rows = depot.all(
            "SELECT m.slip_id, i.part_number, sum(m.quantity) FROM moves m JOIN slips s ON s.id = m.slip_id "
            "JOIN items i ON i.id = m.item_id JOIN order_lines l ON l.id = m.order_line "
            "JOIN orders o ON o.id = l.order_id WHERE m.slip_id > ? AND o.number = ? AND s.reverses IS NULL "
            "GROUP BY m.slip_id, m.item_id",
            (self.seen, self.order),
        )
        return [f"slip {slip}: {quantity} {part}" for slip, part, quantity in rows if part in mine]

    def post(self, depot: Depot, operator: Operator, lines: Sequence[Arrival]) -> int:
        """Post these lines as one receipt; returns the slip's number."""
        keyed = [
            Keyed(line.part, line.quantity, "", line.bin, line.lot, line.best_before, line.serial) for line in lines
        ]
        return receive(
            depot, operator, keyed, order=self.order, reference=" ".join(filter(None, (self.order, self.note)))
        )


def _told_apart(line: Arrival) -> bool:
    return bool(line.lot or line.best_before or line.serial)


def _alike(line: Arrival, new: Arrival) -> bool:
    """Whether two arrivals of an item are the same lot, or the same piece."""
    if line.serial or new.serial:
        return line.serial == new.serial
    if line.lot and new.lot:
        return line.lot == new.lot
    return bool(line.best_before) and line.best_before == new.best_before and line.lot == new.lot


def expected(depot: Depot, order: str) -> list[tuple[Item, int]]:
    """Return what an order still brings, as (item, base units), in the order of its lines."""
    due: dict[int, int] = {}
    for line in open_lines(depot, order):
        due[line.item_id] = due.get(line.item_id, 0) + line.due
    return [(item_by_id(depot, item_id), quantity) for item_id, quantity in due.items()]


def date_of_lot(depot: Depot, item: Item, lot: str) -> str:
    """Return the best-before that a lot already has here, or nothing."""
    return (
        depot.value("SELECT best_before FROM lots WHERE item_id = ? AND code = ?", (item.id, lot)) or "" if lot else ""
    )


def goes_to(depot: Depot, line: Arrival) -> Place | None:
    """Return where a line goes: the bin said, else the item's usual one, else None."""
    if line.bin:
        return find_place(depot, line.bin)
    try:
        return usual_bin(depot, the_item(depot, line.part))
    except Refused:
        return None


def units_of(item: Item, line: Arrival) -> int:
    """Return a line's quantity in base units; 0 while it has none that can be read."""
    try:
        return read_amount(line.quantity, item)[0]
    except Refused:
        return 0


def lacking(depot: Depot, line: Arrival) -> str:
    """Return what must still be said before a line can be posted: quantity, bin, lot, serial, or nothing."""
    item = find_item(depot, line.part)
    if item is None or not units_of(item, line):
        return "quantity"
    if goes_to(depot, line) is None:
        return "bin"
    if item.tracking == "lot" and not (line.lot or line.best_before):
        return "lot"
    return "serial" if item.tracking == "serial" and not line.serial else ""


def orders_with(depot: Depot, items: Iterable[int]) -> list[str]:
    """Return the open orders that expect any of these items, the earliest expected first."""
    wanted = set(items)
    return list(dict.fromkeys(line.order for line in open_lines(depot) if line.item_id in wanted))
