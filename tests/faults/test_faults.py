"""The short pass of the fault suite; the long one is ``python -m tests.faults``."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.faults.tally import Tally, table


def test_no_fault_loses_doubles_or_damages_anything_or_is_told_unclearly() -> None:
    # in a process of its own: the suite forks, which a test runner with threads should not
    ran = subprocess.run(
        [sys.executable, "-m", "tests.faults", "--short", "--json"],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.stdout.startswith("["), ran.stderr
    tallies = [Tally(**tally) for tally in json.loads(ran.stdout)]
    assert all(tally.tried or "skipped" in tally.note for tally in tallies), table(tallies)
    assert not any(tally.wrong for tally in tallies), "\n".join([*table(tallies), ran.stderr])


def test_the_table_counts_what_went_wrong() -> None:
    tally = Tally("a fault", tried=2)
    tally.told("Traceback (most recent call last)")
    tally.harmed("half a slip")
    assert table([tally])[-1].split() == ["all", "2", "0", "0", "1", "1"]
    assert tally.wrong == 2
