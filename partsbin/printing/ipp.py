"""Printing over IPP: ask a printer, send it a PDF, follow the job to its end, and say what is wrong in words.

Nothing but the standard library. A job that could not be sent raises Refused and stays with whoever called: they
keep the PDF and offer it again.
"""

from __future__ import annotations

import getpass
import http.client
import time
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import SplitResult, urlsplit

from partsbin.errors import Refused
from partsbin.printing import ipp_message as message
from partsbin.printing.ipp_words import STATUS, job_word, reasons_in_words

_PORT = 631
_ANSWER_SECONDS = 15.0  # a sleeping label printer takes up to ten to wake
_BUSY = frozenset({0x0502, 0x0505, 0x0507})  # service unavailable, temporary error, busy (RFC 8011, 5.1 of appendix B)
_OK_BELOW = 0x0100
_BAD_VALUE = 0x040B  # attributes or values not supported
_LOST_POLLS = 3
_GONE = "Check that it is switched on and on this network; the job is kept."


class _LostError(Refused):
    """The printer did not answer, or stopped answering."""


@dataclass(frozen=True)
class Printer:
    """What a printer says of itself. ``reasons`` are its complaints in words, empty when all is well."""

    uri: str
    name: str
    accepting: bool
    stopped: bool
    reasons: tuple[str, ...]
    formats: tuple[str, ...]
    takes: frozenset[str]  # of "copies", "media-col", "print-scaling" those it understands


@dataclass(frozen=True)
class Job:
    """A job a printer has taken: enough to ask after it later. ``note`` is what to look at before labels are wasted."""

    printer: str
    number: int
    name: str
    note: str = ""


@dataclass(frozen=True)
class JobState:
    """How far a job is: ``word`` for people, ``finished`` if it changes no more, ``printed`` if it came out."""

    word: str
    finished: bool
    printed: bool
    reasons: tuple[str, ...] = ()

    def sentence(self) -> str:
        """The state with its reasons."""
        return f"{self.word}: {', '.join(self.reasons)}" if self.reasons else self.word


def look(uri: str) -> Printer:
    """Ask the printer at ``uri`` (``ipp://host/path``) how it is.

    Raises Refused when it does not answer or is no IPP printer.
    """
    asked = ["name", "state", "state-reasons", "is-accepting-jobs"]
    supported = ["document-format", "print-scaling", "copies", "media-col"]
    asked = [f"printer-{name}" for name in asked] + [f"{name}-supported" for name in supported]
    reply = _ask(uri, message.GET_PRINTER, [(message.KEYWORD, "requested-attributes", asked)])
    if reply.status >= _OK_BELOW:
        raise _refused(uri, reply.status)
    takes = {name for name in ("copies", "media-col") if f"{name}-supported" in reply.attributes}
    if "none" in reply.words("print-scaling-supported"):
        takes.add("print-scaling")
    return Printer(
        uri,
        next(iter(reply.words("printer-name")), uri),
        reply.attributes.get("printer-is-accepting-jobs", [True])[0] is not False,
        reply.number("printer-state") == 5,
        reasons_in_words(reply.words("printer-state-reasons")),
        tuple(reply.words("document-format-supported")),
        frozenset(takes),
    )


def send(
    pdf: bytes,
    uri: str,
    name: str,
    *,
    copies: int = 1,
    media_mm: tuple[float, float] | None = None,
    busy_seconds: float = 30.0,
    sleep: Callable[[float], None] = time.sleep,
) -> Job:
    """Send ``pdf`` to the printer at ``uri`` as a job called ``name`` and return the job it became.

    Asks for no scaling and for the label's own size ``media_mm`` where the printer understands that. A busy printer
    is asked again for ``busy_seconds``. Raises Refused, nothing having been printed unless the sentence says otherwise.
    """
    printer = look(uri)
    _check_takes(printer, copies)
    job, note = _job_attributes(printer, copies, media_mm), ""
    wait, waited = 1.0, 0.0
    while True:
        reply = _offer(uri, name, job, pdf)
        if reply.status < _OK_BELOW:
            return Job(uri, reply.number("job-id"), name, note)
        if reply.status == _BAD_VALUE and media_mm and not note:
            job = _job_attributes(printer, copies, None)
            size = f"{media_mm[0]:g} x {media_mm[1]:g} mm"
            note = f"{printer.name} knows no labels of {size}; see that the right stock is loaded"
            continue
        if reply.status not in _BUSY:
            raise _refused(uri, reply.status)
        if waited >= busy_seconds:
            raise Refused(f"{printer.name} has been busy for {waited:.0f} s. The job is kept; send it again later.")
        sleep(wait)
        waited, wait = waited + wait, min(wait * 2, 8.0)


def _check_takes(printer: Printer, copies: int) -> None:
    """Refuse a printer that says beforehand that it will not print this."""
    if printer.formats and not {"application/pdf", "application/octet-stream"} & set(printer.formats):
        raise Refused(
            f"{printer.name} takes no PDF, only {', '.join(printer.formats)}. Write a PDF file and print that."
        )
    if not printer.accepting:
        raise Refused(
            f"{printer.name} takes no jobs now{_because(printer.reasons)}. The job is kept; send it again later."
        )
    if copies > 1 and "copies" not in printer.takes:
        raise Refused(f"{printer.name} prints one copy at a time; send the job {copies} times.")


