"""Sizes said in pieces: "5 x 20" of a fuse, "M12 by 75" of a leveller, "250 slim" of a can."""

from __future__ import annotations

import re

from partsbin.requests.catalogued import as_catalogued
from partsbin.requests.countables import CONTENTS
from partsbin.requests.token import Known, Token
from partsbin.requests.wordlists import listed

# Figures the trade says in two pieces ("one fifteen", "two ninety"): supplies, refrigerants, container sizes.
SAID_IN_PIECES = frozenset((110, 115, 120, 134, 208, 220, 230, 240, 250, 290, 330, 355, 375, 440, 473, 500, 591, 750))


_LONG_THINGS = listed(
    """
    screw scr bolt leg legs leveller lvlr leveler foot feet stud tapper tappers screws bolts levellers levelers
    standoff skrew skrews feat
    """
)


def sizes(tokens: list[Token], known: Known | None = None) -> list[Token]:
    """Make sizes of "5 x 20" (fuse) and "M12 x 75" (leveller); "2 x 6 mm shims" and "M4 nuts x 20" are none."""
    tokens = as_catalogued(tokens, known) if known else tokens
    said = {token.text for token in tokens}
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        made = (
            _filled(tokens, position)
            or _measured(tokens, position)
            or _characters(tokens, position)
            or _fuse_body(tokens, position, said)
            or _plug(tokens, position, said)
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


def _characters(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """Make a display's size of "2 x 20 characters"."""
    rows = tokens[position]
    if rows.kind != "number" or rows.count not in (1, 2, 4) or position + 2 >= len(tokens):
        return None
    columns = tokens[position + 2]
    stated = next((value for kind, value in columns.facts if kind == "characters"), columns.count)
    if tokens[position + 1].text != "x" or stated not in (8, 16, 20, 40):
        return None
    if columns.kind == "number" and not any(
        token.text.startswith(("disp", "lcd", "readout")) for token in tokens[:position]
    ):
        return None
    size = (("size", f"{rows.count:g}x{stated:g}"),)
    return Token("size", rows.start, columns.end, "attribute", facts=size), 3


def _filled(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """For "250 slim", "500 bottle": a container's content before its name is no count."""
    first = tokens[position]
    after = tokens[position + 1] if position + 1 < len(tokens) else None
    if first.kind != "number" or first.count not in CONTENTS or after is None or after.text.endswith("s"):
        return None
    if after.kind != "attribute" or not any(kind in ("container", "form") for kind, _ in after.facts):
        return None
    return Token(first.text, first.start, first.end, "attribute", facts=(("ml", first.count),)), 1


_FEWEST_LONG = 25  # "2 long, 3 short" counts


def _measured(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """For "strip, 900 long" and "glass 6 thick": the figure before a dimension is no count."""
    first = tokens[position]
    dimension, behind = (tokens[at].text if at < len(tokens) else "" for at in (position + 1, position + 2))
    if first.kind != "number" or behind.isalpha() or dimension not in _DIMENSIONS:
        return None
    if dimension == "long" and first.count < _FEWEST_LONG:
        return None
    last = tokens[position + 1]
    return Token(f"{first.text} {dimension}", first.start, last.end, "attribute", facts=(("figure", first.count),)), 2


_DIMENSIONS = ("long", "wide", "high", "deep", "thick", "tall")


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


def _plug(tokens: list[Token], position: int, said: set[str]) -> tuple[Token, int] | None:
    """For "power cord five twenty plug": the two figures of a plug's pattern."""
    if not said & {"plug", "cord", "lead", "chord", "inlet"}:
        return None
    step = 2 if position + 2 < len(tokens) and tokens[position + 1].text in ("-", "dash") else 1
    pair = tokens[position : position + step + 1 : step]
    if len(pair) < 2 or any(one.kind != "number" for one in pair):
        return None
    if pair[0].count not in (5, 6, 14) or pair[1].count not in (15, 20, 30, 50):
        return None
    pattern = (("plug", f"{pair[0].count:g}-{pair[1].count:g}"),)
    return Token("plug", pair[0].start, pair[1].end, "attribute", facts=pattern), step + 1


_ASKING = listed("need needs want send get order please pls require also and plus me us just take bring qty")


def _two_sides(tokens: list[Token], position: int) -> tuple[Token, int] | None:
    """For "720 x 1240 glass": two figures too large to count things are the sides of one."""
    first = tokens[position]
    if first.kind != "number" or first.count < 13:
        return None
    other, taken = _figure_behind(tokens, position)
    behind = tokens[position + taken + 1].text if position + taken + 1 < len(tokens) else ""
    if other < 13 or taken != 2 or other in SAID_IN_PIECES or behind in ("cans", "can", "ml"):
        return None
    leads = not position or tokens[position - 1].kind != "word" or tokens[position - 1].text in _ASKING
    if leads and first.count != other and max(first.count, other) < 100:
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
