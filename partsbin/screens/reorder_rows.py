"""How Reorder shows its four views: lines to order, open orders, short requests, dated stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from rich.text import Text

from partsbin.depot.orders import OrderLine as Ordered
from partsbin.depot.plain_text import counted
from partsbin.depot.setpoints import SetPoint
from partsbin.desk.monday import Dated, MondayReport, ShortRequest
from partsbin.desk.order_sheet import Group, OrderLine, OrderSheet
from partsbin.desk.ordering import total_words
from partsbin.exchange.values import major

VIEWS = ("To order", "Orders", "Short", "Dated")
_FIGURES = {1, 4, 5, 6, 7}  # columns of figures, set to the right
_MARKS = {"open": "·", "skipped": "–", "added": "+", "noted": "?"}


@dataclass(frozen=True, slots=True)
class View:
    """A table to show: headings, rows, their names, and which column gives way on a narrow terminal."""

    headings: tuple[str, ...]
    rows: list[list[Text]]
    keys: list[str]
    giving: int


def strip(sheet: OrderSheet, orders: Sequence[Ordered], at: int) -> Text:
    """Return the week and the four views with how much is in each, the one shown marked."""
    late = len({line.order for line in sheet.report.overdue})
    counts = (
        str(sum(1 for line in sheet.lines if line.goes)),
        str(len({line.order for line in orders})) + (f" ({late} late)" if late else ""),
        str(len(sheet.report.short)),
        str(len(sheet.report.dated)),
    )
    text = Text(f"{sheet.report.week} ", no_wrap=True)
    for number, (name, count) in enumerate(zip(VIEWS, counts, strict=True)):
        text.append(" ▸" if number == at else "  ")
        text.append(f"{name} {count}", "bold reverse" if number == at else "")
    return text


# -- lines to order --------------------------------------------------------------------------------------


def to_order(sheet: OrderSheet) -> View:
    """Return the lines by supplier, each group under a line with the supplier and its total."""
    rows: list[list[Text]] = []
    keys: list[str] = []
    for group in sheet.groups():
        rows.append(_group_row(group))
        keys.append(f"s:{group.supplier}")
        for line in group.lines:
            rows.append(_order_row(line))
            keys.append(f"i:{line.proposed.low.item_id}")
    return View(("", "Order", "Part", "What", "Pos", "Point", "Up to", "Value"), rows, keys, 3)


def _group_row(group: Group) -> list[Text]:
    name = group.supplier or "No supplier stated"
    goal = group.terms is not None and group.going and group.total < group.terms.minimum_order
    cells = ["▸", "", counted(len(group.going), "line"), name, "", "", "min" if goal else "", major(group.total)]
    return [Text(cell, "bold", justify="right" if at in _FIGURES else "left") for at, cell in enumerate(cells)]


def _order_row(line: OrderLine) -> list[Text]:
    low = line.proposed.low
    mark = "skipped" if line.skipped else "added" if line.added else "noted" if line.proposed.note else "open"
    changed = "*" if line.quantity != line.proposed.quantity and not line.added else ""
    cells = [
        *(_MARKS[mark], f"{line.quantity}{changed}", low.part_number, low.description),
        *(str(low.position), str(low.reorder_point), str(low.order_up_to)),
        major(line.final.value) or "?",
    ]
    style = "dim strike" if line.skipped else ""
    return [Text(cell, style, justify="right" if at in _FIGURES else "left") for at, cell in enumerate(cells)]


def group_words(group: Group, day: date, currency: str) -> str:
    """Return what there is to say about a supplier's order."""
    if not group.supplier:
        return (
            "Nobody is named who sells these. Give the items a supplier on their card (F9); then they can be ordered."
        )
    terms = group.terms
    total = total_words(group.total, group.unpriced, terms, currency)
    said = [f"{group.supplier}: {counted(len(group.going), 'line')}, {total}."]
    if terms and terms.order_days:
        said.append(f"Takes orders next on {terms.next_day(day):%A %d %B}.")
    if group.goal:
        said.append("F fills the order up with what will be needed soonest.")
    said.append("O turns these lines into a purchase order.")
    return "\n".join(said)


