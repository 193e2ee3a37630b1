"""Reading a vending machine's audit file from bytes, a file or a folder."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from partsbin.errors import Refused
from partsbin.exchange.audit_frame import MOST_BYTES, read_frame
from partsbin.exchange.audit_reading import AuditReading, CoinTube, Device, Event, Selection
from partsbin.exchange.audit_segments import HANDLERS, SegmentReader, read_stamp, selection_key

__all__ = [
    "AuditReading",
    "CoinTube",
    "Device",
    "Event",
    "Selection",
    "read_audit",
    "read_audit_file",
    "read_audit_folder",
    "read_stamp",
    "selection_key",
]


def read_audit_file(path: Path, *, accept_bad_check: bool = False) -> AuditReading:
    """Read one audit file; its size is looked at before a byte is read. Raises Refused as :func:`read_audit`."""
    try:
        size = path.stat().st_size
        data = b"" if size > MOST_BYTES else path.read_bytes()
    except OSError as error:
        raise Refused(f"cannot read {path.name}: {error.strerror or error}") from error
    if size > MOST_BYTES:
        raise Refused(f"{path.name} is {size / 1e6:.1f} MB; an audit file is a few kB, {MOST_BYTES // 1000} kB at most")
    return read_audit(data, path.name, accept_bad_check=accept_bad_check)


def read_audit_folder(folder: Path) -> tuple[list[AuditReading], list[str]]:
    """Read every file of a folder, by machine and time: the readings, and a sentence for each file refused.

    The same set met twice, whatever its line ends, is kept once. Files whose name starts with a dot are passed over.
    """
    if not folder.is_dir():
        raise Refused(f"{folder} is no folder")
    readings: dict[str, AuditReading] = {}
    refused = []
    for path in sorted(p for p in folder.iterdir() if p.is_file() and not p.name.startswith(".")):
        try:
            reading = read_audit_file(path)
        except Refused as refusal:
            refused.append(str(refusal))
        else:
            readings.setdefault(reading.fingerprint, reading)
    ordered = sorted(readings.values(), key=lambda r: (r.machine, r.read_at or datetime.min))
    return ordered, refused


def read_audit(data: bytes, name: str = "the file", *, accept_bad_check: bool = False) -> AuditReading:
    """Read an audit file from its bytes. Raises Refused with what is wrong; see :func:`read_frame`."""
    frame = read_frame(data, name, accept_bad_check=accept_bad_check)
    work = SegmentReader(warnings=list(frame.warnings))
    for segment in frame.segments:
        handler = HANDLERS.get(segment[0])
        if handler:
            handler(work, segment)
    return AuditReading(
        fingerprint=frame.fingerprint,
        checked=frame.checked,
        selections=tuple(work.selections.values()),
        tubes=tuple(work.tubes),
        events=tuple(work.events.values()),
        devices=tuple(work.devices),
        warnings=tuple(dict.fromkeys(work.warnings)),
        **work.facts,
    )
