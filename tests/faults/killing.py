"""The program killed in the middle: every slip whole or not there, every file whole or not there, drafts kept."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

from partsbin.depot import migrations
from partsbin.depot.check import differences
from partsbin.depot.copying import copy_to
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk.label_jobs import Sheet, make_job, save_job
from partsbin.desk.labelling import choose
from partsbin.errors import Refused
from partsbin.exchange.backups import restore
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import export_folder, import_file
from tests.faults.editions import first_edition
from tests.faults.tally import Tally
from tests.faults.workers import STEPS
from tests.faults.yard import BINS, PARTS, Log, begin, build, end, judge

_SHORT, _LONG = 4, 36


def kill_in(job: Callable[[], None], span: float) -> None:
    """Run a job in a process and kill it at a random point of its first ``span`` seconds."""
    ready, go = os.pipe()

    def run() -> None:
        os.write(go, b"!")
        job()

    child = begin(run)
    os.read(ready, 1)
    os.close(ready)
    os.close(go)
    time.sleep(random.uniform(0, span))
    end(child, kill=True)


def _posting(name: str) -> Callable[..., Tally]:
    def fault(folder: Path, *, short: bool) -> Tally:
        tally = Tally(f"killed: {name}")
        path, log = build(folder / "k.depot"), folder / "k.log"

        for number in range(_SHORT if short else _LONG):

            def job(mark: str = f"k{number}") -> None:
                record = Log(log)
                with Depot.open(path) as depot:
                    for n in range(10_000):
                        STEPS[name](depot, record, f"{mark}-{n}")

            kill_in(job, 0.15)
            tally.tried += 1
            judge(path, [log], tally)
        return tally

    fault.__name__ = f"killed: {name}"
    return fault


def history(path: Path, mark: str, rows: int = 300) -> Path:
    """Write a history of receipts, a slip each."""
    lines = ["date,type,part_number,from_location,to_location,quantity,reference"]
    for n in range(rows):
        at = n % len(PARTS)
        lines.append(f"2026-01-{1 + n % 28:02d},receipt,{PARTS[at]},SUPPLIER,{BINS[at]},1,{mark}-{n}")
    path.write_text("\n".join(lines) + "\n")
    return path


def imports(folder: Path, *, short: bool) -> Tally:
    """Kill a history import: all of its rows are there or none."""
    tally, rows = Tally("killed: import"), 300
    path = build(folder / "i.depot")
    for number in range(_SHORT if short else _LONG):
        file = history(folder / f"{number}.csv", f"i{number}", rows)

        def job(file: Path = file) -> None:
            with Depot.open(path) as depot:
                import_file(Import(depot, the_operator(depot)), "moves", file)

        kill_in(job, 0.12)
        tally.tried += 1
        with Depot.open(path) as depot:
            sql = "SELECT count(*), count(DISTINCT reference) FROM slips WHERE reference LIKE ?"
            count, distinct = tuple(depot.one(sql, (f"i{number}-%",)) or (0, 0))
            if distinct not in (0, rows):
                tally.harmed(f"{distinct} of {rows} rows taken in")
            tally.doubled += count - distinct
            for fault in differences(depot):
                tally.harmed(fault)
    return tally


def changes(folder: Path, *, short: bool) -> Tally:
    """Kill the bringing forward of an old file: it is old or new, never between."""
    tally, old = Tally("killed: migration"), folder / "old.depot"
    first_edition(old)
    slips = _slips(old)
    for number in range(_SHORT if short else _LONG):
        path = folder / f"m{number}.depot"
        shutil.copyfile(old, path)
        kill_in(lambda path=path: Depot.open(path).close(), 0.12)  # type: ignore[misc]
        tally.tried += 1
        edition = _edition(path)
        if edition not in (1, len(migrations.known())):
            tally.harmed(f"edition {edition} after the kill")
        for kept in folder.glob(f"m{number}-edition1-*.backup"):
            if _edition(kept) != 1 or _slips(kept) != slips:
                tally.harmed(f"the backup before the change is not whole: {kept.name}")
        whole(path, slips, tally)
    return tally


def backups(folder: Path, *, short: bool) -> Tally:
    """Kill backups: what bears a backup's name is whole."""
    tally, path = Tally("killed: backup"), build(folder / "b.depot")
    slips = _slips(path)
    for number in range(_SHORT if short else _LONG):

        def job(number: int = number) -> None:
            with Depot.open(path) as depot:
                for n in range(1000):
                    copy_to(depot.connection, folder / f"{number}-{n}.backup")

        kill_in(job, 0.15)
        tally.tried += 1
        for kept in folder.glob("*.backup"):
            whole(kept, slips, tally)
            kept.unlink()
        whole(path, slips, tally)
    return tally


