"""A backup under a name of one's own; and putting one back: proved first, and what was there is kept."""

from __future__ import annotations

import shutil
import sqlite3
import time
from datetime import UTC, datetime
from pathlib import Path

from partsbin.depot.copying import Progress, copy_to
from partsbin.depot.faults import explained
from partsbin.depot.file import Depot
from partsbin.depot.sqlite_file import beside
from partsbin.errors import Refused


def require_new_name(depot: Path, backup: Path) -> None:
    """Refuse a name for a backup that is taken, or that the depot's file itself needs."""
    if backup.exists():
        message = f"{backup} is already there; give the backup another name."
        raise Refused(message)
    if backup.resolve() in beside(depot.resolve()):
        message = f"{backup} is a name the depot itself needs; give the backup another."
        raise Refused(message)


def back_up(depot: Depot, backup: Path, progress: Progress | None = None) -> None:
    """Write a proved copy of a live depot under a name that is not taken."""
    require_new_name(depot.path, backup)
    copy_to(depot.connection, backup, progress)


def restore(backup: Path, depot: Path) -> Path | None:
    """Put ``backup`` in place of ``depot``; returns where the file that was there is kept, or None.

    The backup is copied and opened first: a wrong or damaged one changes nothing. Refuses while another terminal has
    the depot open. At every moment a whole depot lies under its name: the one before, or the one put back.
    """
    depot = depot.resolve()  # behind a link lies the file that others have open
    if not backup.is_file():
        message = f"There is no backup “{backup}”." if not backup.exists() else f"“{backup}” is a folder, no backup."
        raise Refused(message)
    if backup.resolve() == depot:
        message = f"{backup} is the depot itself; name a backup of it."
        raise Refused(message)
    with explained(depot):
        depot.parent.mkdir(parents=True, exist_ok=True)
        partial = depot.with_name(f"{depot.name}.restoring-{time.time_ns()}")
        try:
            _proved_copy(backup, partial)
            kept = _keep_aside(depot) if depot.exists() else None
            partial.replace(depot)
        finally:
            for left in (partial, *beside(partial), *partial.parent.glob(f"{partial.stem}-edition*.backup")):
                left.unlink(missing_ok=True)
    return kept


def _proved_copy(backup: Path, partial: Path) -> None:
    """Copy a backup with what lies in its write-ahead log, bring it forward, prove it, fold it into one file."""
    for source, target in zip((backup, *beside(backup)[:1]), (partial, *beside(partial)[:1]), strict=True):
        if source.exists():
            shutil.copyfile(source, target)
    try:
        with Depot.open(partial) as proved:
            verdict = proved.value("PRAGMA integrity_check(1)")
            proved.run("PRAGMA journal_mode = DELETE")
    except Refused as refused:
        said = str(refused).replace(str(partial), str(backup))
        raise Refused(f"{said} Nothing was restored.") from refused
    if verdict != "ok":
        message = f"{backup} is damaged; choose another backup. Nothing was changed."
        raise Refused(message)


def _keep_aside(depot: Path) -> Path:
    """Give a depot a second name that says when, its write-ahead log folded in; both names hold until one is replaced.

    A log left beside the name would be taken for that of the file put back, so it goes, but never before it is kept.
    """
    _fold(depot)
    moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
    kept = depot.with_name(f"{depot.stem}-before-restore-{moment}{depot.suffix}")
    while kept.exists():  # two restores in one second
        kept = kept.with_name(f"{kept.stem}+{depot.suffix}")
    for path, target in zip((depot, *beside(depot)), (kept, *beside(kept)), strict=True):
        if path.exists():
            _second_name(path, target)
    for left in beside(depot):
        left.unlink(missing_ok=True)
    return kept


def _second_name(path: Path, target: Path) -> None:
    try:
        target.hardlink_to(path)
    except OSError:  # a disk without links: a copy does as well
        shutil.copyfile(path, target)


def _fold(depot: Path) -> None:
    """Fold a depot's write-ahead log into it; refuses while another terminal has it open.

    A damaged file stays as it is.
    """
    connection = sqlite3.connect(depot, timeout=1, isolation_level=None)
    try:
        connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY:
            message = f"{depot} is open in another terminal. Leave the program there, then restore again."
            raise Refused(message) from error
    finally:
        connection.close()
