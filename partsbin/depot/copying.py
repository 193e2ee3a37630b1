"""A consistent copy of a live file, proved by opening it: what every backup is."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

from partsbin.depot.faults import explained
from partsbin.depot.sqlite_file import beside
from partsbin.errors import Refused

Progress = Callable[[int, int], None]
"""Hears how many pages are left of how many, and may raise to stop."""


def copy_to(connection: sqlite3.Connection, target: Path, progress: Progress | None = None) -> None:
    """Write a consistent copy of a live file to ``target`` and prove that it opens whole.

    The copy appears under its name only when it is complete. ``progress`` hears pages (left, of all) and may raise to
    stop. Refuses when the copy does not check or its disk fills up.
    """
    partial = target.with_name(f"{target.name}.partial-{os.getpid()}-{time.time_ns()}")  # two terminals, two copies
    with explained(target):
        try:
            copy = sqlite3.connect(partial, isolation_level=None)
            try:
                if progress is None:
                    connection.backup(copy)
                else:
                    _in_steps(connection, copy, progress)
                copy.execute("PRAGMA journal_mode = DELETE")
                verdict = _checked(copy, progress)
            finally:
                copy.close()
            if verdict != "ok":
                message = f"The copy {target} does not check; it was not kept. Run “partsbin check” on the depot."
                raise Refused(message)
            partial.replace(target)
        finally:
            for left in (partial, *beside(partial)):
                left.unlink(missing_ok=True)


def _in_steps(connection: sqlite3.Connection, copy: sqlite3.Connection, progress: Progress) -> None:
    """Copy the file as it is now, in small steps, so that it can be stopped.

    What is read stays as it was when the copy began: else SQLite begins again at every posting of another terminal.
    """
    connection.execute("BEGIN")
    try:
        connection.execute("SELECT 1 FROM sqlite_master").fetchone()
        connection.backup(copy, pages=2000, progress=lambda _status, left, of: progress(left, of), sleep=0)
    finally:
        connection.execute("ROLLBACK")


def _checked(copy: sqlite3.Connection, progress: Progress | None) -> str:
    """Return what SQLite finds wrong with a copy, or ok."""
    stopped: list[BaseException] = []

    def go_on() -> bool:
        try:
            if progress is not None:
                progress(0, 1)
        except BaseException as stop:  # SQLite lets nothing be raised through it
            stopped.append(stop)
        return bool(stopped)

    copy.set_progress_handler(go_on, 100_000)
    try:
        return str(copy.execute("PRAGMA quick_check(1)").fetchone()[0])
    except sqlite3.OperationalError as error:
        if stopped:
            raise stopped[0] from error
        raise