def _offer(uri: str, name: str, job: list[message.Attribute], pdf: bytes) -> message.Answer:
    """Send the job once. A printer lost meanwhile may have printed it, and the refusal says so."""
    operation: list[message.Attribute] = [(message.NAME, "job-name", name)]
    operation.append((message.MEDIA_TYPE, "document-format", "application/pdf"))
    try:
        return _ask(uri, message.PRINT_JOB, operation, job, pdf)
    except _LostError as lost:
        raise Refused(f"{lost} It was lost while the job was sent: look whether labels came out first.") from lost


def _job_attributes(printer: Printer, copies: int, media_mm: tuple[float, float] | None) -> list[message.Attribute]:
    attributes: list[message.Attribute] = []
    if copies > 1:
        attributes.append((message.INTEGER, "copies", copies))
    if "print-scaling" in printer.takes:
        attributes.append((message.KEYWORD, "print-scaling", "none"))
    if media_mm and "media-col" in printer.takes:
        size = {
            name: (message.INTEGER, round(side * 100))
            for name, side in zip(("x-dimension", "y-dimension"), media_mm, strict=True)
        }
        attributes.append((0, "media-col", {"media-size": size}))
    return attributes


def state(job: Job) -> JobState:
    """Ask how far ``job`` is. Raises Refused when the printer does not answer or knows nothing of it."""
    asked = ["job-state", "job-state-reasons"]
    operation: list[message.Attribute] = [(message.INTEGER, "job-id", job.number)]
    operation.append((message.KEYWORD, "requested-attributes", asked))
    reply = _ask(job.printer, message.GET_JOB, operation)
    if reply.status >= _OK_BELOW:
        raise _refused(job.printer, reply.status)
    number = reply.number("job-state")
    reasons = reasons_in_words(reply.words("job-state-reasons"))
    return JobState(job_word(number), number >= 7, number == 9, reasons)


def follow(
    job: Job,
    *,
    tell: Callable[[JobState], None] | None = None,
    every: float = 1.0,
    patience: float = 600.0,
    sleep: Callable[[float], None] = time.sleep,
) -> JobState:
    """Ask after ``job`` every ``every`` seconds until it is finished, telling each change; return its last state.

    Returns the state reached when ``patience`` seconds are over. Raises Refused when the printer vanishes: what it
    says then is that labels may already be out.
    """
    last, waited, lost = None, 0.0, 0
    while True:
        try:
            now, lost = state(job), 0
        except Refused as refusal:
            lost += 1
            if lost >= _LOST_POLLS:
                raise Refused(
                    f"The job was sent, then the printer was lost. {refusal} Look at what came out before you send it"
                    " again."
                ) from refusal
        else:
            if now != last and tell:
                tell(now)
            last = now
            if now.finished or waited >= patience:
                return now
        sleep(every)
        waited += every


def _because(reasons: tuple[str, ...]) -> str:
    return f" ({', '.join(reasons)})" if reasons else ""


def _refused(uri: str, status: int) -> Refused:
    return Refused(
        f"The printer at {uri} refused: {STATUS.get(status, f'IPP status 0x{status:04x}')}. The job is kept."
    )


def _ask(
    uri: str,
    operation: int,
    attributes: list[message.Attribute],
    job: list[message.Attribute] | None = None,
    document: bytes = b"",
) -> message.Answer:
    """Post one request and decode the answer; every way of failing becomes one sentence."""
    first: list[message.Attribute] = [
        (message.CHARSET, "attributes-charset", "utf-8"),
        (message.LANGUAGE, "attributes-natural-language", "en"),
        (message.URI, "printer-uri", uri),
        (message.NAME, "requesting-user-name", _user()),
    ]
    # job-id belongs right after the printer's URI: RFC 8011, 4.1.5
    first[3:3] = [one for one in attributes if one[1] == "job-id"]
    first += [one for one in attributes if one[1] != "job-id"]
    groups = [(message.OPERATION, first)] + ([(message.JOB, job)] if job else [])
    try:
        return message.answer(_post(uri, message.request(operation, groups) + document))
    except message.NotIpp as fault:
        raise Refused(f"Something answers at {uri}, but not as an IPP printer. Check the address.") from fault
    except TimeoutError as fault:
        raise _LostError(f"The printer at {uri} does not answer. {_GONE}") from fault
    except (OSError, http.client.HTTPException) as fault:
        why = getattr(fault, "strerror", None) or type(fault).__name__
        raise _LostError(f"The printer at {uri} cannot be reached ({why}). {_GONE}") from fault


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "partsbin"


def require_address(uri: str) -> SplitResult:
    """Take a printer's address apart. Raises Refused for text that is none."""
    try:
        parts = urlsplit(uri)
        if parts.scheme in ("ipp", "ipps", "http", "https") and parts.hostname and parts.port != 0:
            return parts
    except ValueError:  # brackets without an address between them, a port beyond 65535
        pass
    raise Refused(f"“{uri}” is no printer address; it should look like ipp://printer.local/ipp/print.")


def _post(uri: str, body: bytes) -> bytes:
    parts = require_address(uri)
    secure = parts.scheme in ("ipps", "https")
    kind = http.client.HTTPSConnection if secure else http.client.HTTPConnection
    connection = kind(parts.hostname or "", parts.port or _PORT, timeout=_ANSWER_SECONDS)
    try:
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        connection.request("POST", path, body, {"Content-Type": "application/ipp"})
        response = connection.getresponse()
        content = response.read()
    finally:
        connection.close()
    if response.status == 200:
        return content
    if response.status == 503:
        return message.busy()
    raise Refused(
        f"The printer at {uri} answers {response.status} {response.reason}. Check the address and who may print."
    )
