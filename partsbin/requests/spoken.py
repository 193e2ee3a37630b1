"""Figures said as words: numbers, figures with their units, letters and figures spelt out, fractions."""

from __future__ import annotations

from partsbin.requests.letters import letter
from partsbin.requests.measures import stated
from partsbin.requests.said_units import units
from partsbin.requests.sizes import SAID_IN_PIECES, sizes
from partsbin.requests.token import Known, Token, text_at
from partsbin.requests.units import UNITS

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


def figures(tokens: list[Token], known: Known | None = None) -> list[Token]:
    """Number words become numbers, figures with a unit behind them attributes, sizes said in pieces whole."""
    tokens = _doubled(tokens)
    folded: list[Token] = []
    position = 0
    while position < len(tokens):
        number, taken = _number_at(tokens, position)
        folded.append(number)
        position += max(taken, 1)
    return sizes(units(_spelled_codes(_paired(folded), known)), known)


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
            and letter(out[-1]) == "r"
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
    one = one or (first.text == "hundred" and text_at(tokens, position + 1) in ("and", "", ",", *UNITS))
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
    elif tokens[at].text == "hundred":
        run, at = [100], at + 1
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
    if first >= 100:
        more, taken = _said(run[1:]) if len(run) > 1 and run[1] < 100 else (0, 0)
        return first + more, 1 + taken
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


def _spelled_codes(tokens: list[Token], known: Known | None) -> list[Token]:
    """Letters said before a figure: "c r 2032", "m sixteen", "are one thirty four a", "version five"."""
    out: list[Token] = []
    for token in tokens:
        numbered = f"{token.count:g}" if token.kind == "number" and token.spelt else letter(token)
        if numbered and out and out[-1].text in ("version", "revision", "rev"):
            text = f"{out[-1].text} {numbered}"
            out[-1] = Token(text, out[-1].start, token.end, "attribute", facts=tuple(stated(text)))
            continue
        if token.kind == "word" and token.text == "a" and out and out[-1].text == "r134":
            out[-1] = Token("r134a", out[-1].start, token.end, "attribute", facts=tuple(stated("r134a")))
            continue
        made = _spelled_code(out, token, known) if token.kind == "number" and token.count == int(token.count) else None
        if made:
            while out and out[-1].start >= made.start:
                out.pop()
        out.append(made or token)
    return out


def _spelled_code(before: list[Token], figure: Token, known: Known | None) -> Token | None:
    """The code that a figure makes with the one or two letters said before it."""
    for count in (2, 1):
        front = before[-count:]
        letters = [letter(token) for token in front]
        if len(front) < count or not all(letters) or set(letters) & set("xav"):
            continue
        joined = "".join(letters) + f"{figure.count:g}"
        facts = tuple(stated(joined))
        plainly = count == 1 and figure.count >= 100 and (len(front[0].text) == 1 or figure.count == 134)
        if facts or plainly or (known is not None and known.word(joined)):
            return Token(joined, front[0].start, figure.end, "attribute" if facts else "word", facts=facts)
    return None
