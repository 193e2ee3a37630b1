"""Reading one cell: whole numbers, money, dates, choices. Each refusal says what is wrong with the cell."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

from partsbin.errors import Refused

_WHOLE = re.compile(r"[+-]?\d{1,15}(\.0+)?")
_PACKED = re.compile(r"(\d{1,3})\s*[x×]\s*(\d{1,3})", re.IGNORECASE)
_MONEY_NOISE = re.compile(r"[^\d.,-]")


def whole(text: str, *, least: int = 0, most: int = 10**9) -> int:
    """Read a whole number between ``least`` and ``most``."""
    if not _WHOLE.fullmatch(text):
        message = f"“{text}” is not a whole number"
        raise Refused(message)
    value = int(text.split(".")[0])
    if value < least:
        message = f"{value} is below {least}"
        raise Refused(message)
    if value > most:
        message = f"{value:,} is above {most:,}; check the figure"
        raise Refused(message)
    return value


def as_packed(text: str) -> int | None:
    """Read ``2x12`` as the 24 units that a case so packed holds; None for anything else."""
    packs = _PACKED.fullmatch(text)
    return int(packs[1]) * int(packs[2]) if packs else None


def decimal(text: str) -> float:
    """Read a number of zero or more, such as a spread in days."""
    if not re.fullmatch(r"\d{1,9}(\.\d{1,6})?", text):
        message = f"“{text}” is not a number such as 2.5"
        raise Refused(message)
    return float(text)


def money(text: str) -> int:
    """Read an amount in major units (``1,234.50``, ``12,50``, ``$3``) as whole minor units, halves rounded up."""
    cleaned = _MONEY_NOISE.sub("", text)
    if re.fullmatch(r"-?\d+,\d{1,2}", cleaned):
        cleaned = cleaned.replace(",", ".")
    cleaned = cleaned.replace(",", "")
    try:
        minor = (Decimal(cleaned) * 100).quantize(Decimal(1), ROUND_HALF_UP)
    except InvalidOperation as error:
        message = f"“{text}” is not an amount of money such as 12.50"
        raise Refused(message) from error
    if not 0 <= minor <= 10**12:
        message = f"“{text}” is not an amount between 0 and 10,000,000,000"
        raise Refused(message)
    return int(minor)


def major(minor: int | None) -> str:
    """Write whole minor units as an amount in major units: ``12.50``; unknown is empty."""
    return "" if minor is None else f"{minor // 100}.{minor % 100:02d}"


def major_sql(column: str) -> str:
    """Return SQL that writes a column of minor units as ``major`` does: ``12.50``, unknown is empty."""
    return f"iif({column} IS NULL, '', printf('%d.%02d', {column} / 100, {column} % 100))"


def one_of(text: str, choices: Iterable[str], default: str = "") -> str:
    """Read one word of a list, in any case; empty means ``default``."""
    word = text.strip().lower()
    if not word:
        return default
    by_lower = {choice.lower(): choice for choice in choices}
    if word not in by_lower:
        message = f"“{text}” is not one of {', '.join(by_lower.values())}"
        raise Refused(message)
    return by_lower[word]


def yes(text: str) -> int:
    """Read a yes or no; empty is no."""
    return int(one_of(text, ("yes", "no", "y", "n", "1", "0", "true", "false"), "no") in ("yes", "y", "1", "true"))
