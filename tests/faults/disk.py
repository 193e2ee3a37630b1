"""Disks that fill up, cannot be written or go away."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from partsbin.depot.check import differences
from partsbin.depot.copying import copy_to
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk.posting import Keyed, receive
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import export_folder, import_file
from tests.faults.killing import history
from tests.faults.tally import Tally
from tests.faults.workers import STEPS
from tests.faults.yard import PARTS, Log, begin, build, end, guarded, judge


class NoDisk(Exception):  # noqa: N818 - says why a fault cannot be tried here
    """A small disk cannot be put up here."""


@contextmanager
def small_disk(folder: Path, kilobytes: int) -> Iterator[Path]:
    """Put up a disk of this size in memory, and take it down again."""
    at = folder / "disk"
    at.mkdir(exist_ok=True)
    if shutil.which("mount") is None or os.geteuid() != 0:
        message = "a disk of its own needs root"
        raise NoDisk(message)
    put_up = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "faults", str(at)], capture_output=True, check=False
    )
    if put_up.returncode:
        message = f"no disk of its own here ({put_up.stderr.decode().strip()})"
        raise NoDisk(message)
    try:
        yield at
    finally:
        subprocess.run(["umount", "-l", str(at)], check=False)


def _in_process(job: Callable[[], None], tally: Tally) -> None:
    if end(begin(job)):
        tally.unclear += 1
        tally.details.append("ended with a fault of its own")


def full(folder: Path, *, short: bool) -> Tally:
    """Fill the disk up while posting, importing, backing up, exporting; then make room and go on."""
    tally = Tally("disk full")
    original = build(folder / "f.depot")
    for number in range(3 if short else 40):
        try:
            with small_disk(folder, 1500 + 16 * number) as disk:
                _fill_and_go_on(original, disk, folder, number, tally)
        except NoDisk as reason:
            tally.note = f"skipped: {reason}"
            return tally
        tally.tried += 1
    return tally


def _fill_and_go_on(original: Path, disk: Path, folder: Path, number: int, tally: Tally) -> None:
    path, log = disk / "f.depot", folder / f"full-{number}.log"
    shutil.copyfile(original, path)
    free = os.statvfs(disk)
    filler = disk / "filler"
    filler.write_bytes(b"x" * max(0, free.f_bavail * free.f_frsize - (120 + 8 * number) * 1024))
    file = history(folder / "full.csv", f"full{number}", 4000)

    def job() -> None:
        record = Log(log)
        guarded(record, lambda: _crowd(path, record, number))
        for name, work in (
            ("import", lambda depot: import_file(Import(depot, the_operator(depot)), "moves", file)),
            ("backup", lambda depot: copy_to(depot.connection, disk / "b.backup")),
            ("export", lambda depot: export_folder(depot, disk / "out")),
        ):
            guarded(record, lambda work=work: _opened(path, work))  # type: ignore[misc]
            record.write("after", name)

    _in_process(job, tally)
    if not any(line.startswith("refused") for line in log.read_text().splitlines()):
        tally.harmed("the disk never filled up: this tried nothing")
    left = [file.name for file in disk.rglob("*") if ".partial" in file.name]
    if left:
        tally.harmed(f"left behind: {left}")
    filler.unlink()
    shutil.rmtree(disk / "out", ignore_errors=True)
    judge(path, [log], tally)
    _in_process(lambda: _go_on(path), tally)


def _crowd(path: Path, record: Log, number: int) -> None:
    with Depot.open(path) as depot:
        for n in range(3000):
            STEPS["receipt"](depot, record, f"d{number}-{n}")
            if record.refused:
                return


def _opened(path: Path, work: Callable[[Depot], object]) -> None:
    with Depot.open(path) as depot:
        work(depot)


def _go_on(path: Path) -> None:
    with Depot.open(path) as depot:
        receive(depot, the_operator(depot), [Keyed(PARTS[0], "1")], reference="room again")


def read_only(folder: Path, *, short: bool) -> Tally:
    """Open, post to, back up and check a depot on a disk that cannot be written."""
    tally = Tally("disk read-only")
    try:
        with small_disk(folder, 20_000) as disk:
            path = build(disk / "r.depot")
            before = hashlib.sha256(path.read_bytes()).hexdigest()
            log = folder / "read-only.log"
            subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
            for work in (
                _go_on,
                lambda p: Depot.create(p.with_name("new.depot")),
                lambda p: _opened(p, lambda depot: differences(depot)),
                lambda p: _opened(p, lambda depot: export_folder(depot, p.parent / "out")),
            ):
                tally.tried += 1
                _in_process(lambda work=work: guarded(Log(log), lambda: work(path)), tally)  # type: ignore[misc]
            subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
            if hashlib.sha256(path.read_bytes()).hexdigest() != before:
                tally.harmed("the file was changed")
            judge(path, [log], tally)
    except NoDisk as reason:
        tally.note = f"skipped: {reason}"
    return tally


def gone(folder: Path, *, short: bool) -> Tally:
    """Take the folder, the file or the disk away under an open program: nothing is told as posted that is not."""
    tally = Tally("folder or share gone")
    for number in range(3 if short else 30):
        path = build(folder / f"g{number}" / "g.depot")
        aside, log = folder / f"aside{number}", folder / f"g{number}.log"

        def job(path: Path = path, aside: Path = aside, log: Path = log, number: int = number) -> None:
            record = Log(log)
            with Depot.open(path) as depot:
                STEPS["receipt"](depot, record, f"g{number}-0")
                if number % 3 == 0:
                    shutil.copytree(path.parent, aside)
                    shutil.rmtree(path.parent)
                elif number % 3 == 1:
                    path.parent.rename(aside)
                else:
                    shutil.copytree(path.parent, aside)
                    path.rename(path.with_name("moved.depot"))
                STEPS["receipt"](depot, record, f"g{number}-1")
            guarded(record, lambda: Depot.open(path))

        _in_process(job, tally)
        tally.tried += 1
        judge(aside / "g.depot", [log], tally)
        if "refused" not in log.read_text():
            tally.unclear += 1
            tally.details.append("nobody was told that the file is gone")
    return tally


FAULTS = (full, read_only, gone)
