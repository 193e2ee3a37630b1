"""What a terminal does all day, as loops that a fault can hit: receipts, checkouts, counts, reversals, planning."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from pathlib import Path

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import reverse
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.depot.setpoints import SetPoint, set_point
from partsbin.desk.monday import monday_report
from partsbin.desk.posting import Keyed, count_differences, post_count, receive, transfer
from partsbin.desk.today import today
from tests.faults.yard import BINS, PARTS, VANS, Log, guarded

Step = Callable[[Depot, Log, str], None]


def _some_parts() -> list[int]:
    return random.sample(range(len(PARTS)), random.randint(1, 5))


def receipt(depot: Depot, log: Log, reference: str) -> None:
    """Book a delivery of a few parts."""
    lines = [Keyed(PARTS[n], str(random.randint(1, 9))) for n in _some_parts()]
    log.write("trying", reference, len(lines))
    if guarded(log, lambda: receive(depot, the_operator(depot), lines, reference=reference)):
        log.write("posted", reference, len(lines))


def checkout(depot: Depot, log: Log, reference: str) -> None:
    """Put a few parts onto a van."""
    van = random.choice(VANS)
    lines = [Keyed(PARTS[n], str(random.randint(1, 9)), BINS[n], van) for n in _some_parts()]
    log.write("trying", reference, len(lines))
    if guarded(log, lambda: transfer(depot, the_operator(depot), "checkout", lines, reference=reference)):
        log.write("posted", reference, len(lines))


def last_one(depot: Depot, log: Log, reference: str) -> None:
    """Ask for all that is there, as others do: somebody comes too late and is told so."""
    n = random.randrange(len(PARTS))
    lines = [Keyed(PARTS[n], str(random.choice((1, 50_000))), BINS[n], random.choice(VANS))]
    log.write("trying", reference, 1)
    if guarded(log, lambda: transfer(depot, the_operator(depot), "checkout", lines, reference=reference)):
        log.write("posted", reference, 1)


def count(depot: Depot, log: Log, reference: str) -> None:
    """Count one bin, a piece or two off."""
    n = random.randrange(len(PARTS))

    def job() -> object:
        item, place = the_item(depot, PARTS[n]), the_place(depot, BINS[n])
        with depot.write():
            held = depot.value(
                "SELECT ifnull(sum(quantity), 0) FROM stock WHERE item_id = ? AND place_id = ?", (item.id, place.id)
            )
            off = random.choice((1, 2))
            found = count_differences(depot, place, {(item.id, ""): held + off})
            return post_count(depot, the_operator(depot), found, reason="counted", reference=reference)

    log.write("trying", reference, 1)
    if guarded(log, job):
        log.write("posted", reference, 1)


def reversal(depot: Depot, log: Log, reference: str) -> None:
    """Post a receipt and take it back, or take back somebody else's."""
    receipt(depot, log, reference)
    slip = depot.value("SELECT max(id) FROM slips WHERE reverses IS NULL")
    log.write("reversing", slip)
    if guarded(log, lambda: reverse(depot, slip, operator=the_operator(depot), reason="wrong")):
        log.write("reversed", slip)


def planning(depot: Depot, log: Log, reference: str) -> None:
    """Make Monday's report and set a set point."""

    def job() -> None:
        monday_report(depot, today(depot))
        item = the_item(depot, random.choice(PARTS))
        low = random.randint(1, 50)
        set_point(depot, SetPoint(item.id, the_place(depot, "SHELF").id, low, low + 5), the_operator(depot))

    guarded(log, job)


STEPS: dict[str, Step] = {
    "receipt": receipt,
    "checkout": checkout,
    "last one": last_one,
    "count": count,
    "reversal": reversal,
    "planning": planning,
}


def work(path: Path, log: Path, name: str, mark: str, seconds: float) -> int:
    """Do one kind of work again and again for a while; returns how often."""
    record, until, done = Log(log), time.monotonic() + seconds, 0
    with Depot.open(path) as depot:
        while time.monotonic() < until:
            STEPS[name](depot, record, f"{mark}-{done}")
            done += 1
    record.write("tries", done)
    return done
