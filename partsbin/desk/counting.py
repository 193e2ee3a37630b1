"""Counting blind: the sheet of one place while it is counted, its differences, and posting them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from partsbin.depot.catalogue import Item, item_by_id, sources_of, the_item
from partsbin.depot.counts import Tally, note_count
from partsbin.depot.file import Depot
from partsbin.depot.ledger import lot
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, the_place
from partsbin.depot.pulling import oldest_first
from partsbin.depot.stock import holdings_at
from partsbin.desk.amounts import read_amount
from partsbin.desk.posting import Difference, count_differences, post_count
from partsbin.desk.scanned import Known
from partsbin.errors import Refused

REASONS = ("count error before", "damaged", "found", "mis-pick", "theft", "unit error: case for each")
_LARGE_UNITS = 2
_LARGE_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One item and lot on a sheet. ``count`` is None until it is counted; ``listed``: expected by the file."""

    part: str
    lot: str = ""
    best_before: str = ""
    count: int | None = None
    listed: bool = True


@dataclass
class Sheet:
    """The blind sheet of one place: no quantity of the file stands on it.

    ``seen`` is the last move the file held when it was drawn up; ``again`` says that large gaps were counted again.
    """

    place: str
    seen: int = 0
    again: bool = False
    lines: list[SheetLine] = field(default_factory=list)

    def draft(self) -> dict[str, Any]:
        """Return it as plain data to keep."""
        return asdict(self)

    @classmethod
    def of_draft(cls, body: dict[str, Any]) -> Sheet:
        """Bring back what was kept."""
        return cls(body["place"], body["seen"], body["again"], [SheetLine(**line) for line in body["lines"]])

    @property
    def uncounted(self) -> list[SheetLine]:
        """The lines nobody has counted yet."""
        return [line for line in self.lines if line.count is None]

    def add(self, known: Known, quantity: int | None, lot_code: str) -> int:
        """Count what was scanned (quantity None: only go there); returns the place of its line, which may be new."""
        item = known.item
        if item is None:
            message = f"“{known.text}” is not known here"
            raise Refused(message)
        at = next((n for n, x in enumerate(self.lines) if (x.part, x.lot) == (item.part_number, lot_code)), None)
        if at is None:
            self.lines.append(SheetLine(item.part_number, lot_code, known.best_before, listed=False))
            at = len(self.lines) - 1
        if quantity is not None:
            self.lines[at] = replace(self.lines[at], count=(self.lines[at].count or 0) + quantity)
        return at

    def key(self, depot: Depot, at: int, text: str) -> None:
        """Set a line's count as keyed: ``0``, ``12``, ``2 case + 6``; with a plus before it, it is added."""
        item, keyed = the_item(depot, self.lines[at].part), text.strip()
        more = keyed.startswith("+")
        keyed = keyed.lstrip("+ ")
        figure = 0 if keyed in ("0", "none") else read_amount(keyed, item)[0]
        self.lines[at] = replace(self.lines[at], count=figure + (self.lines[at].count or 0) * more)

    def clear(self, at: int) -> None:
        """Take a line's count away; a line that was not expected goes altogether."""
        if self.lines[at].listed:
            self.lines[at] = replace(self.lines[at], count=None)
        else:
            del self.lines[at]

    def none_there(self) -> None:
        """Count what nobody has counted as none."""
        self.lines = [line if line.count is not None else replace(line, count=0) for line in self.lines]

    def lots_of(self, item: Item) -> list[str]:
        """Return the lots of an item that stand on the sheet."""
        return [line.lot for line in self.lines if line.part == item.part_number]

    def counted(self, depot: Depot) -> dict[tuple[int, str], int]:
        """Return {(item id, lot): base units}; what was not counted is none."""
        return {(the_item(depot, line.part).id, line.lot): line.count or 0 for line in self.lines}


