"""Where one sentence turns from what happened to what is asked for ("the hose has split so one drain hose")."""

from __future__ import annotations

import re
from typing import Literal

from partsbin.requests.telling import asked_before, asks_for, is_news, is_story, returns
from partsbin.requests.token import Token

_TURNS = re.compile(
    r"\bso\b(?! (?:that|far|long|much|many|on|it'?s|that'?s|now|then it)\b)|"
    r"\b(?:can|could|may) (?:i|we|you|u|ya|someone)\b|"
    r"\bplease (?:send|can|could)\b|\bsaid (?:to|i should) (?:ask|get|order)\b|"
    r"(?<!n't )(?<!nt )(?<!not )(?<!no )(?<!\bi )(?<!\bwe )\b(?:i |we )?need\b|"
    r"\b(?:i|we) (?:want|think|reckon)\b(?!\W*$)|\b(?:i|we)'?d like\b"
)
_PROMISES = re.compile(r"\b(?:and|&) (?=(?:i'?ll|i will)\b(?! (?:have|take|need|want|get|grab)\b))")


Clause = Literal["", "story", "request"]


def clauses(tokens: list[Token], line: str) -> list[tuple[list[Token], Clause]]:
    """The sentence's tokens cut where a story ends in a request, and where a promise follows one; what each is."""
    if not tokens:
        return []
    start = tokens[0].start
    text = line[start : tokens[-1].end].lower()
    turns = (turn.start() for turn in _TURNS.finditer(text))
    turn = next((turn for turn in turns if _tells(text[:turn]) or _aside(text[:turn])), 0)
    promises = [promise.start() for promise in _PROMISES.finditer(text)]
    last: Clause = "request" if turn else ""
    found: list[tuple[list[Token], Clause]] = []
    rest = tokens
    for cut in sorted(filter(None, (turn, _aside(text[:turn]), *promises))):
        found.append(([token for token in rest if token.start < start + cut], "story" if cut == turn else last))
        rest = [token for token in rest if token.start >= start + cut]
    return [clause for clause in (*found, (rest, "" if promises else last)) if clause[0]]


def _aside(front: str) -> int:
    """Where a story starts behind what is asked for: "a lower flap, the magnet's dropped off too so a magnet"; or 0."""
    commas = [comma.start() for comma in _ASIDES.finditer(front)]
    return next((comma for comma in commas if _tells(front[comma:]) and not _tells(front[:comma])), 0)


_ASIDES = re.compile(r",\s+(?=(?:the|my|our|its?)\b)")


# "The machine in the lobby", "I'm at Ashby House": where somebody or something is.
_PLACED = re.compile(
    r"^(?!.*\d).*\b(?:at|in|on)\b(?: (?:the|a|my|our)\b|\s*$)|"
    r"^\W*(?:(?:hi|hello|hiya|hey|morning|afternoon|evening)\b\W*)?(?:it'?s|this is|i'?m)(?: [a-z']+){1,4}\W*$|"
    r"^\W*(?:i'?m|i am|we'?re|we are)\b(?!.*\d)(?: [\w']+){0,3} (?:at|in|on|by|with)\b"
)


def _tells(front: str) -> bool:
    """Whether what stands before a turn is no request: a story, news, or where somebody or the machine is."""
    if asked_before(front):
        return False
    front = re.sub(r"^\W*also\b", "", front)  # "also the gasket has split so one gasket"
    asks = asks_for(front)
    return is_news(front) or returns(front) or is_story(front, asks) or (bool(_PLACED.match(front)) and not asks)
