"""What our own labels say to a scanner: places, badges, slips and cases in digits and capital letters only.

A scanner that types through another country's keyboard layout spoils signs, and mostly leaves 0-9 and A-Z alone, so
nothing else is used. Labels write these codes and scan reading takes them apart again; both come here.

A badge, a slip and a case begin with two letters of their own and end with a check character (ISO/IEC 7064,
MOD 37,36), so that a part number which happens to begin alike is not taken for one and swapped keys are noticed:

    OP 4711 x                          badge 4711
    SL 1042 x                          slip 1042
    CS DRK ZH 0012 ZD 261130 ZL L7 ZN 24 x   a case of DRK-0012: best before 2026-11-30, lot L7, packed with 24

``Z`` is the escape letter. ``ZD`` YYMMDD, ``ZL`` and ``ZN`` open best-before, lot and quantity; ``ZH`` is a hyphen,
``ZP`` a point, ``ZS`` a slash, ``ZU`` an underscore, ``ZB`` a blank, ``ZZ`` the letter itself; ``ZX`` and two
hexadecimal digits is any other byte of UTF-8. Years are 2000 to 2099.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from partsbin.errors import Refused

BADGE, CASE, SLIP = "OP", "CS", "SL"
_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_PLAIN = frozenset(_ALPHABET) - {"Z"}
_SIGNS = {"Z": "ZZ", "-": "ZH", ".": "ZP", "/": "ZS", "_": "ZU", " ": "ZB"}
_LETTERS = {mark[1]: sign for sign, mark in _SIGNS.items()}
_FIELDS = "DLN"
_TOKEN = re.compile(r"ZX([0-9A-F]{2})|Z([A-Z])|([0-9A-Y])")
_BIN = re.compile(r"([A-Z]{1,2})-?(\d{2})-?(\d{2})-?(\d{1,2})", re.ASCII)
_DRAWER = re.compile(r"(VAN-?\d{1,4})-?(D\d{1,3})", re.ASCII)
_VAN = re.compile(r"VAN-?\d{1,4}", re.ASCII)


@dataclass(frozen=True, slots=True)
class CaseCode:
    """What a case label of ours says. ``quantity`` is in base units as packed, None when the label does not say."""

    part_number: str
    lot: str = ""
    best_before: date | None = None
    quantity: int | None = None


def check_character(text: str) -> str:
    """Return the ISO/IEC 7064 MOD 37,36 check character of digits and capital letters."""
    product = 36
    for letter in text:
        product = ((product + _ALPHABET.index(letter)) % 36 or 36) * 2 % 37
    return _ALPHABET[(37 - product) % 36]


def encode_bin(code: str) -> str:
    """Return what the label of a bin, van or drawer encodes: ``A-03-07-2`` is ``A030702``, ``VAN1-D3`` is ``VAN1D3``.

    Raises Refused when the code has no plain letter or digit.
    """
    found = _BIN.fullmatch(code.strip().upper())
    parts = [*found.groups()[:3], found[4].zfill(2)] if found else [code.upper()]
    encoded = "".join(letter for letter in "".join(parts) if letter in _ALPHABET)
    if not encoded:
        message = f"The code {code!r} has no plain letter or digit to encode. Give the place a code like A-03-07-2."
        raise Refused(message)
    return encoded


def read_bin(text: str) -> str:
    """Return the printed code of a bin (``A-03-07-2``) from its printed or encoded form; empty for anything else."""
    found = _BIN.fullmatch(text)
    return f"{found[1]}-{found[2]}-{found[3]}-{int(found[4])}" if found else ""


def read_van(text: str) -> str:
    """Return a van's code (``VAN1``) from its printed or encoded form; empty for anything else."""
    return text.replace("-", "") if _VAN.fullmatch(text) else ""


def read_drawer(text: str) -> str:
    """Return a van drawer's code (``VAN1-D3``) from its printed or encoded form; empty for anything else."""
    found = _DRAWER.fullmatch(text)
    return f"{found[1].replace('-', '')}-{found[2]}" if found else ""


def encode_badge(badge: str) -> str:
    """Return what an operator's badge encodes. Raises Refused for an empty badge."""
    return _sealed(BADGE, _escaped(_some(badge, "badge")))


def read_badge(text: str) -> str:
    """Return the badge a scanned text stands for; empty when it is not a badge of ours."""
    return _text_only(_opened(BADGE, text))


