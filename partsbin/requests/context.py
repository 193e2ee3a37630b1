"""What surrounds a request: van, job, asset, site, lane, time. None of their figures is a quantity."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from partsbin.requests.token import Known, Token
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_JOB = frozenset(("job", "wo", "ticket", "workorder", "docket", "po"))
_JOB_OPEN = frozenset(("call", "ref", "reference", "case", "order", "callout"))
_ASSET = listed("asset machine unit mc m/c serial sn s/n model vendor vender")
_LANE = listed(
    """
    lane lanes ln sel selection selections col column columns row slot spiral position selector motor_position
    """
)
_PLACE = listed(
    """
    floor room bay building level gate platform ward terminal site route stop store unit shop block wing zone
    error err fault alarm account acct invoice quote customer ext
    dock door hall stage street road pier plot lot shelf week line phase junction exit area sector desk
    """
)
_NUMBER_WORD_AFTER = listed("no number num # : . - nr is id =")
_AT = frozenset(("in", "on", "at", "for", "from"))
_DRIP = frozenset(("drip", "drain", "water", "condensate", "overflow"))
_MARK = re.compile(r"[a-z]{0,3}\d+[a-z]?")
_VAN = re.compile(r"van[ -]?(\w*\d+)|v(\d{1,2})")
_JOB_JOINED = re.compile(r"(?:job|wo|tkt|j)[-#]?(\d{2,})")
_LANE_JOINED = re.compile(r"(?:lane|sel|col|ln)(\d{1,3})")


@dataclass(slots=True)
class Context:
    """What a message says about who and where."""

    van: str = ""
    job: str = ""
    asset: str = ""
    site: str = ""
    lanes: list[str] = field(default_factory=list)
    words: Words | None = None
    known: Known | None = None


def mark_context(tokens: list[Token], context: Context) -> list[Token]:
    """Mark van, job, asset, lane, time and place tokens (their figures with them) and note their values."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        for rule in (_van, _job, _when, _lane, _asset, _place):
            found = rule(tokens, position, context)
            if found:
                out.append(found[0])
                position += found[1]
                break
        else:
            out.append(tokens[position])
            position += 1
    return out


Found = tuple[Token, int] | None


def _text(tokens: list[Token], position: int) -> str:
    return tokens[position].text if 0 <= position < len(tokens) else ""


def _figure_after(tokens: list[Token], position: int, *, codes: bool = True) -> int:
    """Where the number or code lies that belongs to the word at a position; 0 when there is none."""
    at = position + 1
    while at < len(tokens) and at <= position + 3 and _text(tokens, at) in _NUMBER_WORD_AFTER:
        at += 1
    if at >= len(tokens):
        return 0
    token = tokens[at]
    if _text(tokens, at - 1) == ":" and token.kind == "number" and token.count < _NO_JOB and _names_on(tokens, at + 1):
        return 0  # "for the van: 6 keypads"
    if (
        token.kind == "number"
        or (codes and token.kind == "code")
        or (codes and token.kind == "word" and _MARK.fullmatch(token.text))
    ):
        return at
    return 0


_NO_JOB = 100


def _names_on(tokens: list[Token], position: int) -> bool:
    """Whether a word or value stands here, so that a figure before it may count."""
    return position < len(tokens) and tokens[position].kind in ("word", "attribute", "machine", "code")


def _made(tokens: list[Token], position: int, end: int, kind: str) -> tuple[Token, int]:
    text = " ".join(token.text for token in tokens[position : end + 1])
    return Token(text, tokens[position].start, tokens[end].end, kind), end - position + 1


def _value(token: Token) -> str:
    return f"{token.count:g}" if token.kind == "number" else token.text.upper()


def _van(tokens: list[Token], position: int, context: Context) -> Found:
    token = tokens[position]
    match = _VAN.fullmatch(token.text)
    heads = not position and _text(tokens, 1) == ":"  # "V3: two coils" is no version
    if match and (token.kind in ("word", "code") or heads):
        context.van = context.van or "VAN" + (match[1] or match[2]).upper()
        return _made(tokens, position, position, "van")
    if token.kind == "attribute" and token.facts == (("volts", 0.0),):
        return None
    if token.text not in ("van", "truck"):
        return None
    at = _figure_after(tokens, position)
    if at:
        context.van = context.van or "VAN" + _value(tokens[at])
        return _made(tokens, position, at, "van")
    return None


