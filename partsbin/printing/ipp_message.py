"""IPP messages as bytes: just what asking a printer, sending it a job and following that job need.

The layout is that of RFC 8010, names and numbers those of RFC 8011.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

OPERATION, JOB, END, PRINTER = 1, 2, 3, 4
PRINT_JOB, GET_JOB, GET_PRINTER = 0x0002, 0x0009, 0x000B
INTEGER, BOOLEAN, ENUM = 0x21, 0x22, 0x23
TEXT, NAME, KEYWORD, URI, CHARSET, LANGUAGE, MEDIA_TYPE = 0x41, 0x42, 0x44, 0x45, 0x47, 0x48, 0x49
_COLLECTION, _END_COLLECTION, _MEMBER = 0x34, 0x37, 0x4A
_FIRST_VALUE_TAG = 0x10  # smaller tags open a group
_VERSION = 0x0200

Value = int | bool | str
Collection = Mapping[str, "tuple[int, Value] | Collection"]
Attribute = tuple[int, str, "Value | list[str] | Collection"]


class NotIpp(Exception):  # noqa: N818 - names what the bytes are
    """The bytes are no IPP message."""


@dataclass
class Answer:
    """A printer's answer: status code and, for each attribute name, its values; collections are left out."""

    status: int
    attributes: dict[str, list[Value]] = field(default_factory=dict)

    def words(self, name: str) -> list[str]:
        """The values of ``name`` as text."""
        return [str(value) for value in self.attributes.get(name, [])]

    def number(self, name: str, otherwise: int = 0) -> int:
        """The first value of ``name``, a number."""
        values = self.attributes.get(name, [])
        return values[0] if values and isinstance(values[0], int) else otherwise


def request(operation: int, groups: Iterable[tuple[int, Iterable[Attribute]]]) -> bytes:
    """Encode a request: its operation attributes in order, then any job attributes."""
    parts = [struct.pack(">HHI", _VERSION, operation, 1)]
    for group, attributes in groups:
        parts.append(bytes([group]))
        for tag, name, value in attributes:
            values = value if isinstance(value, list) else [value]
            parts.extend(_attribute(tag, name if first else "", one) for first, one in _first(values))
    return b"".join([*parts, bytes([END])])


def _first(values: Iterable[Value | Collection]) -> Iterator[tuple[bool, Value | Collection]]:
    return ((number == 0, value) for number, value in enumerate(values))


def _attribute(tag: int, name: str, value: Value | Collection) -> bytes:
    if isinstance(value, Mapping):
        inner = b"".join(_member(member, what) for member, what in value.items())
        return _field(_COLLECTION, name, b"") + inner + _field(_END_COLLECTION, "", b"")
    if isinstance(value, bool):
        raw = bytes([value])
    else:
        raw = struct.pack(">i", value) if isinstance(value, int) else value.encode()
    return _field(tag, name, raw)


def _member(name: str, what: tuple[int, Value] | Collection) -> bytes:
    tag, value = what if isinstance(what, tuple) else (_COLLECTION, what)
    return _field(_MEMBER, "", name.encode()) + _attribute(tag, "", value)


def _field(tag: int, name: str, raw: bytes) -> bytes:
    encoded = name.encode()
    return struct.pack(">BH", tag, len(encoded)) + encoded + struct.pack(">H", len(raw)) + raw


def answer(raw: bytes) -> Answer:
    """Decode an answer. Raises NotIpp for bytes that are none."""
    try:
        version, status, _ = struct.unpack_from(">HHI", raw)
        if version >> 8 not in (1, 2):
            raise NotIpp
        return Answer(status, _attributes(raw))
    except (struct.error, IndexError, UnicodeDecodeError) as fault:
        raise NotIpp from fault


def _attributes(raw: bytes) -> dict[str, list[Value]]:
    found: dict[str, list[Value]] = {}
    at, name, depth = 8, "", 0
    while raw[at] != END:
        tag = raw[at]
        at += 1
        if tag < _FIRST_VALUE_TAG:
            continue
        key, at = _piece(raw, at)
        value, at = _piece(raw, at)
        name = key.decode() or name
        depth += (tag == _COLLECTION) - (tag == _END_COLLECTION)
        if not depth and tag != _END_COLLECTION:
            found.setdefault(name, []).append(_value(tag, value))
    return found


def _piece(raw: bytes, at: int) -> tuple[bytes, int]:
    (length,) = struct.unpack_from(">H", raw, at)
    piece = raw[at + 2 : at + 2 + length]
    if len(piece) < length:
        raise NotIpp
    return piece, at + 2 + length


def _value(tag: int, raw: bytes) -> Value:
    if tag in (INTEGER, ENUM):
        return int(struct.unpack(">i", raw)[0])
    if tag == BOOLEAN:
        return raw != b"\0"
    return raw.decode("utf-8", errors="replace")


def busy() -> bytes:
    """The answer of a printer whose web server itself says it is overloaded."""
    return struct.pack(">HHI", _VERSION, 0x0507, 1) + bytes([END])