def draw_up(depot: Depot, place: Place) -> Sheet:
    """Return the blind sheet of a place: what the file holds there, and what has its home there."""
    here = [held for held in holdings_at(depot, place) if held.place_id == place.id]
    listed = {(held.item_id, held.lot): held.best_before for held in here}
    with_stock = {held.item_id for held in here}
    homes = depot.all(
        "SELECT id FROM items WHERE home_bin = :place AND retired = 0 "
        "UNION SELECT item_id FROM set_points WHERE place_id = :place",
        {"place": place.id},
    )
    listed |= {(row[0], ""): "" for row in homes if row[0] not in with_stock}
    lines = [SheetLine(item_by_id(depot, item).part_number, code, best) for (item, code), best in listed.items()]
    lines.sort(key=lambda line: (line.part, line.best_before, line.lot))
    return Sheet(place.code, _last_move(depot), lines=lines)


def _last_move(depot: Depot) -> int:
    return int(depot.value("SELECT ifnull(max(id), 0) FROM moves"))


def moved_meanwhile(depot: Depot, sheet: Sheet) -> list[SheetLine]:
    """Return the lines whose stock was moved in the file since the sheet was drawn up: their count is worth nothing."""
    place = the_place(depot, sheet.place)
    rows = depot.all(
        "SELECT DISTINCT i.part_number, ifnull(l.code, ''), ifnull(l.best_before, '') FROM moves m "
        "JOIN items i ON i.id = m.item_id LEFT JOIN lots l ON l.id = m.lot_id "
        "WHERE m.id > :seen AND (m.from_place = :place OR m.to_place = :place)",
        {"seen": sheet.seen, "place": place.id},
    )
    return [SheetLine(*tuple(row)) for row in rows]


def count_again(depot: Depot, sheet: Sheet, lines: Sequence[SheetLine]) -> None:
    """Take the counts of these lines away, adding those that are not on the sheet, and look at the file afresh."""
    keys = {(line.part, line.lot) for line in lines}
    kept = [replace(x, count=None) if (x.part, x.lot) in keys else x for x in sheet.lines]
    there = {(line.part, line.lot) for line in kept}
    sheet.lines = [*kept, *(replace(line, count=None) for line in lines if (line.part, line.lot) not in there)]
    sheet.seen = _last_move(depot)


@dataclass(frozen=True, slots=True)
class Gap:
    """A difference with what it is worth in minor units (None: cost not known)."""

    found: Difference
    value: int | None

    @property
    def key(self) -> str:
        """The name of its line."""
        return f"{self.found.item.part_number}|{self.found.lot}"

    @property
    def large(self) -> bool:
        """Whether it is large enough to count again: more than 2 units and more than 5 % of what the file says."""
        units = abs(self.found.gap)
        return units > _LARGE_UNITS and units > _LARGE_SHARE * self.found.expected


def gaps(depot: Depot, sheet: Sheet) -> list[Gap]:
    """Compare the sheet with the file; only what differs is returned."""
    found = count_differences(depot, the_place(depot, sheet.place), sheet.counted(depot))
    return [Gap(difference, _worth(depot, difference)) for difference in found]


def _worth(depot: Depot, found: Difference) -> int | None:
    cost = next((source.cost for source in sources_of(depot, found.item.id) if source.cost is not None), None)
    return None if cost is None else cost * found.gap


def to_recount(depot: Depot, sheet: Sheet) -> list[SheetLine]:
    """Return the lines to count once more because their gap is large; none when that was done already."""
    if sheet.again:
        return []
    large = {(gap.found.item.part_number, gap.found.lot) for gap in gaps(depot, sheet) if gap.large}
    return [line for line in sheet.lines if (line.part, line.lot) in large]


def post_sheet(depot: Depot, operator: Operator, sheet: Sheet, reasons: Mapping[str, str]) -> int | None:
    """Post a place's differences as one count slip and keep the count; returns the slip, None when nothing differs.

    ``reasons`` are by ``Gap.key``. Refuses a difference without one, and stock that was moved meanwhile.
    """
    place = the_place(depot, sheet.place)
    with depot.write():
        moved = moved_meanwhile(depot, sheet)
        if moved:
            named = ", ".join(dict.fromkeys(line.part for line in moved))
            message = f"{named} was moved at {place.code} while you counted: count it again; nothing was posted"
            raise Refused(message)
        _require_lots(depot, sheet)
        tallies, found = _tallies(depot, place, sheet), gaps(depot, sheet)
        slip = None
        if found:
            differences = [gap.found for gap in found]
            reason, reference = _told(found, reasons), f"count of {place.code}"
            slip = post_count(depot, operator, differences, reason=reason, reference=reference)
        note_count(depot, place, tallies, operator=operator, slip=slip)
    return slip


