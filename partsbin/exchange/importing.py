"""What every import shares: the depot, who imports, and what came of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.errors import Refused


@dataclass
class Import:
    """One import under way. ``progress`` hears the rows read so far and may raise to cancel."""

    depot: Depot
    operator: Operator
    create_places: bool = False
    progress: Callable[[int], None] | None = None
    warnings: list[str] = field(default_factory=list)

    def ids(self, table: str, column: str) -> dict[str, int]:
        """Return {text in upper case: id} of a whole table of ours."""
        rows = self.depot.all(f"SELECT {column}, id FROM {table}")
        return {row[0].upper(): row[1] for row in rows}


Cell = Callable[[str, Import], Any]
"""Reads the text of one cell; refuses what it cannot be."""


def as_is(text: str, _job: Import) -> str:
    """Read any text, also none."""
    return text


def named(text: str, _job: Import) -> str:
    """Read a text that must be there."""
    if not text:
        message = "is empty"
        raise Refused(message)
    return text


@dataclass(frozen=True, slots=True)
class Report:
    """What an import did."""

    kind: str
    rows: int
    added: int
    warnings: tuple[str, ...] = ()
