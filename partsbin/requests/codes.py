"""Numbers, names and machines written whole in a line: found first, so that nothing else eats their figures."""

from __future__ import annotations

import re

from partsbin.requests.dictated import read_aloud
from partsbin.requests.measures import SPEECH, stated
from partsbin.requests.number_words import WORTH
from partsbin.requests.numbers import plain
from partsbin.requests.short_numbers import short_numbers
from partsbin.requests.token import Known, Token
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, split_words

_SIGN = re.compile(r"\w")
_DIGIT = re.compile(r"\d")


_CHUNK = re.compile(r"\S+")


_EDGES = re.compile(r"^[\"'(\[#]*(.*?)[\"')\],.;:?!]*$", re.DOTALL)


_CODE_LIKE = re.compile(r"^(?=.*\d)(?=.*[a-z-])[a-z0-9][a-z0-9./_-]{3,}$", re.IGNORECASE)


# Groups of figures long enough to be nobody's quantity, unless they are a phone number or a date.
_DIGITS_ONLY = re.compile(r"^(?!\d{4}-\d\d-\d\d$)(?=(?:\D*\d){6})\d{2,}(?:[-.]\d{2,})*$")


_PHONE = re.compile(r"(?:tel|phone|call|ring|mob(?:ile)?|cell|fax|text)\W+(?:\w+\W+)?$", re.IGNORECASE)


_QUANTITY_LIKE = re.compile(
    r"^(?:x\d+|\d+x|\d+(?:ea|off|of|pcs?|no|nos|pr|cs|st|nd|rd|th|s|hrs?|am|pm|min|mins|footer)|\d+[x*]\d+\S*|"
    r"\d+/\d+\S*|\d+-\d+|[a-z]+/[a-z]+)$",
    re.IGNORECASE,
)


def whole_codes(line: str, known: Known | None, words: Words) -> list[Token]:
    """The numbers, names and machines of a line, in order."""
    found: list[Token] = []
    chunks = list(_CHUNK.finditer(line))
    short = {token.start: token for token in short_numbers(line, known)} if known else {}
    position = 0
    while position < len(chunks):
        first = chunks[position]
        token = next((short[at] for at in range(*first.span()) if at in short), None) if short else None
        token = token or (_known_number(line, chunks, position, known) if known else None)
        token = token or (_name_at(line, chunks, position, known, words) if known else None)
        token = token or _quoted_number(chunks, position, known)
        if token is None and _DIGIT.search(first[0]):
            token = _model(chunks, position, known, words) or _strange(first, known)
        if token is None:
            position += 1
            continue
        found.append(token)
        while position < len(chunks) and chunks[position].start() < token.end:
            position += 1
    return found


def _known_number(line: str, chunks: list[re.Match[str]], position: int, known: Known) -> Token | None:
    """A known number as written, with its count glued on, or read aloud."""
    return _code_at(line, chunks, position, known) or _glued(chunks[position], known) or _aloud(chunks, position, known)


def _aloud(chunks: list[re.Match[str]], position: int, known: Known) -> Token | None:
    for number, taken in read_aloud([chunk[0] for chunk in chunks[position : position + 16]]):
        hit = known.code(number)
        if hit is not None and hit.exact:
            last = chunks[position + taken - 1]
            return Token(number, chunks[position].start(), last.start() + len(last[0].rstrip(",.;:!?")), "code")
    return None


def _code_at(line: str, chunks: list[re.Match[str]], position: int, known: Known) -> Token | None:
    """The longest run of up to five chunks that is a known number or a machine's whole name."""
    for width in range(min(5, len(chunks) - position), 0, -1):
        run = chunks[position : position + width]
        if any(chunk[0][-1] in ",;:!?" for chunk in run[:-1]) or not (
            _SIGN.search(run[0][0]) and _SIGN.search(run[-1][0])
        ):
            continue
        raw = line[chunks[position].start() : chunks[position + width - 1].end()]
        if not (known.begins(raw) or known.machine(raw) or _SPELT.search(raw)):
            continue
        inner = _EDGES.match(raw)
        text = inner[1] if inner else raw
        start = chunks[position].start() + (inner.start(1) if inner else 0)
        kind = _kind_of(text, width, known)
        if not kind and width > 1 and known.machine(_in_figures(text)):
            kind, text = "machine", _in_figures(text)
        if kind:
            return Token(text, start, start + len(inner[1] if inner else raw), kind)
    return None


