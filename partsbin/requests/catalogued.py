"""Figures that an item of the catalogue has just so: "14 x 2" of a ring, "25 to 40" of a clip, "5 L" of a tank."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from partsbin.requests.countables import CONTENTS, PACK_SIZES, THINGS
from partsbin.requests.measures import Stated
from partsbin.requests.packs import COUNTED
from partsbin.requests.token import Known, Token, breath, counted, is_number, text_at
from partsbin.requests.units import UNITS
from partsbin.requests.words import singular

_TIMES = ("x", "by", "times", "lamp")
_TO = ("-", "to")
_INCH = 25.4
_THINGS = THINGS | {"foot", "feet", "bar", "bars"}
# Units of one letter that speech also has as words.
_LETTERS = frozenset("lnwkgmta")


def as_catalogued(tokens: list[Token], known: Known) -> list[Token]:
    """Take figures together that an item of the kind asked for has together: they are its size and count nothing."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        found = _found(tokens, position, known) if tokens[position].kind in ("number", "attribute") else None
        if found is None and position + 1 < len(tokens):
            found = _measure(tokens, position, known)
        out.extend(found[0] if found else [tokens[position]])
        position += found[1] if found else 1
    return out


def _found(tokens: list[Token], position: int, known: Known) -> tuple[list[Token], int] | None:
    plain = tokens[position].kind == "attribute" and text_at(tokens, position + 1) not in (*_TIMES, *_TO)
    if plain and not _may_be_apart(tokens[position]):
        return None
    readings = [*_sides(tokens, position), *_ends(tokens, position), *_lettered(tokens, position)]
    said = _near(tokens, position, known) if readings or _may_be_apart(tokens[position]) else []
    for facts, taken in readings:
        if known.states(facts, said):
            return _taken(tokens[position : position + taken], facts), taken
    if _is_size(tokens, position, known):
        return [replace(tokens[position], kind="attribute", facts=(("figure", tokens[position].count),))], 1
    if taken := _uncountable(tokens, position, known):
        first, last = tokens[position], tokens[position + taken - 1]
        return [Token(first.text, first.start, last.end, "vague")], taken
    return (_apart(tokens[position], said, known), 1) if said and _may_be_apart(tokens[position]) else None


def _measure(tokens: list[Token], position: int, known: Known) -> tuple[list[Token], int] | None:
    """So many of what the catalogue keeps a thing in: "12 bundles of straws", "straws, 12 bundles"."""
    first = tokens[position]
    at = position + 1 + (text_at(tokens, position + 1) == "x")
    unit = singular(text_at(tokens, at))
    one = first.text in ("a", "an")
    if unit in COUNTED or len(unit) < 3 or tokens[at].kind != "word" or not (one or is_number(tokens, position)):
        return None
    of = text_at(tokens, at + 1) == "of"
    said = [word for word in _words(breath(tokens, position)) if word not in ("x", "of", tokens[at].text)]
    if not known.kept_in(unit, said, of=of):
        return None
    return [
        counted(tokens, position, at - position + 1 + of, 1 if one else first.count, unit)[0]
    ], at - position + 1 + of


def _taken(tokens: list[Token], facts: tuple[Stated, ...]) -> list[Token]:
    """One token for all, and for what the last counts besides: "2 x 12 selection" leaves the word."""
    last = tokens[-1]
    thing = last.text.partition(" ")[2] if last.kind == "attribute" else ""
    kept = [Token(thing, last.end - len(thing), last.end)] if thing in _THINGS else []
    text = " ".join(token.text for token in tokens).removesuffix(thing).strip()
    return [Token(text, tokens[0].start, last.end - len(thing if kept else ""), "attribute", facts=facts), *kept]


def _near(tokens: list[Token], position: int, known: Known) -> list[str]:
    """The words in the same breath as a position, or all where none of those stands in the catalogue."""
    near = _words(breath(tokens, position))
    return near if any(known.word(word) for word in near if len(word) > 1) else _words(tokens)


def _words(tokens: list[Token]) -> list[str]:
    said = [token.text for token in tokens if token.kind == "word"]
    return said + [thing for token in tokens if (thing := token.text.rpartition(" ")[2]) in _THINGS]


def _sides(tokens: list[Token], position: int) -> Iterator[tuple[tuple[Stated, ...], int]]:
    """What figures with an x between them may state, the most figures first."""
    run = [tokens[position]]
    while text_at(tokens, position + 2 * len(run) - 1) in _TIMES and position + 2 * len(run) < len(tokens):
        run.append(tokens[position + 2 * len(run)])
    for many in range(min(len(run), 3), 1, -1):
        values = [_length(token) for token in run[:many]]
        if all(values):
            yield (("size", "x".join(f"{value:g}" for value in values)),), 2 * many - 1
    plural = len(text_at(tokens, position + 3)) > 3 and text_at(tokens, position + 3).endswith("s")
    if len(run) > 1 and not (run[0].kind == "number" and plural):  # "2 x 18 W tubes" are two
        yield from ((facts, 3) for facts in _both_stated(*run[:2]) if facts)


def _length(token: Token) -> float:
    """A bare figure, one in millimetres or before a thing ("12 selection"); 0 for anything else."""
    if token.kind == "number":
        return token.count
    own = token.facts[0] if len(token.facts) == 1 else ("", "")
    if token.text.split()[-1] in _THINGS:
        return float(found[0]) if (found := re.match(r"\d+", token.text)) else 0.0
    return own[1] if own[0] == "mm" and isinstance(own[1], float) else 0.0


