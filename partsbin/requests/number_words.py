"""Numbers below a hundred in words, as catalogues and people write them."""

from __future__ import annotations

import re

_SMALL = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
WORTH = {word: place for place, word in enumerate(_SMALL)} | {word: place * 10 for place, word in enumerate(_TENS, 2)}
SPELT = rf"(?:(?:{'|'.join(_TENS)})(?:[ -](?:{'|'.join(_SMALL[1:10])})\b)?|{'|'.join(reversed(_SMALL))})"
"""A pattern for one such number in lower case."""


def worth(said: str) -> int:
    """A number in figures or in words: "8", "eight", "twenty-five"."""
    return int(said) if said.isdigit() else sum(WORTH[word] for word in re.split(r"[ -]", said))