def restores(folder: Path, *, short: bool) -> Tally:
    """Kill restores: a whole depot lies there at every moment, the one before or the one put back."""
    tally, path = Tally("killed: restore"), build(folder / "r.depot")
    backup = folder / "r.backup"
    with Depot.open(path) as depot:
        copy_to(depot.connection, backup)
        STEPS["receipt"](depot, Log(folder / "log"), "after")
    for number in range(_SHORT if short else _LONG):

        def job() -> None:
            for _ in range(100):
                restore(backup, path)

        kill_in(job, 0.15)
        tally.tried += 1
        if not path.exists():
            tally.missed(f"no depot after kill {number}")
            restore(backup, path)
        whole(path, None, tally)
        for kept in folder.glob("r-before-restore-*.depot"):
            whole(kept, None, tally)
            kept.unlink()
    return tally


def labels(folder: Path, *, short: bool) -> Tally:
    """Kill label jobs: kept whole or not there, and the PDF on disk too."""
    tally, path = Tally("killed: labels"), build(folder / "l.depot")
    for number in range(_SHORT if short else _LONG):

        def job(number: int = number) -> None:
            with Depot.open(path) as depot:
                what = choose(depot, ["bins"])
                for n in range(100):
                    made, _ = make_job(depot, the_operator(depot), f"bins {number}-{n}", what, Sheet())
                    if n % 2:
                        save_job(depot, made, folder / f"{number}-{n}.pdf")

        kill_in(job, 0.4)
        tally.tried += 1
        with Depot.open(path) as depot:
            papers = [row[0] for row in depot.all("SELECT pdf FROM print_jobs WHERE state = 'kept'")]
            papers += [file.read_bytes() for file in folder.glob("*.pdf")]
            for paper in papers:
                if not paper.startswith(b"%PDF") or b"%%EOF" not in paper[-32:]:
                    tally.harmed("half a label sheet")
            for fault in differences(depot):
                tally.harmed(fault)
    return tally


def exports(folder: Path, *, short: bool) -> Tally:
    """Kill exports: every CSV is whole or not there."""
    tally, path = Tally("killed: export"), build(folder / "e.depot")
    out = folder / "out"
    with Depot.open(path) as depot:
        export_folder(depot, out)
    whole = {file.name: file.read_bytes() for file in out.iterdir()}
    for _ in range(_SHORT if short else _LONG):
        shutil.rmtree(out)

        def job() -> None:
            with Depot.open(path) as depot:
                for _n in range(100):
                    export_folder(depot, out)

        kill_in(job, 0.1)
        tally.tried += 1
        out.mkdir(exist_ok=True)
        for file in out.glob("*.csv"):
            if file.read_bytes() != whole[file.name]:
                tally.harmed(f"half of {file.name}")
    return tally


def drafts(folder: Path, *, short: bool) -> Tally:
    """Kill the terminal program with half a delivery entered and a line half typed: both are offered again."""
    import signal
    import sys

    tally = Tally("killed: half-entered work")
    try:
        from tests.terminal.harness import F, Terminal
    except ImportError as missing:
        tally.note = f"skipped: {missing}"
        return tally
    path = build(folder / "d.depot")
    command = [sys.executable, "-m", "partsbin", "--depot", str(path)]
    for number in range(1 if short else 8):
        quantity, part = str(random.randint(11, 99)), PARTS[number]
        with Terminal(command, rows=24) as terminal:
            terminal.wait_for("Counter")
            terminal.send(F[3])
            terminal.wait_for("scan or type: case")
            terminal.type(f"{part}\r", gap=0.03)
            terminal.wait_for(f"Test part {part}")
            terminal.type(f"{quantity}\r", gap=0.09)
            terminal.wait_until(lambda q=quantity: q in terminal.text(), 10)  # type: ignore[misc]
            terminal.type("half typ", gap=0.09)  # slower than a scanner
            time.sleep(1)  # what is typed is in the file within half a second
            os.killpg(terminal.process.pid, signal.SIGKILL)
            terminal.process.wait()
        tally.tried += 1
        with Terminal(command, rows=24) as terminal:
            terminal.wait_for("Counter")
            terminal.send(F[3])
            try:
                terminal.wait_for(f"Test part {part}", 10)
                terminal.wait_for("half typ", 10)
            except AssertionError as gone:
                tally.missed(str(gone))
        with Depot.open(path) as depot:
            for fault in differences(depot):
                tally.harmed(fault)
            depot.run("DELETE FROM drafts")
    return tally


def _edition(path: Path) -> int:
    connection = sqlite3.connect(path)
    try:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])
    finally:
        connection.close()


def _slips(path: Path) -> int:
    connection = sqlite3.connect(path)
    try:
        return int(connection.execute("SELECT count(*) FROM slips").fetchone()[0])
    finally:
        connection.close()


def whole(path: Path, slips: int | None, tally: Tally) -> None:
    """Open a file and prove it; with ``slips``, that none is missing."""
    try:
        with Depot.open(path) as depot:
            for fault in differences(depot):
                tally.harmed(f"{path.name}: {fault}")
            found = depot.value("SELECT count(*) FROM slips")
    except Refused as refused:
        tally.harmed(f"{path.name} does not open: {refused}")
        return
    if slips is not None and found != slips:
        tally.missed(f"{path.name}: {found} of {slips} slips")


FAULTS = (
    *[_posting(name) for name in ("receipt", "checkout", "count", "reversal")],
    imports,
    changes,
    backups,
    restores,
    labels,
    exports,
    drafts,
)
