"""A message before it is read: cleaned, quoted thread and signature set aside, split into sentences."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field

from partsbin.requests.tables import untabled

READ_AT_MOST = 20_000
_FRACTIONS = {
    "½": " 1/2 ",
    "¼": " 1/4 ",
    "¾": " 3/4 ",
    "⅛": " 1/8 ",
    "⅜": " 3/8 ",
    "⅝": " 5/8 ",
    "⅞": " 7/8 ",
    "⅓": " 1/3 ",
    "⅔": " 2/3 ",
}
_QUOTES = str.maketrans(
    {
        **dict.fromkeys("’‘´`′", "'"), **dict.fromkeys("“”″", '"'), **dict.fromkeys("–‑−", "-"), "—": " - ",
        **dict.fromkeys("•·‣▪", "\n- "), **dict.fromkeys("×✕✖", "x"), "✓": " ", "…": ". ", "\t": " ", "\r": "\n",
    }
)  # fmt: skip
_QUOTED = re.compile(r"^\s*(?:>|\|\s)")
_THREAD = re.compile(
    r"^\s*(?:on\b.{4,120}\bwrote:\s*$|-{2,}\s*(?:original|forwarded) message\b|_{8,}\s*$|begin forwarded message|"
    r"from:\s.+)",
    re.IGNORECASE,
)
_FORWARDED = re.compile(
    r"\b(?:forwarded|fwd?:|fw:|see below|as below|below please|request below|list below|email below)", re.IGNORECASE
)
# "Can you send them what they need": what is asked stands below; where something is counted, it stands here.
_PASSED_ON = re.compile(
    r"\b(?:send|supply|order|get|sort|arrange|action|process|provide|deal with|see to|help with)\b[^.?!\d]{0,30}?"
    r"\b(?:what (?:they|he|she|site)|this|these|everything|the (?:following|list|parts|items|lot))\b",
    re.IGNORECASE,
)
_HEADER = re.compile(r"^\s*(?:from|to|cc|bcc|date|sent|reply-to|importance|attachments?):\s", re.IGNORECASE)
_SUBJECT = re.compile(r"^\s*(?:subject|re|fw|fwd):\s*", re.IGNORECASE)
_SIGN_OFF = re.compile(
    r"^\s*(?:--\s*$|(?:many |kind |best |warm )?(?:thanks|thank you|thx|cheers|regards|wishes|ta|rgds|"
    r"br|yours)\b[^0-9]{0,40}$|sent from my\b|best,?\s*$|get outlook)",
    re.IGNORECASE,
)
_GREETING = re.compile(
    r"^\s*(?:hi+|hello|hey+|hiya|good (?:morning|afternoon|evening)|morning|afternoon|evening|dear|alright|yo|"
    r"howdy)\b(?:\s+(?:all|there|team|guys|folks|desk|mate))*(?:\s+(?-i:[A-Z])[a-z]+){0,2}(?:\s+[a-z]+(?=\s*[,!]))?"
    r"\s*(?:[,!.:-]|$|(?=(?:this is|it'?s|i'?m|can|could|we|i|just|need|please)\b))",
    re.IGNORECASE,
)
# "Right, for van 5 …" opens what is said; "right lower hinge" is a hand.
_OPENING = re.compile(
    r"^\s*(?:just )?(?:a )?quick one\s*[-:,.]|^\s*right\b(?: then)?\s*,?\s*"
    r"(?=(?:(?:for )?(?:van|job|site)|for the|so|then|i|we|i'm|i'd|need|(?:can|could) (?:i|we|you))\b)",
    re.IGNORECASE,
)
_INTRODUCED = re.compile(
    r"\b(?:it'?s|this is|i'?m|im|its)\s+(?!the\b|a\b|an\b|not\b|for\b|on\b|in\b|at\b|dead\b)[a-z]+\s+"
    r"(?=(?:here|from|over|at|in|on)\b)(?:from\s+(?-i:[A-Z])[a-z]+)?",
    re.IGNORECASE,
)
_ORDER = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_BULLET = re.compile(r"^\s*(?:[-*+>]\s+|\(?[a-z]\)\s+)")
# "1.", "(2)", "item 3 -", "number four".
_LABEL = (
    rf"(?:\(?(?P<figure>\d{{1,2}})[.)]\s+|(?:item|line|part|number|point)\s(?P<word>\d|{'|'.join(_ORDER)})\b"
    r"\s*[-:.),]?\s+)"
)
_NUMBERED = re.compile(rf"^\s*{_LABEL}", re.IGNORECASE)


@dataclass(slots=True)
class Parted:
    """A message in parts: lines to read, and what was set aside."""

    lines: list[str] = field(default_factory=list)
    quoted: list[str] = field(default_factory=list)
    signature: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    left_out: int = 0


def clean(text: str) -> str:
    """Plain readable text: no control, direction or zero-width marks, no pictures; fractions and quotes plain."""
    for sign, spelt in _FRACTIONS.items():
        if sign in text:
            text = text.replace(sign, spelt)
    text = _ALOUD.sub(lambda said: _MARKS[said[0].lower()], text)
    text = _BOTH_HANDS.sub(r"\1 \2H\3\4 \5H", text)
    text = _TIGHT.sub(", ", _ANSI.sub("", _HTML.sub(" ", text)))
    text = _SWAP.sub(r"forget the \1, just ", _AND.sub(" and ", _WITHOUT.sub("without", text)))
    text = _STARS.sub(_times, _FOR.sub("for ", _IN_LINE.sub("inline", _without_tags(text.translate(_QUOTES)))))
    if text.isascii():
        return re.sub(r"[\x00-\x09\x0b-\x1f\x7f]", " ", text)
    kept = (_plain(sign) for sign in unicodedata.normalize("NFKC", text))
    return "".join(kept)


# Marks and links as dictation writes them.
_MARKS = {
    "new line": "\n",
    "newline": "\n",
    "next line": "\n",
    "full stop": ".",
    "together with": "plus",
    "along with": "plus",
    "as well as": "plus",
    "in addition to": "plus",
    "don't forget": "also",
    "dont forget": "also",
    "do not forget": "also",
}
_ALOUD = re.compile(rf"\b(?:{'|'.join(_MARKS)})\b", re.IGNORECASE)
_HTML = re.compile(r"</?[a-z][^<>\n]{0,80}>", re.IGNORECASE)
_ANSI = re.compile(r"\x1b\[[\d;]*[a-z]", re.IGNORECASE)
_IN_LINE = re.compile(r"\bin-line\b", re.IGNORECASE)
_FOR = re.compile(r"(?<![\w/])f/\s?(?=(?:the |a )?[a-z0-9][a-z0-9-])", re.IGNORECASE)
_AND = re.compile(r"(?<=[a-z0-9]) n (?=\d|[a-z]{2})")
_WITHOUT = re.compile(r"\bw/o\b(?!\W*(?:no\b)?\W*\d)", re.IGNORECASE)  # with a figure it is a work order
_SWAP = re.compile(
    r"\b(?:swap|exchange)(?: out)?\s+(?:my|our|the|an?|that|this)\s+([^.,;:?!\n]{3,60}?)\s+(?:for|with)\s+"
    r"(?=(?:an?|the|one|two|three|\d+)\s+(?!(?:new|fresh|working|good|same)\b))",
    re.IGNORECASE,
)
# "(1 L 1 R)" and "2L 2R" are hands; a litre stands alone.
_BOTH_HANDS = re.compile(r"\b(\d+) ?x? ?(L|R)\b([\s,/&+]*(?:and )?)(\d+) ?x? ?(?!\2)(L|R)\b", re.IGNORECASE)
_STARS = re.compile(r"(?<=[ \t])\*[ \t]?(?=\d+\b)|(?<=\d)[ \t]?\*(?=[ \t])")


_TIGHT = re.compile(r",(?=[^\W\d]|\")|(?<=[^\W\d]),(?=\d)|(?<=\"),")


def _times(star: re.Match[str]) -> str:
    return "x " if star[0][-1] == "*" and star.start() and star.string[star.start() - 1].isdigit() else "x"


_CLOSING = re.compile(r"\[/([a-z]{1,12})\]", re.IGNORECASE)


def _without_tags(text: str) -> str:
    """Markup pasted along ("[b]2 motors[/b]"): a bracketed word is a tag where its closing twin stands too."""
    for name in dict.fromkeys(_CLOSING.findall(text[:READ_AT_MOST])[:20]):
        text = text.replace(f"[{name}]", " ").replace(f"[/{name}]", " ")
    return text


def _plain(sign: str) -> str:
    if sign == "\n" or (sign.isascii() and sign.isprintable()):
        return sign
    category = unicodedata.category(sign)
    if category == "Cf" or category.startswith("M"):
        return ""
    if category[0] in "LN" and len(sign.lower()) == 1:
        return sign
    return sign if sign in "£€°µ" else " "


def part(text: str) -> Parted:
    """Set aside the quoted thread and the signature; the rest comes back line by line.

    When nothing but a forward stands above the thread, the thread is what is asked, and is read.
    """
    whole = clean(untabled(text[: READ_AT_MOST * 2]))
    parted = Parted()
    if len(whole) > READ_AT_MOST or len(text) > READ_AT_MOST * 2:
        end = _last_gap(whole)
        parted.unread.append(whole[end:] + text[READ_AT_MOST * 2 :])
        parted.left_out = len(parted.unread[0])
        whole = whole[:end]
    lines = whole.split("\n")
    own, thread = _split_thread(lines)
    body = [line for line in own if line.strip() and not _HEADER.match(line)]
    if thread and (not _says_something(body) or any(_FORWARDED.search(line) for line in own) or _passes_on(body)):
        _without_signature(body, parted)
        body = parted.lines + [
            _QUOTED.sub("", line).lstrip("> ") for line in thread if not _HEADER.match(line) and not _THREAD.match(line)
        ]
        thread = []
    parted.quoted = [line for line in thread if line.strip()]
    _without_signature(body, parted)
    parted.lines = _without_bullets([piece for line in parted.lines for piece in _pieces(line)])
    return parted


def _last_gap(whole: str) -> int:
    """Where to stop reading: no word is cut in two, unless it is longer than any word."""
    near = max(whole.rfind(sign, READ_AT_MOST - 200, READ_AT_MOST) for sign in "\n ")
    return near + 1 if near >= 0 else READ_AT_MOST


_SLASHED = re.compile(r"(?<=\w) / (?=[^\W\d])|(?<=[^\W\d]) / (?=\w)")
_INLINE = re.compile(rf"(?:^|(?<=[\s:;,])){_LABEL}", re.IGNORECASE)
_COUNTED_ITEM = re.compile(r"\D|\d+\s?x\b")


def _pieces(line: str) -> list[str]:
    """A line's list items where it numbers them itself ("1. … 2. …"); slashes between words are commas."""
    line = _SLASHED.sub(" , ", line)
    marks = [mark for mark in _INLINE.finditer(line) if mark["word"] or _COUNTED_ITEM.match(line, mark.end())]
    if len(marks) < 2 or [_place_in(mark) for mark in marks] != list(range(1, len(marks) + 1)):
        return [line]
    edges = [mark.start() for mark in marks] + [len(line)]
    items = [line[mark.end() : edge] for mark, edge in zip(marks, edges[1:], strict=True)]
    return [piece for piece in (line[: edges[0]], *items) if piece.strip()]


