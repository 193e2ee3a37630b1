"""A line of speech as tokens with a meaning: words, attributes, numbers, quantities, codes, machines, marks."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Protocol

from partsbin.requests.measures import SPEECH, Value, figure, stated
from partsbin.requests.numbers import Hit, plain
from partsbin.requests.words import Words, split_words


@dataclass(slots=True)
class Token:
    """A stretch of text and what it is.

    ``kind``: word, attribute, number, quantity, vague, code, machine, mark, van, job, asset, lane, place, each.
    ``count`` and ``unit`` belong to numbers and quantities, ``facts`` to attributes.
    """

    text: str
    start: int
    end: int
    kind: str = "word"
    count: float = 0.0
    unit: str = "each"
    facts: tuple[tuple[str, Value], ...] = ()
    spelt: bool = False
    weak: bool = False


class Known(Protocol):
    """What a reader may ask of a catalogue: numbers and machine names."""

    def code(self, text: str) -> Hit | None:
        """The hit for a number as written, or None."""

    def name(self, text: str) -> bool:
        """Whether some item goes by this name, though it says nothing of the trade."""

    def machine(self, text: str) -> bool:
        """Whether this is a machine's whole name."""

    def machine_word(self, word: str) -> str:
        """The word of a machine's name this word is, if it tells machines apart."""

    def machine_part(self, word: str) -> bool:
        """Whether the word or figure belongs to some machine's name."""

    def word(self, word: str) -> bool:
        """Whether some item's description has this very word."""

    def spell(self, word: str) -> str:
        """The best spelling of a word neither the trade nor the catalogue knows, or empty."""


_SIGN = re.compile(r"\w")
_CHUNK = re.compile(r"\S+")
_EDGES = re.compile(r"^[\"'(\[#]*(.*?)[\"')\],.;:?!]*$", re.DOTALL)
_CODE_LIKE = re.compile(r"^(?=.*\d)(?=.*[a-z-])[a-z0-9][a-z0-9./_-]{3,}$", re.IGNORECASE)
# Groups of figures long enough to be nobody's quantity, unless they are a phone number or a date.
_DIGITS_ONLY = re.compile(r"^(?!\d{4}-\d\d-\d\d$)(?=(?:\D*\d){6})\d{2,}(?:[-.]\d{2,})*$")
_PHONE = re.compile(r"(?:tel|phone|call|ring|mob(?:ile)?|cell|fax|text)\W+(?:\w+\W+)?$", re.IGNORECASE)
_QUANTITY_LIKE = re.compile(
    r"^(?:x\d+|\d+x|\d+(?:ea|off|of|pcs?|no|nos|pr|cs|st|nd|rd|th|s|hrs?|am|pm|min|mins|footer)|\d+[x*]\d+\S*|\d+/\d+\S*|\d+-\d+|[a-z]+/[a-z]+)$",
    re.IGNORECASE,
)
# Units that are also things: "four tube" tells a mech, "four tubes" counts tubes.
THINGS = frozenset(
    [
        "characters",
        "character",
        "digits",
        "digit",
        "chars",
        "char",
        "tubes",
        "tube",
        "keys",
        "key",
        "pins",
        "pin",
        "ways",
        "way",
        "poles",
        "pole",
        "lanes",
        "lane",
        "ln",
        "columns",
        "column",
        "col",
        "coils",
        "wire",
        "pack",
        "packs",
        "selections",
        "selection",
        "select",
        "positions",
        "position",
        "pos",
    ]
)
_PACKS = frozenset((4, 6, 8, 10, 12, 15, 18, 20, 24, 30, 32, 35, 36, 40, 48))


def tokenise(line: str, words: Words, known: Known | None) -> list[Token]:
    """Read one line into tokens; codes and whole machine names first, so that nothing else eats their figures."""
    tokens: list[Token] = []
    lowered = line.lower() if len(line.lower()) == len(line) else line
    at = 0
    for span in _codes(line, known, words):
        tokens.extend(_speech(lowered, at, span.start))
        tokens.append(span)
        at = span.end
    tokens.extend(_speech(lowered, at, len(line)))
    from partsbin.requests.spoken import figures, respell

    if known:
        tokens = respell(tokens, words, known)
    tokens = figures(_phrases(tokens, words))
    return _machines(tokens, words, known) if known else tokens


