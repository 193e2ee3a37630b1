"""The command line: the same flows as the screens, without a screen."""

from __future__ import annotations

import argparse
import json
import os
import sqlite3
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import NoReturn

from partsbin import __version__
from partsbin.commands.session import Session, heard, tell
from partsbin.commands.working import working
from partsbin.depot.faults import sentence
from partsbin.depot.plain_text import shown_json
from partsbin.errors import Refused

Run = Callable[[Session, argparse.Namespace], int]

_DONE, _REFUSED, _USAGE = 0, 1, 2


class _UsageError(Exception):
    """A command line that cannot be read: how to write one, and what was wrong."""

    def __init__(self, usage: str, wrong: str) -> None:
        super().__init__(f"{usage}{wrong}")
        self.wrong = wrong


class _Parser(argparse.ArgumentParser):
    """Leaves the answer to wrong usage to ``main``: with ``--json`` it is a document too."""

    def error(self, message: str) -> NoReturn:
        raise _UsageError(self.format_usage(), f"{self.prog}: {message}")


def _common() -> _Parser:
    """Return the options every command has."""
    common = _Parser(add_help=False, argument_default=argparse.SUPPRESS)
    common.add_argument(
        "--depot", metavar="FILE", help="the depot (default: $PARTSBIN_DEPOT, else the user data folder)"
    )
    common.add_argument("--operator", metavar="INITIALS", help="who posts (default: $PARTSBIN_OPERATOR, else the lead)")
    common.add_argument("--json", action="store_true", help="one JSON document on standard output")
    return common


def parser() -> argparse.ArgumentParser:
    """Return the whole command line; options every command has may stand before or after the command."""
    from partsbin.commands import asking, files, labels, lanes, people, planning, restock, rounds, slips

    common = _common()
    top = _Parser(prog="partsbin", parents=[common], description="The parts-and-advice desk of a drinks-vending depot.")
    top.add_argument("--version", action="version", version=f"partsbin {__version__}")
    commands = top.add_subparsers(metavar="COMMAND")

    def command(name: str, run: Run, help_: str) -> argparse.ArgumentParser:
        added = commands.add_parser(name, parents=[common], help=help_, description=f"{name}: {help_}.")
        added.set_defaults(run=run, command=name)
        return added

    for group in (files, asking, slips, restock, planning, labels, lanes, rounds, people):
        group.add(command)
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns 0 done, 1 refused by a rule, 2 usage. Ctrl-C is for the caller (``start``)."""
    try:
        options = _options(arguments)
    except _UsageError as usage:
        return _explain(usage, sys.argv[1:] if arguments is None else arguments)
    session = Session.of(options)
    try:
        run: Run | None = getattr(options, "run", None)
        status = _open_screens(session) if run is None else run(session, options)
        with heard():
            print(end="", flush=True)  # now, while a full disk or a reader gone away can still be told in words
    except Refused as refused:
        return _refuse(session, refused)
    except UnicodeEncodeError:  # bytes among the arguments that are no text
        return _refuse(session, Refused("An argument is not text in UTF-8; type it again."))
    except BrokenPipeError:  # the reader of our output went away: not our fault, and nothing to tell it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return _DONE
    except (sqlite3.Error, OSError) as error:
        said = sentence(error, session.path)
        if said is None:
            raise
        return _refuse(session, Refused(said), error)
    finally:
        working.end()
    return status


def _options(arguments: Sequence[str] | None) -> argparse.Namespace:
    options, more = _common().parse_known_args(arguments)
    if more:  # without a command the screens open, and what commands need is not even imported
        options = parser().parse_args(arguments)
    return options


def _explain(usage: _UsageError, arguments: Sequence[str]) -> int:
    tell(usage)
    if "--json" in arguments:
        _print_refusal(usage.wrong)
    return _USAGE


def _open_screens(session: Session) -> int:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):  # nobody could press a key: it would wait for ever
        message = "The screens need a terminal. Run partsbin in one, or name a command: “partsbin --help” lists them."
        raise Refused(message)
    from partsbin.screens.app import run

    return run(session.path, session.initials)


def _refuse(session: Session, refused: Refused, cause: BaseException | None = None) -> int:
    if getattr(cause or refused.__cause__, "sqlite_errorcode", None) == sqlite3.SQLITE_INTERRUPT:
        raise KeyboardInterrupt from refused  # Ctrl-C reached SQLite first
    tell(refused)
    if session.json:
        problems = [problem._asdict() for problem in getattr(refused, "problems", ())]
        _print_refusal(str(refused), problems)
    return _REFUSED


def _print_refusal(reason: str, problems: Sequence[Mapping[str, object]] = ()) -> None:
    print(shown_json(json.dumps({"refused": reason, "problems": problems}, ensure_ascii=False)))
