"""Putting a backup back: proved first, and what was there is kept."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

from partsbin.depot.faults import explained
from partsbin.depot.file import Depot
from partsbin.errors import Refused


def restore(backup: Path, depot: Path) -> Path | None:
    """Put ``backup`` in place of ``depot``; returns where the file that was there is kept, or None.

    The backup is copied and opened first: a wrong or damaged one changes nothing. Close other terminals before.
    """
    if not backup.is_file():
        message = f"There is no backup {backup}."
        raise Refused(message)
    with explained(depot):
        depot.parent.mkdir(parents=True, exist_ok=True)
        partial = depot.with_name(depot.name + ".restoring")
        try:
            shutil.copyfile(backup, partial)
            with Depot.open(partial) as proved:
                verdict = proved.value("PRAGMA integrity_check(1)")
                proved.run("PRAGMA journal_mode = DELETE")
            if verdict != "ok":
                message = f"{backup} is damaged ({verdict}); choose another backup. Nothing was changed."
                raise Refused(message)
            kept = _set_aside(depot) if depot.exists() else None
            partial.replace(depot)
        finally:
            for left in (partial, *_beside(partial)):
                left.unlink(missing_ok=True)
    return kept


def _beside(path: Path) -> list[Path]:
    return [path.with_name(path.name + end) for end in ("-wal", "-shm")]


def _set_aside(depot: Path) -> Path:
    """Move a depot and what belongs to it out of the way, under a name that says when."""
    moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
    kept = depot.with_name(f"{depot.stem}-before-restore-{moment}{depot.suffix}")
    for path, target in zip((depot, *_beside(depot)), (kept, *_beside(kept)), strict=True):
        if path.exists():
            path.rename(target)
    return kept
