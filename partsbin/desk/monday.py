"""The Monday report: what to order this week, from whom, and what else the desk should know."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from pathlib import Path

from partsbin.depot import clock
from partsbin.depot.asks import Owed, owed
from partsbin.depot.catalogue import cautions_of
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.orders import OrderLine, overdue
from partsbin.depot.reorder import Low, dated_lots, low, weekly_use
from partsbin.depot.stock import on_hand
from partsbin.errors import Refused
from partsbin.exchange.sheet import write_sheet
from partsbin.exchange.values import major
from partsbin.lanes.dated import Lot, most_to_order, near_date

USE_WEEKS = 8
"""How far back weekly use looks when the report asks whether dated stock will sell in time."""

_MARGIN_WEEKS = 2.0
_CUT = "cut from"


@dataclass(frozen=True, slots=True)
class Reorder:
    """One line to order: the figures behind it, and the quantity they lead to (whole packs, at least the minimum)."""

    low: Low
    quantity: int
    note: str = ""

    @property
    def value(self) -> int | None:
        """Line total in minor units, None when the cost is not known."""
        return None if self.low.cost is None else self.low.cost * self.quantity

    @property
    def cut(self) -> bool:
        """Whether less is proposed than the set point asks for, perhaps none, because more would not sell in time."""
        return self.note.startswith(_CUT)


@dataclass(frozen=True, slots=True)
class Dated:
    """A lot that sales will not use up in time."""

    part_number: str
    description: str
    lot: str
    best_before: str
    quantity: int
    weekly_use: float
    left_over: int


@dataclass(frozen=True, slots=True)
class ShortRequest:
    """A promised line the shelf cannot supply now: ``on_shelf`` is what promises older than this one leave of it."""

    owed: Owed
    on_shelf: int


@dataclass(frozen=True, slots=True)
class MondayReport:
    """The report of one ISO week; figures are those of the moment it was made."""

    week: str
    monday: date
    lines: tuple[Reorder, ...]
    overdue: tuple[OrderLine, ...]
    short: tuple[ShortRequest, ...]
    dated: tuple[Dated, ...]

    def by_supplier(self) -> list[tuple[str, list[Reorder]]]:
        """Return (supplier, lines) in the order of the report; the empty name is “no supplier stated”."""
        return [(name, list(lines)) for name, lines in groupby(self.lines, key=lambda line: line.low.supplier)]


def monday_report(depot: Depot, day: date) -> MondayReport:
    """Make the report of the ISO week that holds ``day``.

    Any day of a week gives the same report as long as nothing is posted in between: what is overdue or too near its
    date is judged as of that week's Monday, and nothing in it depends on the hour.
    """
    monday = day - timedelta(days=day.weekday())
    use = weekly_use(depot, clock.day_start(monday - timedelta(weeks=USE_WEEKS), depot.zone), USE_WEEKS)
    lots = lots_here(depot)
    found = low(depot)
    made = (_line(one, packs, use, lots, monday) for one, packs in zip(found, _packed(found), strict=True))
    lines = tuple(line for line in made if line.quantity or line.note)
    return MondayReport(
        week=clock.week_name(monday),
        monday=monday,
        lines=lines,
        overdue=tuple(overdue(depot, monday)),
        short=tuple(_short(depot)),
        dated=tuple(_dated(depot, use, monday)),
    )


def lots_here(depot: Depot) -> dict[int, list[Lot]]:
    """Return {item: its dated lots on the shelf and in vans}."""
    lots: dict[int, list[Lot]] = {}
    for item_id, _, _, code, best_before, quantity in dated_lots(depot):
        lots.setdefault(item_id, []).append(Lot(code, date.fromisoformat(best_before), quantity))
    return lots


def _packed(found: list[Low]) -> list[int]:
    """Return what each item lacks to its level, in whole packs and at least the minimum; all items at once."""
    from partsbin.planning import round_to_pack

    wanted = [max(one.order_up_to - one.position, 0) for one in found]
    packs, minimums = [one.pack_size for one in found], [one.minimum for one in found]
    return [int(quantity) for quantity in round_to_pack(wanted, packs, minimums)] if found else []


def _line(found: Low, packs: int, use: dict[int, float], lots: dict[int, list[Lot]], monday: date) -> Reorder:
    if found.superseded_by:
        return Reorder(found, 0, f"superseded by {found.superseded_by}: none of it is ordered any more")
    quantity, note = packs, ""
    most = most_that_sells(found, use.get(found.item_id, 0.0), lots.get(found.item_id, []), monday)
    fits = quantity if most is None else most // found.pack_size * found.pack_size
    if fits < quantity:
        fits = fits if fits >= found.minimum else 0
        quantity, note = fits, f"{_CUT} {quantity}: more would not sell before its date"
    return Reorder(found, quantity, note)


def most_that_sells(found: Low, weekly: float, lots: list[Lot], monday: date) -> int | None:
    """Return how many of a dated item sell before their date if ordered now; None for what has no shelf life.

    ``weekly`` is its use a week, ``lots`` what is here of it.
    """
    if not found.shelf_life_days:
        return None
    return most_to_order(
        lots,
        weekly,
        monday,
        arrives=monday + timedelta(days=found.lead_time_days or 7),
        life_weeks=found.shelf_life_days / 7,
        margin_weeks=_MARGIN_WEEKS,
        on_order=found.on_order,
    )


def _short(depot: Depot) -> list[ShortRequest]:
    found = []
    left: dict[int, int] = {}
    for line in owed(depot):  # oldest first: two promises cannot both count on the same piece
        there = left.get(line.item_id)
        there = on_hand(depot, line.item_id) if there is None else there
        if there < line.due:
            found.append(ShortRequest(line, there))
        left[line.item_id] = max(there - line.due, 0)
    return found


def _dated(depot: Depot, use: dict[int, float], monday: date) -> list[Dated]:
    found = []
    rows = sorted(dated_lots(depot), key=lambda row: (row[1], row[4], row[3]))
    for _, group in groupby(rows, key=lambda row: row[0]):
        held = list(group)
        lots = [Lot(row[3], date.fromisoformat(row[4]), row[5]) for row in held]
        rate = use.get(held[0][0], 0.0)
        for risk in near_date(lots, rate, monday, margin_weeks=0.0, within_weeks=0.0):
            if risk.at_risk:
                lot = risk.lot
                found.append(
                    Dated(held[0][1], held[0][2], lot.code, str(lot.best_before), lot.quantity, rate, risk.at_risk)
                )
    return sorted(found, key=lambda row: (row.best_before, row.part_number))


def order_from_report(depot: Depot, operator: Operator, report: MondayReport, supplier: str) -> str:
    """Turn one supplier's lines into a purchase order, and return its number.

    Refuses a supplier without lines, naming those that have some, and lines without a supplier.
    """
    from partsbin.desk.ordering import place

    lines = [line for line in report.lines if line.low.supplier.lower() == supplier.strip().lower()]
    if not lines:
        known = "; ".join(name for name, _ in report.by_supplier() if name)
        message = f"The report has no lines for “{supplier}”. Suppliers with lines: {known or 'none'}."
        raise Refused(message)
    return place(depot, operator, lines, report.monday)


CSV_COLUMNS = (
    *("week", "supplier", "part_number", "supplier_part_number", "description", "on_hand", "on_order", "promised"),
    *("position", "reorder_point", "order_up_to", "quantity", "pack_size", "cost", "line_total", "note", "cautions"),
)


def write_csv(depot: Depot, report: MondayReport, path: Path) -> None:
    """Write the lines to order as CSV, one a line."""
    write_sheet(
        path,
        CSV_COLUMNS,
        [
            (
                *(report.week, x.supplier, x.part_number, x.their_number, x.description, x.on_hand, x.on_order),
                *(x.promised, x.position, x.reorder_point, x.order_up_to, line.quantity, x.pack_size, major(x.cost)),
                *(major(line.value), line.note, "|".join(c.code for c in cautions_of(depot, x.item_id))),
            )
            for line in report.lines
            for x in (line.low,)
        ],
    )
