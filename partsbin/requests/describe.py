"""Reading a catalogue description or a bare phrase into usual words and attributes."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from partsbin.requests.measures import CATALOGUE, Value, figure, stated
from partsbin.requests.number_words import SPELT, worth
from partsbin.requests.ranges import with_ranges
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_NUMBER = re.compile(r"^(?:\d+(?:[.,]\d+)?|(?:\d+[ -])?\d{1,2}/\d{1,2})$")
# A token worth the trouble of reading as a measure: a figure in it, a revision, or relay poles.
_HINTS = re.compile(r"\d|^rev|^[sd]p[sd]t$").search
# Words behind which something else is named than the thing itself.
LINKS = listed("for on in that which where from of by inside behind under onto to with")
_LINKS = LINKS | {"who", "what", "used"}

# A lone letter in a catalogue is a hand.
_HANDS = {"l": ("hand", "LH"), "r": ("hand", "RH")}

# What one raw token comes to: its usual words, its attributes, its loose figure.
Phrase = tuple[tuple[str, ...], tuple[tuple[str, Value], ...]]
Reading = tuple[tuple[str, ...], tuple[tuple[str, Value], ...], float | None]


@dataclass(slots=True)
class Description:
    """Usual words in order, attribute values by kind, figures of unknown meaning.

    ``raw`` is what stood there piece by piece, ``named`` the words before the first comma or figure, if there is one.
    """

    words: list[str] = field(default_factory=list)
    attributes: dict[str, set[Value]] = field(default_factory=dict)
    figures: set[float] = field(default_factory=set)
    raw: list[str | Phrase] = field(default_factory=list)
    named: list[str] = field(default_factory=list)

    def add(self, kind: str, value: Value) -> None:
        """Note one attribute value."""
        self.attributes.setdefault(kind, set()).add(value)


class Describer:
    """Reads descriptions with one set of trade words, remembering every token it has met."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self._tokens: dict[str, Reading] = {}

    def read(self, text: str) -> Description:
        """Read one description; catalogue shorthand and plain words alike."""
        found = Description(raw=self.pieces(text))
        for piece in found.raw:
            words, attributes, number = self.token(piece) if isinstance(piece, str) else (*piece, None)
            if not found.named and (piece == "," or number is not None or (attributes and not words)):
                found.named = list(found.words)
            found.words.extend(words)
            for kind, value in attributes:
                found.add(kind, value)
            if number is not None:
                found.figures.add(number)
        return found

    def pieces(self, text: str) -> list[str | Phrase]:
        """A description's raw tokens, its phrases of several words taken together."""
        raw = CATALOGUE.findall(_parted(text.lower().replace("in-line", "inline")))
        phrases = self.words.phrases
        if phrases.keys().isdisjoint(raw):
            return raw
        out: list[str | Phrase] = []
        position = 0
        while position < len(raw):
            phrase, taken = self._phrase(raw, position) if raw[position] in phrases else (None, 0)
            out.append(phrase or raw[position])
            position += taken or 1
        return out

    def token(self, token: str) -> Reading:
        """What one raw token comes to, remembered."""
        reading = self._tokens.get(token)
        if reading is None:
            reading = self._make(token)
            if len(self._tokens) < 200_000:
                self._tokens[token] = reading
        return reading

    def _phrase(self, raw: list[str], position: int) -> tuple[Phrase | None, int]:
        """The phrase of several words at a position and the number of tokens it takes; 0 when none is there."""
        for parts, kind, means in self.words.phrases[raw[position]]:
            taken = 0 if kind == "noise" else spelled(raw, position, parts)
            if taken:
                value = kind == "value"
                return (parts if value else means, ((means[0], means[1]),) if value else ()), taken
        return None, 0

    def _make(self, token: str) -> Reading:
        attributes = tuple(stated(token)) if _HINTS(token) else ()
        if attributes:
            return (), attributes, None
        if _NUMBER.match(token):
            return (), (), figure(token)
        if not token[0].isalnum():
            return (), (), None
        value = self.words.values.get(token) or _HANDS.get(token)
        attributes = (value,) if value else ()
        return self.words.usual(token), attributes, None


