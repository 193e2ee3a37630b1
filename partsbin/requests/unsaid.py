"""Counts that are left open: ranges, "some", "as many as you have", numbers that can be no count. They are asked."""

from __future__ import annotations

import re
from itertools import pairwise

from partsbin.requests.heard import opens, plural_ahead
from partsbin.requests.token import Found, Token, counted, is_number, text_at
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_FEW = 20  # larger figures between alternatives are sizes
_A_COUPLE = 2
_LEFT_OPEN = listed("or as all any whatever minus")
_TO_HAND = ("you have", "you got", "you can", "we have", "we got")


def open_choice(tokens: list[Token]) -> list[Token]:
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


def span(tokens: list[Token], position: int, _: Words) -> Found:
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


def or_so(tokens: list[Token], position: int, _: Words) -> Found:
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


def no_count(tokens: list[Token], position: int, words: Words) -> Found:
    """For "2.5 MTR-9", "1.000 nuts": no piece count, or one written in two ways; how many is asked."""
    one = tokens[position]
    if one.kind != "number" or "." not in one.text or not opens(tokens, position):
        return None
    behind = tokens[position + 1].kind if position + 1 < len(tokens) else ""
    if behind == "code" or (one.text.endswith(".000") and plural_ahead(tokens, position, words)):
        return counted(tokens, position, 1, 0, kind="vague")
    return None


def number_sign(tokens: list[Token], position: int, _: Words) -> Found:
    """no2, no. 2: number two or two of them cannot be told; 4 no. is four of them."""
    text = tokens[position].text
    if re.fullmatch(r"no\d", text):
        return counted(tokens, position, 1, 0, kind="vague")
    if text == "no" and text_at(tokens, position + 1) == "." and is_number(tokens, position + 2):
        return counted(tokens, position, 3, 0, kind="vague")
    if is_number(tokens, position) and text_at(tokens, position + 1) == "no" and text_at(tokens, position + 2) == ".":
        return counted(tokens, position, 3, tokens[position].count)
    return None


def vague(tokens: list[Token], position: int, words: Words) -> Found:
    """A handful, some, a few: kept as a question."""
    at = position + (tokens[position].text in ("a", "an"))
    if at >= len(tokens) or tokens[at].kind != "word" or tokens[at].text not in words.vague:
        return None
    if tokens[at].text in ("bit", "lot") and at == position:
        return None
    taken = at - position + 1 + (text_at(tokens, at + 1) == "of")
    return counted(tokens, position, taken, 0, kind="vague")
