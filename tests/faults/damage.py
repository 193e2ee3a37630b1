"""Files cut short or with flipped bytes, and write-ahead logs left behind: found, said, never made worse."""

from __future__ import annotations

import contextlib
import hashlib
import io
import random
import shutil
import sqlite3
from pathlib import Path

from partsbin.cli import main
from partsbin.depot.file import Depot
from tests.faults.tally import Tally
from tests.faults.workers import STEPS
from tests.faults.yard import Log, begin, build, end, judge

_PROVED = ("slips", "moves", "stock")
"""What a check answers for to the last figure. Words of the catalogue it cannot know."""


def check(path: Path) -> tuple[int, str]:
    """Run ``partsbin check`` and return its exit status and all it said."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = main(["--depot", str(path), "check"])
        except Exception as error:
            return 99, f"Traceback {type(error).__name__}: {error}"
    return code, out.getvalue() + err.getvalue()


def figures(path: Path) -> str | None:
    """Return a fingerprint of every posted figure, or None where it cannot be read."""
    connection = sqlite3.connect(path)
    try:
        digest = hashlib.sha256()
        for name in _PROVED:
            for row in connection.execute(f"SELECT * FROM {name} NOT INDEXED"):
                digest.update(repr(row).encode())
        return digest.hexdigest()
    except (sqlite3.Error, UnicodeDecodeError):
        return None
    finally:
        connection.close()


def _spoiled(folder: Path, name: str, spoil: object, tries: int) -> Tally:
    tally, original = Tally(name), folder / "whole.depot"
    _closed(build(folder / "s.depot"), original)
    right, noticed, harmless = figures(original), 0, 0
    content = original.read_bytes()
    for number in range(tries):
        path = folder / f"s{number}.depot"
        path.write_bytes(spoil(content))  # type: ignore[operator]
        before = path.read_bytes()
        code, said = check(path)
        tally.tried += 1
        if path.read_bytes() != before:
            tally.harmed("the check changed the file")
        if code:
            noticed += 1
            tally.told(said)
        elif figures(path) != right:
            tally.harmed("posted figures changed and the check did not say so")
        else:
            harmless += 1
        path.unlink()
    tally.note = f"{noticed} named by check, {harmless} left every posted figure as it was"
    return tally


def _closed(path: Path, target: Path) -> None:
    with Depot.open(path) as depot:
        for n in range(40):
            STEPS["reversal" if n % 4 == 0 else "checkout"](depot, Log(path.with_suffix(".log")), f"s-{n}")
    path.replace(target)


def truncated(folder: Path, *, short: bool) -> Tally:
    """Cut the file short anywhere."""

    def spoil(content: bytes) -> bytes:
        return content[: random.randrange(len(content))]

    return _spoiled(folder, "file truncated", spoil, 15 if short else 300)


def flipped(folder: Path, *, short: bool) -> Tally:
    """Flip bits in a few bytes anywhere."""

    def spoil(content: bytes) -> bytes:
        spoiled = bytearray(content)
        for _ in range(random.choice((1, 4, 64))):
            spoiled[random.randrange(len(spoiled))] ^= random.randrange(1, 256)
        return bytes(spoiled)

    return _spoiled(folder, "bytes flipped", spoil, 40 if short else 600)


def zeroed(folder: Path, *, short: bool) -> Tally:
    """Lose whole pages of the disk."""

    def spoil(content: bytes) -> bytes:
        page = random.randrange(len(content) // 4096) * 4096
        return content[:page] + bytes(4096) + content[page + 4096 :]

    return _spoiled(folder, "pages zeroed", spoil, 10 if short else 200)


def log_left(folder: Path, *, short: bool) -> Tally:
    """Leave the write-ahead log behind, whole, cut short, spoiled or gone: the file stays one that checks."""
    tally = Tally("write-ahead log left behind")
    for number in range(4 if short else 100):
        at = folder / f"w{number}"
        path, record = build(at / "w.depot"), folder / f"w{number}.log"

        def job(path: Path = path, record: Path = record, number: int = number) -> None:
            with Depot.open(path) as depot:
                for n in range(20):
                    STEPS["receipt"](depot, Log(record), f"w{number}-{n}")
                for end_ in ("", "-wal"):
                    shutil.copyfile(f"{path}{end_}", path.parent / f"left.depot{end_}")

        end(begin(job))
        left, wal = at / "left.depot", at / "left.depot-wal"
        whole = number % 4 == 0
        if number % 4 == 1:
            wal.write_bytes(wal.read_bytes()[: random.randrange(wal.stat().st_size)])
        elif number % 4 == 2:
            content = bytearray(wal.read_bytes())
            content[random.randrange(len(content))] ^= 0xFF
            wal.write_bytes(bytes(content))
        elif number % 4 == 3:
            wal.unlink()
        tally.tried += 1
        judge(left, [record] if whole else [], tally)
        shutil.rmtree(at)
    return tally


FAULTS = (truncated, flipped, zeroed, log_left)
