"""Sending kept label jobs to a printer: each by one terminal at a time, followed to its end, never twice unasked."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.file import Depot
from partsbin.desk.label_jobs import pdf_of, settle
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.printing.ipp import JobState

_LONGEST_SENDING = timedelta(minutes=3)
"""A job in hand for longer is of a program that died: a busy printer is given up before, see ``ipp.send``."""


def send_job(
    depot: Depot,
    job: int,
    printer: str,
    tell: Callable[[str], None] = lambda _word: None,
    leaving: threading.Event | None = None,
) -> str:
    """Send a job to an IPP printer and follow it to its end; returns how it ended, in words.

    Whatever goes wrong, the job stays kept and is offered again; the refusal says what happened. A job that another
    terminal is sending, or that still is in a printer, is refused. Once ``leaving`` is set it is not followed any
    longer: what the printer has of it stays marked as sent.
    """
    from partsbin.printing import ipp

    pdf = pdf_of(depot, job)
    what, size = _taken_in_hand(depot, job, printer)
    wait = partial(_wait, leaving or threading.Event())
    try:
        sent = ipp.send(pdf, printer, f"partsbin {job}: {what}"[:120], media_mm=size, sleep=wait)
        settle(depot, job, "sent", sent.note, printer=printer, number=sent.number)
        tell(sent.note or f"sent to {printer}")
        ended = ipp.follow(sent, tell=lambda state: tell(state.sentence()), sleep=wait)
    except _LeftError:
        raise
    except Refused as refused:
        settle(depot, job, "kept", str(refused), printer=printer)
        raise
    return _ended(depot, job, ended)


def _taken_in_hand(depot: Depot, job: int, printer: str) -> tuple[str, tuple[float, float] | None]:
    """Mark a job as being sent, so that no other terminal sends it too; returns what it is, and its paper in mm."""
    sql = "SELECT state, said, what, printer, number, width_mm, height_mm FROM print_jobs WHERE id = ?"
    row = depot.one(sql, (job,))
    if row is None or (row["state"] == "sending" and row["said"] > clock.as_kept(datetime.now(UTC) - _LONGEST_SENDING)):
        message = f"Job {job} is just being sent from another terminal; look at the kept jobs again in a minute."
        raise Refused(message)
    if row["state"] == "sent":
        _require_gone(depot, job, row["printer"], row["number"])
    with depot.write():
        taken = depot.run(
            "UPDATE print_jobs SET state = 'sending', said = ?, printer = ? WHERE id = ? AND state = ? AND said = ?",
            (clock.now(), printer, job, row["state"], row["said"]),
        )
    if taken.rowcount != 1:
        message = f"Another terminal took job {job} in hand at the same moment; look at the kept jobs again."
        raise Refused(message)
    size = (row["width_mm"], row["height_mm"])
    return row["what"], size if all(size) else None


def _require_gone(depot: Depot, job: int, printer: str, number: int) -> None:
    """Refuse a job that the printer it was sent to has printed, or still has before it."""
    from partsbin.printing import ipp

    try:
        state = ipp.state(ipp.Job(printer, number, ""))
    except Refused:
        return  # that printer is gone, or knows it no longer: who sends it again has looked what came out
    if state.printed:
        _ended(depot, job, state)
        message = f"Job {job} came out meanwhile; it is not sent again."
        raise Refused(message)
    if not state.finished:
        message = f"Job {job} is still in {printer} ({state.sentence()}). Cancel it there first, or ask again later."
        raise Refused(message)


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
        settle(depot, job, "printed", state.sentence(), let_go=True)
    elif state.finished:
        settle(depot, job, "kept", state.sentence())
        message = f"Job {job} did not come out ({state.sentence()}); it is kept and can be sent again."
        raise Refused(message)
    else:  # it may still come out: sent, so that nobody prints it twice without asking
        settle(depot, job, "sent", state.sentence())
    return state.sentence()


class _LeftError(Refused):
    """The program is being left while a printer works."""


def _wait(leaving: threading.Event, seconds: float) -> None:
    if leaving.wait(seconds):
        raise _LeftError("The program was left before the printer was done; the job is kept.")
