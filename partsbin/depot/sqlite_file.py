"""The SQLite file under a depot: how it is connected to, told from other files, and first furnished."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from partsbin.depot import migrations
from partsbin.errors import Refused

APPLICATION_ID = 0x50425244
"""Written into the SQLite header: how a depot is told from any other database."""

_OUTSIDE = (
    ("SUPPLIER", "supplier", "All suppliers"),
    ("JOB", "job", "Fitted at a site"),
    ("SCRAP", "scrap", "Written off"),
    ("COUNT-DIFFERENCE", "count-difference", "Found or missed at a count"),
    ("SHELF", "shelf", "All bins together"),
)
SETTINGS = {"depot_name": "Depot", "time_zone": "UTC", "currency": "USD", "paper": "letter"}
"""What a depot says until its lead says otherwise."""


def connect(path: Path) -> sqlite3.Connection:
    """Open a depot's file for reading and writing: foreign keys, write-ahead log, every posting synced to disk."""
    connection = sqlite3.connect(path, timeout=0.5, isolation_level=None, cached_statements=512)
    connection.row_factory = sqlite3.Row
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA cache_size = -64000")
    return connection


def beside(path: Path) -> list[Path]:
    """Return the names SQLite itself may use beside a file: write-ahead log, its index, rollback journal."""
    return [path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal")]


def require_sqlite(path: Path) -> None:
    """Refuse what is no database, looking only through SQLite.

    A depot is never opened past SQLite while it may be in use: closing such a handle would drop every lock this
    process holds on the file (POSIX), and another terminal could then throw a live write-ahead log away.
    """
    message = f"{path} is not a depot file. Open another, or “init” a new one under another name."
    if not path.is_file() or path.stat().st_size == 0:
        raise Refused(message)
    # not read-only: a change of journal mode that was cut off must be rolled back before anything can be read
    look = sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True, isolation_level=None)
    try:
        look.execute("PRAGMA schema_version").fetchone()
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_NOTADB:
            raise Refused(message) from error
        raise
    finally:
        look.close()


def furnish(connection: sqlite3.Connection) -> None:
    """Write the schema and what no depot can be without: outside places, one operator who may do everything."""
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("BEGIN IMMEDIATE")
    migrations.apply(connection)
    connection.executemany(
        "INSERT INTO places (code, scan, kind, name) VALUES (?, ?, ?, ?)",
        [(code, code.replace("-", ""), kind, name) for code, kind, name in _OUTSIDE],
    )
    connection.execute("INSERT INTO operators (initials, name, role) VALUES ('DESK', 'Desk', 'lead')")
    connection.executemany("INSERT INTO settings VALUES (?, ?)", list(SETTINGS.items()))
    connection.execute("COMMIT")
