"""A thing and its counterpart in one breath: "both hands of the stop", "two for either side", "one of each castor"."""

from __future__ import annotations

import re
from dataclasses import replace

from partsbin.requests.called import Called, front, uncounted
from partsbin.requests.looking import Looker
from partsbin.requests.segment import Segment
from partsbin.requests.token import Token
from partsbin.requests.words import singular

_HANDS = re.compile(r"(?:for |on |of )?(?:both|either|each) (?:hand|side|way|one)s?(?: of)?")
_BOTH = re.compile(r"both|.*\beach(?: of)?")


def paired(segment: Segment, looker: Looker, called: Called, *, handed: bool) -> list[Segment]:
    """The two things a segment asks for, where the catalogue has just those two; else the segment alone.

    Where the sentence is ``handed`` it says itself of which hand a pair is.
    """
    if segment.codes or segment.negated or segment.amends:
        return [segment]
    pair = not handed and segment.quantity is not None and segment.quantity.unit == "pair"
    sides = _pairs_of_hands(segment, called) or _only_two(segment, called, pair=pair)
    made = [looker.look(Segment(tokens=tokens, joined=segment.joined)) for tokens in sides]
    for one in made:
        one.tokens, one.lane, one.machine = segment.tokens, segment.lane, segment.machine
        one.quantity, one.vague, one.each = segment.quantity, segment.vague, segment.each
        one.named, one.noun, one.plural = True, segment.start, False
        if one.quantity and (one.quantity.text == "both" or one.quantity.unit == "pair"):
            one.quantity = replace(one.quantity, unit="each")
    return made or [segment]


def only_hands(segment: Segment) -> bool:
    """Whether a segment says "both hands", or how many for each, and nothing else."""
    said = [token for token in segment.tokens if token.kind not in ("number", "quantity") and token.text != "please"]
    return bool(_HANDS.fullmatch(_spelt(said)[0].strip()))


def _pairs_of_hands(segment: Segment, called: Called) -> list[list[Token]]:
    """The left and the right thing, where both hands are asked for and nothing is called so itself."""
    text, spans = _spelt(segment.tokens)
    found = _HANDS.search(text)
    if found is None or called.places(uncounted(segment)):
        return []
    rest = [token for token, at in zip(segment.tokens, spans, strict=True) if not found.start() <= at < found.end()]
    bare = uncounted(replace(segment, tokens=rest))
    hands = [[*bare, Token(hand, 0, 0, "attribute", facts=(("hand", hand),))] for hand in ("LH", "RH")]
    left, right = map(called.places, hands)
    return hands if left and right and left.isdisjoint(right) else []


def _only_two(segment: Segment, called: Called, *, pair: bool) -> list[list[Token]]:
    """The two items of a name, told apart by what only one of them says; a pair is of the two hands."""
    first = next((token for token in front(segment.tokens) if _BOTH.fullmatch(token.text)), None)
    both = first is not None and first is not segment.tokens[-1]
    if not (both or pair):
        return []
    bare = [token for token in uncounted(segment) if token is not first]
    if both and first is not None and first.text == "both" and not _several(called.telling(bare)):
        return []  # "both the keypad and the modem"
    apart = called.apart(bare)
    hands = all(kind == "hand" for one in apart for kind, _ in one.facts or (("", ""),))
    return [[*bare, one] for one in apart] if both or hands else []


def _several(named: list[Token]) -> bool:
    """Whether some word of a name is a plural."""
    return any(singular(token.text) != token.text for token in named)


def _spelt(tokens: list[Token]) -> tuple[str, list[int]]:
    """The tokens' text in a row, and where each starts in it."""
    starts, text = [], ""
    for token in tokens:
        starts.append(len(text))
        text += token.text + " "
    return text, starts
