"""Trade item numbers in one form (GS1 General Specifications: GTIN-8, -12, -13 and -14)."""

from __future__ import annotations

from partsbin.errors import Refused


def check_digit(payload: str) -> int:
    """Return the GS1 check digit of digits without theirs: weights 3, 1, 3 … from the right, modulo 10."""
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(payload)))
    return -total % 10


def gtin14(text: str) -> str:
    """Bring a GTIN of 8, 12, 13 or 14 digits to 14; refuses another length or a wrong check digit."""
    digits = text.strip()
    if not (digits.isascii() and digits.isdigit()) or len(digits) not in (8, 12, 13, 14):
        message = f"“{text}” is not a GTIN: it needs 8, 12, 13 or 14 digits"
        raise Refused(message)
    if int(digits[-1]) != check_digit(digits[:-1]):
        message = f"{digits}: the check digit {digits[-1]} is wrong, it should be {check_digit(digits[:-1])}"
        raise Refused(message)
    return digits.zfill(14)
