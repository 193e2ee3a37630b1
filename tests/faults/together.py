"""Eight terminals on one file at once."""

from __future__ import annotations

from pathlib import Path

from tests.faults.tally import Tally
from tests.faults.workers import work
from tests.faults.yard import begin, build, end, judge

_EIGHT = ("receipt", "checkout", "checkout", "last one", "count", "reversal", "reversal", "planning")


def eight_terminals(folder: Path, *, short: bool) -> Tally:
    """Post, count, reverse and plan from eight processes for a minute."""
    tally = Tally("eight terminals at once")
    seconds = 5.0 if short else 60.0
    path = build(folder / "together.depot")
    logs = [folder / f"together-{n}.log" for n in range(8)]

    def job(number: int, name: str) -> None:
        work(path, logs[number], name, f"t{number}", seconds)

    children = [begin(lambda n=n, name=name: job(n, name)) for n, name in enumerate(_EIGHT)]  # type: ignore[misc]
    for child in children:
        if end(child):
            tally.unclear += 1
            tally.details.append("a terminal ended with a fault of its own")
    tally.tried = sum(int(line[6:]) for log in logs for line in log.read_text().splitlines() if line[:6] == "tries ")
    judge(path, logs, tally)
    tally.note = f"{seconds:.0f} s"
    return tally