def _place_in(label: re.Match[str]) -> int:
    """The place in its list that a label gives."""
    said = label["figure"] or label["word"].lower()
    return int(said) if said.isdigit() else _ORDER.index(said) + 1


def _split_thread(lines: list[str]) -> tuple[list[str], list[str]]:
    """A line's own text and the thread below it. Answers written between quotes stay the writer's own."""
    own: list[str] = []
    thread: list[str] = []
    whole_below = False
    for number, line in enumerate(lines):
        starts = bool(_THREAD.match(line))
        if starts and line.lower().lstrip().startswith("from:") and not _says_something(own):
            starts = False
        if starts:
            # Below a header everything is thread, unless what follows it is marked: then only marked lines are.
            behind = next((rest for rest in lines[number + 1 :] if rest.strip()), "")
            whole_below = whole_below or not _QUOTED.match(behind)
        (thread if starts or whole_below or _QUOTED.match(line) else own).append(line)
    return own, thread


def _says_something(lines: list[str]) -> bool:
    bare = (
        _GREETING.sub("", line, count=1) for line in lines if not _SIGN_OFF.match(line) and not _SUBJECT.match(line)
    )
    return any(any(sign.isalnum() for sign in line) for line in bare)


def _passes_on(own: list[str]) -> bool:
    """Whether a short note only asks for what stands in the mail below it."""
    note = " ".join(own)
    counts = any(sign.isdigit() for sign in note)
    return bool(_PASSED_ON.search(note)) and not counts and len(note.split()) < _SHORT_NOTE


_SHORT_NOTE = 25  # words


def _without_signature(body: list[str], parted: Parted) -> None:
    for number, line in enumerate(body):
        if _SIGN_OFF.match(line) and number and (len(body) - number <= 8 or line.strip() == "--"):
            parted.signature = body[number:]
            parted.lines = body[:number]
            return
    parted.lines = list(body)


def _without_bullets(lines: list[str]) -> list[str]:
    """Bullets and list numbers are not quantities: a run 1., 2., 3. numbers the lines."""
    numbers = [_NUMBERED.match(line) for line in lines]
    run = [_place_in(match) for match in numbers if match]
    is_list = len(run) > 1 and run == list(range(run[0], run[0] + len(run))) and run[0] <= 1
    plain = []
    for line, match in zip(lines, numbers, strict=True):
        bare = line[match.end() :] if match and is_list else _BULLET.sub("", line)
        bare = _OPENING.sub("", _SUBJECT.sub("", bare))
        plain.append(_INTRODUCED.sub(" ", _GREETING.sub(" ", bare) if _GREETING.match(bare) else bare, count=1))
    return [line.strip() for line in plain if line.strip()]
