"""Several things in one breath without a comma: "2 belts 4 long pumps one lid", "hasp x3 padlock x4".

Where to part is the catalogue's choice: at counts, so that every piece has an item called by all its words, with its
count before it or behind it as in the whole stretch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from partsbin.requests.called import Called
from partsbin.requests.segment import ARTICLES, SUPPLIES
from partsbin.requests.segments import BREAKS, INSIDE, JOINS
from partsbin.requests.token import Token

_MOST_COUNTS = 12
_MOST_TOKENS = 60
_MOST_COUNTED = 200

# How many pieces have no count, less their sizes, and the pieces.
Parting = tuple[int, int, list[list[Token]]]


def pieces(tokens: list[Token], called: Called) -> list[Token]:
    """The tokens with a break before every further thing of a stretch, where the catalogue has each."""
    out: list[Token] = []
    for stretch in _stretches(_unslashed(tokens, called)):
        counts = [place for place, token in enumerate(stretch) if _counts(token, behind=False)]
        several = bool(counts) and (len(counts) > 1 or 0 < counts[0] < len(stretch) - 1)
        found = _best(stretch, called) if several and len(counts) <= _MOST_COUNTS else None
        for place, piece in enumerate(found or [stretch]):
            if place:
                out.append(Token("+", piece[0].start, piece[0].start, "mark"))
            out.extend(piece)
    return out


def _unslashed(tokens: list[Token], called: Called) -> list[Token]:
    """A slash between two things is a break: "drain pan/vend motor"."""
    out = list(tokens)
    places = [place for place, token in enumerate(tokens) if token.kind == "mark" and token.text == "/"]
    for place, until in pairwise([*places[:_MOST_COUNTS], len(tokens)]):
        start = max((at + 1 for at in range(place) if out[at].kind == "mark"), default=0)
        left, right = out[start:place], out[place + 1 : until]
        if called.names(left) and called.names(right) and not called.names([*left, *right]):
            out[place] = replace(tokens[place], text="+")
    return out


def _stretches(tokens: list[Token]) -> Iterator[list[Token]]:
    """The tokens between breaks, and every break by itself."""
    stretch: list[Token] = []
    for token in tokens:
        if (token.kind == "mark" and token.text in BREAKS) or token.text in JOINS:
            yield stretch
            yield [token]
            stretch = []
        else:
            stretch.append(token)
    yield stretch


def _counts(token: Token, *, behind: bool) -> bool:
    """Whether a token may say how many: a count, a whole number that is no supply, an article before a thing."""
    if token.kind == "number":
        return token.count == int(token.count) and 0 < token.count <= _MOST_COUNTED and token.count not in SUPPLIES
    return token.kind in ("quantity", "vague") or (not behind and token.kind == "word" and token.text in ARTICLES)


def _best(stretch: list[Token], called: Called) -> list[list[Token]] | None:
    """The parting into two things or more that leaves fewest without a count; None where there is none."""
    if sum(_counts(token, behind=True) for token in stretch) == 1 and called.names(
        [token for token in stretch if not _counts(token, behind=False)]
    ):
        return None  # "castor x4 braked"
    ways = [way for behind in (False, True) if (way := _parting(stretch, called, behind=behind))]
    _, _, best = min(ways, key=lambda way: way[:2], default=(0, 0, []))
    return best if len(best) > 1 else None


def _parting(stretch: list[Token], called: Called, *, behind: bool) -> Parting | None:
    """The best parting with all counts before their things, or all ``behind`` them."""
    if len(stretch) > _MOST_TOKENS:
        return None
    counts = [place + behind for place, token in enumerate(stretch) if _counts(token, behind=behind)]
    edges = sorted({0, *counts, len(stretch)})
    best: dict[int, Parting] = {len(stretch): (0, 0, [])}
    for start in reversed(edges[:-1]):
        ways = []
        for end in (edge for edge in edges if edge > start and edge in best):
            piece = _piece(stretch[start:end], called, behind=behind)
            if piece is not None:
                bare, loose, rest = best[end]
                ways.append((bare + piece[0], loose + piece[1], [piece[2], *rest]))
        if ways:
            best[start] = min(ways, key=lambda way: way[:2])
    return best.get(0)


def _piece(tokens: list[Token], called: Called, *, behind: bool) -> tuple[int, int, list[Token]] | None:
    """One thing with at most one count, its figures sizes; None where the catalogue has nothing called so."""
    at = len(tokens) - 1 if behind else _opening(tokens, called)
    counted = _counts(tokens[at], behind=behind)
    core = [_sized(one) for place, one in enumerate(tokens) if place != at or not counted]
    if not core or core[-1].text in INSIDE or any(one.kind in ("quantity", "vague") for one in core):
        return None
    if not (called.names(core) or (counted and called.picks(core))):
        return None
    said = [_counting(tokens[at])] if counted else []
    sizes = sum(one.kind == "attribute" and not one.weak for one in core)
    return not counted, -sizes, [*core, *said] if behind else [*said, *core]


def _opening(tokens: list[Token], called: Called) -> int:
    """Where a piece starts behind what is no part of it: "can i have a …"."""
    little = (
        token.kind == "filler"
        or (token.kind == "word" and not _counts(token, behind=False) and not called.tells(token))
        for token in tokens
    )
    return next((place for place, one in enumerate(little) if not one), 0)


def _sized(token: Token) -> Token:
    return replace(token, kind="attribute", facts=(("figure", token.count),)) if token.kind == "number" else token


def _counting(token: Token) -> Token:
    return replace(token, kind="quantity") if token.kind == "number" else token