def _job(tokens: list[Token], position: int, context: Context) -> Found:
    token = tokens[position]
    joined = _JOB_JOINED.fullmatch(token.text.lower())
    if joined and token.kind in ("word", "code"):
        context.job = context.job or token.text.upper()
        return _made(tokens, position, position, "job")
    start = position + 1 if token.text == "work" and _text(tokens, position + 1) == "order" else position
    if (
        start == position
        and token.text == "w"
        and _text(tokens, position + 1) == "/"
        and _text(tokens, position + 2) == "o"
    ):
        start = position + 2
    at = _figure_after(tokens, start)
    if not at or _starts_quantity(tokens, at):
        return None
    if token.text in _JOB_OPEN and context.known is not None and context.known.code(tokens[at].text):
        return None  # "ref HX-20301" names a part
    long_enough = tokens[at].kind != "number" or tokens[at].count >= 100
    if token.text in _JOB or start > position or (token.text in _JOB_OPEN and long_enough):
        context.job = context.job or _value(tokens[at])
        return _made(tokens, position, at, "job")
    return None


_CLOCK = re.compile(r"\d{1,2}(?:st|nd|rd|th)|\d{1,2}(?:[.:]\d\d)?(?:am|pm|hrs)")
_HOUR = re.compile(r"(?:1?\d|2[0-4])(?:\.[0-5]\d)?")
_HALVES_OF_DAY = frozenset(("am", "pm", "noon", "oclock", "o'clock", "hrs"))


def _when(tokens: list[Token], position: int, _: Context) -> Found:
    """A time or a day of the month: 4pm, 9.30 am, 16:30, 25th, "before 3" at the end."""
    token = tokens[position]
    if position + 2 == len(tokens) and token.text in ("before", "by", "till", "until"):
        return _made(tokens, position, position + 1, "when") if tokens[-1].kind == "number" else None
    if token.kind in ("word", "code") and _CLOCK.fullmatch(token.text):
        return _made(tokens, position, position, "when")
    if not _HOUR.fullmatch(token.text):
        return None
    end = position
    if _text(tokens, position + 1) == ":" and re.fullmatch(r"[0-5]\d", _text(tokens, position + 2)):
        end = position + 2 if tokens[position + 2].start == token.end + 1 else position
    if _text(tokens, end + 1) in _HALVES_OF_DAY and not _text(tokens, end + 2).startswith("kit"):
        end += 1
    return _made(tokens, position, end, "when") if end > position else None


def _lane(tokens: list[Token], position: int, context: Context) -> Found:
    token = tokens[position]
    joined = _LANE_JOINED.fullmatch(token.text)
    if joined:
        context.lanes.append(joined[1])
        return _made(tokens, position, position, "lane")
    if token.text in _LANE or (token.text in ("tray", "shelf") and _text(tokens, position - 1) not in _DRIP):
        at = _figure_after(tokens, position)
        if not at or _starts_quantity(tokens, at) or (position and _dashed(tokens, at) and token.text not in _LANES):
            return None
        context.lanes.append(_value(tokens[at]))
        return _made(tokens, position, _more_lanes(tokens, at, context, plural=token.text.endswith("s")), "lane")
    if (
        token.text in _AT
        and position
        and _text(tokens, position - 1) not in ("cut", "-")
        and _bare_lane(tokens, position)
    ):
        context.lanes.append(_value(tokens[position + 1]))
        return _made(tokens, position, _more_lanes(tokens, position + 1, context), "lane")
    return None


_LANES = ("lane", "lanes", "ln")


def _dashed(tokens: list[Token], at: int) -> bool:
    """Whether a dash with blanks stands before a figure: "10 pocket spiral - 6" counts."""
    dash = tokens[at - 1]
    return dash.text == "-" and tokens[at - 2].end < dash.start and dash.end < tokens[at].start


