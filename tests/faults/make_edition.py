"""Keep a depot as the present edition writes it: ``python -m tests.faults.make_edition``, run before each release.

A file that is already kept is never written again: it is what depots in the field look like.
"""

from __future__ import annotations

import argparse
import gzip
import tempfile
from pathlib import Path

from partsbin.depot import migrations
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post, reverse
from partsbin.depot.operators import the_operator
from partsbin.depot.places import outside, the_place
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
        depot.run("PRAGMA journal_mode = DELETE")


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
