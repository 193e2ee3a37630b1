"""Keep a depot as the present edition writes it: ``python -m tests.faults.make_edition``, run before each release.

A file that is already kept is never written again: it is what depots in the field look like.
"""

from __future__ import annotations

import argparse
import gzip
import tempfile
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from partsbin.depot import migrations
from partsbin.depot.asks import Asked, keep_request
from partsbin.depot.catalogue import the_item
from partsbin.depot.counts import Tally, note_count
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, lot, post, reverse
from partsbin.depot.operators import Operator, the_operator
from partsbin.depot.orders import place_order
from partsbin.depot.places import outside, the_place
from partsbin.desk.people import add_person, set_pin
from partsbin.desk.posting import Keyed, receive, transfer
from partsbin.errors import Refused
from tests.faults.editions import KEPT
from tests.faults.yard import BINS, VANS, build


def make(path: Path) -> None:
    """Build a depot with some hundred slips."""
    build(path, each=100)
    with Depot.open(path) as depot:
        desk, job = the_operator(depot), outside(depot, "job").id
        with depot.write():
            for n in range(200):
                at, van = the_place(depot, BINS[n % 12]).id, the_place(depot, VANS[n % 3]).id
                slip = post(depot, "checkout", [Line(1 + n % 12, at, van, 2)], operator=desk, reference=f"job {n}")
                if n % 10 == 0:
                    reverse(depot, slip, operator=desk, reason="wrong van")
                else:
                    post(depot, "issue", [Line(1 + n % 12, van, job, 1)], operator=desk, reference=f"job {n}")
        _all_else(depot, desk)
        depot.run("PRAGMA journal_mode = DELETE")


def _all_else(depot: Depot, desk: Operator) -> None:
    """Add what else a desk leaves behind: an order half come, a dated lot, a promise, a draft, PINs, a refusal."""
    item, bin_ = the_item(depot, "P-001"), the_place(depot, BINS[0])
    with depot.write():
        depot.run("INSERT INTO suppliers (name) VALUES ('Test supplier')")
        order = place_order(depot, depot.value("SELECT max(id) FROM suppliers"), [(item.id, 12, 150)], operator=desk)
        receive(depot, desk, [Keyed(item.part_number, "5")], order=order, reference="half")
        dated = [Line(item.id, outside(depot, "supplier").id, bin_.id, 70, lot(depot, item.id, "L1", "2027-03-01"))]
        post(depot, "receipt", [replace(dated[0], entered="2 cs of 35")], operator=desk, reference="dated")
        keep_request(depot, "two of P-001", [Asked("two of P-001", item.id, 2, promised=True)], operator=desk)
        depot.run("INSERT INTO drafts VALUES ('a-screen', ?, '2026-11-25T00:00:00Z', '{}')", (desk.id,))
        note_count(depot, bin_, [Tally(item.id, None, 5, 5)], operator=desk, slip=None)
    clerk = add_person(depot, desk, "KM", "Clerk", badge="B-7")
    set_pin(depot, desk, "KM", "2468")
    with suppress(Refused):
        transfer(depot, clerk, "checkout", [Keyed(item.part_number, "9999", BINS[0], VANS[0])])


def main() -> None:
    """Write the file of one edition: the present one, or an earlier one made from the first changes alone."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--edition", type=int, default=len(migrations.known()))
    edition = parser.parse_args().edition
    target = KEPT / f"edition-{edition:04d}.depot.gz"
    if target.exists():
        print(f"{target} is kept already")
        return
    every = migrations.known()
    migrations.known = lambda: every[:edition]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "e.depot"
        make(path)
        KEPT.mkdir(parents=True, exist_ok=True)
        target.write_bytes(gzip.compress(path.read_bytes(), mtime=0))
    print(f"{target}: {target.stat().st_size:,} bytes")


if __name__ == "__main__":
    main()
