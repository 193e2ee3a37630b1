"""Part numbers too short to be told from words and figures in a sentence: read where only a count stands with them."""

from __future__ import annotations

import re

from partsbin.requests.spoken import NUMBER_WORDS
from partsbin.requests.token import Known, Token
from partsbin.requests.wordlists import listed

_PART = re.compile(r"(?:(?! and | plus |[,;\n&+]|[.!?]\s).)+", re.IGNORECASE)
_CHUNK = re.compile(r"\S+")
_COUNT = re.compile(r"\(?x?\d{1,4}x?\)?|[x*=:-]|\d{1,4}(?:off|ea|pcs?|no|nos)", re.IGNORECASE)
_BESIDE = listed(
    "a an and of off ea each pc pcs pieces plus no nos qty quantity please pls need want send me i the part pn"
) | set(NUMBER_WORDS)
_MOST = 6


def short_numbers(line: str, known: Known) -> list[Token]:
    """The numbers of a list such as "2 x 1001, MTRL x3, P1": each alone between commas but for its count."""
    return [token for part in _PART.finditer(line) if (token := _alone(part, known)) is not None]


def _alone(part: re.Match[str], known: Known) -> Token | None:
    chunks = list(_CHUNK.finditer(part[0]))
    if not 0 < len(chunks) <= _MOST:
        return None
    texts = [chunk[0].strip("\"'.,:;!?()[]#") for chunk in chunks]
    runs = [(at, at + width) for width in (1, 2) for at in range(len(texts) - width + 1)]
    numbers = [run for run in runs if all(texts[slice(*run)]) and known.number("".join(texts[slice(*run)]))]
    run = max(numbers, key=lambda run: (len("".join(texts[slice(*run)])), run), default=None)
    if run is None or not all(_beside(chunk[0]) for other, chunk in enumerate(chunks) if other not in range(*run)):
        return None
    first, last = chunks[run[0]], chunks[run[1] - 1]
    start = part.start() + first.start() + first[0].index(texts[run[0]])
    end = part.start() + last.start() + last[0].rindex(texts[run[1] - 1]) + len(texts[run[1] - 1])
    return Token("".join(texts[slice(*run)]), start, end, "code")


def _beside(chunk: str) -> bool:
    return bool(_COUNT.fullmatch(chunk)) or chunk.lower().strip(".:,") in _BESIDE
