"""Sending label jobs to a printer, and offering again the ones that did not come out."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.desk.label_jobs import KeptJob, drop_job, open_jobs, save_job
from partsbin.desk.label_sending import ask_after, send_job
from partsbin.desk.papers import paper_path
from partsbin.screens.base import DeskScreen
from partsbin.screens.questions import Ask, Pick


async def ask_printer(screen: DeskScreen, usual: str) -> str:
    """Ask which printer, keep it as the usual one, and return it; empty when given up."""
    question = "Which printer?  Its address, as ipp://printer.local/ipp/print"
    printer: str | None = await screen.app.push_screen_wait(
        Ask(question, answer=usual, hint="ipp://printer.local/ipp/print", check=_address)
    )
    if not printer:
        return ""
    return printer if await screen.attempt(partial(_keep_printer, printer)) is not None else ""


async def send(screen: DeskScreen, job: int, printer: str) -> None:
    """Send a job and follow it, telling how it goes; when it fails it stays kept and the screen says so."""
    app, leaving = screen.desk, screen.desk.leaving

    def tell(word: str) -> None:
        if not leaving.is_set():
            app.call_from_thread(screen.say, f"Job {job}: {word}")

    ended = await screen.attempt(
        lambda depot: send_job(depot, job, printer, tell, leaving), saying=f"sending to {printer} …"
    )
    if ended is not None:
        screen.say(f"Job {job}: {ended}.")


async def write(screen: DeskScreen, job: int) -> None:
    """Write a job as PDF beside the depot."""
    path = await screen.attempt(partial(_write, job))
    if path is not None:
        screen.say(f"Labels: {path}. Print at 100 %, never “fit to page”.")


async def offer_jobs(screen: DeskScreen, usual: str) -> None:
    """List the jobs that did not come out, and do with one what is chosen."""
    jobs = open_jobs(screen.depot)
    if not jobs:
        screen.say("Every label job came out.")
        return
    chosen = await screen.app.push_screen_wait(Pick("Jobs that did not come out", [job.words() for job in jobs]))
    if chosen is None:
        return
    job = jobs[chosen]
    ways = ["send", "write", "strike", *(["ask"] if job.number is not None else [])]
    rows = [
        f"send it {'again ' if job.printer else ''}to {job.printer or usual or 'a printer'}",
        "write it as PDF",
        "strike it off: it came out after all, or nobody wants it",
        "ask the printer how far it is",
    ]
    way = await screen.app.push_screen_wait(Pick(job.words(), rows[: len(ways)]))
    if way is not None:
        await _do(screen, job, ways[way], usual)


async def _do(screen: DeskScreen, job: KeptJob, way: str, usual: str) -> None:
    if way == "write":
        await write(screen, job.id)
    elif way == "send":
        printer = job.printer or await ask_printer(screen, usual)
        if printer:
            await send(screen, job.id, printer)
    elif way == "ask":
        said = await screen.attempt(lambda depot: ask_after(depot, job.id), saying=f"asking {job.printer} …")
        if said is not None:
            screen.say(f"Job {job.id}: {said}.")
    elif await screen.attempt(partial(_strike, job.id)) is not None:
        screen.say(f"Job {job.id} is struck off.")


def _address(text: str) -> None:
    from partsbin.printing.ipp import require_address

    if text:
        require_address(text)


def _keep_printer(printer: str, depot: Depot) -> bool:
    depot.set_setting("label_printer", printer)
    return True


def _write(job: int, depot: Depot) -> Path:
    path = paper_path(depot, f"labels-{job:04d}.pdf")
    save_job(depot, job, path)
    return path


def _strike(job: int, depot: Depot) -> bool:
    drop_job(depot, job)
    return True