def by_lot(depot: Depot, place: Place, item: Item, quantity: int) -> dict[tuple[int, str], int]:
    """Return a count of an item that named no lot as counts of its lots there: what is missing went oldest first.

    Refuses more than the lots hold together where nothing says which of several it is.
    """
    held = [h for h in oldest_first(holdings_at(depot, place)) if h.item_id == item.id and h.place_id == place.id]
    lots = [h for h in held if h.lot]
    if not lots and not (item.tracking == "lot" and quantity):
        return {(item.id, ""): quantity}
    over = quantity - sum(h.quantity for h in held)
    if over > 0 and len(lots) != 1:
        listed = ", ".join(f"{h.lot} ({h.quantity})" for h in lots) or "none yet"
        message = (
            f"{item.part_number} is kept by lot at {place.code}: {listed}. Count each lot, in a CSV with a lot column"
        )
        raise Refused(message)
    counts, rest = {}, quantity
    for h in reversed(held):
        counts[item.id, h.lot] = min(rest, h.quantity) + max(over, 0) * (h is lots[0])
        rest -= min(rest, h.quantity)
    return counts


def keep_count(
    depot: Depot,
    operator: Operator,
    place: Place,
    counted: Mapping[tuple[int, str], int],
    found: Sequence[Difference],
    reason: str,
) -> int | None:
    """Post what a count found, and remember the count with what agreed too; returns the slip, None if all agreed."""
    lots = {(h.item_id, h.lot): h.lot_id or None for h in holdings_at(depot, place) if h.place_id == place.id}
    missed = {(gap.item.id, gap.lot): gap for gap in found}
    tallies = [Tally(key[0], lots.get(key), gap.expected, gap.counted) for key, gap in missed.items()]
    agreed = [(key, quantity) for key, quantity in counted.items() if key not in missed]
    tallies += [Tally(key[0], lots.get(key), quantity, quantity) for key, quantity in agreed]
    with depot.write():
        slip = post_count(depot, operator, found, reason=reason, reference=f"count of {place.code}") if found else None
        note_count(depot, place, tallies, operator=operator, slip=slip)
    return slip


def _told(found: Sequence[Gap], reasons: Mapping[str, str]) -> str:
    """Put the reasons of a slip into words; those for single lines name the part."""
    said: dict[str, list[str]] = {}
    for gap in found:
        reason = reasons.get(gap.key, "").strip()
        if not reason:
            message = f"{gap.found.item.part_number} differs by {gap.found.gap:+}: give a reason"
            raise Refused(message)
        said.setdefault(reason, []).append(gap.found.item.part_number)
    if len(said) == 1:
        return next(iter(said))
    return "; ".join(f"{reason} ({', '.join(parts)})" for reason, parts in said.items())


def _require_lots(depot: Depot, sheet: Sheet) -> None:
    """Write down lots that are new here, with their best-before."""
    for line in sheet.lines:
        if line.lot and line.count:
            lot(depot, the_item(depot, line.part).id, line.lot, line.best_before)


def _tallies(depot: Depot, place: Place, sheet: Sheet) -> list[Tally]:
    held = {(h.item_id, h.lot): h for h in holdings_at(depot, place) if h.place_id == place.id}
    tallies = []
    for (item_id, code), count in sheet.counted(depot).items():
        known = held.get((item_id, code))
        lot_id = known.lot_id if known else _lot_id(depot, item_id, code)
        if known or lot_id or not code:
            tallies.append(Tally(item_id, lot_id or None, known.quantity if known else 0, count))
    return tallies


def _lot_id(depot: Depot, item_id: int, code: str) -> int:
    return depot.value("SELECT id FROM lots WHERE item_id = ? AND code = ?", (item_id, code)) or 0