def _starts_quantity(tokens: list[Token], at: int) -> bool:
    return _text(tokens, at + 1) in ("x", "off", "each", "ea", "pcs", "pc", "pieces", "nos", "qty") or (
        tokens[at].kind != "number" and bool(re.fullmatch(r"\d+x|x\d+", tokens[at].text))
    )


def _more_lanes(tokens: list[Token], at: int, context: Context, *, plural: bool = False) -> int:
    """Take "+ 13", "and 4", "& 5" behind a lane, unless a thing follows the figure."""
    while (
        _text(tokens, at + 1) in ("+", "and", "&", ",", "/", "-", "to")
        and at + 2 < len(tokens)
        and tokens[at + 2].kind == "number"
    ):
        after = tokens[at + 3] if at + 3 < len(tokens) else None
        if after is not None and after.kind == "attribute":
            if tokens[at + 1].text in (",", "and") and not plural:
                break  # "lane 14, 3 24 V motors"
            at += 2
            context.lanes.append(_value(tokens[at]))
            break
        if after is not None and after.kind != "mark":
            break
        if after is not None and after.text not in (",", ".", ":", ";", "\n", ")", "!", "?"):
            break
        at += 2
        context.lanes.append(_value(tokens[at]))
    return at


def _bare_lane(tokens: list[Token], position: int) -> bool:
    """For "in 22", "on 41": a lone figure behind a preposition that closes its clause."""
    number = tokens[position + 1] if position + 1 < len(tokens) else None
    if number is None or number.kind != "number" or number.spelt or not 1 <= number.count <= 99:
        return False
    after = tokens[position + 2] if position + 2 < len(tokens) else None
    closes = (
        after is None
        or after.kind in ("mark", "filler", "quantity")
        or after.text in ("and", "keeps", "is", "wont", "won't", "need", "needs", "please", "pls")
    )
    if tokens[position].text in ("for", "at", "from"):
        closes = (
            closes
            and tokens[position].text != "from"
            and any(token.text in ("motor", "coil", "lane", "vending", "vend") for token in tokens[:position])
        )
    return closes


def _asset(tokens: list[Token], position: int, context: Context) -> Found:
    token = tokens[position]
    if (token.text in _ASSET and not _names_a_part(tokens, position, context)) or (
        token.kind == "word" and token.text in ("m", "s") and _text(tokens, position + 1) == "/"
    ):
        step = position + 2 if _text(tokens, position + 1) == "/" else position
        if _text(tokens, step + 1) in ("ends", "ending", "tail"):
            step += 1
        at = _figure_after(tokens, step)
        if at and not _starts_quantity(tokens, at):
            if token.text not in ("model", "unit") or tokens[at].kind != "number":
                context.asset = context.asset or _value(tokens[at])
            return _made(tokens, position, at, "asset")
    if token.kind == "code" and token.weak and re.fullmatch(r"[a-z]\d{3,5}", token.text.lower()):
        context.asset = context.asset or token.text.upper()
        return _made(tokens, position, position, "asset")
    return None


def _names_a_part(tokens: list[Token], position: int, context: Context) -> bool:
    """Whether a place word ends a part's name: a crimp terminal, a telemetry unit."""
    words = context.words
    if words is None:
        return False
    here = set(words.usual(tokens[position].text))
    before = {one for token in tokens[max(0, position - 3) : position] for one in words.usual(token.text)}
    patterns = (pattern for word in here for pattern in words.family_words.get(word, ()))
    return any(pattern - here and pattern - here <= before for pattern in patterns)


def _place(tokens: list[Token], position: int, context: Context) -> Found:
    token = tokens[position]
    at = position + 1
    addressed = at < len(tokens) and tokens[at].kind == "number" and not tokens[at].spelt
    if token.text == "at" and addressed and not _starts_quantity(tokens, at):
        return _made(tokens, position, at, "place")
    if token.text not in _PLACE or token.kind != "word" or _names_a_part(tokens, position, context):
        return None
    if (
        at < len(tokens)
        and (tokens[at].kind == "number" or (tokens[at].kind == "code" and tokens[at].weak))
        and not _starts_quantity(tokens, at)
        and tokens[at].end - token.end < 12
    ):
        return _made(tokens, position, at, "place")
    return None