def encode_slip(number: int | str) -> str:
    """Return what the symbol on a printed slip encodes. Raises Refused for an empty number."""
    return _sealed(SLIP, _escaped(_some(str(number), "slip number")))


def read_slip(text: str) -> str:
    """Return the slip number a scanned text stands for; empty when it is not a slip of ours."""
    return _text_only(_opened(SLIP, text))


def encode_case(part_number: str, lot: str = "", best_before: date | None = None, quantity: int | None = None) -> str:
    """Return what a case label of ours encodes; read back by ``read_case``.

    ``quantity`` is the base units the case was packed with. With neither lot, date nor quantity it stands for the part
    number itself, when that has letters no bar symbol holds. Raises Refused for an empty part number, a quantity
    below one or a year the two digits cannot hold.
    """
    pieces = [_escaped(_capitals(_some(part_number, "part number")))]
    if best_before is not None:
        if not 2000 <= best_before.year <= 2099:
            message = f"A case label holds dates from 2000 to 2099, not {best_before.isoformat()}."
            raise Refused(message)
        pieces.append(f"ZD{best_before:%y%m%d}")
    if lot.strip():
        pieces.append(f"ZL{_escaped(lot.strip())}")
    if quantity is not None:
        if quantity < 1:
            message = f"A case holds at least one unit, not {quantity}."
            raise Refused(message)
        pieces.append(f"ZN{quantity}")
    return _sealed(CASE, "".join(pieces))


def read_case(text: str) -> CaseCode | None:
    """Return what a scanned case label of ours says, or None when the text is not one."""
    fields = _fields(_opened(CASE, text))
    if fields is None or not fields.get(""):
        return None
    day, quantity = _day(fields.get("D", "")), fields.get("N", "")
    if ("D" in fields and day is None) or (quantity and not (quantity.isascii() and quantity.isdigit())):
        return None
    return CaseCode(fields[""], fields.get("L", ""), day, int(quantity) if quantity else None)


def _some(text: str, what: str) -> str:
    """``text`` without surrounding blanks; refuses nothing at all."""
    trimmed = text.strip()
    if not trimmed:
        message = f"There is no {what} to put on the label."
        raise Refused(message)
    return trimmed


def _capitals(text: str) -> str:
    """Capitals for plain letters only: two items may differ in others, and some change their number (ß, SS)."""
    return "".join(letter.upper() if letter.isascii() else letter for letter in text)


def _escaped(text: str) -> str:
    return "".join(letter if letter in _PLAIN else _SIGNS.get(letter) or _hexadecimal(letter) for letter in text)


def _hexadecimal(letter: str) -> str:
    return "".join(f"ZX{byte:02X}" for byte in letter.encode())


def _sealed(prefix: str, body: str) -> str:
    return prefix + body + check_character(prefix + body)


def _opened(prefix: str, text: str) -> str:
    """The body of a code of ours, or nothing if prefix, letters or check character say that it is none."""
    upper = text.upper()
    if not upper.isascii() or not upper.isalnum() or not upper.startswith(prefix) or len(upper) < len(prefix) + 2:
        return ""
    return upper[len(prefix) : -1] if check_character(upper[:-1]) == upper[-1] else ""


def _fields(body: str) -> dict[str, str] | None:
    """Take escapes apart: text by field letter, the part before any field under an empty one; None when malformed."""
    fields: dict[str, bytearray] = {"": bytearray()}
    field, at = "", 0
    while at < len(body):
        token = _TOKEN.match(body, at)
        if token is None:
            return None
        byte, mark, plain = token.groups()
        if mark and mark in _FIELDS:
            field = mark
            fields[field] = bytearray()
        elif mark and mark not in _LETTERS:
            return None
        else:
            fields[field] += bytes.fromhex(byte) if byte else (_LETTERS[mark] if mark else plain).encode()
        at = token.end()
    try:
        return {field: value.decode() for field, value in fields.items()}
    except UnicodeDecodeError:
        return None


def _text_only(body: str) -> str:
    fields = _fields(body) or {}
    return fields.get("", "") if len(fields) == 1 else ""


def _day(text: str) -> date | None:
    if not re.fullmatch(r"\d{6}", text, re.ASCII):
        return None
    try:
        return date(2000 + int(text[:2]), int(text[2:4]), int(text[4:]))
    except ValueError:
        return None
