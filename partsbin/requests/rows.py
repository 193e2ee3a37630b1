"""Kinds of a thing said in a row without a comma: "lamps 5 W 10 W and 21 W", "aprons, medium large and XL"."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

from partsbin.requests.called import Called, front, uncounted
from partsbin.requests.looking import Looker
from partsbin.requests.segment import Segment
from partsbin.requests.token import Token

_LONGEST = 8
_COUNTS = ("quantity", "vague", "each")


def in_a_row(segments: list[Segment], looker: Looker, called: Called) -> list[Segment]:
    """The segments, each kind of a row a segment of its own where the catalogue has every one and none that is all."""
    out: list[Segment] = []
    noun: list[Token] = []
    for segment in segments:
        own = [token for token in uncounted(segment) if token.facts or called.tells(token)]
        other = segment.codes or segment.negated or segment.amends or front(segment.tokens) != segment.tokens
        row = [] if other else _row(own, noun, called)
        out.extend(_parted(segment, row, looker) if row else [segment])
        told = own[: len(own) - len(row)]
        noun = told if told and called.is_thing(told) else noun
    return out


def _row(own: list[Token], noun: list[Token], called: Called) -> list[Token]:
    """The last of a stretch's words and values, where each is a kind of what stands before them."""
    if not 1 < len(own) <= _LONGEST or called.places(own):
        return []
    for start in range(len(own) - 1):
        thing, row = own[:start] or noun, own[start:]
        if not thing or not called.is_thing(thing):
            continue
        kinds = [called.places([*thing, kind]) for kind in row]
        if all(one and one.isdisjoint(other) for one, other in permutations(kinds, 2)):
            return row
    return []


def _parted(segment: Segment, row: list[Token], looker: Looker) -> list[Segment]:
    starts = [token.start for token in row]
    before = [token for token in segment.tokens if token.start < starts[0]]
    behind = [token for token in segment.tokens if token.start > starts[0] and token.start not in starts]
    if any(token.kind in _COUNTS for token in behind):
        return [segment]
    kinds = [token for token in segment.tokens if token.start in starts]
    named = any(token.kind == "word" for token in before)
    first = [replace(segment, tokens=before)] if named else []
    lead = [] if named else before
    parts = [Segment(tokens=[*lead, kinds[0]], joined="and" if named else segment.joined)]
    parts += [Segment(tokens=[kind], joined="and") for kind in kinds[1:]]
    return [looker.look(Segment(tokens=one.tokens, joined=one.joined)) for one in (*first, *parts)]
