"""Reading requests: find and request."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsbin.commands.files import Add
from partsbin.commands.lanes import lane_document
from partsbin.commands.session import Session, say, say_json, tell
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.desk.lane_questions import LaneAsked
    from partsbin.requests import Answer


def add(command: Add) -> None:
    """Declare these commands."""
    find = command("find", find_, "read a request in words and say which items are meant")
    find.add_argument("text", metavar="TEXT", nargs="*", help="the request")
    find.add_argument("--lines", metavar="FILE", type=Path, help="one query a line; one JSON object a line out")
    find.add_argument("--limit", metavar="N", type=int, default=5, help="candidates a line (default 5)")

    request = command("request", request_, "read a whole message from FILE or standard input")
    request.add_argument("file", metavar="FILE", type=Path, nargs="?")
    request.add_argument("--limit", metavar="N", type=int, default=5, help="candidates a line (default 5)")
    request.add_argument("--keep", action="store_true", help="keep the request; lines that are sure become promised")


def find_(session: Session, options: argparse.Namespace) -> int:
    """Answer one query, or a file of them."""
    from partsbin.desk.finding import as_json
    from partsbin.desk.kept_finder import KeptFinder
    from partsbin.desk.lane_questions import asked

    if options.limit < 1:
        message = "--limit needs a whole number of 1 or more"
        raise Refused(message)
    with session.open() as depot:
        finder = KeptFinder(depot)
        if options.lines:
            for query in _lines(options.lines):
                answers = finder.find(query, options.limit) if query.strip() else []
                say_json(as_json(depot, query, answers, stock=False))
            return 0
        query = " ".join(options.text)
        if not query.strip():
            message = "Say what to find: partsbin find “two 24 volt vend motors, left”."
            raise Refused(message)
        answers = finder.find(query, options.limit)
        document = as_json(depot, query, answers)
        if (lane := asked(depot, query)) is not None:
            document["lane"] = lane_document(lane)
        return _told(session, depot, document, answers, lane)


def _lines(path: Path) -> list[str]:
    if not path.is_file() and str(path) != "-":
        message = f"There is no file {path}."
        raise Refused(message)
    raw = sys.stdin.buffer.read() if str(path) == "-" else path.read_bytes()
    text = raw.decode("utf-8-sig", "replace").replace("\r\n", "\n").replace("\r", "\n")
    # splitlines would also part at what else Unicode calls a line's end, and scans hold such signs
    return text.removesuffix("\n").split("\n") if text else []


def request_(session: Session, options: argparse.Namespace) -> int:
    """Answer a whole message."""
    from partsbin.desk.finding import as_json
    from partsbin.desk.kept_finder import KeptFinder

    if options.file is not None and not options.file.is_file():
        message = f"There is no file {options.file}."
        raise Refused(message)
    raw = options.file.read_bytes() if options.file is not None else sys.stdin.buffer.read()
    text = raw.decode("utf-8-sig", "replace")
    with session.open() as depot:
        message_read, answers = KeptFinder(depot).read(text, options.limit)
        document = as_json(depot, text, answers)
        document.update(
            van=message_read.van,
            job=message_read.job,
            site=message_read.site,
            machine=message_read.machine,
            unread=list(message_read.unread),
            taken_back=[line.text for line in message_read.cancelled],
        )
        if message_read.left_out:
            tell(
                f"The message is too long: {message_read.left_out} characters of it were not read and are under unread."
            )
        if options.keep:
            from partsbin.desk.asking import keep

            document["request"] = keep(depot, session.operator(depot), text, message_read, answers)
        return _told(session, depot, document, answers)


def _told(
    session: Session, depot: Depot, document: dict[str, Any], answers: list[Answer], lane: LaneAsked | None = None
) -> int:
    """People at a terminal get words; a pipe or ``--json`` gets JSON."""
    if session.json or not sys.stdout.isatty():
        say_json(document)
        return 0
    from partsbin.desk.finding import advise

    if lane is not None:  # that is what was asked; which parts the words resemble is beside the point
        say(lane.words())
        return 0
    for answer in answers:
        say(f"\n“{answer.line.text}”: {answer.status}, quantity {answer.quantity or '?'}")
        if answer.question:
            say(f"  ask: {answer.question}")
        for place, candidate in enumerate(answer.candidates, 1):
            say(f"  {place}. {candidate.part_number}  {candidate.description}  ({candidate.score:.0%})")
            say(f"     {candidate.why}")
        if answer.candidates:
            advice = advise(depot, answer.candidates[0].item_id)
            stock = ", ".join(f"{place} {quantity}" for place, quantity in advice.stock) or "none in the depot"
            say(f"  stock: {stock}")
            for caution in advice.cautions:
                say(f"  {caution.word}: {caution.text}")
    for text in document.get("taken_back", ()):
        say(f"\ntaken back: “{text}”")
    for text in document.get("unread", ()):
        say(f"\nnot read: “{text}”")
    return 0
