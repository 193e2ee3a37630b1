"""A depot's one file: make it, open it safely, read it, write to it."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from partsbin.depot import clock, migrations
from partsbin.depot.copying import copy_to
from partsbin.depot.faults import damaged, explained
from partsbin.depot.plain_text import plain
from partsbin.depot.sqlite_file import APPLICATION_ID, SETTINGS, connect, furnish, require_sqlite
from partsbin.errors import Refused

_PATIENCE = 60.0
_A_WORD_EVERY = 0.5
"""Seconds: how long a write waits for another terminal, and how often it says so."""

Row = sqlite3.Row
Value = str | int | float | bytes | None


class Busy(Refused):
    """Another terminal is writing, and there was no more time to wait."""


class Depot:
    """An open depot. Belongs to the thread that opened it; another thread opens the file for itself.

    ``waiting`` is called with a word for the screen when a second terminal holds the file for more than a moment.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self.connection = connection
        self.waiting: Callable[[str], None] = lambda _word: None
        self._depth = 0
        self._afterwards: list[Callable[[], None]] = []
        self._opened = _which_file(path)

    @classmethod
    def open(cls, path: Path) -> Depot:
        """Open the depot at ``path``, bringing an older file forward after a backup beside it.

        Refuses a missing file, a file that is no depot, a newer depot, a folder that cannot be written.
        """
        if not path.exists():
            message = f"There is no depot at {path}. “partsbin --depot {path} init” makes an empty one."
            raise Refused(message)
        with explained(path):
            require_sqlite(path)
            try:
                depot = cls(path, connect(path))
                try:
                    depot._require_known()
                except BaseException:
                    depot.close()
                    raise
            except UnicodeDecodeError as error:  # what SQLite says of spoiled names is no text
                raise Refused(damaged(path)) from error
        return depot

    @classmethod
    def create(cls, path: Path) -> Depot:
        """Make an empty depot at ``path`` with the outside places and the first operator; refuses to overwrite."""
        if path.exists() or path.is_symlink():
            there = "is already there; open it, or" if path.exists() else "is a link to nothing;"
            message = f"{path} {there} give another name."
            raise Refused(message)
        with explained(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            partial = path.with_name(f"{path.name}.partial-{time.time_ns()}")
            try:
                connection = connect(partial)
                connection.execute("PRAGMA journal_mode = DELETE")  # one file while it is moved into place
                furnish(connection)
                connection.close()
                path.hardlink_to(partial)
            finally:
                partial.unlink(missing_ok=True)
        return cls.open(path)

    def close(self) -> None:
        """Close the file; safe to call twice."""
        self.connection.close()

    def __enter__(self) -> Depot:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # -- reading -----------------------------------------------------------------------------------------

    def all(self, sql: str, values: Sequence[Value] | Mapping[str, Value] = ()) -> list[Row]:
        """Return every row of a query."""
        return self.connection.execute(sql, values).fetchall()

    def one(self, sql: str, values: Sequence[Value] | Mapping[str, Value] = ()) -> Row | None:
        """Return the first row of a query, or None."""
        row: Row | None = self.connection.execute(sql, values).fetchone()
        return row

    def value(self, sql: str, values: Sequence[Value] | Mapping[str, Value] = ()) -> Any:  # noqa: ANN401 - any SQL value
        """Return the first column of the first row, or None."""
        row = self.one(sql, values)
        return None if row is None else row[0]

    def run(self, sql: str, values: Sequence[Value] | Mapping[str, Value] = ()) -> sqlite3.Cursor:
        """Run one changing statement inside ``write()``; texts are kept without control characters."""
        if isinstance(values, Mapping):
            kept: Any = {key: plain(value) if isinstance(value, str) else value for key, value in values.items()}
        else:
            kept = [plain(value) if isinstance(value, str) else value for value in values]
        return self.connection.execute(sql, kept)

    def data_version(self) -> int:
        """Return a number that rises when another connection has changed the file: how screens stay fresh."""
        return int(self.value("PRAGMA data_version"))

    # -- writing -----------------------------------------------------------------------------------------

    @contextmanager
    def write(self, *, wait: bool = True) -> Iterator[None]:
        """One transaction: all of it or none. Nests; waits with a word while another terminal writes.

        Without ``wait`` it is refused at once (``Busy``) where another terminal is writing.
        """
        if self._depth:
            self._depth += 1
            try:
                yield
            finally:
                self._depth -= 1
            return
        with explained(self.path):
            self._begin(_PATIENCE if wait else 0)
            self._depth = 1
            try:
                yield
                self.connection.execute("COMMIT")
            except BaseException:
                if self.connection.in_transaction:
                    self.connection.execute("ROLLBACK")
                raise
            finally:
                self._depth = 0
                waiting, self._afterwards = self._afterwards, []
                for note in waiting:
                    note()  # may not raise: it would hide what went wrong

    def afterwards(self, note: Callable[[], None]) -> None:
        """Run ``note`` once the present transaction has ended, kept or not; at once where there is none."""
        if self._depth:
            self._afterwards.append(note)
        else:
            note()

    def _begin(self, patience: float) -> None:
        self.connection.execute(f"PRAGMA busy_timeout = {min(_A_WORD_EVERY, patience) * 1000:.0f}")
        started = time.monotonic()
        while True:
            try:
                self.connection.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                    raise
                waited = time.monotonic() - started
                if waited >= patience:
                    message = "Another terminal has been writing for a minute. Nothing was posted; try again."
                    raise Busy(message) from error
                self.waiting("waiting for another terminal …")
            else:
                try:
                    self.require_still_there()
                except Refused:
                    self.connection.execute("ROLLBACK")
                    raise
                return

    def require_still_there(self) -> None:
        """Refuse a file that was moved, deleted or replaced: it is read on, but what is posted there would be lost."""
        if _which_file(self.path) == self._opened:
            return
        message = (
            f"{self.path} is no longer the file that was opened: its folder or share went away, or a backup was put "
            "back. Nothing was posted. Leave the program and open it again."
        )
        raise Refused(message)

    # -- settings ----------------------------------------------------------------------------------------

    def setting(self, key: str) -> str:
        """Return a setting, or what a new depot starts with, or the empty text."""
        found = self.value("SELECT value FROM settings WHERE key = ?", (key,))
        return SETTINGS.get(key, "") if found is None else str(found)

    def set_setting(self, key: str, value: str) -> None:
        """Keep a setting."""
        with self.write():
            self.run(
                "INSERT INTO settings VALUES (?, ?) ON CONFLICT DO UPDATE SET value = excluded.value",
                (key, value),
            )

    @property
    def zone(self) -> ZoneInfo:
        """The depot's time zone."""
        return clock.zone(self.setting("time_zone"))

    # -- editions ----------------------------------------------------------------------------------------

    def _require_known(self) -> None:
        if self.value("PRAGMA application_id") != APPLICATION_ID:
            message = f"{self.path} is a database, but not a depot. Open another file, or “init” a new one."
            raise Refused(message)
        edition, known = int(self.value("PRAGMA user_version")), len(migrations.known())
        if edition > known:
            message = (
                f"{self.path} was written by a newer partsbin (edition {edition}, this program knows {known}). "
                "Update the program; the file was left as it is."
            )
            raise Refused(message)
        if edition < known:
            self._bring_forward(edition)

    def _bring_forward(self, edition: int) -> None:
        moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%S")
        copy_to(self.connection, self.path.with_name(f"{self.path.stem}-edition{edition}-{moment}.backup"))
        self._begin(_PATIENCE)
        try:
            if int(self.value("PRAGMA user_version")) < len(migrations.known()):
                migrations.apply(self.connection)
            self.connection.execute("COMMIT")
        except BaseException:
            if self.connection.in_transaction:
                self.connection.execute("ROLLBACK")
            raise


def _which_file(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
