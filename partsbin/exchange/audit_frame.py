"""The outer shell of a vending audit file: line ends, check value, segment count, and what a bad one is refused for.

Shape after EVA DTS 6.1 in our own words: ``DXS`` names the sender, ``ST`` opens the set, ``G85`` carries the check
value, ``SE`` the number of segments from ST to SE, ``DXE`` closes. Fields are parted by ``*``.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from typing import Final

from partsbin.errors import Refused

MOST_BYTES: Final = 1_000_000
MOST_SEGMENTS: Final = 20_000
_POLYNOMIAL: Final = 0xA001  # 0x8005 reflected

Segment = tuple[str, ...]


def _crc_row(value: int) -> int:
    for _ in range(8):
        value = (value >> 1) ^ (_POLYNOMIAL if value & 1 else 0)
    return value


_CRC_TABLE: Final = tuple(_crc_row(n) for n in range(256))


def crc16_arc(data: bytes) -> int:
    """CRC-16/ARC of ``data``: reflected polynomial 0x8005, start 0, nothing added at the end; check value 0xBB3D."""
    crc = 0
    for byte in data:
        crc = (crc >> 8) ^ _CRC_TABLE[(crc ^ byte) & 0xFF]
    return crc


@dataclass(frozen=True, slots=True)
class Frame:
    """The segments of one audit set, each split into fields, with what was found wrong but not fatal.

    ``fingerprint`` is the same for the same set however its line ends or check value were mangled. ``checked`` is
    False when the check value was wrong or missing and the caller took the file all the same.
    """

    segments: tuple[Segment, ...]
    fingerprint: str
    checked: bool
    warnings: tuple[str, ...]


def read_frame(data: bytes, name: str = "the file", *, accept_bad_check: bool = False) -> Frame:
    """Split an audit file into segments after checking its shell.

    Refused: more than ``MOST_BYTES`` bytes (before anything is read), no audit segments, cut off before its end,
    several sets in one file, and a wrong check value unless ``accept_bad_check``. Warned: lost carriage returns,
    check value with its bytes swapped, wrong segment count.
    """
    _refuse_size(len(data), name)
    lines = [line for line in data.splitlines() if line.strip(b" \t\0\x1a")]
    start = next((n for n, line in enumerate(lines) if re.match(rb"ST\*", line)), None)
    if start is None:
        raise Refused(_no_set(lines, name))
    body, check, count, closed = _split(lines[start:], name)
    if not closed:
        raise Refused(_cut_off(lines, name))
    normal = b"".join(line + b"\r\n" for line in body)
    warnings = list(_line_end_warnings(data))
    checked = _compare_check(normal, check, name, warnings, accept_bad_check=accept_bad_check)
    if count != len(body) + 2:
        warnings.append(f"segment count says {count}, the file holds {len(body) + 2}; the check value decides")
    segments = (*_head(lines[:start]), *(_fields(line) for line in body))
    return Frame(segments, hashlib.sha256(normal).hexdigest(), checked, tuple(warnings))


def _refuse_size(size: int, name: str) -> None:
    if size > MOST_BYTES:
        raise Refused(f"{name} is {size / 1e6:.1f} MB; an audit file is a few kB, {MOST_BYTES // 1000} kB at most")
    if not size:
        raise Refused(f"{name} is empty; read the machine again")


def _fields(line: bytes) -> Segment:
    return tuple(field.strip() for field in line.decode("latin-1").split("*"))


def _head(lines: list[bytes]) -> list[Segment]:
    return [_fields(line) for line in lines if line.startswith(b"DXS*")][-1:]


def _no_set(lines: list[bytes], name: str) -> str:
    if any(re.match(rb"(PA1|ID1|VA1)\*", line) for line in lines[:MOST_SEGMENTS]):
        return f"{name} holds audit lines but no opening ST and no check value; read the machine again"
    return f"{name} is no vending audit file: no line of it starts with ST*"


def _cut_off(lines: list[bytes], name: str) -> str:
    last = lines[-1][:20].decode("latin-1")
    return f"{name} stops in line {len(lines)} at {last!r}, before its check value and end; read the machine again"


def _split(lines: list[bytes], name: str) -> tuple[list[bytes], str, int | None, bool]:
    """Lines from ST to before G85, the check value, the count in SE, and whether the set is closed."""
    body: list[bytes] = []
    check = ""
    for number, line in enumerate(lines):
        if line.startswith(b"G85*"):
            check = _fields(line)[1]
        elif line.startswith(b"SE*"):
            return body, check, _number(_fields(line)[1]), _closed(lines[number + 1 :], name)
        elif check:
            continue  # nothing but SE belongs between the check value and the end
        elif len(body) >= MOST_SEGMENTS:
            raise Refused(f"{name} has more than {MOST_SEGMENTS} lines; that is no reading of one machine")
        else:
            body.append(line)
    return body, check, None, False


def _closed(rest: list[bytes], name: str) -> bool:
    if any(line.startswith(b"ST*") for line in rest):
        raise Refused(f"{name} holds more than one reading; save one reading to a file")
    return any(line.startswith(b"DXE*") for line in rest)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _line_end_warnings(data: bytes) -> tuple[str, ...]:
    if b"\r\n" in data and data.count(b"\n") == data.count(b"\r\n"):
        return ()
    return ("carriage returns were lost on the way here; line ends were put back before checking",)


def _compare_check(body: bytes, check: str, name: str, warnings: list[str], *, accept_bad_check: bool) -> bool:
    crc = f"{crc16_arc(body):04X}"
    if check.upper() == crc:
        return True
    if check.upper() == crc[2:] + crc[:2]:
        warnings.append(f"check value {check} has its bytes swapped, as older machines write it; accepted")
        return True
    found = f"check value {check} where the content gives {crc}" if check else "no check value"
    if not accept_bad_check:
        raise Refused(f"{name} was damaged on the way: {found}. Read the machine again")
    warnings.append(f"{found}: taken all the same at your word, figures may be wrong")
    return False