def _codes(line: str, known: Known | None, words: Words) -> list[Token]:
    found: list[Token] = []
    chunks = list(_CHUNK.finditer(line))
    position = 0
    while position < len(chunks):
        token = _code_at(line, chunks, position, known) if known else None
        token = token or (_name_at(line, chunks, position, known, words) if known else None)
        token = token or _quoted_number(chunks, position) or _model(chunks, position, known, words)
        token = token or _strange(chunks[position], known)
        if token is None:
            position += 1
            continue
        found.append(token)
        while position < len(chunks) and chunks[position].start() < token.end:
            position += 1
    return found


def _code_at(line: str, chunks: list[re.Match[str]], position: int, known: Known) -> Token | None:
    """The longest run of up to five chunks that is a known number or a machine's whole name."""
    for width in range(min(5, len(chunks) - position), 0, -1):
        run = chunks[position : position + width]
        if any(chunk[0][-1] in ",;:!?" for chunk in run[:-1]) or not (
            _SIGN.search(run[0][0]) and _SIGN.search(run[-1][0])
        ):
            continue
        raw = line[chunks[position].start() : chunks[position + width - 1].end()]
        inner = _EDGES.match(raw)
        text = inner[1] if inner else raw
        start = chunks[position].start() + (inner.start(1) if inner else 0)
        kind = _kind_of(text, width, known)
        if not kind and width > 1 and known.machine(_in_figures(text)):
            kind, text = "machine", _in_figures(text)
        if kind:
            return Token(text, start, start + len(inner[1] if inner else raw), kind)
    return None


_ALOUD = {
    "one": "1",
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "eight": "8",
    "nine": "9",
    "ten": "10",
    "twelve": "12",
}


def _in_figures(text: str) -> str:
    """A machine's name as said aloud with its figures written: "snw six" is SNW 6."""
    return " ".join(_ALOUD.get(part.lower(), part) for part in text.split())


def _kind_of(text: str, width: int, known: Known) -> str:
    key = plain(text)
    if len(key) < 3 or len(key) > 40:
        return ""
    digits = sum(sign.isdigit() for sign in key)
    if known.machine(text) and (digits or len(key) >= 4) and not (key.isdigit() and len(key) < 3):
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
    ):
        return ""
    if len(key) < 4 or not text[-1].isalnum() or (width == 1 and len(key) < 6 and stated(text.lower())):
        return ""
    hit = known.code(text)
    if hit is None or (not hit.exact and (len(key) < 5 or _QUANTITY_LIKE.match(text))):
        return ""
    return "code"


_NUMBER_SAID = frozenset(
    ("part", "pn", "p/n", "p/no", "partno", "part#", "pn:", "part:", "item", "code", "no.", "number", "num", "#")
)
_QUOTED = re.compile(r"^(?=(?:\D*\d){3})[a-z]{0,4}\d[\d./-]*\d[a-z]?$", re.IGNORECASE)


def _quoted_number(chunks: list[re.Match[str]], position: int) -> Token | None:
    """A figure said to be a number: "part 70.132"."""
    inner = _EDGES.match(chunks[position][0])
    text = inner[1] if inner else ""
    if not position or chunks[position - 1][0].lower() not in _NUMBER_SAID or not _QUOTED.match(text):
        return None
    if text.isdigit() and len(text) < 4:
        return None
    start = chunks[position].start() + (inner.start(1) if inner else 0)
    return Token(text, start, start + len(text), "code", weak=True)


