"""What every command shares: which depot, who is at the desk, and how answers are printed."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from partsbin.commands.working import working
from partsbin.depot.backup_plan import back_up_today
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.plain_text import shown, shown_json
from partsbin.desk.people import at_desk
from partsbin.errors import Refused


def default_depot() -> Path:
    """Return the depot used when none is named: ``PARTSBIN_DEPOT``, else one in the user's data folder."""
    named = os.environ.get("PARTSBIN_DEPOT")
    return Path(named).expanduser() if named else platformdirs.user_data_path("partsbin") / "main.depot"


@dataclass
class Session:
    """One run of a command."""

    path: Path
    initials: str
    json: bool
    command: str = "partsbin"
    _signed: Operator | None = None

    @classmethod
    def of(cls, options: argparse.Namespace) -> Session:
        """Read the options that every command has."""
        depot = getattr(options, "depot", None)
        path = Path(depot).expanduser() if depot else default_depot()
        initials = getattr(options, "operator", None) or os.environ.get("PARTSBIN_OPERATOR", "")
        return cls(path, initials, bool(getattr(options, "json", False)), getattr(options, "command", "partsbin"))

    def open(self) -> Depot:
        """Open the depot; a wait for another terminal is told on stderr, and so is work that takes over a second."""
        working.begin(self.command)
        depot = Depot.open(self.path)
        depot.waiting = tell_once()
        depot.connection.set_progress_handler(lambda: 0, 1_000_000)  # lets Ctrl-C in while SQLite is at it
        try:
            back_up_today(depot, lambda left, of: working.part(f"the day's backup, {left} of {of} pages left"))
            working.part("")
        except Refused as refused:  # no reason to stop work; but somebody should know
            tell(f"note: no backup was made today. {refused}")
        return depot

    def operator(self, depot: Depot) -> Operator:
        """Return who posts; asks once for the PIN of somebody who has one."""
        if self._signed is None:
            self._signed = at_desk(
                depot, self.initials, lambda who: ask_secret(f"PIN of {who.initials}: ", "PARTSBIN_PIN")
            )
        return self._signed

    def answer(self, document: object, text: str | Iterable[str]) -> int:
        """Print the answer, as one JSON document or as lines for people; returns exit code 0."""
        if self.json:
            say_json(document)
        else:
            say(text if isinstance(text, str) else "\n".join(text))
        return 0


def ask_secret(question: str, variable: str) -> str:
    """Return a PIN from the environment, else asked for on the terminal without showing it."""
    given = os.environ.get(variable)
    if given is not None:
        return given.strip()
    if not sys.stdin.isatty():
        message = f"{question.strip(': ')} is needed: run it on a terminal, or give it in {variable}."
        raise Refused(message)
    import getpass

    working.end()  # while somebody thinks, nothing is at work
    return getpass.getpass(question).strip()


def say(text: str) -> None:
    """Print an answer on stdout."""
    working.end()
    with heard():
        print(shown(text))


def say_json(document: object) -> None:
    """Print an answer on stdout as one JSON document."""
    working.end()
    with heard():
        print(shown_json(json.dumps(document, ensure_ascii=False)))


@contextmanager
def heard() -> Iterator[None]:
    """Say it in words where stdout takes no more, such as a file on a full disk: the work itself is done by then."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # or Python tries once more as it ends
        message = f"The answer could not be written out in full: {error.strerror}. What was asked for is done."
        raise Refused(message) from error


def tell(*words: object) -> None:
    """Narrate on stderr: stdout is for answers."""
    working.wipe()
    print(*(shown(str(word)) for word in words), file=sys.stderr)


class tell_once:  # noqa: N801 - used like a function
    """Narrate the same word only once."""

    def __init__(self) -> None:
        self.told: set[str] = set()

    def __call__(self, word: str) -> None:
        """Tell it if it was not told yet."""
        if word not in self.told:
            self.told.add(word)
            tell(word)


def table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> list[str]:
    """Return rows as aligned columns for a terminal."""
    from rich.cells import cell_len

    cells = [[str(cell) for cell in row] for row in (header, *rows)]
    widths = [max(cell_len(row[i]) for row in cells) for i in range(len(header))]
    return [
        "  ".join(cell + " " * (width - cell_len(cell)) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in cells
    ]
