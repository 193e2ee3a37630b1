"""The depot the faults are tried on, processes that work in it, and the judge of what they left behind.

A worker writes into its own log before and after each posting, straight to the operating system, so that what it was
told stays known when it is killed: a posting told as done must be in the file once and whole.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

from partsbin.depot.catalogue import part_key
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place, outside
from partsbin.depot.setpoints import SetPoint, set_point
from partsbin.desk.posting import Keyed, receive
from partsbin.errors import Refused
from tests.faults.tally import Tally

PARTS = tuple(f"P-{n:03d}" for n in range(1, 13))
BINS = tuple(f"A-01-{n:02d}-1" for n in range(1, 13))
VANS = ("VAN1", "VAN2", "VAN3")


def build(path: Path, each: int = 5000) -> Path:
    """Make a depot of twelve parts in twelve bins, ``each`` of every part, three vans, set points."""
    with Depot.create(path) as depot:
        desk = the_operator(depot)
        with depot.write():
            for code in BINS:
                add_place(depot, code, "bin")
            for code in VANS:
                add_place(depot, code, "van")
            for number, home in zip(PARTS, BINS, strict=True):
                bin_id = depot.value("SELECT id FROM places WHERE code = ?", (home,))
                item = depot.run(
                    "INSERT INTO items (part_number, part_key, description, home_bin) VALUES (?,?,?,?)",
                    (number, part_key(number), f"Test part {number}", bin_id),
                ).lastrowid
                set_point(depot, SetPoint(int(item or 0), outside(depot, "shelf").id, each, 2 * each), desk)
            receive(depot, desk, [Keyed(number, str(each)) for number in PARTS], reference="opening")
    return path


class Log:
    """A worker's own record: one line before a posting, one after it."""

    def __init__(self, path: Path) -> None:
        self._handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        self.refused = 0

    def write(self, *words: object) -> None:
        """Write one line at once."""
        os.write(self._handle, (" ".join(str(word) for word in words).replace("\n", " / ") + "\n").encode())


def begin(job: Callable[[], None]) -> int:
    """Run a job in a process of its own and return its id; it ends by itself or is killed."""
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child:
        return child
    status = 1
    try:
        random.seed(os.urandom(8))
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        job()
        status = 0
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(status)


def end(child: int, *, kill: bool = False) -> int:
    """Wait for a process, killing it first where asked; returns its status as the system gives it."""
    if kill:
        os.kill(child, signal.SIGKILL)
    return os.waitpid(child, 0)[1]


def guarded(log: Log, job: Callable[[], object]) -> object:
    """Run one posting; a refusal is noted with its words, anything else as what nobody should see."""
    try:
        return job()
    except Refused as refused:
        log.refused += 1
        log.write("refused", refused)
    except Exception as error:
        log.write("refused", f"Traceback {type(error).__name__}: {error}")
    return None


def judge(path: Path, logs: list[Path], tally: Tally) -> None:
    """Hold the file against what the workers were told, and prove it."""
    with Depot.open(path) as depot:
        rows = depot.all(
            "SELECT s.reference, count(DISTINCT s.id), count(m.id) FROM slips s LEFT JOIN moves m ON m.slip_id = s.id "
            "WHERE s.reverses IS NULL GROUP BY s.reference"
        )
        there = {row[0]: (row[1], row[2]) for row in rows}
        reversed_ = {row[0] for row in depot.all("SELECT reverses FROM slips WHERE reverses IS NOT NULL")}
        for fault in differences(depot):
            tally.harmed(fault)
    for log in logs:
        for line in log.read_text().splitlines() if log.exists() else ():
            word, _, rest = line.partition(" ")
            if word == "refused":
                tally.told(rest)
            elif word == "reversed" and int(rest) not in reversed_:
                tally.missed(line)
            elif word in ("trying", "posted"):
                reference, moves = rest.split()[:2]
                slips, found = there.get(reference, (0, 0))
                if word == "posted" and not slips:
                    tally.missed(line)
                tally.doubled += max(0, slips - 1)
                if slips == 1 and found != int(moves):
                    tally.harmed(f"{line}: {found} moves in the file")
