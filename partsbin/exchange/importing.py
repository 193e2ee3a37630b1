"""What every import shares: the depot, who imports, and what came of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator


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


@dataclass(frozen=True, slots=True)
class Report:
    """What an import did."""

    kind: str
    rows: int
    added: int
    warnings: tuple[str, ...] = ()