# How a fuse is marked (IEC 60127-1): T time lag, F quick acting, before its amps or alone.
BLOW = re.compile(r"(?<![a-z0-9])([tf])(?![a-z])\s?(\d[\d.]*\s?a\b)?")
_BLOWS = {"t": "slow", "f": "fast"}
# Numbers a catalogue writes in words, "twelve divisions"; "one" says nothing but before what is counted.
_COUNTED = re.compile(
    rf"\b(?!zero|one\b)({SPELT})(?:[ -](hundred|thousand))?[ -](?=[a-z])"
    r"|\b(one)(?:[ -](hundred|thousand))?[ -]"
    r"(?=(?:tube|button|key|lane|pole|pin|turn|digit|wire|column|inch|foot|volt|amp|watt)s?\b)"
)
_HUNDREDS = {None: 1, "hundred": 100, "thousand": 1000}
# "24x330ml": a case's count glued to what each holds.
_CASE_OF = re.compile(r"\b(\d{1,2})x(?=\d+(?:\.\d+)?\s?(?:ml|cl|l)\b)")
# A lone letter behind what crimps and plugs is the half of the pair it is.
_MATING = re.compile(r"\b(?:term|spade|crimp|conn|plug|socket|tab)")
_HALF = re.compile(r"(?<![\w./-])([mf])(?![\w./-])")
# How the light of a lamp is marked.
_LIT = re.compile(r"\b(?:led|lamp|tube|fluo|t[58]\b|strip ?light)")
_LIGHT = re.compile(r"(?<![\w/])(cw|ww)(?![\w/])")
_LIGHTS = {"cw": "cool white", "ww": "warm white"}
_INCH_PARTS = {"half": "1/2", "quarter": "1/4", "eighth": "1/8", "sixteenth": "1/16"}
_INCHES = re.compile(
    r"\b(?:(a|one|three|five|seven)[ -])?(half|quarter|eighth|sixteenth)s?[ -](?:of an[ -])?inch(?:es)?\b"
)
_TOPS = {"a": 1, "one": 1, "three": 3, "five": 5, "seven": 7}
# A screw's gauge glued to its length: 10X3/4IN.
_GAUGE = re.compile(r"(?<=\d)x(?=\d+/\d)")
_FOR_BLANKS = re.compile(r"[-_](?=\w)|(?<=[a-z])[/.](?=\w)|(?<=\w)[/.](?=[a-z])")
_SEPARATOR = re.compile(r",(?!\d)|(?<![^\dx]\d),|(?<=\d\d),")


def _inches(said: re.Match[str]) -> str:
    """A spelt part of an inch in figures: "five eighths inch" is 5/8 in."""
    return f"{_TOPS.get(said[1] or 'a', 1)}/{_INCH_PARTS[said[2]].partition('/')[2]} in"


def _in_figures(said: re.Match[str]) -> str:
    return f"{worth(said[1] or said[3]) * _HUNDREDS[said[2] or said[4]]} "


def _parted(text: str) -> str:
    """Where commas part words without a blank ("XFMR,230/24,75VA") they are no decimal commas, but for "6,3A".

    Nor do hyphens and the like join what they stand for blanks between: "SW-PRESSURE-2.5BAR".
    """
    if " " not in text and len(_FOR_BLANKS.findall(text)) > 1:
        text = _FOR_BLANKS.sub(" ", text)
    if text.count(",") > 1 and ", " not in text:
        text = _SEPARATOR.sub(" , ", text)
    text = with_ranges(text)
    if "inch" in text:
        text = _INCHES.sub(_inches, text)
    text = _COUNTED.sub(_in_figures, text)
    if "x" in text:
        text = _CASE_OF.sub(r"\1 x ", _GAUGE.sub(" x ", text))
    text = text.replace("w/o ", "without ")
    if _MATING.search(text):
        text = _HALF.sub(lambda mark: "male" if mark[1] == "m" else "female", text)
    if _LIT.search(text):
        text = _LIGHT.sub(lambda mark: _LIGHTS[mark[1]], text)
    if "fuse" in text:
        text = BLOW.sub(lambda mark: f"{_BLOWS[mark[1]]} {mark[2]}", text)
    return text


def spelled(raw: list[str], position: int, parts: tuple[str, ...]) -> int:
    """Tokens taken when ``parts`` stand at a position, hyphens, slashes and stops between them allowed; else 0."""
    at = position
    for number, part in enumerate(parts):
        if number and at < len(raw) and raw[at] in "-/.":
            at += 1
        if at >= len(raw) or (raw[at] != part and raw[at] != part + "s"):
            return 0
        at += 1
    return at - position


def families(words: Words, ordered: list[str]) -> dict[str, float]:
    """Trade families named by usual words, with a weight (1 the likeliest).

    The largest known pattern of words wins; a pattern with a word before "for", "on", "that" … beats one that lies
    wholly behind it, and the first and last words weigh a little more (a catalogue puts the noun first, speech last).
    """
    ordered = _without_extras(words, ordered)
    bag = set(ordered)
    patterns = {pattern for word in bag for pattern in words.family_words.get(word, ()) if pattern <= bag}
    if not patterns:
        return {}
    front, last = _front(ordered)
    first = ordered[0]

    def weight(pattern: frozenset[str]) -> float:
        head = 1.2 if pattern & front else 0.0
        return len(pattern) + head + 0.3 * (first in pattern) + 0.2 * (last in pattern)

    ranked = sorted(((weight(pattern), sorted(pattern), pattern) for pattern in patterns), reverse=True)
    best = ranked[0][0]
    found: dict[str, float] = {}
    for score, _, pattern in ranked:
        if score < best - 0.35:
            break
        share = 1.0 if score == best else 0.6
        for place, code in enumerate(words.families[pattern]):
            found.setdefault(code, share if place == 0 else share * 0.6)
    return found


EXTRAS = frozenset(("with", "w", "without", "has", "including", "incl", "inc"))


def _without_extras(words: Words, ordered: list[str]) -> list[str]:
    """Of "modem with aerial" leave the modem: what comes with a thing does not name it."""
    for place, word in enumerate(ordered):
        if word in EXTRAS and any(one in words.family_words for one in ordered[:place]):
            return ordered[:place]
    return ordered


def _front(ordered: list[str]) -> tuple[set[str], str]:
    """The words before the first linking word, and the last of them."""
    for position, word in enumerate(ordered):
        if word in _LINKS and position:
            return set(ordered[:position]), ordered[position - 1]
    return set(ordered), ordered[-1]
