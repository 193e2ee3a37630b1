"""Half-entered work of every screen, kept in the file as it is typed and offered again when the program starts."""

from __future__ import annotations

import json
import os
import socket
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from partsbin.depot import clock
from partsbin.depot.file import Busy, Depot
from partsbin.depot.operators import Operator

_KEEP = (
    "INSERT INTO drafts (key, operator, saved_at, body) VALUES (?,?,?,?) "
    "ON CONFLICT DO UPDATE SET operator = excluded.operator, saved_at = excluded.saved_at, body = excluded.body"
)
_ELSEWHERE = timedelta(hours=12)
"""After so long a draft is taken for left behind where it cannot be seen from here whether its program still runs."""


class Drafts:
    """Drafts by screen and running program. No screen waits for one: while another terminal writes, they wait here.

    What a program left that runs no longer is taken over by the next one that asks for it, whoever is at the desk.
    """

    def __init__(self, depot: Depot) -> None:
        self._depot = depot
        self._program = f"{socket.gethostname()}/{os.getpid()}"
        self._kept: dict[str, str | None] = {}
        self._waiting: dict[str, tuple[int, str | None]] = {}

    def keep(self, operator: Operator, drafts: Mapping[str, object]) -> None:
        """Keep drafts by name, None forgets one; at once, or with the next ``write`` that finds the file free."""
        for name, draft in drafts.items():
            body = _body(draft)
            if self._kept.get(name) != body:
                self._kept[name] = body
                self._waiting[self._key(name)] = (operator.id, body)
        self.write()

    def settle(self, depot: Depot, operator: Operator, name: str, draft: object) -> None:
        """Put a draft in its place within a transaction on ``depot``: what is posted there is not offered again."""
        self._waiting.pop(self._key(name), None)
        body = self._kept[name] = _body(draft)
        _put(depot, self._key(name), operator.id, body)

    def write(self, *, wait: bool = False) -> None:
        """Bring to the file what is not there yet; without ``wait`` only if no other terminal is writing."""
        if not self._waiting:
            return
        try:
            with self._depot.write(wait=wait):
                for key, (operator, body) in self._waiting.items():
                    _put(self._depot, key, operator, body)
        except Busy:
            return
        self._waiting.clear()

    def left(self, operator: Operator, name: str) -> Any:  # noqa: ANN401 - whatever the screen kept
        """Return a draft this program has, or else the latest left behind, which is this program's from now on."""
        own = self._key(name)
        if name not in self._kept:
            rows = self._depot.all("SELECT * FROM drafts WHERE key LIKE ? ORDER BY saved_at DESC", (f"{name}:%",))
            found = next((row for row in rows if row["key"] == own or self._is_left(row["key"], row["saved_at"])), None)
            self._kept[name] = found["body"] if found else None
            if found and found["key"] != own:
                self._waiting |= {found["key"]: (operator.id, None), own: (operator.id, found["body"])}
                self.write()
        body = self._kept[name]
        return None if body is None else json.loads(body)

    def _key(self, name: str) -> str:
        return f"{name}:{self._program}"

    def _is_left(self, key: str, saved_at: str) -> bool:
        """Whether the program that kept a draft has ended. One without a program was kept by an earlier edition."""
        host, _, number = key.partition(":")[2].rpartition("/")
        if not host:
            return True
        if host != socket.gethostname() or os.name == "nt":  # there, asking for a process may end it
            return saved_at < clock.as_kept(datetime.now(UTC) - _ELSEWHERE)
        return not _runs(int(number))


def _body(draft: object) -> str | None:
    return None if draft is None else json.dumps(draft)


def _put(depot: Depot, key: str, operator: int, body: str | None) -> None:
    if body is None:
        depot.run("DELETE FROM drafts WHERE key = ?", (key,))
    else:
        depot.run(_KEEP, (key, operator, clock.now(), body))


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:  # somebody else's
        return True
    return True
