"""Labels for what a delivery brought: one a line or one a case, to the label printer or as PDF."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

from partsbin.depot.catalogue import item_by_id
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.plain_text import counted
from partsbin.desk.label_jobs import Sheet, make_job, save_job
from partsbin.desk.label_sending import send_job
from partsbin.desk.labelling import arrived_label
from partsbin.desk.papers import paper_path

if TYPE_CHECKING:
    from partsbin.printing.label_kinds import Label

_USUAL = {"letter": "letter-30", "a4": "a4-24"}


def labels_of_slip(depot: Depot, slip: int, *, each_case: bool = False) -> list[Label]:
    """Return a label for each line of a receipt: lots with their date, other items with their cautions.

    With ``each_case`` a line of dated cases gets as many labels as it has cases, part cases included.
    """
    rows = depot.all(
        "SELECT m.item_id, m.lot_id, l.per_case, sum(m.quantity) AS quantity FROM moves m "
        "LEFT JOIN lots l ON l.id = m.lot_id WHERE m.slip_id = ? GROUP BY m.item_id, m.lot_id ORDER BY min(m.line)",
        (slip,),
    )
    labels: list[Label] = []
    for row in rows:
        item, lot = item_by_id(depot, row["item_id"]), row["lot_id"]
        cases = -(-row["quantity"] // (row["per_case"] or item.pack_size)) if each_case and lot else 1
        labels += [arrived_label(depot, item, lot)] * cases
    return labels


def usual_stock(depot: Depot) -> str:
    """Return the name of the label stock this depot prints on: its setting, else by its paper."""
    return depot.setting("label_stock") or _USUAL.get(depot.setting("paper"), "letter-30")


def print_labels(
    depot: Depot,
    operator: Operator,
    labels: list[Label],
    name: str,
    tell: Callable[[str], None],
    leaving: threading.Event | None = None,
) -> str:
    """Send labels to the depot's label printer, or write them as PDF where it has none; returns what was done.

    They are kept as a job until they came out, so a printer that fails loses nothing.
    """
    printer = depot.setting("label_printer")
    sheet = Sheet(usual_stock(depot), printer=printer)
    job, run = make_job(depot, operator, name, labels, sheet)
    what = " ".join([f"{counted(run.count, 'label')} on {run.stock.name}:", *run.notes])
    if printer:
        return f"{what} {send_job(depot, job, printer, tell, leaving)}"
    path = paper_path(depot, f"{name.replace(' ', '-')}.pdf")
    save_job(depot, job, path)
    return f"{what} {path}"