_COUNT_BEHIND = re.compile(r"(.{4,})[x*,;|=:(\[](?=\d{1,4}[x)\],.;:!?]*$)", re.IGNORECASE | re.DOTALL)
_COUNT_BEFORE = re.compile(r"\d{1,4}([x*,;|=:])(.{4,})", re.IGNORECASE | re.DOTALL)


def _glued(chunk: re.Match[str], known: Known) -> Token | None:
    """A known number with its count and no gap between, as sheets and hasty hands write: 4471200x4, 2,4471200."""
    if not _DIGIT.search(chunk[0]):
        return None
    behind, before = _COUNT_BEHIND.match(chunk[0]), _COUNT_BEFORE.fullmatch(chunk[0].rstrip(".,;:!?"))
    for code, start, end in (
        (behind[1], 0, behind.end()) if behind else ("", 0, 0),
        (before[2], before.start(1), before.end()) if before else ("", 0, 0),
    ):
        hit = known.code(code) if _SIGN.search(code) else None
        if hit is not None and hit.exact:
            return Token(code, chunk.start() + start, chunk.start() + end, "code")
    return None


_ALOUD = {word: str(value) for word, value in WORTH.items() if value}
_SPELT = re.compile(rf"\b(?:{'|'.join(_ALOUD)})\b", re.IGNORECASE)


def _in_figures(text: str) -> str:
    """A machine's name as said aloud with its figures written: "snw six" is SNW 6, "series five hundred" 500."""
    parts = [_ALOUD.get(part.lower(), part) for part in text.split()]
    if len(parts) > 1 and parts[-1].lower() == "hundred" and parts[-2].isdigit():
        parts[-2:] = [parts[-2] + "00"]
    return " ".join(parts)


_MODEL_SHORT = re.compile(r"[A-Z]\d")


def _kind_of(text: str, width: int, known: Known) -> str:
    key = plain(text)
    if len(key) > 40 or (len(key) < 3 and not _MODEL_SHORT.fullmatch(key)):
        return ""
    digits = sum(sign.isdigit() for sign in key)
    if (
        known.machine(text)
        and not known.number(text)
        and (digits or len(key) >= 4)
        and not (key.isdigit() and len(key) < 3)
    ):
        return "machine" if not key.isdigit() or len(key) >= 4 else ""
    if not digits and "-" not in text:
        return ""
    if key.isdigit() and len(key) < (5 if width == 1 else 6):
        return ""
    if (
        key.isdigit()
        and width > 1
        and any(part.isdigit() and len(part) < 3 for part in re.split(r"[\s-]+", text))
        and len(key) < 8
        and not known.number(text)
    ):
        return ""
    if len(key) < 4 or not text[-1].isalnum() or (width == 1 and len(key) < 6 and stated(text.lower())):
        return ""
    hit = known.code(text)
    if hit is None or (not hit.exact and (len(key) < (6 if _QUANTITY_LIKE.match(text) else 5))):
        return ""
    return "code"


_NUMBER_SAID = listed("part pn p/n p/no partno part# pn: part: no. number num #")


_QUOTED = re.compile(r"^(?=(?:\D*\d){3})[a-z]{0,4}\d[\d./-]*\d[a-z]?$", re.IGNORECASE)


def _quoted_number(chunks: list[re.Match[str]], position: int, known: Known | None) -> Token | None:
    """A figure said to be a number, "part 70.132", or any part number here: "p/n wexob"."""
    inner = _EDGES.match(chunks[position][0])
    text = inner[1] if inner else ""
    if not position or chunks[position - 1][0].lower() not in _NUMBER_SAID:
        return None
    if not _QUOTED.match(text) and not (known and known.number(text)):
        return None
    if text.isdigit() and len(text) < 4:
        return None
    start = chunks[position].start() + (inner.start(1) if inner else 0)
    return Token(text, start, start + len(text), "code", weak=True)


_MODEL = re.compile(r"[a-z]{2,6}-?\d{1,5}[a-z]{0,2}", re.IGNORECASE)


_NO_MODEL = re.compile(
    r"(?:van|job|wo|tkt|ref|po|lane|sel|col|ln|site|sn|qty|no|rev|cr|br|lr|bin|tray|door|pk|pos|st)-?\d.*|"
    r"r-?\d{2,4}[a-z]?",
    re.IGNORECASE,
)


