"""Speech put right before it is read: misspelt words, spelled-out figures, sizes said in pieces."""

from __future__ import annotations

import re
from typing import Protocol

from rapidfuzz.distance import OSA

from partsbin.requests.measures import UNITS, stated
from partsbin.requests.tokens import THINGS, Token, is_count, names_a_part
from partsbin.requests.words import Words, singular

NUMBER_WORDS = {
    "zero": 0, "oh": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18,
    "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
# Figures the trade says in two pieces ("one fifteen", "two ninety"): supplies, refrigerants, container sizes.
_SAID_IN_PIECES = frozenset((110, 115, 120, 134, 208, 220, 230, 240, 250, 290, 330, 355, 375, 440, 473, 500, 591))
_CONTENTS = frozenset((200, 250, 330, 355, 375, 440, 473, 500, 591))
_SIDES = frozenset((12, 24, 34, 110, 115, 120, 208, 220, 230, 240))
_SPELT_UNITS = (
    "volt",
    "volts",
    "watt",
    "watts",
    "amps",
    "inch",
    "inches",
    "millimetre",
    "millimeter",
    "millimetres",
    "millimeters",
    "count",
    "ounce",
    "metre",
    "meter",
)
_FUSED = frozenset(
    [
        "fuse",
        "fuses",
        "fus",
        "relay",
        "relays",
        "driver",
        "drivers",
        "breaker",
        "ballast",
        "plug",
        "supply",
        "psu",
        "slow",
        "fast",
        "pole",
    ]
)
_LONG_THINGS = frozenset(
    [
        "screw",
        "scr",
        "bolt",
        "leg",
        "legs",
        "leveller",
        "lvlr",
        "leveler",
        "foot",
        "feet",
        "stud",
        "tapper",
        "tappers",
        "screws",
        "bolts",
        "levellers",
        "levelers",
        "standoff",
        "skrew",
        "skrews",
        "feat",
    ]
)
_PARTS_OF = {"half": 0.5, "quarter": 0.25, "quarters": 0.25, "eighth": 0.125, "eighths": 0.125, "third": 1 / 3}


class Speller(Protocol):
    """Anything that can suggest a spelling."""

    def spell(self, word: str) -> str:
        """The best spelling of a word neither the trade nor the catalogue knows, or empty."""


def respell(tokens: list[Token], words: Words, known: Speller) -> list[Token]:
    """Put right misspelt words of a value, a phrase or a unit, and words torn apart ("thermos tat")."""
    out: list[Token] = []
    for position, token in enumerate(tokens):
        before = out[-1] if out else None
        if token.kind != "word":
            out.append(token)
            continue
        if before is not None and before.kind == "word" and _torn(before.text, token.text, words, known):
            out[-1] = Token(before.text + token.text, before.start, token.end)
            continue
        if position and before is not None and before.kind == "number" and len(token.text) > 3:
            token.text = _unit_meant(token.text, words, known) or token.text
        elif len(token.text) > 3 and token.text.isalpha() and token.text not in NUMBER_WORDS:
            spelt = known.spell(token.text)
            if spelt and (spelt in words.values or spelt in words.phrases or spelt in words.phrase_words):
                token.text = spelt
        out.append(token)
    return out


def _torn(first: str, second: str, words: Words, known: Speller) -> bool:
    """Two words nobody knows, or one and a stump, that make a known word together."""
    joined = first + second
    if len(joined) < 6 or not joined.isalpha() or first in words.family_words or second in words.family_words:
        return False
    stump = known.spell(second) or not _known(second, words)
    if stump and _known(singular(joined), words):
        return joined not in words.noise
    return known.spell(joined) in words.phrase_starts and not _known(singular(first), words)


def _known(word: str, words: Words) -> bool:
    return word in words.known or word in words.noise or word in words.values or word in words.heard


def _unit_meant(word: str, words: Words, known: Speller) -> str:
    if word in UNITS or word in words.noise or word in words.canon or not known.spell(word):
        return ""
    near = (
        unit
        for unit in _SPELT_UNITS
        if abs(len(unit) - len(word)) < 2 and OSA.distance(word, unit, score_cutoff=1) <= 1
    )
    return next(near, "")


def figures(tokens: list[Token]) -> list[Token]:
    """Number words become numbers, figures with a unit behind them attributes, sizes said in pieces whole."""
    folded: list[Token] = []
    position = 0
    while position < len(tokens):
        number, taken = _number_at(tokens, position)
        folded.append(number)
        position += max(taken, 1)
    return _sizes(_units(_spelled_codes(_paired(folded))))


def _paired(tokens: list[Token]) -> list[Token]:
    """ "two thirty to twenty four" are the two sides of a supply; "c r twenty four fifty" is one cell; "v a" one unit."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        token, rest = tokens[position], tokens[position + 1 : position + 3]
        if token.kind == "number" and len(rest) == 2 and rest[0].text in ("to", "/") and rest[1].kind == "number":
            pair = (token.count, rest[1].count)
            if pair[0] in _SIDES and pair[1] in _SIDES and pair[0] != pair[1]:
                out.append(
                    Token(
                        "supply", token.start, rest[1].end, "attribute", facts=(("volts", pair[0]), ("volts", pair[1]))
                    )
                )
                position += 3
                continue
        if (
            token.spelt
            and rest
            and rest[0].spelt
            and out
            and out[-1].text == "r"
            and 10 <= token.count < 100
            and 10 <= rest[0].count < 100
        ):
            out.append(
                Token("code", token.start, rest[0].end, "number", count=token.count * 100 + rest[0].count, spelt=True)
            )
            position += 2
            continue
        if token.text == "v" and rest and rest[0].text == "a" and out and out[-1].kind == "number":
            out.append(Token("va", token.start, rest[0].end))
            position += 2
            continue
        out.append(token)
        position += 1
    return out


def _number_at(tokens: list[Token], position: int) -> tuple[Token, int]:
    first = tokens[position]
    if first.kind != "word" or first.text not in NUMBER_WORDS or first.text == "oh":
        return first, 0
    run = _run(tokens, position)
    whole, taken = _said(run)
    value = float(whole)
    end = _end_of(tokens, position, taken)
    decimals = _decimals(tokens, end + 1)
    if decimals:
        value, end = float(f"{whole}.{decimals}"), end + 1 + len(decimals)
    text = " ".join(token.text for token in tokens[position : end + 1])
    return Token(text, first.start, tokens[end].end, "number", count=value, spelt=True), end - position + 1


def _decimals(tokens: list[Token], at: int) -> str:
    """The digits behind a spoken "point", each its own word."""
    digits = ""
    if at < len(tokens) and tokens[at].text == "point":
        while at + 1 + len(digits) < len(tokens) and NUMBER_WORDS.get(tokens[at + 1 + len(digits)].text, 10) < 10:
            digits += str(NUMBER_WORDS[tokens[at + 1 + len(digits)].text])
    return digits


def _run(tokens: list[Token], position: int) -> list[int]:
    """Values of the number words from here, hyphens between them passed over; 100 stands for "hundred"."""
    run: list[int] = []
    at = position
    while at < len(tokens) and len(run) < 6:
        text = tokens[at].text
        if text in NUMBER_WORDS:
            run.append(NUMBER_WORDS[text])
        elif text == "hundred" and run:
            run.append(100)
        elif text == "and" and run[-1:] == [100] and at + 1 < len(tokens) and tokens[at + 1].text in NUMBER_WORDS:
            pass
        elif text != "-" or not run:
            break
        at += 1
    return run


def _end_of(tokens: list[Token], position: int, taken: int) -> int:
    """The token where the ``taken``-th number word stands."""
    at, seen = position, 0
    while True:
        seen += tokens[at].text in NUMBER_WORDS or tokens[at].text == "hundred"
        if seen == taken:
            return at
        at += 1


def _said(run: list[int]) -> tuple[int, int]:
    """The figure a run of number words starts with, and how many of them it takes."""
    digits = next((place for place, value in enumerate(run) if value > 9), len(run))
    if digits >= 3:
        return int("".join(str(value) for value in run[:digits])), digits
    first = run[0]
    if len(run) > 1 and run[1] == 100:
        more, taken = _said(run[2:]) if len(run) > 2 and run[2] < 100 else (0, 0)
        return first * 100 + more, 2 + taken
    if len(run) > 1 and 0 < first < 10 <= run[1]:
        tail = run[1] + (run[2] if len(run) > 2 and run[1] >= 20 and 0 < run[2] < 10 else 0)
        if first * 100 + tail in _SAID_IN_PIECES:
            return first * 100 + tail, 2 + (tail != run[1])
    if first >= 20 and len(run) > 1 and 0 < run[1] < 10:
        if run[2:3] == [100]:
            return (first + run[1]) * 100, 3
        return first + run[1], 2
    return first, 1


def _spelled_codes(tokens: list[Token]) -> list[Token]:
    """Letters spelled out before a figure: "c r 2032", "m sixteen", "n two oh four", "are two ninety"."""
    out: list[Token] = []
    for token in tokens:
        if token.kind == "number" and token.count == int(token.count) and out:
            letters = 0
            while (
                letters < 2
                and letters < len(out)
                and out[-1 - letters].kind == "word"
                and len(out[-1 - letters].text) == 1
                and out[-1 - letters].text not in "xav"
            ):
                letters += 1
            spelled = (
                "".join(one.text for one in out[len(out) - letters :])
                if letters
                else "r"
                if out[-1].text == "are" and token.count in (290, 134)
                else ""
            )
            joined = f"{spelled}{token.count:g}"
            facts = tuple(stated(joined)) if spelled else ()
            if facts or (letters == 1 and token.count >= 100):
                start = out[len(out) - max(letters, 1)].start
                del out[len(out) - max(letters, 1) :]
                out.append(Token(joined, start, token.end, "attribute" if facts else "word", facts=facts))
                continue
        out.append(token)
    return out


def _units(tokens: list[Token]) -> list[Token]:
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        made = _fraction_at(tokens, position) or _unit_at(tokens, position)
        out.append(made[0] if made else tokens[position])
        position += made[1] if made else 1
    return out


def _unit_at(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    token = tokens[position]
    step = 2 if position + 2 < len(tokens) and tokens[position + 1].text == "-" else 1
    after = tokens[position + step] if position + step < len(tokens) else None
    if token.kind != "number" or after is None or after.kind != "word":
        return None
    if after.text == "a" and _amps_meant(tokens, position + step):
        return Token(f"{token.text} a", token.start, after.end, "attribute", facts=(("amps", token.count),)), step + 1
    if after.text not in UNITS or (len(after.text) == 1 and after.text != "v") or after.text == "in":
        return None
    nxt = tokens[position + step + 1].text if position + step + 1 < len(tokens) else ""
    if names_a_part(after.text, " " + nxt) or (after.text in THINGS and is_count(f"{token.count:g} {after.text}")):
        return None
    kind, factor = UNITS[after.text]
    return Token(
        f"{token.text} {after.text}",
        token.start,
        after.end,
        "attribute",
        facts=((kind, round(token.count * factor, 3)),),
    ), step + 1


def _amps_meant(tokens: list[Token], at: int) -> bool:
    """ "10 a 6x32 fuse": the letter is a unit when the line is about fuses or relays and no thing follows it."""
    if not any(token.text in _FUSED for token in tokens):
        return False
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    return after is None or after.kind in ("mark", "attribute", "number") or after.text in _FUSED


def _fraction_at(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """Spoken fractions of an inch or a horsepower: half inch, quarter of an inch, three eighths inch."""
    at, times = position, 1.0
    if tokens[at].kind == "number" and tokens[at].spelt and at + 1 < len(tokens):
        at, times = at + 1, tokens[at].count
    if tokens[at].text not in _PARTS_OF:
        return None
    unit = at + 1
    while unit < len(tokens) and tokens[unit].text in ("of", "an", "a", "-"):
        unit += 1
    if unit >= len(tokens) or tokens[unit].text not in UNITS:
        return None
    kind, factor = UNITS[tokens[unit].text]
    if factor != 25.4 and kind != "hp":
        return None
    value = round(times * _PARTS_OF[tokens[at].text] * factor, 3)
    return Token(
        "fraction", tokens[position].start, tokens[unit].end, "attribute", facts=((kind, value),)
    ), unit - position + 1


def _sizes(tokens: list[Token]) -> list[Token]:
    """ "5 x 20" of a fuse and "M12 x 75" of a leveller are sizes; "2 x 6 mm shims" and "M4 nuts x 20" are not."""
    said = {token.text for token in tokens}
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        made = (
            _filled(tokens, position)
            or _fuse_body(tokens, position, said)
            or _two_sides(tokens, position)
            or _thread_length(tokens, position, said)
        )
        out.append(made[0] if made else tokens[position])
        position += made[1] if made else 1
    return out


def _figure_behind(tokens: list[Token], position: int) -> tuple[float, int]:
    """The figure after an x or "by" behind a token, and how many tokens both take; (0, 0) when there is none."""
    if position + 1 >= len(tokens):
        return 0.0, 0
    glued = re.fullmatch(r"x(\d+)", tokens[position + 1].text)
    if glued:
        return float(glued[1]), 1
    if tokens[position + 1].text not in ("x", "by", "times") or position + 2 >= len(tokens):
        return 0.0, 0
    after = tokens[position + 2]
    if after.kind == "number":
        return after.count, 2
    length = next((value for kind, value in after.facts if kind == "mm" and isinstance(value, float)), 0.0)
    return length, 2 if length else 0


def _filled(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """ "250 slim", "500 bottle": a container's content before its name is no count."""
    first = tokens[position]
    after = tokens[position + 1] if position + 1 < len(tokens) else None
    if first.kind != "number" or first.count not in _CONTENTS or after is None or after.text.endswith("s"):
        return None
    if after.kind != "attribute" or not any(kind in ("container", "form") for kind, _ in after.facts):
        return None
    return Token(first.text, first.start, first.end, "attribute", facts=(("ml", first.count),)), 1


def _fuse_body(tokens: list[Token], position: int, said: set[str]) -> tuple[Token, int] | None:
    first = tokens[position]
    if first.kind != "number" or first.count not in (5, 6, 6.3) or not said & {"fuse", "fuses", "fus", "fews", "fuze"}:
        return None
    length, taken = _figure_behind(tokens, position)
    if length not in (15, 20, 25, 30, 32):
        return None
    return Token(
        "size", first.start, tokens[position + taken].end, "attribute", facts=(("size", f"{first.count:g}x{length:g}"),)
    ), taken + 1


def _two_sides(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """ "720 x 1240 glass": two figures too large to count things are the sides of one."""
    first = tokens[position]
    if first.kind != "number" or first.count < 13:
        return None
    other, taken = _figure_behind(tokens, position)
    behind = tokens[position + taken + 1].text if position + taken + 1 < len(tokens) else ""
    if other < 13 or taken != 2 or other in _SAID_IN_PIECES or behind in ("cans", "can", "ml"):
        return None
    if first.count != other and max(first.count, other) < 100:
        return None  # thirty spacers of 15 mm
    return Token(
        "size", first.start, tokens[position + taken].end, "attribute", facts=(("size", f"{first.count:g}x{other:g}"),)
    ), taken + 1


def _thread_length(tokens: list[Token], position: int, said: set[str]) -> tuple[Token, int] | None:
    first = tokens[position]
    if first.kind != "attribute" or not any(kind == "thread" for kind, _ in first.facts) or not said & _LONG_THINGS:
        return None
    length, taken = _figure_behind(tokens, position)
    stated_length = any(
        kind == "mm" for token in tokens for kind, _ in token.facts if token is not tokens[position + taken]
    )
    if not taken or length < 5 or stated_length:
        return None
    return Token(
        first.text, first.start, tokens[position + taken].end, "attribute", facts=(*first.facts, ("mm", length))
    ), taken + 1