_MODEL = re.compile(r"[a-z]{2,6}-?\d{1,5}[a-z]{0,2}", re.IGNORECASE)
_NO_MODEL = re.compile(
    r"(?:van|job|wo|tkt|ref|po|lane|sel|col|ln|site|sn|qty|no|rev|cr|br|lr|bin|tray|door|pk|pos|st)-?\d.*|r-?\d{2,4}[a-z]?",
    re.IGNORECASE,
)
_FITTING = frozenset(("for", "on", "fits", "fit", "suit", "suits", "fitting", "off", "from", "in", "to"))
_BETWEEN = frozenset(("the", "a", "an", "our", "my", "your", "their", "one", "old", "new", "model", "machine", "type"))


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


_BESIDE = frozenset(
    ["of", "x", "off", "for", "and", "plus", "also", "or", "then", "dozen", "pair", "couple", "pcs", "ea"]
)


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
    while before >= 0 and chunks[before][0].lower() in _BETWEEN:
        before -= 1
    if not _MODEL.fullmatch(text) or _NO_MODEL.fullmatch(text):
        return None
    lowered = text.lower()
    letters = re.split(r"[-\d]", lowered)[0]
    kind = "machine"
    if before < 0 or chunks[before][0].lower() not in _FITTING:
        common = letters in words.known or letters in words.noise or letters in words.values or letters in words.canon
        things = (one for chunk in chunks for part in split_words(chunk[0]) for one in words.usual(part))
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


_COUNTED_POWER = re.compile(r"([12]) (\d/\d{1,2}\s?-?\s?(?:hp|horsepower))")


def _speech(lowered: str, start: int, end: int) -> list[Token]:
    tokens = []
    for match in SPEECH.finditer(lowered, start, end):
        text = match[0]
        apart = _COUNTED_POWER.fullmatch(text)
        if apart:  # motors of more than one horsepower stand in no vending machine: two of a quarter
            tokens.append(Token(apart[1], match.start(), match.start() + 1, "number", count=float(apart[1])))
            text = apart[2]
        token = Token(text, match.end() - len(text), match.end())
        facts = (
            tuple(stated(text))
            if any(sign.isdigit() for sign in text) or text.startswith("rev") or len(text) == 4
            else ()
        )
        if facts and not is_count(text) and not names_a_part(text.split()[-1], lowered[match.end() : match.end() + 18]):
            token.kind, token.facts = "attribute", facts
        elif facts:
            tokens.extend(_count_of_things(token))
            continue
        elif text[0].isdigit() and re.fullmatch(r"[\d.,/ -]+", text):
            token.kind, token.count = "number", figure(text)
        elif not text[0].isalnum():
            token.kind = "mark"
        tokens.append(token)
    return tokens


# Words that name a part together with the unit-like word before them: "2 selection buttons", "3 key switches".
_PARTS_BEHIND = {
    "selection": "button|btn|butn|keypad|key|switch|sw|panel button",
    "select": "button|btn|key|switch|sw",
    "key": "switch|sw|blank|ring|code|cutter|cap",
    "pin": "header|punch|kit",
    "wire": "tie|clip|end|connector|nut|harness",
    "tube": "light|lamp|clip|holder|cap",
    "foot": "level|lvl|pad|plate|panel|screw",
    "feet": r"m\d",
    "coil": "motor|end|clip|coupl|hub|retainer|bush|grom|spring",
    "count": "er",
    "position": "sensor|switch lever",
    "pole": "mount",
    "turn": "button|table",
    "way": "bill",
}


def names_a_part(unit: str, after: str) -> bool:
    """Whether a unit-like word and the text behind it name a part: the figure before it then counts parts."""
    behind = _PARTS_BEHIND.get(unit.removesuffix("s") if unit != "pos" else "position")
    if unit in ("lane", "lanes", "ln", "column", "col"):
        return counts_lane_parts(after)
    return bool(behind and re.match(rf"\s+(?:{behind})", after))


_LANE_PARTS = re.compile(
    r"\s+(?:sp[a-z]*c[a-z]*r|shim|filler|rail|div|conv|kit|insert|(?:motor|mtr)s?(?!\s+(?:dr|board|brd|bored|control|contr|harn|hrn|loom|cable))|clip|coil|stop|liner|wall|coupler|changeover|change)"
)


