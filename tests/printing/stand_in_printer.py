"""A small IPP printer inside the test process. It reads and writes IPP with lines of its own."""

from __future__ import annotations

import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

OPERATIONS = {0x0002: "print", 0x0009: "job", 0x000B: "printer"}


@dataclass
class Behaviour:
    """What the printer does next; tests change it as they go."""

    busy_times: int = 0
    print_status: int = 0
    accepting: bool = True
    formats: tuple[str, ...] = ("application/pdf",)
    printer_reasons: tuple[str, ...] = ("none",)
    job_states: list[tuple[int, str]] = field(default_factory=lambda: [(3, "none"), (5, "job-printing"), (9, "none")])
    copies: bool = True
    scaling: bool = True
    known_size: bool = True
    http_status: int = 200
    nonsense: bool = False
    hang_up_on: str = ""
    jobs: list[tuple[dict[str, bytes], bytes]] = field(default_factory=list)


def attribute(tag: int, name: str, *values: bytes) -> bytes:
    key = name.encode()
    first, *more = values
    parts = [bytes([tag]) + struct.pack(">H", len(key)) + key + struct.pack(">H", len(first)) + first]
    parts += [bytes([tag, 0, 0]) + struct.pack(">H", len(value)) + value for value in more]
    return b"".join(parts)


def take_apart(raw: bytes) -> tuple[int, dict[str, bytes], bytes]:
    """Operation, first value of each attribute (collection members by their own names), and the document behind."""
    (operation,) = struct.unpack_from(">H", raw, 2)
    found: dict[str, bytes] = {}
    at, name = 8, ""
    while raw[at] != 3:
        tag = raw[at]
        at += 1
        if tag < 0x10:
            continue
        (size,) = struct.unpack_from(">H", raw, at)
        key, at = raw[at + 2 : at + 2 + size].decode(), at + 2 + size
        (size,) = struct.unpack_from(">H", raw, at)
        value, at = raw[at + 2 : at + 2 + size], at + 2 + size
        name = value.decode() if tag == 0x4A else key or name
        if tag not in (0x4A, 0x34, 0x37):
            found.setdefault(name, value)
    return operation, found, raw[at + 1 :]


class Handler(BaseHTTPRequestHandler):
    behaviour: Behaviour

    def log_message(self, *_: object) -> None: ...

    def do_POST(self) -> None:
        behaviour = self.behaviour
        raw = self.rfile.read(int(self.headers["Content-Length"]))
        operation, given, document = take_apart(raw)
        what = OPERATIONS[operation]
        if behaviour.hang_up_on == what:
            self.connection.close()
            return
        status, body = getattr(self, f"answer_{what}")(behaviour, given, document)
        answer = (
            struct.pack(">HHI", 0x0200, status, 1)
            + b"\x01"
            + attribute(0x47, "attributes-charset", b"utf-8")
            + body
            + b"\x03"
        )
        answer = b"<html>hello</html>" if behaviour.nonsense else answer
        self.send_response(behaviour.http_status)
        self.send_header("Content-Length", str(len(answer)))
        self.end_headers()
        self.wfile.write(answer)

    def answer_printer(self, b: Behaviour, given: dict[str, bytes], document: bytes) -> tuple[int, bytes]:
        body = (
            b"\x04"
            + attribute(0x42, "printer-name", b"stand-in")
            + attribute(0x23, "printer-state", struct.pack(">i", 3))
        )
        body += attribute(0x44, "printer-state-reasons", *(reason.encode() for reason in b.printer_reasons))
        body += attribute(0x22, "printer-is-accepting-jobs", bytes([b.accepting]))
        body += attribute(0x49, "document-format-supported", *(one.encode() for one in b.formats))
        body += attribute(0x44, "media-col-supported", b"media-size")
        if b.copies:
            body += attribute(0x33, "copies-supported", struct.pack(">ii", 1, 99))
        if b.scaling:
            body += attribute(0x44, "print-scaling-supported", b"auto", b"none")
        return 0, body

    def answer_print(self, b: Behaviour, given: dict[str, bytes], document: bytes) -> tuple[int, bytes]:
        if b.busy_times > 0:
            b.busy_times -= 1
            return 0x0507, b""
        if b.print_status:
            return b.print_status, b""
        if not b.known_size and "x-dimension" in given:
            return 0x040B, b""
        b.jobs.append((given, document))
        return 0, b"\x02" + attribute(0x21, "job-id", struct.pack(">i", len(b.jobs)))

    def answer_job(self, b: Behaviour, given: dict[str, bytes], document: bytes) -> tuple[int, bytes]:
        state, reason = b.job_states[0] if len(b.job_states) == 1 else b.job_states.pop(0)
        nested = (
            attribute(0x34, "media-col", b"")
            + attribute(0x4A, "", b"job-state")
            + attribute(0x21, "", bytes(4))
            + attribute(0x37, "", b"")
        )
        body = nested + attribute(0x23, "job-state", struct.pack(">i", state))
        return 0, b"\x02" + body + attribute(0x44, "job-state-reasons", reason.encode())


@contextmanager
def printer() -> Iterator[tuple[str, Behaviour, ThreadingHTTPServer]]:
    """Yield the printer's URI on loopback, its behaviour, and the server (to make it vanish)."""
    behaviour = Behaviour()
    server = ThreadingHTTPServer(("127.0.0.1", 0), type("Bound", (Handler,), {"behaviour": behaviour}))
    thread = threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True)
    thread.start()
    try:
        yield f"ipp://127.0.0.1:{server.server_port}/ipp/print", behaviour, server
    finally:
        server.shutdown()
        server.server_close()
