"""Label jobs: made once, kept in the depot until they came out, offered again when a printer fails."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.plain_text import counted
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.printing.label_kinds import Label
    from partsbin.printing.label_run import LabelRun
    from partsbin.printing.sheets import Nudge
    from partsbin.printing.stock import LabelStock


@dataclass(frozen=True, slots=True)
class Sheet:
    """How labels go on paper: which stock, the first free position, used positions, and for which printer's nudge."""

    stock: str = "letter-30"
    start: int = 1
    skip: frozenset[int] = field(default_factory=frozenset)
    printer: str = ""


@dataclass(frozen=True, slots=True)
class KeptJob:
    """A job as the list shows it. ``number`` is the printer's own number for it, None before one took it."""

    id: int
    made_at: str
    what: str
    stock: str
    labels: int
    sheets: int
    printer: str
    number: int | None
    state: str
    said: str

    def words(self) -> str:
        """The job in one line: what it is, and why it is still here."""
        state = {"sending": "being sent, end not known", "sent": "sent, end not known"}.get(self.state, "kept")
        said = f": {self.said}" if self.said else ""
        return f"{self.id}  {self.what}: {counted(self.labels, 'label')} on {self.stock}, {state}{said}"


def stock_for(depot: Depot, sheet: Sheet) -> LabelStock:
    """Return the stock, shipped or from a file beside the depot."""
    from partsbin.printing.stock import load_stock

    return load_stock(sheet.stock, depot.path.parent)


def nudge_for(depot: Depot, sheet: Sheet) -> Nudge:
    """Return what one printer needs on one stock; nothing when it was never measured."""
    from partsbin.printing.sheets import Nudge

    kept = depot.setting(f"nudge:{sheet.printer}:{sheet.stock}")
    return Nudge(**json.loads(kept)) if kept else Nudge()


def set_nudge(depot: Depot, sheet: Sheet, text: str) -> Nudge:
    """Keep a nudge from ``x y`` in mm, or ``x y across down`` with the two measured lengths of the 100 mm lines."""
    from partsbin.printing.sheets import Nudge, slots

    try:
        figures = [float(word) for word in text.replace(",", " ").split()]
    except ValueError as error:
        raise Refused("Key millimetres, such as 0.5 -1 or 0.5 -1 99.6 100.2.") from error
    if len(figures) not in (2, 4):
        raise Refused("Key two figures (right, down), or four (right, down, measured across, measured down).")
    across, down = figures[2:] or (100.0, 100.0)
    if min(across, down) <= 0:
        raise Refused("A measured length is above zero.")
    values = {"x_mm": figures[0], "y_mm": figures[1], "scale_x": 100 / across, "scale_y": 100 / down}
    nudge = Nudge(**values)
    slots(stock_for(depot, sheet), nudge=nudge)  # refuses one that moves print off the page
    depot.set_setting(f"nudge:{sheet.printer}:{sheet.stock}", json.dumps(values))
    return nudge


def preview(
    depot: Depot,
    labels: Sequence[Label],
    sheet: Sheet,
    *,
    progress: Callable[[int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LabelRun:
    """Return what would be printed; writes nothing. Refuses what does not fit, with the reason."""
    from partsbin.printing.labels import preview as look_ahead

    return look_ahead(
        labels,
        stock_for(depot, sheet),
        start=sheet.start,
        skip=sheet.skip,
        nudge=nudge_for(depot, sheet),
        progress=progress,
        cancelled=cancelled,
    )


def make_job(
    depot: Depot,
    operator: Operator,
    what: str,
    labels: Sequence[Label],
    sheet: Sheet,
    *,
    progress: Callable[[int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[int, LabelRun]:
    """Draw labels and keep them as a job; returns (job, what was drawn). Refuses what does not fit."""
    from partsbin.printing.labels import write_labels

    stock, paper = stock_for(depot, sheet), io.BytesIO()
    run = write_labels(
        labels,
        stock,
        paper,
        start=sheet.start,
        skip=sheet.skip,
        nudge=nudge_for(depot, sheet),
        progress=progress,
        cancelled=cancelled,
    )
    size = stock.page if stock.per_page == 1 else (0.0, 0.0)
    with depot.write():
        cursor = depot.run(
            "INSERT INTO print_jobs (made_at, operator, what, stock, labels, sheets, width_mm, height_mm, pdf, state) "
            "VALUES (?,?,?,?,?,?,?,?,?,'kept')",
            (clock.now(), operator.id, what, stock.name, run.count, run.pages, *map(float, size), paper.getvalue()),
        )
    return int(cursor.lastrowid or 0), run


def open_jobs(depot: Depot) -> list[KeptJob]:
    """Return the jobs that did not come out yet, oldest first."""
    rows = depot.all(
        "SELECT id, made_at, what, stock, labels, sheets, printer, number, state, said FROM print_jobs "
        "WHERE state IN ('kept', 'sending', 'sent') ORDER BY id"
    )
    return [_kept(depot, KeptJob(*tuple(row))) for row in rows]


def _kept(depot: Depot, job: KeptJob) -> KeptJob:
    """The job as it is shown: while it is being sent, ``said`` holds since when."""
    if job.state != "sending" or not job.said:
        return job
    return replace(job, said=f"since {clock.local_time(job.said, depot.zone):%Y-%m-%d %H:%M}")


def save_job(depot: Depot, job: int, path: Path, *, keep: bool = False) -> None:
    """Write a job's PDF to a file; with that it has come out, unless ``keep``: it goes to a printer too.

    When it cannot be written the job stays kept.
    """
    from partsbin.printing.output import write_whole

    pdf = pdf_of(depot, job)
    try:
        write_whole(path, pdf)
    except Refused as refused:
        message = f"{refused} The labels are kept as job {job}."
        raise Refused(message) from refused
    if not keep:
        settle(depot, job, "printed", f"written to {path}", let_go=True)


def drop_job(depot: Depot, job: int) -> None:
    """Strike a job off: it came out after all, or nobody wants it."""
    pdf_of(depot, job)
    settle(depot, job, "dropped", "struck off", let_go=True)


def pdf_of(depot: Depot, job: int) -> bytes:
    """Return a kept job's PDF. Refuses one that came out or was struck off."""
    pdf = depot.value("SELECT pdf FROM print_jobs WHERE id = ?", (job,))
    if pdf is None:
        message = f"Label job {job} is not kept any more; make it again."
        raise Refused(message)
    return bytes(pdf)


def settle(
    depot: Depot,
    job: int,
    state: str,
    said: str,
    *,
    printer: str | None = None,
    number: int | None = None,
    let_go: bool = False,
) -> None:
    """Keep what became of a job: its state, what is said of it, the printer and its number; ``let_go`` of the PDF."""
    with depot.write():
        depot.run(
            "UPDATE print_jobs SET state = ?, said = ?, printer = ifnull(?, printer), number = ifnull(?, number), "
            "pdf = iif(?, NULL, pdf) WHERE id = ? AND pdf IS NOT NULL",  # struck off meanwhile: it stays so
            (state, said, printer, number, let_go, job),
        )
