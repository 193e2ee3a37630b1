"""Two things said with nothing, a "with" or a slash between them.

"3 hasps w/ 6 keys" are two, "lock with two keys" is one; "hasp x3 key x6" are two, each with the count behind it.
"""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import replace
from itertools import takewhile

from partsbin.requests.called import Called
from partsbin.requests.segments import BREAKS, JOINS
from partsbin.requests.token import Token, text_at
from partsbin.requests.words import singular

_WITH = ("with", "w")
_ENDS = BREAKS | JOINS
_TOGETHER = ("together", "along", "complete")
_ARTICLES = ("a", "an", "the")
_EACH = ("each", "apiece")
_COUNTED = ("number", "quantity")
_COUNTS = ("number", "quantity", "vague", "each")


def counted_behind(tokens: list[Token], noise: Container[str]) -> list[Token]:
    """The tokens with a comma behind every count but the last, where each of a run has its count behind it."""
    out: list[Token] = []
    for stretch in _stretches(tokens):
        said = [token for token in stretch if token.text not in noise]
        counts = [token for token in said if token.kind in _COUNTS]
        run = len(counts) > 1 and said[0] is not counts[0] and said[-1] is counts[-1]
        behind = {id(token) for token in counts[:-1]} if run and all(one.kind == "quantity" for one in counts) else ()
        for token in stretch:
            out.append(token)
            if id(token) in behind:
                out.append(Token(",", token.end, token.end, "mark"))
    return out


def _stretches(tokens: list[Token]) -> Iterator[list[Token]]:
    """The tokens up to and with each break."""
    start = 0
    for position, token in enumerate(tokens, 1):
        if token.text in _ENDS or position == len(tokens):
            yield tokens[start:position]
            start = position


def parted(tokens: list[Token], called: Called) -> list[Token]:
    """The tokens with a break for every "with" between two things that no item of the catalogue is together."""
    out: list[Token] = []
    counted: Token | None = None
    behind, each = 0, bool(tokens) and tokens[-1].text in _EACH
    for position, token in enumerate(tokens):
        if token.text == "/" and text_at(tokens, position - 1) == "w" and out and out[-1].text == "+":
            continue
        if token.kind != "word" or token.text not in _WITH:
            out.append(token)
            continue
        thing, extra = _sides(tokens, position)
        if position and not thing and _opens(extra, called) and not called.come_together(tokens[:position], extra):
            continue  # "M6 bolts 40, with 40 washers"
        if not _are_two(thing, extra, called):
            out.append(token)
            continue
        if out[-1].text in _TOGETHER:
            out.pop()
        out.append(Token("+", token.start, token.end, "mark"))
        counted = thing[0] if thing[0].kind in _COUNTED else counted
        behind = behind or len(out)
        several = singular(extra[-1].text) != extra[-1].text
        if several and thing[0].kind in _COUNTS and extra[0].kind not in _COUNTS:
            out.append(replace(thing[0], start=extra[0].start, end=extra[0].start))  # "2 hoppers with lids"
    if counted and each:
        out[behind:] = _for_each(out[behind:], counted.count)
    return out


def _for_each(extras: list[Token], times: float) -> list[Token]:
    """What comes with each of several things: "2 hoppers with a lid and two pins each" takes two lids and four pins."""
    out: list[Token] = []
    for place, token in enumerate(extras[:-1]):
        opens = not place or extras[place - 1].text in _ENDS
        if opens and (token.kind in _COUNTED or token.text in _ARTICLES[:2]):
            count = times * (token.count if token.kind in _COUNTED else 1)
            token = replace(token, kind="number", text=f"{count:g}", count=count)
        out.append(token)
    return out


def _sides(tokens: list[Token], position: int) -> tuple[list[Token], list[Token]]:
    """What stands before and behind a "with", each up to the next break."""
    thing = list(takewhile(lambda token: token.text not in _ENDS, reversed(tokens[:position])))[::-1]
    behind = position + 1 + (text_at(tokens, position + 1) == "/")
    extra = list(takewhile(lambda token: token.text not in _ENDS and token.text not in _WITH, tokens[behind:]))
    return thing, extra


def _opens(extra: list[Token], called: Called) -> bool:
    """Whether what comes behind a comma and a "with" is counted, or a thing with an article."""
    counted = any(token.kind in _COUNTS for token in (*extra[:1], *extra[-1:]))
    return counted or (bool(extra) and extra[0].text in _ARTICLES and called.is_thing(extra))


def _are_two(thing: list[Token], extra: list[Token], called: Called) -> bool:
    return (
        called.is_thing(extra)
        and bool(called.places(_plain(extra)) and called.places(_plain(thing)))
        and not called.come_together(thing, extra)
        and not called.measures(thing, extra)
    )


def _plain(tokens: list[Token]) -> list[Token]:
    return [token for token in tokens if token.kind == "word" and token.text not in _TOGETHER]
