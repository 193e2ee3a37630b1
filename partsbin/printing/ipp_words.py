"""What printers say, in words: job states, state reasons, status codes (keywords and numbers: RFC 8011, PWG 5100.9)."""

from __future__ import annotations

from collections.abc import Iterable

_JOB_STATES = {
    3: "waiting in the printer",
    4: "held by the printer",
    5: "printing",
    6: "stopped while printing",
    7: "cancelled",
    8: "given up by the printer",
    9: "printed",
}
_REASON_WORDS = {
    "media-empty": "out of labels or paper",
    "media-needed": "wants labels or paper loaded",
    "media-low": "nearly out of labels or paper",
    "media-jam": "jammed",
    "cover-open": "cover open",
    "door-open": "door open",
    "interlock-open": "cover open",
    "input-tray-missing": "tray missing",
    "toner-empty": "out of toner",
    "toner-low": "toner low",
    "marker-supply-empty": "out of ink, toner or ribbon",
    "marker-supply-low": "ink, toner or ribbon low",
    "marker-waste-full": "waste box full",
    "fuser-over-temp": "too hot",
    "offline": "off line",
    "paused": "paused",
    "shutdown": "switching off",
    "spool-area-full": "its memory is full",
    "stopped-partly": "partly stopped",
    "timed-out": "lost its own connection",
    "other": "a fault it does not name",
    "printer-stopped": "the printer is stopped",
    "job-canceled-by-user": "cancelled by someone",
    "job-canceled-by-operator": "cancelled at the printer",
    "job-canceled-at-device": "cancelled at the printer",
    "aborted-by-system": "given up by the printer",
    "document-format-error": "it cannot read the PDF",
    "unsupported-document-format": "it takes no PDF",
    "job-incoming": "still arriving",
    "resources-are-not-ready": "wants labels or paper loaded",
}
_NO_COMPLAINT = frozenset(
    {
        "none",
        "job-printing",
        "job-completed-successfully",
        "job-completed-with-warnings",
        "job-transforming",
        "processing-to-stop-point",
    }
)
STATUS = {
    0x0400: "it did not understand the request",
    0x0401: "it forbids printing from here",
    0x0402: "it wants a user name and password, which partsbin does not send",
    0x0403: "this user may not print there",
    0x0404: "that cannot be done now, for instance cancelling a finished job",
    0x0405: "the job took too long to arrive",
    0x0406: "it knows no such queue or job",
    0x0407: "that queue or job is gone",
    0x0408: "the job is too large for it; print fewer labels at once",
    0x040A: "it does not take PDF; write a PDF file and print that",
    0x040B: "it does not take one of the settings, such as the number of copies",
    0x0500: "it has an internal fault; switch it off and on",
    0x0501: "it cannot do that",
    0x0503: "it speaks another version of IPP",
    0x0504: "it has a fault; look at its display",
    0x0506: "it takes no jobs now",
    0x0507: "it is busy",
    0x0508: "the job was cancelled at the printer",
}


def job_word(number: int) -> str:
    """A job state for people."""
    return _JOB_STATES.get(number, f"in state {number}, which IPP does not define")


def reasons_in_words(reasons: Iterable[str]) -> tuple[str, ...]:
    """State reasons for people, without severity and without those that are no complaint; unknown ones as they are."""
    words = []
    for reason in reasons:
        bare = reason
        for suffix in ("-error", "-warning", "-report"):
            bare = bare.removesuffix(suffix) if bare not in _REASON_WORDS else bare
        if bare not in _NO_COMPLAINT:
            words.append(_REASON_WORDS.get(bare, bare.replace("-", " ")))
    return tuple(dict.fromkeys(words))