def _both_stated(first: Token, other: Token) -> Iterator[tuple[Stated, ...]]:
    """What two figures with an x between them may state, each in its own unit."""
    values = dict(other.facts)
    if any(kind == "thread" for kind, _ in first.facts):
        bare = other.count or _length(other)
        length = bare * _INCH if "-" in first.text and other.kind == "number" and bare <= 12 else bare
        yield (*first.facts, ("mm", length)) if length else ()
    if first.kind != "number":
        return
    content = values.get("ml") or other.count
    if first.count in PACK_SIZES and content in CONTENTS:
        yield ("pack", first.count), ("ml", content)
    if "watts" in values:
        yield ("lamps", first.count), ("watts", values["watts"])
    yield ("thread", f"M{first.count:g}"), ("mm", values.get("mm") or other.count)
    yield ("gauge", first.count), ("mm", values.get("mm") or round(other.count * _INCH, 3))


def _is_size(tokens: list[Token], position: int, known: Known) -> bool:
    """Whether a figure is a size, for something else counts: the 600 of "cables 600 x 3", both of "120 and 180"."""
    figure = tokens[position]
    if figure.kind != "number" or figure.count <= _FEW:
        return False
    behind = position > 0 and tokens[position - 1].kind == "word" and _counts_beside(tokens, position)
    return (behind or _is_listed(tokens, position)) and known.has_figure(figure.count, _near(tokens, position, known))


def _counts_beside(tokens: list[Token], position: int) -> bool:
    """Whether something else says how many in the same breath."""
    near = [token for token in breath(tokens, position) if token is not tokens[position]]
    return any(token.kind == "number" or re.fullmatch(r"x\d+|\d+(?:x|off|ea|pcs?)", token.text) for token in near)


def _is_listed(tokens: list[Token], position: int) -> bool:
    """Whether another large figure stands beside, an "and" between them."""
    for step in (-1, 1):
        other = position + 2 * step
        if text_at(tokens, position + step) in _AND and 0 <= other < len(tokens) and tokens[other].count > _FEW:
            return True
    return False


_AND = ("and", "&", "or", ",")


def _uncountable(tokens: list[Token], position: int, known: Known) -> int:
    """Tokens taken by what can be neither count nor size here: "2 x 3 key blanks", "2.5 valves"; 0 for others."""
    first, behind = tokens[position], tokens[position + 1 : position + 4]
    if first.kind != "number" or first.spelt or not behind:
        return 0
    if first.count != int(first.count):
        opens = not position or tokens[position - 1].kind == "mark"
        alone = (
            opens and "/" not in first.text and behind[0].kind == "word" and behind[0].text not in (*_TIMES, *COUNTED)
        )
        return int(alone and not known.has_figure(first.count, _near(tokens, position, known)))
    if [one.kind for one in behind] != ["word", "number", "word"] or behind[0].text != "x" or behind[2].text in COUNTED:
        return 0
    few = max(first.count, behind[1].count) < _FEW
    return 3 if few and not known.has_figure(behind[1].count, _near(tokens, position, known)) else 0


_FEW = 20


def _ends(tokens: list[Token], position: int) -> Iterator[tuple[tuple[Stated, ...], int]]:
    """The two ends of a range: "25 to 40", "4-22 W"."""
    low, high = tokens[position], tokens[position + 2] if position + 2 < len(tokens) else None
    if low.kind != "number" or text_at(tokens, position + 1) not in _TO or high is None:
        return
    if high.kind == "number":
        yield (("range", f"{low.count:g} to {high.count:g}"),), 3
        yield (("mm", low.count), ("mm", high.count)), 3
    yield from ((((kind, low.count), (kind, value)), 3) for kind, value in high.facts if isinstance(value, float))


def _lettered(tokens: list[Token], position: int) -> Iterator[tuple[tuple[Stated, ...], int]]:
    """A figure with a unit of one letter behind it, or the eighths or quarters of an inch."""
    behind = text_at(tokens, position + 1)
    if tokens[position].kind != "number":
        return
    if behind in _LETTERS and (behind != "a" or not _goes_on(tokens, position + 2)):
        kind, factor = UNITS[behind]
        yield ((kind, tokens[position].count * factor),), 2
    if part := _PARTS.get(behind):
        share = tokens[position].count * part
        yield from (((fact,), 2) for fact in (("figure", share), ("mm", round(share * _INCH, 3))))


_PARTS = {"eighths": 0.125, "eighth": 0.125, "quarters": 0.25, "quarter": 0.25, "sixteenths": 0.0625, "halves": 0.5}


def _goes_on(tokens: list[Token], position: int) -> bool:
    """Whether a thing may be named here: "5 a day", not "5 a and 2 pumps"."""
    after = tokens[position] if position < len(tokens) else None
    return after is not None and after.kind == "word" and after.text not in _LINKED


_LINKED = ("and", "with", "plus", "thanks", "please", "for", "slow", "fast", "quick", "t", "f")


_APART = re.compile(r"(\d+|[a-z]+)[ -](m|[a-z]{3,})")


def _may_be_apart(token: Token) -> bool:
    found = _APART.fullmatch(token.text) if token.kind == "attribute" else None
    return found is not None and found[2] in (*_THINGS, "m") and len(token.facts) == 1


def _apart(token: Token, said: list[str], known: Known) -> list[Token]:
    """For "2 M vests", "three wire paddles": a count where things are called by the word and have no such value."""
    count, _, word = token.text.partition(" ")
    named = [one for one in said if one != word]
    if known.states(token.facts, said) or not known.states((("word", word),), named):
        return [token]
    value = float(count) if count.isdigit() else float(token.facts[0][1])
    cut = token.end - len(word)
    return [Token(count, token.start, cut, "number", count=value), Token(word, cut, token.end)]
