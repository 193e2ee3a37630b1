"""Posting a delivery: the last questions, one receipt, and the labels of what came."""

from __future__ import annotations

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.plain_text import counted
from partsbin.desk.arrival_labels import labels_of_slip, print_labels, usual_stock
from partsbin.desk.delivery import Arrival, Delivery, lacking
from partsbin.desk.labelling import choose
from partsbin.desk.today import today
from partsbin.screens.questions import Ask, Pick, Sure
from partsbin.screens.receive_entry import DeliveryEntry
from partsbin.screens.receive_lines import still_due, summary

_LACKS = {
    "quantity": "say how many came",
    "bin": "say which bin it goes into",
    "lot": "say its lot or its best-before",
}


async def post_delivery(screen: DeliveryEntry) -> int | None:
    """Ask what is still open, post the receipt and start afresh; returns its slip, or None when it was not posted."""
    delivery = screen.delivery
    lines = await _chosen(screen, delivery)
    if not lines or not _complete(screen, lines):
        return None
    if not await _another_delivery(screen, lines):
        return None
    if not await _without_serials(screen, lines) or not await _without_dates(screen, lines):
        return None
    if not await _dates_accepted(screen, lines):
        return None
    title = f"Post {counted(len(lines), 'line')}" + (f" against {delivery.order}" if delivery.order else "")
    question = f"{title}?\n{summary(screen.depot, lines)}\n\nDelivery note number, or Enter for none:"
    note = await screen.app.push_screen_wait(Ask(question, answer=delivery.note))
    if note is None:
        return None
    delivery.note, operator = note, screen.operator
    slip: int | None = await screen.post(lambda depot: delivery.post(depot, operator, lines))
    if slip is None:
        return None
    screen.delivery = Delivery()
    screen.changed(
        None, f"Slip {slip}: {counted(len(lines), 'line')} received.{still_due(screen.depot, delivery.order)}"
    )
    screen.entry().focus()
    return slip


async def _chosen(screen: DeliveryEntry, delivery: Delivery) -> list[Arrival]:
    """Which lines to post: all, unless only some were checked against the order."""
    checked = [line for line in delivery.lines if line.checked]
    rest = len(delivery.lines) - len(checked)
    if not delivery.lines:
        screen.complain("There is nothing to post yet: scan or key what came.")
    if not rest or not checked:
        return list(delivery.lines)
    rows = [
        f"only the {len(checked)} checked; the other {rest} stay on order",
        f"all {len(delivery.lines)}: the other {rest} came as ordered",
    ]
    chosen = await screen.app.push_screen_wait(Pick(f"{counted(rest, 'line')} not checked. What came?", rows))
    return [] if chosen is None else checked if chosen == 0 else list(delivery.lines)


def _complete(screen: DeliveryEntry, lines: list[Arrival]) -> bool:
    """Whether every line can be posted; otherwise go to the first that cannot and say what it lacks."""
    for line in lines:
        lack = lacking(screen.depot, line)
        if lack in _LACKS:
            screen.changed(screen.delivery.lines.index(line))
            screen.entry().focus()
            screen.complain(f"{line.part}: {_LACKS[lack]}. Nothing was posted yet.")
            return False
    return True


async def _another_delivery(screen: DeliveryEntry, lines: list[Arrival]) -> bool:
    """Whether what others have booked against the order meanwhile, if anything, was another delivery than this."""
    booked = screen.delivery.booked_meanwhile(screen.depot, lines)
    if not booked:
        return True
    question = f"Another terminal has booked this against {screen.delivery.order} meanwhile. Did yours come as well?"
    return await screen.app.push_screen_wait(Sure(question, "\n".join(booked)))


async def _without_serials(screen: DeliveryEntry, lines: list[Arrival]) -> bool:
    """Whether pieces without a serial number, if there are any, may be booked so."""
    bare = [line for line in lines if lacking(screen.depot, line) == "serial"]
    if not bare:
        return True
    named = "\n".join(f"{line.part} ({line.quantity})" for line in bare)
    question = "Post these without serial numbers? They cannot be followed one by one then."
    return await screen.app.push_screen_wait(Sure(question, named))


async def _without_dates(screen: DeliveryEntry, lines: list[Arrival]) -> bool:
    """Whether drinks without a best-before, if there are any, may be booked so."""
    bare = [line for line in lines if not line.best_before and the_item(screen.depot, line.part).kind == "product case"]
    if not bare:
        return True
    named = "\n".join(f"{line.part} ({line.quantity})" for line in bare)
    question = "Post these without a best-before? Nobody is told then when they go out of date. (B keys one.)"
    return await screen.app.push_screen_wait(Sure(question, named))


async def _dates_accepted(screen: DeliveryEntry, lines: list[Arrival]) -> bool:
    """Ask about dates that have passed, and leave those lines out of ``lines`` where they go back."""
    past = [line for line in screen.delivery.past_dates(today(screen.depot)) if line in lines]
    if not past:
        return True
    named = "\n".join(f"{line.part} {line.lot} best before {line.best_before}" for line in past)
    rows = ["leave them out: they go back", "book them all the same: they are not to be sold"]
    chosen = await screen.app.push_screen_wait(Pick(f"Past their date:\n{named}", rows))
    if chosen == 0:
        for line in past:
            lines.remove(line)
        if not lines:
            screen.complain("Nothing else is on this delivery, so nothing was posted.")
        return bool(lines)
    return chosen == 1


async def offer_labels(screen: DeliveryEntry, slip: int) -> None:
    """Offer the labels of what came, and say where the PDF lies."""
    one, each = labels_of_slip(screen.depot, slip), labels_of_slip(screen.depot, slip, each_case=True)
    rows = ["no labels", f"one a line ({len(one)})"]
    jobs = [None, lambda _depot: one]
    if len(each) > len(one):
        rows.append(f"one a case ({len(each)})")
        jobs.append(lambda _depot: each)
    rows.append("everything received today")
    jobs.append(lambda depot: choose(depot, ["received"]))
    where = screen.depot.setting("label_printer") or "PDF"
    title = f"Slip {slip} is posted. Labels on {usual_stock(screen.depot)} ({where})?"
    chosen = await screen.app.push_screen_wait(Pick(title, rows, 1))
    job = jobs[chosen or 0]
    if job is None:
        return

    operator, leaving = screen.operator, screen.desk.leaving

    def printed(depot: Depot) -> str:
        return print_labels(depot, operator, job(depot), f"labels slip {slip}", depot.waiting, leaving)

    words = await screen.attempt(printed, saying="making labels …")
    if words:
        screen.say(f"Slip {slip} · {words}")
