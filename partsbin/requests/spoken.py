"""Figures said as words: numbers, figures with their units, letters and figures spelt out, fractions."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from partsbin.requests.countables import LONG, PANEL, THINGS, is_count, names_a_part
from partsbin.requests.measures import UNITS, stated
from partsbin.requests.sizes import SAID_IN_PIECES, sizes
from partsbin.requests.token import Token, text_at
from partsbin.requests.wordlists import listed

NUMBER_WORDS = {
    "zero": 0, "oh": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
    "eighteen": 18,
    "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
_HUNDREDS = {"hundred": 100, "thousand": 1000}
_SIDES = frozenset((12, 24, 34, 110, 115, 120, 208, 220, 230, 240))
_FUSED = listed(
    """
    fuse fuses fus relay relays driver drivers breaker ballast plug supply psu slow fast pole
    """
)
_PARTS_OF = {"half": 0.5, "quarter": 0.25, "quarters": 0.25, "eighth": 0.125, "eighths": 0.125, "third": 1 / 3}


def figures(tokens: list[Token]) -> list[Token]:
    """Number words become numbers, figures with a unit behind them attributes, sizes said in pieces whole."""
    tokens = _doubled(tokens)
    folded: list[Token] = []
    position = 0
    while position < len(tokens):
        number, taken = _number_at(tokens, position)
        folded.append(number)
        position += max(taken, 1)
    return sizes(_units(_spelled_codes(_paired(folded))))


def _doubled(tokens: list[Token]) -> list[Token]:
    """Spell out "double two three one" as 2 2 3 1."""
    out: list[Token] = []
    for position, token in enumerate(tokens):
        digits = [NUMBER_WORDS.get(one.text, 99) < 10 for one in tokens[position + 1 : position + 3]]
        out.append(tokens[position + 1] if token.text == "double" and digits == [True, True] else token)
    return out


def _paired(tokens: list[Token]) -> list[Token]:
    """Take together two sides of a supply ("two thirty to twenty four"), a cell ("c r twenty four fifty"), "v a"."""
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
    one = first.text in ("a", "an") and position + 1 < len(tokens) and tokens[position + 1].text in _HUNDREDS
    if first.kind != "word" or not (one or first.text in NUMBER_WORDS) or first.text in ("oh", "zero"):
        return first, 0
    run = _run(tokens, position)
    whole, taken = _said(run)
    if _power_in_pieces(tokens, position, run):
        whole, taken = run[0] * 100 + run[1], 2
    value = float(whole)
    end = _end_of(tokens, position, taken)
    decimals = _decimals(tokens, end + 1)
    if decimals:
        value, end = float(f"{whole}.{decimals}"), end + 1 + len(decimals)
    text = " ".join(token.text for token in tokens[position : end + 1])
    return Token(text, first.start, tokens[end].end, "number", count=value, spelt=True), end - position + 1


def _power_in_pieces(tokens: list[Token], position: int, run: list[int]) -> bool:
    """Whether power is said in two pieces: "one fifty watt" is 150 W."""
    if len(run) < 2 or not 0 < run[0] < 10 <= run[1] < 100:
        return False
    end = _end_of(tokens, position, 2) + 1
    return end < len(tokens) and tokens[end].text in ("watt", "watts", "va")


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
    if tokens[at].text in ("a", "an"):
        run, at = [1], at + 1
    while at < len(tokens) and len(run) < 6:
        text = tokens[at].text
        if run and text_at(tokens, at + 1) == "of" and text_at(tokens, at + 2) in ("them", "those", "these"):
            break  # "M12 by fifty, four of them"
        if text in NUMBER_WORDS:
            run.append(NUMBER_WORDS[text])
        elif text in _HUNDREDS and run:
            run.append(_HUNDREDS[text])
        elif text == "and" and run[-1:] in ([100], [1000]) and text_at(tokens, at + 1) in NUMBER_WORDS:
            pass
        elif text != "-" or not run:
            break
        at += 1
    return run


def _end_of(tokens: list[Token], position: int, taken: int) -> int:
    """The token where the ``taken``-th number word stands."""
    at, seen = position, 0
    while True:
        seen += tokens[at].text in NUMBER_WORDS or tokens[at].text in _HUNDREDS or tokens[at].text in ("a", "an")
        if seen == taken:
            return at
        at += 1


def _said(run: list[int]) -> tuple[int, int]:
    """The figure a run of number words starts with, and how many of them it takes."""
    digits = next((place for place, value in enumerate(run) if value > 9), len(run))
    if digits >= 3:
        return int("".join(str(value) for value in run[:digits])), digits
    first = run[0]
    if len(run) > 1 and run[1] in (100, 1000):
        more, taken = _said(run[2:]) if len(run) > 2 and run[2] < 100 else (0, 0)
        return first * run[1] + more, 2 + taken
    if len(run) > 1 and 0 < first < 10 <= run[1]:
        tail = run[1] + (run[2] if len(run) > 2 and run[1] >= 20 and 0 < run[2] < 10 else 0)
        if first * 100 + tail in SAID_IN_PIECES:
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


def _lone_unit(unit: str, tokens: list[Token]) -> bool:
    """Whether one letter is a unit here: volts anywhere, k of ohms with a probe."""
    return unit == "v" or (
        unit == "k" and any(token.text.startswith(("prob", "sens", "senc", "therm")) for token in tokens)
    )


def _unit_at(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    token = tokens[position]
    step = 2 if position + 2 < len(tokens) and tokens[position + 1].text == "-" else 1
    after = tokens[position + step] if position + step < len(tokens) else None
    if token.kind != "number" or after is None or after.kind != "word":
        return None
    if after.text == "a" and _amps_meant(tokens, position + step):
        return Token(f"{token.text} a", token.start, after.end, "attribute", facts=(("amps", token.count),)), step + 1
    if after.text not in UNITS or (len(after.text) == 1 and not _lone_unit(after.text, tokens)) or after.text == "in":
        return None
    nxt = tokens[position + step + 1].text if position + step + 1 < len(tokens) else ""
    if after.text == "mtr" and not any(LONG.search(one.text) for one in tokens):
        return None  # "8 mtr" are motors where nothing is sold by length
    panel = UNITS[after.text][0] == "keys" and any(PANEL.search(one.text) for one in tokens if one is not after)
    if (names_a_part(after.text, " " + nxt) and not panel) or (
        after.text in THINGS and is_count(f"{token.count:g} {after.text}")
    ):
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
    """For "10 a 6x32 fuse": the letter is a unit when the line is about fuses or relays and no thing follows it."""
    if not any(token.text in _FUSED for token in tokens):
        return False
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    return after is None or after.kind in ("mark", "attribute", "number") or after.text in _FUSED


def _fraction_at(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """Spoken fractions of a unit: half inch, quarter of an inch, three eighths inch, half horse, half a litre."""
    at, times = position, 1.0
    if tokens[at].kind == "number" and tokens[at].spelt and at + 1 < len(tokens):
        at, times = at + 1, tokens[at].count
    if tokens[at].text not in _PARTS_OF:
        return None
    share = Fraction(_PARTS_OF[tokens[at].text]).limit_denominator(8)
    if times > 1 and (times >= share.denominator or gcd(int(times), share.denominator) > 1):
        return None  # "two eighth inch shims" are two of an eighth, "three eighth inch" is one size
    unit = at + 1
    while unit < len(tokens) and tokens[unit].text in ("of", "an", "a", "-"):
        unit += 1
    if unit >= len(tokens) or tokens[unit].text not in UNITS:
        return None
    kind, factor = UNITS[tokens[unit].text]
    if factor != 25.4 and kind not in ("hp", "ml") and tokens[unit].text not in ("metre", "metres", "meter", "meters"):
        return None
    value = round(times * _PARTS_OF[tokens[at].text] * factor, 3)
    return Token(
        "fraction", tokens[position].start, tokens[unit].end, "attribute", facts=((kind, value),)
    ), unit - position + 1
