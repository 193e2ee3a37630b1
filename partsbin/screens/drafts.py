"""Half-entered work of every screen, kept in the file as it is entered and offered again when the program starts."""

from __future__ import annotations

import json
from typing import Any

from partsbin.depot import clock
from partsbin.depot.file import Busy, Depot
from partsbin.depot.operators import Operator

_KEEP = (
    "INSERT INTO drafts (key, operator, saved_at, body) VALUES (?,?,?,?) "
    "ON CONFLICT DO UPDATE SET saved_at = excluded.saved_at, body = excluded.body"
)


class Drafts:
    """Drafts by screen and operator. No screen waits for one: while another terminal writes, they wait here."""

    def __init__(self, depot: Depot) -> None:
        self._depot = depot
        self._waiting: dict[str, tuple[int, str | None]] = {}

    def keep(self, key: str, operator: Operator, body: object) -> None:
        """Keep a draft, None forgets it; at once, or with the next ``write`` that finds the file free."""
        self._waiting[key] = (operator.id, None if body is None else json.dumps(body))
        self.write()

    def write(self, *, wait: bool = False) -> None:
        """Bring to the file what is not there yet; without ``wait`` only if no other terminal is writing."""
        if not self._waiting:
            return
        try:
            with self._depot.write(wait=wait):
                for key, (operator, body) in self._waiting.items():
                    if body is None:
                        self._depot.run("DELETE FROM drafts WHERE key = ?", (key,))
                    else:
                        self._depot.run(_KEEP, (key, operator, clock.now(), body))
        except Busy:
            return
        self._waiting.clear()

    def kept(self, key: str) -> Any:  # noqa: ANN401 - whatever the screen kept
        """Return a draft, or None."""
        if key in self._waiting:
            body = self._waiting[key][1]
        else:
            body = self._depot.value("SELECT body FROM drafts WHERE key = ?", (key,))
        return None if body is None else json.loads(body)
