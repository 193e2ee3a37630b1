"""The demo depot, and what every new depot starts with: words, cautions, first checks, containers, event hints."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import file_name, import_file, import_folder
from partsbin.resources import shipped

_EVERY_DEPOT = ("cautions", "checks", "words", "containers", "case-forms", "event-hints")


def furnish(depot: Depot) -> None:
    """Give a new depot what holds for any drinks-vending depot; all of it can be edited."""
    job = Import(depot, the_operator(depot))
    for kind in _EVERY_DEPOT:
        path = shipped("seed") / file_name(kind)
        if path.is_file():
            import_file(job, kind, path)


def build_demo(folder: Path, tell: Callable[[str], None] = lambda _word: None) -> Path:
    """Build the demo depot in ``folder`` unless it is already there; returns the depot's path."""
    path = folder / "demo.depot"
    if path.exists():
        tell(f"The demo depot is already at {path}; using it as it is.")
        return path
    tell(f"Building the demo depot in {folder} (half a year of moves) …")
    folder.mkdir(parents=True, exist_ok=True)
    building = folder / "demo.building.depot"
    for left in folder.glob("demo.building.depot*"):
        left.unlink()
    with Depot.create(building) as depot:
        import_folder(Import(depot, the_operator(depot)), shipped("seed"))
        depot.run("PRAGMA journal_mode = DELETE")  # one file, so that it can be renamed whole
    building.rename(path)
    return path
