"""Choosing what gets a label: a range of bins, a list. Pure: codes in, codes out."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from partsbin.errors import Refused

_CODE_HEADERS = ("code", "bin", "place", "location", "part_number", "part", "item")
_COPY_HEADERS = ("copies", "labels")  # never "quantity": that is stock, not labels

Key = tuple[tuple[int, int, str], ...]


def walking_key(code: str) -> Key:
    """Sort key for place codes: part by part, figures as numbers, so that ``A-2`` comes before ``A-10``."""
    parts = re.findall(r"\d+|[^\W\d_]+", code.upper())
    return tuple((0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts)


def in_range(codes: Iterable[str], wanted: str) -> list[str]:
    """The ``codes`` from ``A-01-01-1..A-03-99-9``, ends included, in order; a single code or its beginning also serves.

    ``A-03`` alone means everything that begins so. Raises Refused when the range is upside down or takes in nothing.
    """
    first, dots, last = (part.strip() for part in wanted.partition(".."))
    low, high = walking_key(first), walking_key(last)
    if not low or (dots and not high):
        raise Refused(f"{wanted!r} is no range; write two bins like A-01-01-1..A-03-99-9, or a beginning like A-03.")
    if dots and low > high:
        raise Refused(f"{wanted!r} runs backwards: {first} comes after {last}. Swap the two ends.")
    if not dots:
        high = low
    # An end that is only a beginning takes in everything below it: compare just as many parts as it has.
    chosen = [(key, code) for code in codes if low <= (key := walking_key(code)) and key[: len(high)] <= high]
    if not chosen:
        raise Refused(f"No bin lies in {wanted}. Look at the codes on the Labels screen, or import the places first.")
    return [code for _, code in sorted(chosen)]


@dataclass(frozen=True)
class Wanted:
    """One line of a list: the code to label and how many labels it gets."""

    code: str
    copies: int = 1


def read_list(lines: Iterable[str]) -> list[Wanted]:
    """Read a CSV list of codes, with or without a header and a column of copies; comma, semicolon or tab between them.

    Raises Refused naming every bad line; nothing is chosen then.
    """
    lines = list(lines)
    between = max(",;\t", key=lambda sign: sum(sign in line for line in lines))
    table = csv.reader(lines, delimiter=between)
    rows = [(number, row) for number, row in enumerate(table, start=1) if any(cell.strip() for cell in row)]
    if not rows:
        raise Refused("The list is empty: put one bin code or part number on each line.")
    header = [cell.strip().lstrip("\ufeff").lower().replace(" ", "_") for cell in rows[0][1]]
    code_at, copies_at = _column(header, _CODE_HEADERS), _column(header, _COPY_HEADERS)
    if code_at is None:
        code_at, copies_at = 0, 1
    else:
        rows = rows[1:]
    wanted, faults = [], []
    for number, row in rows:
        try:
            wanted.append(_wanted(row, code_at, copies_at))
        except ValueError as fault:
            faults.append(f"line {number}: {fault}")
    if faults:
        raise Refused("The list was not taken: " + "; ".join(faults[:10]) + (" …" if len(faults) > 10 else "") + ".")
    return wanted


def _column(header: Sequence[str], names: Sequence[str]) -> int | None:
    return next((header.index(name) for name in names if name in header), None)


def _wanted(row: Sequence[str], code_at: int, copies_at: int | None) -> Wanted:
    code = row[code_at].strip().lstrip("\ufeff") if code_at < len(row) else ""
    if not code:
        raise ValueError("no code")
    raw = row[copies_at].strip() if copies_at is not None and copies_at < len(row) else ""
    if raw and not (raw.isascii() and raw.isdigit() and 1 <= int(raw) <= 1000):
        raise ValueError(f"{raw!r} is no number of labels from 1 to 1000")
    return Wanted(code, int(raw) if raw else 1)
