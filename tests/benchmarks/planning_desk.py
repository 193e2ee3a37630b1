"""The plan of a whole depot file: 100,000 items and 1,000,000 moves, against one plain pass over the moves.

    python tests/benchmarks/planning_desk.py            a few minutes, most of it to make the file
    python tests/benchmarks/planning_desk.py --small    a hundredth of it, to see that it runs
    python tests/benchmarks/planning_desk.py FILE       on a depot that is there already; it is not changed

Ratios are ours over what they are measured by in the same run; seconds are of the processor.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from spine import catalogue_csv, fill, set_points

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place
from partsbin.desk.plan import _items, plan_input, propose
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from partsbin.planning import plan_shelf

DAY = date(2026, 11, 25)
PASS = "SELECT m.item_id, count(*) FROM moves m JOIN slips s ON s.id = m.slip_id GROUP BY m.item_id, s.posted_at"
READING, WHOLE, MEGABYTES = 4.0, 2.0, 500.0


def busy(job: Callable[[], object]) -> float:
    """Seconds of the processor a job takes."""
    started = time.process_time()
    job()
    return time.process_time() - started


def make(path: Path, items: int, moves: int) -> None:
    """A depot of its own with bins, set points and a year of receipts and issues."""
    source = path.with_suffix(".csv")
    catalogue_csv(source, items)
    with Depot.create(path) as depot:
        import_file(Import(depot, the_operator(depot)), "items", source)
        for bay in range(1, 41):
            add_place(depot, f"A-{bay:02d}-01-1", "bin")
        fill(depot, items, moves)
        set_points(depot, items)


def peak_mb(path: Path) -> float:
    """Peak memory of a process that does nothing but plan this file."""
    code = (
        "import sys, datetime, pathlib\nfrom partsbin.depot.file import Depot\nfrom partsbin.desk.plan import propose\n"
        f"propose(Depot.open(pathlib.Path(sys.argv[1])), datetime.date({DAY.year}, {DAY.month}, {DAY.day}))\n"
        "print(next(x.split()[1] for x in open('/proc/self/status') if x.startswith('VmHWM')))"
    )
    said = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True).stdout
    return int(said) / 1024


def measure(path: Path) -> None:
    """Print the table."""
    with Depot.open(path) as depot:
        once = busy(lambda: depot.all(PASS))
        rows = _items(depot)
        reading = busy(lambda: plan_input(depot, rows, DAY, None))
        plan = plan_input(depot, rows, DAY, None)
        planning = busy(lambda: plan_shelf(plan))
        whole = busy(lambda: propose(depot, DAY))
    print(f"{len(rows):,} items; one plain pass over the moves {once:.2f} s")
    print(f"reading the history   {reading:6.2f} s = {reading / once:5.2f} passes (limit {READING:g})")
    print(f"planning it           {planning:6.2f} s")
    print(f"proposals from a file {whole:6.2f} s = {whole / (reading + planning):5.2f} of both (limit {WHOLE:g})")
    print(f"memory                {peak_mb(path):6.0f} MB = limit {MEGABYTES:g}")


def main() -> None:
    """Measure a file that is given, or make one."""
    given = [a for a in sys.argv[1:] if not a.startswith("-")]
    if given:
        return measure(Path(given[0]))
    items, moves = (1_000, 10_000) if "--small" in sys.argv else (100_000, 1_000_000)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "big.depot"
        make(path, items, moves)
        measure(path)
    return None


if __name__ == "__main__":
    main()
