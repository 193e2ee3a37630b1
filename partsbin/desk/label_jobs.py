"""Label jobs: made once, kept in the depot until they came out, offered again when a printer fails."""

from __future__ import annotations

import io
import json
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.plain_text import counted
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.printing.ipp import JobState
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
        state = {"sending": "was being sent when last heard of", "sent": "sent, end not known"}.get(self.state, "kept")
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


def preview(depot: Depot, labels: Sequence[Label], sheet: Sheet) -> LabelRun:
    """Return what would be printed; writes nothing. Refuses what does not fit, with the reason."""
    from partsbin.printing.labels import preview as look_ahead

    return look_ahead(
        labels, stock_for(depot, sheet), start=sheet.start, skip=sheet.skip, nudge=nudge_for(depot, sheet)
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
    return [KeptJob(*tuple(row)) for row in rows]


def save_job(depot: Depot, job: int, path: Path, *, keep: bool = False) -> None:
    """Write a job's PDF to a file; with that it has come out, unless ``keep``: it goes to a printer too.

    When it cannot be written the job stays kept.
    """
    from partsbin.printing.output import write_whole

    pdf = _pdf(depot, job)
    try:
        write_whole(path, pdf)
    except Refused as refused:
        message = f"{refused} The labels are kept as job {job}."
        raise Refused(message) from refused
    if not keep:
        _settle(depot, job, "printed", f"written to {path}", let_go=True)


def send_job(
    depot: Depot,
    job: int,
    printer: str,
    tell: Callable[[str], None] = lambda _word: None,
    leaving: threading.Event | None = None,
) -> str:
    """Send a job to an IPP printer and follow it to its end; returns how it ended, in words.

    Whatever goes wrong, the job stays kept and is offered again; the refusal says what happened. Once ``leaving`` is
    set it is not followed any longer: what the printer has of it stays marked as sent.
    """
    from partsbin.printing import ipp

    row = depot.one("SELECT what, width_mm, height_mm FROM print_jobs WHERE id = ?", (job,))
    pdf = _pdf(depot, job)
    _settle(depot, job, "sending", "", printer=printer)
    size = (row["width_mm"], row["height_mm"]) if row and row["width_mm"] and row["height_mm"] else None
    wait = partial(_wait, leaving or threading.Event())
    try:
        sent = ipp.send(pdf, printer, f"partsbin {job}: {row['what'] if row else ''}"[:120], media_mm=size, sleep=wait)
        _settle(depot, job, "sent", sent.note, printer=printer, number=sent.number)
        tell(sent.note or f"sent to {printer}")
        ended = ipp.follow(sent, tell=lambda state: tell(state.sentence()), sleep=wait)
    except _LeftError:
        raise
    except Refused as refused:
        _settle(depot, job, "kept", str(refused), printer=printer)
        raise
    return _ended(depot, job, ended)


def ask_after(depot: Depot, job: int) -> str:
    """Ask the printer how far a job is that it was sent; returns that in words. Refuses one no printer has taken."""
    from partsbin.printing import ipp

    row = depot.one("SELECT what, printer, number FROM print_jobs WHERE id = ?", (job,))
    if row is None or row["number"] is None or not row["printer"]:
        message = f"No printer has taken job {job} yet; send it."
        raise Refused(message)
    return _ended(depot, job, ipp.state(ipp.Job(row["printer"], row["number"], row["what"])))


def _ended(depot: Depot, job: int, state: JobState) -> str:
    """Settle a job by what the printer says of it."""
    if state.printed:
        _settle(depot, job, "printed", state.sentence(), let_go=True)
    elif state.finished:
        _settle(depot, job, "kept", state.sentence())
        message = f"Job {job} did not come out ({state.sentence()}); it is kept and can be sent again."
        raise Refused(message)
    else:  # it may still come out: sent, so that nobody prints it twice without asking
        _settle(depot, job, "sent", state.sentence())
    return state.sentence()


class _LeftError(Refused):
    """The program is being left while a printer works."""


def _wait(leaving: threading.Event, seconds: float) -> None:
    if leaving.wait(seconds):
        raise _LeftError("The program was left before the printer was done; the job is kept.")


def drop_job(depot: Depot, job: int) -> None:
    """Strike a job off: it came out after all, or nobody wants it."""
    _pdf(depot, job)
    _settle(depot, job, "dropped", "struck off", let_go=True)


def _pdf(depot: Depot, job: int) -> bytes:
    pdf = depot.value("SELECT pdf FROM print_jobs WHERE id = ?", (job,))
    if pdf is None:
        message = f"Label job {job} is not kept any more; make it again."
        raise Refused(message)
    return bytes(pdf)


def _settle(
    depot: Depot,
    job: int,
    state: str,
    said: str,
    *,
    printer: str | None = None,
    number: int | None = None,
    let_go: bool = False,
) -> None:
    with depot.write():
        depot.run(
            "UPDATE print_jobs SET state = ?, said = ?, printer = ifnull(?, printer), number = ifnull(?, number), "
            "pdf = iif(?, NULL, pdf) WHERE id = ?",
            (state, said, printer, number, let_go, job),
        )