def counts_lane_parts(after: str) -> bool:
    """Whether the text behind "3 lane" names a part of a lane: "3 lane spacers" are three, "8 lane harness" is one."""
    return bool(_LANE_PARTS.match(after))


def is_count(text: str) -> bool:
    """Whether a figure with a thing-like unit counts things: plural, one of it, or no usual pack size."""
    match = re.match(r"^([\d.,/]+)\s?(-?)\s?([a-z]+)$", text)
    if not match or match[3] not in THINGS or match[2]:
        return False
    count = figure(match[1])
    if match[3] in ("pack", "packs"):
        return count not in _PACKS or match[3] == "packs"
    return (match[3].endswith("s") and match[3] != "pos") or count == 1 or (match[3] == "wire" and count < 3)


def _count_of_things(token: Token) -> list[Token]:
    match = re.match(r"^([\d.,/]+)\s?-?\s?", token.text)
    cut = match.end() if match else 0
    number = Token(
        token.text[:cut].strip(), token.start, token.start + cut, "number", count=figure(token.text[:cut].strip(" -"))
    )
    return [number, Token(token.text[cut:], token.start + cut, token.end)]


def _phrases(tokens: list[Token], words: Words) -> list[Token]:
    """Phrases of the trade's words taken together: values become attributes, meanings replace, noise drops out."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        taken, made = _phrase_at(tokens, position, words)
        if taken:
            out.extend(made)
            position += taken
            continue
        token = tokens[position]
        if token.kind == "word" and token.text in words.values:
            token = Token(token.text, token.start, token.end, "attribute", facts=(words.values[token.text],), weak=True)
        out.append(token)
        position += 1
    return out


def _phrase_at(tokens: list[Token], position: int, words: Words) -> tuple[int, list[Token]]:
    first = tokens[position]
    for parts, kind, means in words.phrases.get(first.text, ()) if first.kind == "word" else ():
        taken = _spelled(tokens, position, parts)
        if not taken:
            continue
        end = tokens[position + taken - 1].end
        text = " ".join(parts)
        if kind == "value":
            return taken, [Token(text, first.start, end, "attribute", facts=((means[0], means[1]),), weak=True)]
        if kind == "word":
            return taken, [Token(word, first.start, end) for word in means]
        return taken, [Token(text, first.start, end, "filler")]
    return 0, []


def _spelled(tokens: list[Token], position: int, parts: tuple[str, ...]) -> int:
    at = position
    for number, part in enumerate(parts):
        if number and at < len(tokens) and tokens[at].text in ("-", "/", ".", "="):
            at += 1
        if at >= len(tokens) or tokens[at].text not in (part, part + "s"):
            return 0
        at += 1
    return at - position


def _machines(tokens: list[Token], words: Words, known: Known) -> list[Token]:
    """Words that tell machines apart, with the figures of the name beside them, become one machine token."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        token = tokens[position]
        telling = known.machine_word(token.text) if token.kind == "word" and token.text not in words.noise else ""
        if not telling:
            out.append(token)
            position += 1
            continue
        end, parts = position + 1, [telling]
        if (
            out
            and out[-1].kind == "number"
            and not out[-1].spelt
            and out[-1].count >= 100
            and known.machine_part(out[-1].text)
        ):
            parts.insert(0, out.pop().text)
        while end < len(tokens) and _belongs(tokens[end], known):
            parts.append(known.machine_word(tokens[end].text) or tokens[end].text)
            end += 1
        out.append(Token(" ".join(part for part in parts if part != "-"), token.start, tokens[end - 1].end, "machine"))
        position = end
    return out


def _belongs(token: Token, known: Known) -> bool:
    if token.kind in ("word", "number") and (
        known.machine_part(token.text) or (token.spelt and known.machine_part(f"{token.count:g}"))
    ):
        return True
    return token.kind == "word" and bool(known.machine_word(token.text))
