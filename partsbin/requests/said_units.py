"""Figures with the units said behind them: "fifteen watt", "twenty r p m", "three eighths inch", "half thirteen"."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from partsbin.requests.countables import LONG, THINGS, is_count, names_a_part, tells_panel
from partsbin.requests.token import Token, breath, is_number, text_at
from partsbin.requests.units import UNITS, heard_unit
from partsbin.requests.wordlists import listed

_FUSED = listed(
    """
    fuse fuses fus relay relays driver drivers breaker ballast plug supply psu slow fast pole
    """
)
# Threads by the inch said short, "half thirteen" for 1/2-13: coarse and fine pitches (ASME B1.1).
_PITCHES = {
    (1.0, Fraction(1, 4)): (20, 28), (3.0, Fraction(1, 8)): (16, 24), (1.0, Fraction(1, 2)): (13, 20),
    (5.0, Fraction(1, 8)): (11, 18), (3.0, Fraction(1, 4)): (10, 16),
}  # fmt: skip
_PARTS_OF = {
    "half": 0.5,
    "quarter": 0.25,
    "quarters": 0.25,
    "eighth": 0.125,
    "eighths": 0.125,
    "third": 1 / 3,
    "fifth": 0.2,
    "sixth": 1 / 6,
}


def units(tokens: list[Token]) -> list[Token]:
    """Make attributes of figures with a unit behind them."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        made = _fraction_at(tokens, position) or _unit_at(tokens, position)
        out.append(made[0] if made else tokens[position])
        position += made[1] if made else 1
    return out


def _lone_unit(unit: str, tokens: list[Token]) -> bool:
    """Whether one letter is a unit here: volts anywhere, k of ohms with a probe."""
    return unit == "v" or (
        unit == "k" and any(token.text.startswith(("prob", "sens", "senc", "therm")) for token in tokens)
    )


def _unit_word(tokens: list[Token], at: int) -> tuple[str, int]:
    """The unit that stands at a place and how many words say it: "r p m", "micro farad", "vault" by its sound."""
    for width in (3, 2, 1):
        said = tokens[at : at + width]
        joined = "".join(one.text for one in said)
        if len(said) == width and all(one.kind == "word" for one in said) and joined in UNITS:
            return joined, width
    return (heard_unit(tokens[at].text), 1) if at < len(tokens) and tokens[at].kind == "word" else ("", 0)


def _unit_at(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    token = tokens[position]
    if token.kind != "number":
        return None
    step = 2 if text_at(tokens, position + 1) == "-" else 1
    unit, taken = _unit_word(tokens, position + step)
    if unit == "a" and _amps_meant(tokens, position + step):
        return _measured(tokens, position, step + 1, "amps", token.count)
    lone = len(unit) == 1 and not _lone_unit(unit, tokens) and (unit != "l" or token.count == int(token.count))
    if not unit or lone or unit == "in":
        return None
    if unit == "mtr" and not any(LONG.search(one.text) for one in breath(tokens, position)):
        return None  # "8 mtr" are motors where nothing is sold by length
    kind, factor = UNITS[unit]
    before, after = (
        " ".join(one.text for one in some) for some in (tokens[:position], tokens[position + step + taken :][:2])
    )
    panel = kind == "keys" and tells_panel(before, unit, " " + after)
    if (names_a_part(unit, " " + after) and not panel) or (unit in THINGS and is_count(f"{token.count:g} {unit}")):
        return None
    return _measured(tokens, position, step + taken, kind, round(token.count * factor, 3))


def _measured(tokens: list[Token], position: int, taken: int, kind: str, value: float) -> tuple[Token, int]:
    said = tokens[position : position + taken]
    text = " ".join(one.text for one in said)
    return Token(text, said[0].start, said[-1].end, "attribute", facts=((kind, value),)), taken


def _amps_meant(tokens: list[Token], at: int) -> bool:
    """For "10 a 6x32 fuse": the letter is a unit when the line is about fuses or relays and no thing follows it."""
    if not any(token.text in _FUSED for token in tokens):
        return False
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    return after is None or after.kind in ("mark", "attribute", "number") or after.text in _FUSED


def _fraction_at(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """Spoken fractions of a unit: half inch, three eighths inch, one and a half metre; the thread "half thirteen"."""
    at, times, whole = position, 1.0, 0.0
    if is_number(tokens, at) and [text_at(tokens, at + step) for step in (1, 2)] == ["and", "a"]:
        at, whole = at + 3, tokens[at].count
    elif tokens[at].kind == "number" and tokens[at].spelt and at + 1 < len(tokens):
        at, times = at + 1, tokens[at].count
    if text_at(tokens, at) not in _PARTS_OF:
        return None
    share = Fraction(_PARTS_OF[tokens[at].text]).limit_denominator(8)
    if times > 1 and (times >= share.denominator or gcd(int(times), share.denominator) > 1):
        return None  # "two eighth inch shims" are two of an eighth, "three eighth inch" is one size
    unit = at + 1
    if unit < len(tokens) and tokens[unit].spelt and tokens[unit].count in _PITCHES.get((times, share), ()):
        thread = f"{int(times) * share}-{tokens[unit].count:g}"
        facts = (("thread", thread),)
        return Token(thread, tokens[position].start, tokens[unit].end, "attribute", facts=facts), unit + 1 - position
    while unit < len(tokens) and tokens[unit].text in ("of", "an", "a", "-"):
        unit += 1
    if unit >= len(tokens) or tokens[unit].text not in UNITS:
        return None
    kind, factor = UNITS[tokens[unit].text]
    if factor != 25.4 and kind not in ("hp", "ml") and tokens[unit].text not in ("metre", "metres", "meter", "meters"):
        return None
    value = round((whole + times * _PARTS_OF[tokens[at].text]) * factor, 3)
    return Token(
        "fraction", tokens[position].start, tokens[unit].end, "attribute", facts=((kind, value),)
    ), unit - position + 1
