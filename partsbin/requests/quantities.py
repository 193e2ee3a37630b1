"""How many: every usual way of saying it, told from figures that are no quantity."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

from partsbin.requests.heard import heard, opens, plural_ahead
from partsbin.requests.measures import figure, stated
from partsbin.requests.packs import COMES_IN, COUNTED, PACKED, grouped, half, multiplied
from partsbin.requests.token import Found, Token, counted, is_number, text_at
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_MIXED = re.compile(r"([12]) (\d/\d{1,2}.*)")


def counted_fractions(tokens: list[Token], words: Words) -> list[Token]:
    """For "2 1/4 inch couplers": before a plural the whole figure counts; "a 2 1/4 inch coupler" is as long as that."""
    out: list[Token] = []
    for position, token in enumerate(tokens):
        mixed = _MIXED.fullmatch(token.text) if token.kind in ("attribute", "number") else None
        packed = text_at(tokens, position + 1) in COUNTED
        if mixed and not packed and plural_ahead(tokens, position, words) and not any(o.kind == "number" for o in out):
            out.append(Token(mixed[1], token.start, token.start + 1, "number", count=float(mixed[1])))
            token = replace(token, text=mixed[2], start=token.start + 2, facts=tuple(stated(mixed[2])))
            token.count = figure(mixed[2]) if token.kind == "number" else 0.0
        out.append(token)
    return out


def quantities(tokens: list[Token], words: Words) -> list[Token]:
    """Turn the tokens that say how many into quantity tokens; every other token comes back as it was."""
    out: list[Token] = []
    tokens = _open_choice(tokens)
    position = 0
    while position < len(tokens):
        for rule in _RULES:
            found = rule(tokens, position, words)
            if found:
                token, taken = multiplied(*found, tokens, position)
                out.append(token)
                position += taken
                break
        else:
            out.append(tokens[position])
            position += 1
    return out


def _open_choice(tokens: list[Token]) -> list[Token]:
    """Two values with an "or" between them leave open which: "the front or the rear catch", "a 300 or 450 strip"."""
    out = list(tokens)
    for place, token in enumerate(tokens[1:-1], 1):
        if token.text != "or":
            continue
        behind = place + 1 + (text_at(tokens, place + 1) in ("a", "the") and place + 2 < len(tokens))
        left, right = tokens[place - 1], tokens[behind]
        kinds = [{kind for kind, _ in one.facts} for one in (left, right)]
        sizes = left.kind == right.kind == "number" and min(left.count, right.count) > _FEW
        if sizes or (left.kind == right.kind == "attribute" and kinds[0] & kinds[1]):
            for at in (place - 1, place, behind):
                out[at] = Token(tokens[at].text, tokens[at].start, tokens[at].end, "filler")
    return out


def _attached(tokens: list[Token], position: int, _: Words) -> Found:
    """x2, 2x, 2off, 2ea, 4no written as one."""
    packed = re.fullmatch(r"(\d{1,3})(cs|cases?|bx|box|boxes|prs?|doz|dz)", tokens[position].text)
    if packed and tokens[position].kind == "word":
        each = {"doz": 12, "dz": 12}.get(packed[2], 1)
        return counted(tokens, position, 1, float(packed[1]) * each, PACKED.get(packed[2], "each"))
    match = re.fullmatch(r"(?:x|qty|qty\.)(\d{1,4})|(\d{1,4})(?:x|off|ea|pcs?|nos?|nr)", tokens[position].text)
    if not match or tokens[position].kind not in ("word", "attribute"):
        return None
    count = float(match[1] or match[2])
    taken = 2 if text_at(tokens, position + 1) in ("off", "of") else 1
    return counted(tokens, position, taken, count)


def _times(tokens: list[Token], position: int, _: Words) -> Found:
    """X 2, 2 x, qty 2, quantity: 2, (2)."""
    text = tokens[position].text
    if text in ("qty", "quantity", "qnty", "qy"):
        step = next((s for s in (1, 2, 3) if is_number(tokens, position + s)), 0)
        if step and all(text_at(tokens, position + s) in (":", "=", ".", "of", "is", "-") for s in range(1, step)):
            return counted(tokens, position, step + 1, tokens[position + step].count)
    if (
        is_number(tokens, position)
        and text_at(tokens, position + 1) in ("qty", "qnty")
        and not is_number(tokens, position + 2)
        and text_at(tokens, position + 2) not in (":", "=", "-", ".")
    ):
        return counted(tokens, position, 2, tokens[position].count)
    if text == "x" and is_number(tokens, position + 1):
        return counted(tokens, position, 2, tokens[position + 1].count)
    if text == "(" and is_number(tokens, position + 1) and text_at(tokens, position + 2) == ")":
        return counted(tokens, position, 3, tokens[position + 1].count)
    if (
        text == "("
        and text_at(tokens, position + 2) == ")"
        and re.fullmatch(r"x\d+|\d+x", text_at(tokens, position + 1))
    ):
        return counted(tokens, position, 3, float(text_at(tokens, position + 1).strip("x")))
    if tokens[position].kind == "number" and text_at(tokens, position + 1) == "x":
        if is_number(tokens, position):
            return counted(tokens, position, 2, tokens[position].count)
        if "/" not in text and opens(tokens, position):  # nobody can have 1.5 of them: how many is asked
            return counted(tokens, position, 2, 0, kind="vague")
    return None


def _range(tokens: list[Token], position: int, _: Words) -> Found:
    """1-2, two or three: nobody has said how many."""
    text = tokens[position].text
    if tokens[position].kind == "word" and re.fullmatch(r"\d-\d", text):
        return counted(tokens, position, 1, 0, kind="vague")
    if (
        is_number(tokens, position)
        and text_at(tokens, position + 1) in ("or", "-", "to")
        and is_number(tokens, position + 2)
    ):
        low, high = tokens[position].count, tokens[position + 2].count
        alike = text_at(tokens, position + 1) != "-" or tokens[position].spelt == tokens[position + 2].spelt
        if alike and low < high <= 2 * low + 2 and high <= 12:
            return counted(tokens, position, 3, 0, kind="vague")
    return None


def _or_so(tokens: list[Token], position: int, _: Words) -> Found:
    """For "a seal or two", "as many as you have", "all the clips you've got": nobody has said how many."""
    if tokens[position].text not in _LEFT_OPEN:
        return None
    said = [text_at(tokens, position + at) for at in range(2)]
    behind = tokens[position + 2 : position + 3]
    before = {token.text for token in tokens[max(0, position - 12) : position]}
    few = is_number(tokens, position + 1) and tokens[position + 1].count <= _A_COUPLE + 1
    if said[0] == "or" and few and before & {"a", "an", "couple"} and not any(one.kind == "word" for one in behind):
        return counted(tokens, position, 2, 0, kind="vague")
    if said == ["as", "many"] or (said[0] == "minus" and is_number(tokens, position + 1)):
        return counted(tokens, position, 2, 0, kind="vague")
    if said[0] in ("all", "any", "whatever") and said[1] not in ("right", "of"):
        rest = [token.text for token in tokens[position + 1 :]]
        if any(f"{one} {two}" in _TO_HAND for one, two in pairwise(rest)) or "you've" in rest:
            return counted(tokens, position, 1, 0, kind="vague")
    return None


_A_COUPLE = 2
_LEFT_OPEN = listed("or as all any whatever minus")
_TO_HAND = ("you have", "you got", "you can", "we have", "we got")


def _not_but(tokens: list[Token], position: int, _: Words) -> Found:
    """Not 2 but 3: the second counts."""
    said = [text_at(tokens, position + at) for at in (0, 2)]
    if said != ["not", "but"] or not (is_number(tokens, position + 1) and is_number(tokens, position + 3)):
        return None
    return counted(tokens, position, 4, tokens[position + 3].count)


def _no_count(tokens: list[Token], position: int, words: Words) -> Found:
    """For "2.5 MTR-9", "1.000 nuts": no piece count, or one written in two ways; how many is asked."""
    one = tokens[position]
    if one.kind != "number" or "." not in one.text or not opens(tokens, position):
        return None
    behind = tokens[position + 1].kind if position + 1 < len(tokens) else ""
    if behind == "code" or (one.text.endswith(".000") and plural_ahead(tokens, position, words)):
        return counted(tokens, position, 1, 0, kind="vague")
    return None


def _number_sign(tokens: list[Token], position: int, _: Words) -> Found:
    """no2, no. 2: number two or two of them cannot be told; 4 no. is four of them."""
    text = tokens[position].text
    if re.fullmatch(r"no\d", text):
        return counted(tokens, position, 1, 0, kind="vague")
    if text == "no" and text_at(tokens, position + 1) == "." and is_number(tokens, position + 2):
        return counted(tokens, position, 3, 0, kind="vague")
    if is_number(tokens, position) and text_at(tokens, position + 1) == "no" and text_at(tokens, position + 2) == ".":
        return counted(tokens, position, 3, tokens[position].count)
    return None


def _each(tokens: list[Token], position: int, _: Words) -> Found:
    """2 of each, one each of, one of both, two cases each, x2 each."""
    if tokens[position].text == "x" and is_number(tokens, position + 1) and (found := _each(tokens, position + 1, _)):
        return found[0], found[1] + 1
    first = tokens[position]
    times = re.fullmatch(r"x?(\d{1,3})x?", first.text) if first.kind in ("word", "attribute") else None
    if times or is_number(tokens, position):
        count = float(times[1]) if times else first.count
    else:
        count = 1.0 if first.text in ("a", "one") else 0.0
    if not count or (first.kind == "attribute" and not times):
        return None
    packed = PACKED.get(text_at(tokens, position + 1), "")
    at = position + 1 + bool(packed or text_at(tokens, position + 1) == "off")
    said, behind = text_at(tokens, at), text_at(tokens, at + 1)
    ends = at + 1 == len(tokens) and position > 0
    each = ("each", "apiece", "ea") if packed or ends or behind == "of" else ("each", "apiece")
    if not (said in each or (said == "of" and behind in ("each", "both", "everything"))):
        return None
    taken = at - position + 1 + (said == "of" or behind == "of")
    return counted(tokens, position, taken, count, packed or "each", kind="each")


def _vague(tokens: list[Token], position: int, words: Words) -> Found:
    """A handful, some, a few: kept as a question."""
    at = position + (tokens[position].text in ("a", "an"))
    if at >= len(tokens) or tokens[at].kind != "word" or tokens[at].text not in words.vague:
        return None
    if tokens[at].text in ("bit", "lot") and at == position:
        return None
    taken = at - position + 1 + (text_at(tokens, at + 1) == "of")
    return counted(tokens, position, taken, 0, kind="vague")


def _all_of(tokens: list[Token], position: int, words: Words) -> Found:
    """All 4, all four, four of them, both motors; "both hands" and "both sides" count nothing."""
    if tokens[position].text == "both" and plural_ahead(tokens, position, words):
        return counted(tokens, position, 1, 1, "pair")
    if is_number(tokens, position) and text_at(tokens, position + 1) == "of" and text_at(tokens, position + 2) in _THEM:
        return counted(tokens, position, 3, tokens[position].count)
    if tokens[position].text == "all" and is_number(tokens, position + 1) and tokens[position + 1].count > _FEW:
        size = tokens[position + 1]  # "all 750 bottles"
        return Token("all", size.start, size.end, "attribute", facts=(("figure", size.count),)), 2
    if tokens[position].text == "all" and is_number(tokens, position + 1):
        return counted(tokens, position, 2, tokens[position + 1].count)
    return None


_FEW = 20
_THE = frozenset(("the", "that", "this"))
_THEM = frozenset(("them", "those", "these", "em", "'em"))
_POINTING = listed(
    """
    last this that these those old other first same wrong which every no new right left proper correct usual
    previous next
    """
)


def _pronoun(tokens: list[Token], position: int, words: Words) -> Found:
    """For "the last one", "the 24 volt one": nothing is counted where nothing is named behind it."""
    one = tokens[position]
    if one.text not in ("one", "ones") or not position:
        return None
    described = _described(tokens, position)
    if tokens[position - 1].text not in _POINTING and not described:
        return None
    after = tokens[position + 1] if position + 1 < len(tokens) else None
    if after is not None and (after.kind == "attribute" or words.usual(after.text)[0] in words.family_words):
        return None
    return Token(one.text, one.start, one.end, "filler"), 1


def _described(tokens: list[Token], position: int) -> bool:
    """Whether only describing words stand between "the" and a "one"."""
    for token in reversed(tokens[max(0, position - 4) : position]):
        if token.text in _THE:
            return token is not tokens[position - 1]
        if token.kind not in ("word", "attribute", "number") or token.text in ("and", "or", "plus"):
            return False
    return False


def _sheet_of(tokens: list[Token], position: int, _: Words) -> Found:
    """Set aside "sheet of 50", "tub of 100": how a thing comes, not how many are asked for."""
    if tokens[position].text not in COMES_IN or not position or text_at(tokens, position + 1) != "of":
        return None
    if not is_number(tokens, position + 2):
        return None
    figure = (("figure", tokens[position + 2].count),)
    return Token("comes", tokens[position].start, tokens[position + 2].end, "attribute", facts=figure), 3


def _same_number(tokens: list[Token], position: int, _: Words) -> Found:
    """For "6 elbows and the same of tees": the count said before."""
    said = [text_at(tokens, position + at) for at in range(3)]
    taken = 3 if said[1] in ("number", "amount", "quantity") and said[2] == "of" else 2
    if said[0] != "same" or (taken < 3 and said[1] != "of"):
        return None
    before = next((one for one in reversed(tokens[:position]) if one.kind == "number"), None)
    return counted(tokens, position, taken, before.count) if before else None


def _more_than(tokens: list[Token], position: int, _: Words) -> Found:
    """For "if more than one": nothing is counted."""
    if tokens[position].text not in ("more", "less", "fewer") or text_at(tokens, position + 1) != "than":
        return None
    if not is_number(tokens, position + 2):
        return None
    return Token("more than", tokens[position].start, tokens[position + 2].end, "filler"), 3


def _occasion(tokens: list[Token], position: int, _: Words) -> Found:
    """For "two callouts this afternoon": no things are counted."""
    if not is_number(tokens, position) or text_at(tokens, position + 1) not in _OCCASIONS:
        return None
    return Token("occasions", tokens[position].start, tokens[position + 1].end, "filler"), 2


_OCCASIONS = listed("callouts calls jobs sites machines visits mins minutes hours hrs days weeks months years")


def _verb(tokens: list[Token], position: int, _: Words) -> Found:
    """For "please supply", "can you supply": asks for something, and is no power supply."""
    before = tokens[position - 1] if position else None
    asks = before is not None and (before.text in ("please", "kindly", "you", "to") or before.kind == "filler")
    one = tokens[position]
    return (Token(one.text, one.start, one.end, "filler"), 1) if one.text == "supply" and asks else None


_RULES = (
    _occasion,
    _verb,
    _same_number,
    _more_than,
    _not_but,
    _pronoun,
    _sheet_of,
    _each,
    _attached,
    _times,
    _or_so,
    _range,
    _no_count,
    _number_sign,
    half,
    grouped,
    _vague,
    _all_of,
    heard,
)
