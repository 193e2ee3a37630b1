"""Forward changes to a depot's file, in the order they were made.

To add one: put ``NNNN_name.sql`` into ``changes/`` and nothing else; files run in name order, each in one
transaction, and what has run is recorded in the file by sqlite-utils.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # sqlite-utils is imported where a change runs: opening an up-to-date file should be quick
    from sqlite_utils import Database
    from sqlite_utils.migrations import Migrations

_CHANGES = Path(__file__).with_name("changes")


@cache
def known() -> tuple[Path, ...]:
    """Return the changes this program knows, oldest first; their number is the edition of a file it writes.

    Every opening of a depot asks, and the program's own files do not change while it runs: looked up once.
    """
    return tuple(sorted(_CHANGES.glob("*.sql")))


def statements(script: str) -> Iterator[str]:
    """Split SQL text into whole statements (a trigger's body stays in one piece)."""
    piece = ""
    for line in script.splitlines(keepends=True):
        piece += line
        if sqlite3.complete_statement(piece):
            yield piece
            piece = ""
    if piece.strip():
        yield piece


def _runner(script: str) -> Callable[[Database], None]:
    def run(db: Database) -> None:
        for statement in statements(script):
            db.execute(statement)

    return run


def apply(connection: sqlite3.Connection) -> None:
    """Bring the file behind ``connection`` to the newest edition, inside the caller's transaction."""
    from sqlite_utils import Database
    from sqlite_utils.migrations import Migrations

    forward: Migrations = Migrations("partsbin")
    for path in known():
        forward(name=path.stem)(_runner(path.read_text("utf-8")))
    forward.apply(Database(connection))
    connection.execute(f"PRAGMA user_version = {len(known())}")
