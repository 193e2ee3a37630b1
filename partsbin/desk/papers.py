"""Papers the desk hands out: the pick slip of a restock, and the Monday report."""

from __future__ import annotations

from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.desk.monday import MondayReport
from partsbin.desk.restock import Proposal
from partsbin.errors import Refused


def paper_path(depot: Depot, name: str) -> Path:
    """Return where a paper called ``name`` is kept: in ``papers`` beside the depot, which is made where it lacks."""
    folder = depot.path.parent / "papers"
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        message = f"{folder} cannot be made ({error.strerror}); papers are kept there."
        raise Refused(message) from error
    return folder / name


def write_pick_slip(depot: Depot, proposal: Proposal, slip: int | None, path: Path, initials: str) -> None:
    raise Refused("The pick slip cannot be written yet.")


def write_monday(depot: Depot, report: MondayReport, path: Path) -> None:
    raise Refused("The report cannot be written as PDF yet.")
