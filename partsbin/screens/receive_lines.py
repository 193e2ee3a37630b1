"""How a delivery's lines are put into rows and words."""

from __future__ import annotations

from datetime import date

from partsbin.depot.catalogue import Item, cautions_of, successor, the_item
from partsbin.depot.file import Depot
from partsbin.depot.orders import open_lines
from partsbin.depot.plain_text import counted
from partsbin.depot.stock import on_hand
from partsbin.desk.delivery import Arrival, Delivery, expected, goes_to, lacking, orders_with, units_of

HEADINGS = ("", "Part", "What", "Qty", "Due", "Lot", "Best before", "Bin")
OPTIONAL = ("Due", "Lot", "Best before")
_SOON_DAYS = 28
_SUMMED = 6
PROMPTS = {
    "quantity": "how many {part}?  12, 2 case, 2 cs + 6",
    "lot": "lot of {part}?  or its best-before, or scan the case",
    "serial": "serial number of {part}?",
    "bin": "which bin for {part}?  scan or type it",
    "": "scan or type: case, part number, quantity, bin, order number",
}


def order_rows(depot: Depot, today: date) -> list[tuple[str, tuple[str, ...]]]:
    """Return the open orders as (number, row), the earliest expected first."""
    rows: dict[str, list[str]] = {}
    lines: dict[str, int] = {}
    for line in open_lines(depot):
        late = " late" if line.expected_on and line.expected_on < today.isoformat() else ""
        rows.setdefault(line.order, [line.order, line.supplier, (line.expected_on or "not said") + late])
        lines[line.order] = lines.get(line.order, 0) + 1
    return [(number, (*row, str(lines[number]))) for number, row in rows.items()]


def rows(depot: Depot, delivery: Delivery, today: date) -> list[tuple[str, ...]]:
    """Return the lines as rows under ``HEADINGS``."""
    due = due_by_part(depot, delivery)
    out, seen = [], set[str]()
    for line in delivery.lines:
        item = the_item(depot, line.part)
        shown = "" if line.part in seen else str(due.get(item.part_number, ""))
        seen.add(line.part)
        out.append(_row(depot, line, item, today, shown))
    return out


def due_by_part(depot: Depot, delivery: Delivery) -> dict[str, int]:
    """Return {part number: base units} that the delivery's order still expects."""
    return {item.part_number: due for item, due in expected(depot, delivery.order)} if delivery.order else {}


def _row(depot: Depot, line: Arrival, item: Item, today: date, due: str) -> tuple[str, ...]:
    lack, place = lacking(depot, line), goes_to(depot, line)
    quantity = line.quantity if line.quantity.isdigit() else f"{line.quantity} = {units_of(item, line)}"
    past = "✗" if line.best_before and line.best_before < today.isoformat() else ""
    return (
        "!" if lack or past else "✓" if line.checked else "·",
        line.part,
        item.description,
        quantity if line.quantity else "how many?",
        due,
        line.lot or line.serial or (f"{lack}?" if lack in ("lot", "serial") else ""),
        past + line.best_before,
        place.code if place else "which?",
    )


def line_words(depot: Depot, delivery: Delivery, at: int, today: date) -> str:
    """Return what is to know about one line: what it is, where it goes, what is odd, its cautions."""
    line = delivery.lines[at]
    item = the_item(depot, line.part)
    out = [f"{item.part_number}  {item.description}", _way(depot, line, item)]
    out += _oddities(depot, delivery, line, item, today)
    out += [f"⚠ {caution.word}: {caution.text}" for caution in cautions_of(depot, item.id)]
    return "\n".join(out)


def _way(depot: Depot, line: Arrival, item: Item) -> str:
    place = goes_to(depot, line)
    if place is None:
        return "It has no bin yet: scan or type one, and it is its own from then on."
    usual = "its usual bin" if not line.bin else "as said"
    return f"Goes to {place.code} ({usual}), which holds {on_hand(depot, item.id, place)}."


def _oddities(depot: Depot, delivery: Delivery, line: Arrival, item: Item, today: date) -> list[str]:
    out = []
    due = due_by_part(depot, delivery).get(line.part)
    entered = sum(units_of(item, x) for x in delivery.lines if x.part == line.part)
    if due is not None and entered != due and line.checked:
        out.append(
            f"{delivery.order} expects {due}: {abs(entered - due)} {'more' if entered > due else 'fewer'} entered."
        )
    elif due is None and (orders := orders_with(depot, [item.id])):
        out.append(f"On order {' and '.join(orders[:3])}: key the number to book against it.")
    elif delivery.order and due is None:
        out.append(f"{delivery.order} does not expect it; it is booked all the same.")
    live = successor(depot, item)
    if live.id != item.id:
        out.append(f"Superseded: {live.part_number} {live.description} takes its place.")
    return out + _date_words(line, today)


def _date_words(line: Arrival, today: date) -> list[str]:
    if not line.best_before:
        return []
    days = (date.fromisoformat(line.best_before) - today).days
    if days < 0:
        return [f"✗ Best before {line.best_before} has passed: send it back, or X drops the line."]
    return [f"Best before {line.best_before}: only {days} days left."] if days < _SOON_DAYS else []


def head_words(depot: Depot, delivery: Delivery) -> str:
    """Return what is being booked, in one line."""
    if not delivery.lines and not delivery.order:
        return " Nothing in hand: choose an order, key its number, or just scan what came."
    checked = sum(1 for line in delivery.lines if line.checked)
    supplier = next((line.supplier for line in open_lines(depot, delivery.order)), "") if delivery.order else ""
    against = f"Against {delivery.order} {supplier}" if delivery.order else "Without an order"
    return f" {against} · {counted(len(delivery.lines), 'line')}, {checked} checked"


def summary(depot: Depot, lines: list[Arrival]) -> str:
    """Return what would be posted, for a last look, with the cautions that go with it."""
    out, cautions = [], dict[str, str]()
    for line in lines[:_SUMMED]:
        item = the_item(depot, line.part)
        place = goes_to(depot, line)
        told = f" lot {line.lot}" if line.lot else f" serial {line.serial}" if line.serial else ""
        out.append(f"{units_of(item, line):>6} {item.part_number}{told} → {place.code if place else '?'}")
        cautions |= {caution.word: caution.text for caution in cautions_of(depot, item.id)}
    if len(lines) > _SUMMED:
        out.append(f"     … and {len(lines) - _SUMMED} more")
    return "\n".join([*out, *(f"⚠ {word}: {text}" for word, text in list(cautions.items())[:3])])


def still_due(depot: Depot, order: str) -> str:
    """Return what an order still expects, in a sentence, or nothing."""
    if not order:
        return ""
    due = expected(depot, order)
    if not due:
        return f" {order} is complete."
    named = ", ".join(f"{quantity} {item.part_number}" for item, quantity in due[:3])
    return f" {order} still expects {named}{' and more' if len(due) > 3 else ''}."