_FITTING = listed("for on fits fit suit suits fitting off from in to")


_BETWEEN = listed("the a an our my your their one old new model machine type")


def _name_at(line: str, chunks: list[re.Match[str]], position: int, known: Known, words: Words) -> Token | None:
    """An item's own name that stands by itself: "2 old faithful", "the big one for the Drift 9"."""
    for width in range(min(5, len(chunks) - position), 0, -1):
        first, last = chunks[position], chunks[position + width - 1]
        inner = _EDGES.match(line[first.start() : last.end()])
        text = inner[1] if inner else ""
        if not text or not known.name(text):
            continue
        before = chunks[position - 1][0] if position and first[0][0].isalnum() else ""
        after = chunks[position + width][0] if position + width < len(chunks) and last[0][-1].isalnum() else ""
        if _says_no_thing(before, words) and _says_no_thing(after, words):
            start = first.start() + (inner.start(1) if inner else 0)
            return Token(text, start, start + len(text), "code")
    return None


_BESIDE = listed("of x off for and plus also or then dozen pair couple pcs ea")


def _says_no_thing(chunk: str, words: Words) -> bool:
    """Whether the chunk beside a name is an edge, a count or filler, so that the name stands by itself."""
    word = chunk.strip("\"'()[]#,.;:!?-").lower()
    if not word or not chunk[-1].isalnum() or any(sign.isdigit() for sign in word):
        return True
    return word in words.noise or word in _ALOUD or word in _BESIDE


def _model(chunks: list[re.Match[str]], position: int, known: Known | None, words: Words) -> Token | None:
    """A machine's name written like a type number that no item here fits: "fan for the TR-9", "TR-9 fan"."""
    inner = _EDGES.match(chunks[position][0])
    text = inner[1] if inner else ""
    before = position - 1
    while before >= max(0, position - 4) and chunks[before][0].lower() in _BETWEEN:
        before -= 1
    if not _MODEL.fullmatch(text) or _NO_MODEL.fullmatch(text):
        return None
    lowered = text.lower()
    letters = re.split(r"[-\d]", lowered)[0]
    kind = "machine"
    if before < 0 or chunks[before][0].lower() not in _FITTING:
        common = letters in words.known or letters in words.noise or letters in words.values or letters in words.canon
        near = chunks[max(0, position - 8) : position + 9]
        things = (one for chunk in near for part in split_words(chunk[0]) for one in words.usual(part))
        if "-" not in text or common or letters in _ALOUD:
            return None
        if not any(one in words.family_words for one in things):
            kind = "code"
    if stated(lowered) or (known and (known.machine_part(lowered) or known.word(lowered) or known.word(letters))):
        return None
    start = chunks[position].start() + (inner.start(1) if inner else 0)
    return Token(text, start, start + len(text), kind, weak=kind == "code")


def _strange(chunk: re.Match[str], known: Known | None) -> Token | None:
    """A chunk written like a number that nothing here is known by."""
    inner = _EDGES.match(chunk[0])
    text = inner[1] if inner else chunk[0]
    lowered = text.lower()
    if _DIGITS_ONLY.match(text) and not _PHONE.search(chunk.string[max(0, chunk.start() - 16) : chunk.start()]):
        start = chunk.start() + (inner.start(1) if inner else 0)
        return Token(text, start, start + len(text), "code", weak=True)
    if not _CODE_LIKE.match(text) or _QUANTITY_LIKE.match(text) or (SPEECH.fullmatch(lowered) and stated(lowered)):
        return None
    pieces = [piece for piece in re.split(r"[-/]", lowered) if piece]
    if len(pieces) > 1 and all(piece.isalpha() or stated(piece) or len(piece) < 3 for piece in pieces):
        return None
    if sum(sign.isdigit() for sign in text) < 2 or (
        lowered.isalnum() and not re.match(r"^[a-z]{1,4}\d{3,}|^\d{2,}[a-z]{1,3}\d+|^[a-z]+\d+[a-z]+\d+", lowered)
    ):
        return None
    if known and (known.machine_part(lowered) or known.word(lowered)):
        return None
    start = chunk.start() + (inner.start(1) if inner else 0)
    return Token(text, start, start + len(text), "code", weak=True)