def line_words(line: OrderLine, points: Sequence[SetPoint], cautions: Sequence[str], price_breaks: str) -> str:
    """Return the arithmetic behind a line: position, due or not, quantity, price, and why these set points."""
    low, proposed = line.proposed.low, line.proposed
    due = "due" if low.position <= low.reorder_point else "not due"
    lead = "lead time not known" if low.lead_time_days is None else f"lead time {low.lead_time_days} days"
    theirs = f"their number {low.their_number}, " if low.their_number else ""
    said = [
        f"{low.part_number}  {low.description}",
        f"on hand {low.on_hand} + on order {low.on_order} − promised {low.promised} = position {low.position}; "
        f"reorder point {low.reorder_point}: {due}",
        _quantity_words(line),
        f"Note: {proposed.note}" if proposed.note else "",
        f"{low.supplier or 'no supplier stated'}: {theirs}{lead}" + (f"; {price_breaks}" if price_breaks else ""),
        _why(low.explanation, points),
        *cautions,
    ]
    return "\n".join(text for text in said if text)


def _quantity_words(line: OrderLine) -> str:
    low = line.proposed.low
    packs = f" → packs of {low.pack_size}" if low.pack_size > 1 else ""
    least = f", at least {low.minimum}" if low.minimum else ""
    wanted = max(low.order_up_to - low.position, 0)
    said = f"up to {low.order_up_to} − {low.position} = {wanted}{packs}{least} → {line.proposed.quantity}"
    if line.skipped:
        said += "; skipped"
    elif line.quantity != line.proposed.quantity:
        said += f"; keyed {line.quantity}"
    cost = "price not known" if low.cost is None else f"{line.quantity} × {major(low.cost)} = {major(line.final.value)}"
    return f"{said}; {cost}"


def _why(explanation: str, points: Sequence[SetPoint]) -> str:
    if explanation:
        return f"Why: {explanation}"
    if not points:
        return "Why: it has no set point on the shelf; it is asked for beyond what is here and coming."
    sources = ", ".join(dict.fromkeys(f"{point.source} {point.since[:10]}".strip() for point in points))
    return f"Why: set points {sources}; “partsbin plan” would work them out from use."


def empty_words(report: MondayReport, *, any_points: bool, orders: int) -> str:
    """Return what an empty report says, and what to do next."""
    if not any_points:
        return (
            "Nothing can be due: this depot has no set points yet. Import setpoints.csv, key them on an item's card "
            "(F9), or let “partsbin plan” work them out from the moves, and accept them."
        )
    waits = [
        counted(orders, "open order") if orders else "",
        f"{counted(len(report.overdue), 'line')} overdue" if report.overdue else "",
        counted(len(report.short), "short request") if report.short else "",
        f"{counted(len(report.dated), 'lot')} that will not sell" if report.dated else "",
    ]
    also = ", ".join(text for text in waits if text)
    return "Nothing stands at or below its reorder point: there is nothing to order this week. " + (
        f"V shows what else waits: {also}." if also else "Nothing else waits either."
    )


# -- the other views -------------------------------------------------------------------------------------


def open_orders(orders: Sequence[Ordered], day: date) -> View:
    """Return one row an open order, the earliest expected first."""
    rows, keys = [], []
    for number, group in _by_order(orders):
        lines = list(group)
        value = sum((line.cost or 0) * line.due for line in lines)
        expected = min((line.expected_on for line in lines if line.expected_on), default="")
        late = (day - date.fromisoformat(expected)).days if expected else 0
        state = f"{late} days late" if late > 0 else "today" if expected and late == 0 else ""
        cells = (number, lines[0].supplier, expected or "not said", str(len(lines)), major(value), state)
        rows.append([Text(cell, "bold" if late > 0 else "") for cell in cells])
        keys.append(f"o:{number}")
    return View(("Order", "Supplier", "Expected", "Lines due", "Value due", "State"), rows, keys, 1)


