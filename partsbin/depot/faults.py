"""What SQLite and the operating system say, put into one clear sentence."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from partsbin.errors import Refused

_SENTENCES = {
    sqlite3.SQLITE_FULL: "The disk is full: nothing was posted. Free some space on the disk of {path}, then try again.",
    sqlite3.SQLITE_READONLY: "{path} cannot be written: the file or its folder is read-only. "
    "Open a copy in a folder you may write to.",
    sqlite3.SQLITE_CANTOPEN: "{path} cannot be opened: check that its folder exists and may be written.",
    sqlite3.SQLITE_IOERR: "The disk or network share of {path} does not answer: nothing was posted. "
    "Check it, then try again and run “partsbin check”.",
    sqlite3.SQLITE_CORRUPT: "{path} is damaged. Post nothing to it: bring a backup back with “partsbin restore”; "
    "the daily ones lie beside it in the folder “backups”.",
    sqlite3.SQLITE_NOTADB: "{path} is not a depot file, or is damaged. Restore a backup, or open another file.",
    sqlite3.SQLITE_BUSY: "Another terminal is writing to {path}. Nothing was posted; try again.",
    sqlite3.SQLITE_LOCKED: "Another terminal is writing to {path}. Nothing was posted; try again.",
    sqlite3.SQLITE_PERM: "{path} may not be opened with your rights. Ask whoever looks after the computer.",
    sqlite3.SQLITE_AUTH: "{path} may not be opened with your rights. Ask whoever looks after the computer.",
    sqlite3.SQLITE_INTERRUPT: "Stopped before it was done; what was not finished was not posted.",
    sqlite3.SQLITE_TOOBIG: "A text is too long for the file; shorten it.",
}

_DISK = {
    errno.ENOSPC: sqlite3.SQLITE_FULL,
    errno.EDQUOT: sqlite3.SQLITE_FULL,
    errno.EROFS: sqlite3.SQLITE_READONLY,
    errno.EIO: sqlite3.SQLITE_IOERR,
    errno.ESTALE: sqlite3.SQLITE_IOERR,
    errno.ENOTCONN: sqlite3.SQLITE_IOERR,
}
"""What the operating system says, by the fault of the file that it is."""

_SPOILED = ("no such collation sequence", "malformed database schema", "Could not decode to UTF-8")
"""What SQLite says, under no code of its own, of a file whose bytes were changed."""


def damaged(path: Path) -> str:
    """Return the sentence for a file that cannot be read as it was written."""
    return _SENTENCES[sqlite3.SQLITE_CORRUPT].format(path=path)


def sentence(error: sqlite3.Error | OSError, path: Path) -> str | None:
    """Return the sentence for a fault of the file or disk, or None where the fault is the program's own."""
    if isinstance(error, OSError):
        known = _DISK.get(error.errno or 0)
        if known is not None:
            return _SENTENCES[known].format(path=error.filename or path)
        return f"{error.filename or path}: {error.strerror or error}."
    if str(error).startswith(_SPOILED):
        return damaged(path)
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return None
    template = _SENTENCES.get(code & 0xFF)
    return template.format(path=path) if template else None


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn a fault of the file or disk into a refusal; let faults of the program through."""
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        said = sentence(error, path)
        if said is None:
            raise
        raise Refused(said) from error
