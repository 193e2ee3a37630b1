"""Who may put a backup back over a depot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.rights import require
from partsbin.errors import Refused


def require_restorer(path: Path, operator: Callable[[Depot], Operator]) -> None:
    """Refuse whoever may not restore. A depot that is gone or does not open asks nobody: it cannot say who may."""
    if not path.exists():
        return
    try:
        depot = Depot.open(path)
    except Refused:
        return
    with depot:
        if depot.value("PRAGMA quick_check(1)") != "ok":
            return
        require(depot, operator(depot), "restore")
