"""What each kind of label says. Only what never goes stale: no label carries a quantity in stock."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from partsbin import codes
from partsbin.errors import Refused


def encoded_form(code: str) -> str:
    """What a place's label encodes: ``A-03-07-2`` becomes ``A030702`` (see ``partsbin.codes``).

    Raises Refused for a code with letters no symbol holds: left out, they would make two places read alike.
    """
    if any(letter.isalnum() and not letter.isascii() for letter in code):
        raise Refused(
            f"The code {code!r} cannot go into a symbol: use plain letters A to Z and digits, like A-03-07-2."
        )
    return codes.encode_bin(code)


@dataclass(frozen=True)
class Caution:
    """A caution that travels with an item: its word, the sentence, and a pictogram's name (see ``pictograms``)."""

    word: str
    text: str = ""
    pictogram: str = ""


@dataclass(frozen=True)
class BinLabel:
    """A place on a shelf. ``encoded`` is made from ``code`` when empty, the mark too unless ``zone`` is a letter."""

    code: str
    encoded: str = ""
    zone: str = ""
    name: str = ""


@dataclass(frozen=True)
class ShelfEndLabel:
    """The end of an aisle: its letter, read from the far end of the room, and the bays behind it."""

    aisle: str
    bays: str = ""
    zone: str = ""
    encoded: str = ""


@dataclass(frozen=True)
class DrawerLabel:
    """A drawer in a van, or the van itself when ``drawer`` is empty."""

    van: str
    drawer: str = ""
    name: str = ""
    encoded: str = ""


@dataclass(frozen=True)
class ItemLabel:
    """A part. ``hand`` is LH, RH or empty; ``viewpoint`` says from where it is left or right."""

    part_number: str
    description: str
    hand: str = ""
    viewpoint: str = ""
    cautions: tuple[Caution, ...] = ()
    encoded: str = ""


@dataclass(frozen=True)
class CaseLabel:
    """A case of product: lot and best-before large, so that the earliest is taken first.

    ``quantity`` is what the case was packed with, 0 if not known. Its symbols carry number, date, lot and quantity in
    our own form; with ``gtin`` (14 digits) the bars carry number, date and lot as GS1 writes them.
    """

    part_number: str
    description: str
    lot: str = ""
    best_before: date | None = None
    quantity: int = 0
    gtin: str = ""
    encoded: str = ""


@dataclass(frozen=True)
class CoreTag:
    """Tied to an exchange part on its way back to be rebuilt; fault and date are written on by hand."""

    part_number: str
    description: str
    serial: str = ""
    origin: str = ""
    encoded: str = ""


@dataclass(frozen=True)
class CautionTag:
    """A caution by itself, to hang on a machine or stick on a box."""

    word: str
    text: str
    pictogram: str = ""


@dataclass(frozen=True)
class BadgeLabel:
    """An operator's badge; ``badge`` is what it encodes, sealed with a check character."""

    initials: str
    name: str
    badge: str
    role: str = ""


def element_string(case: CaseLabel) -> str:
    """What a case's bars carry when its GTIN is known: FNC1, then 01 GTIN, 15 best-before, 10 lot.

    Application identifiers and character set: GS1 General Specifications, sections 3 and 7.11. Empty without a GTIN
    or for a lot GS1 has no way to write. Raises Refused for a GTIN whose check digit is wrong.
    """
    if not case.gtin:
        return ""
    digits = [int(digit) for digit in case.gtin if digit in "0123456789"]
    if len(digits) != len(case.gtin) or len(digits) != 14 or _check_digit(digits[:-1]) != digits[-1]:
        raise Refused(
            f"{case.gtin} on {case.part_number} is no 14-digit GTIN with a right check digit; look at the item's card."
        )
    if case.lot and not re.fullmatch(r"[!\"%&'()*+,\-./0-9:;<=>?A-Z_a-z]{1,20}", case.lot):
        return ""
    dated = f"15{case.best_before:%y%m%d}" if case.best_before else ""
    return f"\xf101{case.gtin}{dated}" + (f"10{case.lot}" if case.lot else "")


def _check_digit(digits: list[int]) -> int:
    """The check digit that follows ``digits``: weights 3, 1, 3, ... from the right."""
    return -sum(digit * (1 if place % 2 else 3) for place, digit in enumerate(reversed(digits))) % 10


Label = BinLabel | ShelfEndLabel | DrawerLabel | ItemLabel | CaseLabel | CoreTag | CautionTag | BadgeLabel


def code_of(label: Label) -> str:
    """The text a scan of ``label`` gives back; empty for a caution tag, which has no symbol."""
    match label:
        case CautionTag():
            return ""
        case BadgeLabel():
            return codes.encode_badge(label.badge)
        case CaseLabel():
            own = (label.part_number, label.lot, label.best_before, label.quantity or None)
            return label.encoded or codes.encode_case(*own)
        case BinLabel():
            return label.encoded or encoded_form(label.code)
        case ShelfEndLabel():
            return label.encoded or encoded_form(label.aisle)
        case DrawerLabel():
            return label.encoded or encoded_form(f"{label.van}{label.drawer}")
        case _:
            return label.encoded or number_code(label.part_number)


def number_code(part_number: str) -> str:
    """What stands for a part number in symbols: itself in capitals, or our own escaped form of what bars cannot say."""
    plain = part_number.isascii() and part_number.isprintable()
    return part_number.upper() if plain else codes.encode_case(part_number)


def title_of(label: Label) -> str:
    """The words that name ``label`` in a message."""
    match label:
        case BinLabel():
            return label.code
        case ShelfEndLabel():
            return f"shelf end {label.aisle}"
        case DrawerLabel():
            return f"{label.van} {label.drawer}".strip()
        case CautionTag():
            return label.word
        case BadgeLabel():
            return label.initials
        case _:
            return label.part_number
