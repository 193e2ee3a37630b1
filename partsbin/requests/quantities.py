"""How many: every usual way of saying it, told from figures that are no quantity."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

from partsbin.requests.heard import heard, opens, plural_ahead
from partsbin.requests.measures import figure, stated
from partsbin.requests.packs import COMES_IN, COUNTED, PACKED, grouped, half, multiplied
from partsbin.requests.token import Found, Token, counted, is_number, text_at
from partsbin.requests.unsaid import no_count, number_sign, open_choice, or_so, span, vague
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_PACKS_GLUED = re.compile(r"(\d{1,3})(cs|cases?|bx|box|boxes|prs?|doz|dz)")
_COUNT_GLUED = re.compile(r"(?:x|qty|qty\.)(\d{1,4})|(\d{1,4})(?:x|off|ea|pcs?|nos?|nr)")
_TIMES = re.compile(r"x?(\d{1,3})x?")
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
    tokens = _trailing(open_choice(tokens))
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


def _trailing(tokens: list[Token]) -> list[Token]:
    """A breath in which every count stands behind its thing ("cola three cases still eight") is cut behind them."""
    at = [place for place, token in enumerate(tokens) if _may_trail(tokens, place)]
    named = next((place for place, token in enumerate(tokens) if token.kind in ("word", "number")), 0)
    if len(at) < _TWO or at[0] <= named or any(token.kind == "mark" for token in tokens):
        return tokens
    ends = all(token.text in COUNTED for token in tokens[at[-1] + 1 :])
    if not ends or any(later - place < _TWO for place, later in pairwise(at)):
        return tokens
    out: list[Token] = []
    for place, token in enumerate(tokens):
        out.append(token)
        count = place if place in at else place - 1  # the figure itself, or the pack it counts
        if count in at and text_at(tokens, place + 1) not in COUNTED and (place in at or token.text in COUNTED):
            out.append(Token(",", token.end, token.end, "mark"))
    return out


def _may_trail(tokens: list[Token], place: int) -> bool:
    beside = {text_at(tokens, place - 1), text_at(tokens, place + 1)}
    return is_number(tokens, place) and tokens[place].count <= _MANY and beside.isdisjoint(_NOT_TRAILING)


_TWO = 2
_MANY = 200
_NOT_TRAILING = frozenset(("x", "qty", "by", "of", "to", "or", "-"))


def _attached(tokens: list[Token], position: int, _: Words) -> Found:
    """x2, 2x, 2off, 2ea, 4no written as one."""
    packed = _PACKS_GLUED.fullmatch(tokens[position].text)
    if packed and tokens[position].kind == "word":
        each = {"doz": 12, "dz": 12}.get(packed[2], 1)
        return counted(tokens, position, 1, float(packed[1]) * each, PACKED.get(packed[2], "each"))
    match = _COUNT_GLUED.fullmatch(tokens[position].text)
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


def _behind_sign(tokens: list[Token], position: int, _: Words) -> Found:
    """For "cam lock = 2", "nipples 1/2: 8, 3/4: 6", "coil - 2": a figure alone behind the sign counts."""
    text = tokens[position].text
    if text == "-" and position and position + 1 < len(tokens):
        before, figure = tokens[position - 1], tokens[position + 1]
        if not before.end < tokens[position].start < tokens[position].end < figure.start:
            return None  # "cut-in -5"
    elif text not in ("=", ":"):
        return None
    if not position or not is_number(tokens, position + 1):
        return None
    ends = position + _TWO >= len(tokens) or tokens[position + _TWO].kind == "mark"
    return counted(tokens, position, 2, tokens[position + 1].count) if ends or text == "=" else None


def _not_but(tokens: list[Token], position: int, _: Words) -> Found:
    """Not 2 but 3: the second counts."""
    said = [text_at(tokens, position + at) for at in (0, 2)]
    if said != ["not", "but"] or not (is_number(tokens, position + 1) and is_number(tokens, position + 3)):
        return None
    return counted(tokens, position, 4, tokens[position + 3].count)


def _each(tokens: list[Token], position: int, _: Words) -> Found:
    """2 of each, one each of, one of both, two cases each, x2 each."""
    if tokens[position].text == "x" and is_number(tokens, position + 1) and (found := _each(tokens, position + 1, _)):
        return found[0], found[1] + 1
    first = tokens[position]
    times = _TIMES.fullmatch(first.text) if first.kind in ("word", "attribute") else None
    if first.text == "each" and (found := _each_below(tokens, position)):
        return found
    if times or is_number(tokens, position):
        count = float(times[1]) if times else first.count
    else:
        count = 1.0 if first.text in ("a", "one") else 0.0
    if not count or (first.kind == "attribute" and not times):
        return None
    packed = PACKED.get(text_at(tokens, position + 1), "")
    at = position + 1 + bool(packed or text_at(tokens, position + 1) == "off")
    said, behind = text_at(tokens, at), text_at(tokens, at + 1)
    ends = at + 1 == len(tokens) if position else behind == ":"
    each = ("each", "apiece", "ea") if packed or ends or behind == "of" else ("each", "apiece")
    if not (said in each or (said == "of" and behind in ("each", "both", "everything"))):
        return None
    taken = at - position + 1 + (said == "of" or behind == "of")
    return counted(tokens, position, taken, count, packed or "each", kind="each")


def _each_below(tokens: list[Token], position: int) -> Found:
    """For "each of the following x2:", "each x 3:"."""
    rest = tokens[position + 1 : position + 7]
    colon = next((place for place, token in enumerate(rest) if token.text == ":"), 0)
    said = " ".join(token.text for token in rest[:colon])
    count = re.fullmatch(r"(?:of )?(?:the |these )?(?:following |below |items )*(?:x ?|qty )?(\d{1,3})x?", said)
    return counted(tokens, position, colon + 1, float(count[1]), kind="each") if count else None


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


_OCCASIONS = listed(
    """
    callouts calls jobs sites machines visits engineers technicians techs drivers fitters people lads guys mins minutes
    hours hrs days weeks months years
    """
)


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
    _behind_sign,
    or_so,
    span,
    no_count,
    number_sign,
    half,
    grouped,
    vague,
    _all_of,
    heard,
)
