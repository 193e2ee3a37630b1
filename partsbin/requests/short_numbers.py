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
    numbers = [at for at, text in enumerate(texts) if text and known.number(text)]
    at = max(numbers, key=lambda at: (len(texts[at]), at), default=None)
    if at is None or not all(_beside(chunk[0]) for other, chunk in enumerate(chunks) if other != at):
        return None
    start = part.start() + chunks[at].start() + chunks[at][0].index(texts[at])
    return Token(texts[at], start, start + len(texts[at]), "code")


def _beside(chunk: str) -> bool:
    return bool(_COUNT.fullmatch(chunk)) or chunk.lower().strip(".:,") in _BESIDE
