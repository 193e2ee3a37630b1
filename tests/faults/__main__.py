"""Try every fault and print one table: ``python -m tests.faults [--short] [--only WORD]``.

The short pass takes under a minute and runs with the tests; the long one takes some minutes and is run by hand. Exit
status 0 when nothing was lost, doubled, damaged or told unclearly.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from tests.faults import damage, disk, fuzz, fuzz_more, killing, stopping, together
from tests.faults.tally import Tally, table

Fault = Callable[..., Tally]
FAULTS: tuple[Fault, ...] = (
    together.eight_terminals,
    *(fault for room in (killing, stopping, disk, damage, fuzz, fuzz_more) for fault in room.FAULTS),
)


def main() -> int:
    """Run the suite."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description="Every fault, one table.")
    parser.add_argument("--short", action="store_true", help="under a minute, as the tests run it")
    parser.add_argument("--only", metavar="WORD", default="", help="faults with this word in their name")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--seed", type=int, default=time.time_ns() % 1_000_000)
    options = parser.parse_args()
    random.seed(options.seed)
    tallies: list[Tally] = []
    for fault in FAULTS:
        name = getattr(fault, "__name__", "") or getattr(fault, "name", "")
        if options.only and options.only not in name:
            continue
        started = time.monotonic()
        with tempfile.TemporaryDirectory(prefix="faults-") as folder:
            tallies.append(_tried(fault, name, Path(folder), short=options.short))
        print(f"{tallies[-1].fault}: {time.monotonic() - started:.1f} s", file=sys.stderr, flush=True)
    if options.json:
        print(json.dumps([asdict(tally) for tally in tallies]))
    else:
        print("\n".join(table(tallies)))
        print(f"seed {options.seed}")
    for tally in tallies:
        for detail in tally.details[:10]:
            print(f"{tally.fault}: {detail}", file=sys.stderr)
    return 1 if any(tally.wrong for tally in tallies) else 0


def _tried(fault: Fault, name: str, folder: Path, *, short: bool) -> Tally:
    """Try one fault; where the trying itself fails, that is an outcome too, and the others are still tried."""
    try:
        return fault(folder, short=short)
    except Exception as error:
        return Tally(name, tried=1, unclear=1, details=[f"not finished: {type(error).__name__}: {error}"])


if __name__ == "__main__":
    sys.exit(main())
