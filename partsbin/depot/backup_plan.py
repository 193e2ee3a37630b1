"""A backup on the first opening of a day, in the folder ``backups`` beside the depot, each proved by opening it.

Kept are those of the last seven days that had one, and the latest of each ISO week for the four weeks before. Nothing
else in the folder is touched. The setting ``daily_backup`` = ``no`` turns it off.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, date, datetime
from pathlib import Path

from partsbin.depot.copying import copy_to
from partsbin.depot.faults import explained
from partsbin.depot.file import Depot

FOLDER = "backups"
DAYS, WEEKS = 7, 4
_STALE = 86_400  # seconds after which half a backup is one that was killed


def backup_folder(depot: Path) -> Path:
    """Return where a depot's daily backups lie."""
    return depot.parent / FOLDER


def daily_backups(depot: Path) -> list[tuple[date, Path]]:
    """Return a depot's daily backups by day, newest first."""
    name = re.compile(re.escape(depot.stem) + r"-(\d{4}-\d\d-\d\d)\.backup")
    found = []
    folder = backup_folder(depot)
    for path in folder.iterdir() if folder.is_dir() else ():
        match = name.fullmatch(path.name)
        if match:
            with suppress(ValueError):
                found.append((date.fromisoformat(match[1]), path))
    return sorted(found, reverse=True)


def due(depot: Depot) -> Path | None:
    """Return where today's backup goes if there is none yet and there is anything to keep; else None."""
    if depot.setting("daily_backup") == "no" or not depot.value("SELECT 1 FROM items LIMIT 1"):
        return None
    today = datetime.now(UTC).astimezone(depot.zone).date()
    target = backup_folder(depot.path) / f"{depot.path.stem}-{today}.backup"
    return None if target.exists() else target


def back_up_today(depot: Depot, progress: Callable[[int, int], None] | None = None) -> Path | None:
    """Make today's backup where it is due, then let old ones go; returns it, or None when none was due.

    Old ones go only once the new one is proved. Refuses, in words, what the disk refuses.
    """
    target = due(depot)
    if target is None:
        return None
    with explained(target):
        target.parent.mkdir(exist_ok=True)
        copy_to(depot.connection, target, progress)
        for path in outdated(daily_backups(depot.path)):
            path.unlink(missing_ok=True)
        for left in target.parent.glob(f"{depot.path.stem}-*.backup.partial-*"):
            if time.time() - left.stat().st_mtime > _STALE:
                left.unlink(missing_ok=True)
    return target


def outdated(backups: Sequence[tuple[date, Path]]) -> list[Path]:
    """Return which backups need not be kept. ``backups`` are newest first."""
    weeks: dict[tuple[int, int], Path] = {}
    for day, path in backups[DAYS:]:
        weeks.setdefault(day.isocalendar()[:2], path)
    kept = set(list(weeks.values())[:WEEKS])
    return [path for _, path in backups[DAYS:] if path not in kept]
