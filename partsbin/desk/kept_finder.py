"""A finder for one question: a large catalogue's index is kept in the user's cache and used while it is true.

The kept index carries a print of everything it was made from: the catalogue's rows, the trade's words and the program
that read them. Where that print differs, or anything about the file is odd, the index is made anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
import zlib
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot.file import Depot
from partsbin.desk.finding import Finder, catalogue

if TYPE_CHECKING:
    from partsbin.requests import CatalogueItem, Index, Words

KEPT_FROM = 20_000  # items; a smaller catalogue is read in less time than it takes to look
_READ = (
    "items: id, part_number, description, category, kind, unit, pack_size, family, hand, superseded_by, retired",
    "item_fits: item_id, machine",
    "item_suppliers: item_id, their_number",
    "item_gtins: item_id, gtin",
    "item_words: item_id, words, source, times",
    "trade_words: word, means, kind",
)


class KeptFinder(Finder):
    """Reads requests against one depot as it is now; it does not follow edits."""

    def _make(self, depot: Depot, words: Words) -> Index:
        if int(depot.value("SELECT count(*) FROM items")) < KEPT_FROM:
            return super()._make(depot, words)
        stamp = fingerprint(depot)
        return _read(depot, words, stamp) or _kept(super()._make(depot, words), _place(depot), stamp)


def fingerprint(depot: Depot) -> str:
    """A print of all that an index is made from."""
    digest = hashlib.sha256()
    for one in _READ:
        table, columns = one.split(": ")
        joined = "||char(31)||".join(f"ifnull({column},'')" for column in columns.split(", "))
        text = depot.value(f"SELECT group_concat({joined}, char(30)) FROM {table}") or ""
        digest.update(f"{table}\n{text}\n".encode())
    from partsbin import requests

    for path in sorted(Path(requests.__file__).parent.glob("*.py")):
        digest.update(f"{path.name} {path.stat().st_mtime_ns} {path.stat().st_size}\n".encode())
    digest.update(sys.version.encode())
    return digest.hexdigest()


def _place(depot: Depot) -> Path:
    import platformdirs

    name = hashlib.sha256(str(depot.path.resolve()).encode()).hexdigest()[:20]
    return Path(platformdirs.user_cache_dir("partsbin")) / f"{name}.words"


def _read(depot: Depot, words: Words, stamp: str) -> Index | None:
    from partsbin.requests import KeptIndex

    def fetch(item_id: int) -> CatalogueItem:
        return next(catalogue(depot, only=item_id))

    try:
        head, _, body = _place(depot).read_bytes().partition(b"\n")
        if head != _head(stamp, body):
            return None
        return KeptIndex(body.decode().split("\n"), words, fetch)
    except (OSError, ValueError, KeyError, TypeError, AttributeError, StopIteration):
        return None  # not there, torn or not ours: it is made anew


def _kept(index: Index, path: Path, stamp: str) -> Index:
    """Write an index down whole or not at all; a place that cannot be written to is no matter."""
    from partsbin.requests import written

    fresh = path.with_suffix(f".{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        body = "\n".join(written(index)).encode()
        fresh.write_bytes(_head(stamp, body) + b"\n" + body)
        fresh.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            fresh.unlink(missing_ok=True)
    return index


def _head(stamp: str, body: bytes) -> bytes:
    """The first line: what the index was made from, and a sum over what is below, much of which is read when needed."""
    return f"{stamp} {zlib.crc32(body):08x}".encode()