def _by_order(orders: Sequence[Ordered]) -> list[tuple[str, list[Ordered]]]:
    ranked = sorted(orders, key=lambda line: (line.expected_on or "9999", line.order_id, line.line))
    numbers = dict.fromkeys(line.order for line in ranked)
    return [(number, [line for line in ranked if line.order == number]) for number in numbers]


def order_words(orders: Sequence[Ordered], number: str) -> str:
    """Return an open order's lines still to come."""
    lines = [line for line in orders if line.order == number]
    if not lines:
        return "No order is open. O on a line to order places one."
    said = [f"{number}, {lines[0].supplier}, ordered {lines[0].ordered_at[:10]}. F3 books what arrives; C closes it."]
    for line in lines:
        part = f" ({line.received} of {line.quantity} came)" if line.received else ""
        said.append(f"{line.due:>6} {line.part_number:<14} {line.description}{part}")
    return "\n".join(said)


def short_requests(short: Sequence[ShortRequest]) -> View:
    """Return one row a promised line the shelf cannot supply."""
    rows = [
        [
            Text(cell)
            for cell in (
                *(str(x.owed.due), str(x.on_shelf), x.owed.part_number, x.owed.description),
                *(x.owed.van or "desk", x.owed.job, x.owed.asked_at[:10]),
            )
        ]
        for x in short
    ]
    headings = ("Owed", "Shelf", "Part", "What", "For", "Job", "Since")
    return View(headings, rows, [f"r:{x.owed.id}" for x in short], 3)


def short_words(found: ShortRequest | None, coming: Sequence[Ordered]) -> str:
    """Return what is known about a short request: what is on its way."""
    if found is None:
        return "Every promised line can be supplied from the shelf."
    owed = found.owed
    on_way = [line for line in coming if line.item_id == owed.item_id]
    said = [
        f"{owed.part_number}  {owed.description}",
        f"Request {owed.request_id} was promised {owed.quantity}, got {owed.supplied}; "
        f"older promises leave it {found.on_shelf} of the shelf.",
        *(f"{line.due} on order {line.order}, expected {line.expected_on or 'on no stated day'}." for line in on_way),
    ]
    said += [] if on_way else ["None is on order: it counts against its position, so see the lines to order."]
    return "\n".join([*said, "C withdraws the promise."])


def dated(lots: Sequence[Dated]) -> View:
    """Return one row a lot that use will not empty before its date."""
    rows = [
        [
            Text(cell)
            for cell in (
                *(x.best_before, x.part_number, x.description, x.lot),
                *(str(x.quantity), f"{x.weekly_use:.1f}", str(x.left_over)),
            )
        ]
        for x in lots
    ]
    headings = ("Best before", "Part", "What", "Lot", "Here", "A week", "Left over")
    return View(headings, rows, [f"d:{x.part_number}:{x.lot}" for x in lots], 2)


def dated_words(found: Dated | None, where: Sequence[tuple[str, int]], monday: date) -> str:
    """Return what is known about a lot that will not sell."""
    if found is None:
        return "Every dated lot will be used up before its date at the present rate."
    weeks = (date.fromisoformat(found.best_before) - monday).days / 7
    places = ", ".join(f"{code} {quantity}" for code, quantity in where)
    when = f"{weeks:.0f} weeks from Monday" if weeks >= 0 else "past its date: take it off the shelf"
    return "\n".join(
        [
            f"{found.part_number}  {found.description}",
            f"Lot {found.lot}, best before {found.best_before} ({when}). At {found.weekly_use:.1f} a week "
            f"{found.left_over} of {found.quantity} stay unsold.",
            f"It lies at {places}. Put it first on rounds that sell it, offer it, or write it off.",
        ]
    )
