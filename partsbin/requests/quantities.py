"""How many: every usual way of saying it, told from figures that are no quantity."""

from __future__ import annotations

import re

from partsbin.requests.measures import stated
from partsbin.requests.tokens import Token
from partsbin.requests.words import Words, singular

_EACH = frozenset(["off", "ea", "each", "pcs", "pc", "pce", "pieces", "piece", "nos", "units"])
PACKED = {
    "case": "case", "cases": "case", "cs": "case", "crate": "case", "crates": "case", "carton": "case", "cartons": "case", "slab": "case",
    "slabs": "case", "box": "box", "boxes": "box", "bx": "box", "bag": "bag", "bags": "bag", "pack": "pack", "packs": "pack", "packet": "pack",
    "packets": "pack", "pk": "pack", "pkt": "pack", "pair": "pair", "pairs": "pair", "pr": "pair", "prs": "pair", "set": "set", "sets": "set",
    "roll": "roll", "rolls": "roll", "reel": "roll", "reels": "roll", "tray": "case", "trays": "case",
}  # fmt: skip
_TIMES = {"dozen": 12, "doz": 12, "dozens": 12, "dz": 12, "couple": 2, "cpl": 2}
_ASKING = frozenset(
    [
        "need",
        "needs",
        "want",
        "wants",
        "send",
        "get",
        "grab",
        "order",
        "please",
        "pls",
        "and",
        "also",
        "plus",
        "bring",
        "have",
        "require",
        "chuck",
    ]
)
_HEARD = {"for": 4, "to": 2, "too": 2, "won": 1, "ate": 8, "tow": 2, "fore": 4}
_NOT_AFTER_HEARD = frozenset(
    [
        "the",
        "a",
        "an",
        "my",
        "this",
        "that",
        "our",
        "his",
        "her",
        "van",
        "job",
        "machine",
        "site",
        "unit",
        "it",
        "them",
        "us",
        "me",
        "him",
        "you",
        "same",
        "one",
        "ones",
        "number",
    ]
)


_MIXED = re.compile(r"([12]) (\d/\d{1,2}.*)")


def counted_fractions(tokens: list[Token], words: Words) -> list[Token]:
    """ "2 1/4 inch couplers": before a plural the whole figure counts; "a 2 1/4 inch coupler" is as long as that."""
    out: list[Token] = []
    for position, token in enumerate(tokens):
        mixed = _MIXED.fullmatch(token.text) if token.kind == "attribute" else None
        if mixed and _plural_ahead(tokens, position, words) and not any(one.kind == "number" for one in out):
            out.append(Token(mixed[1], token.start, token.start + 1, "number", count=float(mixed[1])))
            token = Token(mixed[2], token.start + 2, token.end, "attribute", facts=tuple(stated(mixed[2])))
        out.append(token)
    return out


def quantities(tokens: list[Token], words: Words) -> list[Token]:
    """Turn the tokens that say how many into quantity tokens; every other token comes back as it was."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        for rule in _RULES:
            found = rule(tokens, position, words)
            if found:
                token, taken = _multiplied(*found, tokens, position)
                out.append(token)
                position += taken
                break
        else:
            out.append(tokens[position])
            position += 1
    return out


def _multiplied(token: Token, taken: int, tokens: list[Token], position: int) -> tuple[Token, int]:
    """ "x 2 dozen", "qty 3 boxes": a counted word behind a count that has no unit yet."""
    at = position + taken
    name = _text(tokens, at)
    if token.kind != "quantity" or token.unit != "each" or not token.count:
        return token, taken
    if name in _TIMES:
        made = _make(tokens, position, taken + 1, token.count * _TIMES[name])
    elif name in PACKED and (name.endswith("s") or at + 1 == len(tokens)) and not _names_a_thing(tokens, at):
        made = _make(tokens, position, taken + 1, token.count, PACKED[name])
    else:
        return token, taken
    return made or (token, taken)


Found = tuple[Token, int] | None


def _make(
    tokens: list[Token],
    position: int,
    taken: int,
    count: float,
    unit: str = "each",
    kind: str = "quantity",
    *,
    weak: bool = False,
) -> Found:
    last = tokens[position + taken - 1]
    text = " ".join(token.text for token in tokens[position : position + taken])
    return Token(text, tokens[position].start, last.end, kind, count=count, unit=unit, weak=weak), taken


def _text(tokens: list[Token], position: int) -> str:
    return tokens[position].text if 0 <= position < len(tokens) else ""


def _is_number(tokens: list[Token], position: int) -> bool:
    return (
        0 <= position < len(tokens)
        and tokens[position].kind == "number"
        and tokens[position].count < 10_000
        and tokens[position].count == int(tokens[position].count)
    )


def _attached(tokens: list[Token], position: int, _: Words) -> Found:
    """x2, 2x, 2off, 2ea, 4no written as one."""
    match = re.fullmatch(r"(?:x|qty|qty\.)(\d{1,4})|(\d{1,4})(?:x|off|ea|pcs?|nos?)", tokens[position].text)
    if not match or tokens[position].kind not in ("word", "attribute"):
        return None
    count = float(match[1] or match[2])
    taken = 2 if _text(tokens, position + 1) in ("off", "of") else 1
    return _make(tokens, position, taken, count)


def _times(tokens: list[Token], position: int, _: Words) -> Found:
    """X 2, 2 x, qty 2, quantity: 2, (2)."""
    text = tokens[position].text
    if text in ("qty", "quantity", "qnty", "qy"):
        step = next((s for s in (1, 2, 3) if _is_number(tokens, position + s)), 0)
        if step and all(_text(tokens, position + s) in (":", "=", ".", "of", "is", "-") for s in range(1, step)):
            return _make(tokens, position, step + 1, tokens[position + step].count)
    if (
        _is_number(tokens, position)
        and _text(tokens, position + 1) in ("qty", "qnty")
        and not _is_number(tokens, position + 2)
    ):
        return _make(tokens, position, 2, tokens[position].count)
    if text == "x" and _is_number(tokens, position + 1):
        return _make(tokens, position, 2, tokens[position + 1].count)
    if text == "(" and _is_number(tokens, position + 1) and _text(tokens, position + 2) == ")":
        return _make(tokens, position, 3, tokens[position + 1].count)
    if text == "(" and _text(tokens, position + 2) == ")" and re.fullmatch(r"x\d+|\d+x", _text(tokens, position + 1)):
        return _make(tokens, position, 3, float(_text(tokens, position + 1).strip("x")))
    if _is_number(tokens, position) and _text(tokens, position + 1) == "x" and not _is_number(tokens, position + 2):
        return _make(tokens, position, 2, tokens[position].count)
    if _is_number(tokens, position) and _text(tokens, position + 1) == "x" and tokens[position + 2].kind == "number":
        return _make(tokens, position, 2, tokens[position].count)
    return None


def _range(tokens: list[Token], position: int, _: Words) -> Found:
    """1-2, two or three: nobody has said how many."""
    text = tokens[position].text
    if tokens[position].kind == "word" and re.fullmatch(r"\d-\d", text):
        return _make(tokens, position, 1, 0, kind="vague")
    if (
        _is_number(tokens, position)
        and _text(tokens, position + 1) in ("or", "-", "to")
        and _is_number(tokens, position + 2)
    ):
        low, high = tokens[position].count, tokens[position + 2].count
        if low < high <= 2 * low + 2 and high <= 12:
            return _make(tokens, position, 3, 0, kind="vague")
    return None


def _number_sign(tokens: list[Token], position: int, _: Words) -> Found:
    """no2, no. 2: number two or two of them cannot be told; 4 no. is four of them."""
    text = tokens[position].text
    if re.fullmatch(r"no\d", text):
        return _make(tokens, position, 1, 0, kind="vague")
    if text == "no" and _text(tokens, position + 1) == "." and _is_number(tokens, position + 2):
        return _make(tokens, position, 3, 0, kind="vague")
    if _is_number(tokens, position) and _text(tokens, position + 1) == "no" and _text(tokens, position + 2) == ".":
        return _make(tokens, position, 3, tokens[position].count)
    return None


def _half(tokens: list[Token], position: int, _: Words) -> Found:
    """Half a dozen, 1/2 doz, half case."""
    first = tokens[position]
    if first.text not in ("half", "1/2") and (first.kind != "number" or first.count != 0.5):
        return None
    step = next(
        (s for s in (1, 2, 3) if _text(tokens, position + s) in _TIMES or _text(tokens, position + s) in PACKED), 0
    )
    if not step or any(_text(tokens, position + s) not in ("a", "of", "-") for s in range(1, step)):
        return None
    name = _text(tokens, position + step)
    taken = step + 1 + (_text(tokens, position + step + 1) == "of")
    if name in _TIMES:
        return _make(tokens, position, taken, _TIMES[name] / 2)
    return _make(tokens, position, taken, 1, "half " + PACKED[name]) if PACKED[name] != "pair" else None


def _grouped(tokens: list[Token], position: int, _: Words) -> Found:
    """2 dozen, a couple of, a pair of, 3 boxes, a case, 2 off, 4 ea."""
    first = tokens[position]
    counted = _is_number(tokens, position)
    if (
        first.text in PACKED
        and not first.text.endswith("s")
        and _text(tokens, position + 1) == "of"
        and (not position or _is_number(tokens, position + 2))
    ):
        if _is_number(tokens, position + 2):
            return _make(tokens, position, 3, tokens[position + 2].count)
        return _make(tokens, position, 2, 1, PACKED[first.text])
    if (
        not counted
        and first.text not in ("a", "an")
        and first.text not in _TIMES
        and first.text not in ("pair", "pairs", "pr", "prs")
    ):
        return None
    count, at = (first.count, position + 1) if counted else (1.0, position + (first.text in ("a", "an")))
    if _text(tokens, at) == "more":
        at += 1
    name = _text(tokens, at)
    taken = at - position + 1 + (_text(tokens, at + 1) == "of")
    if name in _TIMES:
        return _make(tokens, position, taken, count * _TIMES[name])
    inside = at + 2 if _text(tokens, at + 1) == "of" else 0
    if (
        name in PACKED
        and inside
        and _is_number(tokens, inside)
        and tokens[inside].count > 1
        and _text(tokens, inside + 1) not in ("x", "off")
    ):
        return _make(tokens, position, inside - position + 1, count * tokens[inside].count)
    if name in PACKED and not _names_a_thing(tokens, at):
        # "2 sets" count sets whatever the item's unit is called.
        return _make(tokens, position, taken, count, PACKED[name])
    if counted and name in _EACH:
        if name in ("ea", "each") and _text(tokens, at + 1) == "of":
            return _make(tokens, position, taken, count, kind="each")
        return _make(tokens, position, taken, count)
    return None


def _names_a_thing(tokens: list[Token], at: int) -> bool:
    """A tray or a set of something is a part when it stands alone; a case with no drink behind it likewise."""
    name, after = tokens[at].text, _text(tokens, at + 1)
    if name in ("tray", "trays"):
        return after != "of"
    return after in ("kit", "kits")


def _each(tokens: list[Token], position: int, _: Words) -> Found:
    """2 of each, one each of, one of both."""
    first = tokens[position]
    count = (
        first.count
        if _is_number(tokens, position) or first.kind == "quantity"
        else 1.0
        if first.text in ("a", "one")
        else 0.0
    )
    if not count or tokens[position].kind == "attribute":
        return None
    if _text(tokens, position + 1) == "of" and _text(tokens, position + 2) in ("each", "both", "everything"):
        return _make(tokens, position, 3, count, kind="each")
    if _text(tokens, position + 1) in ("each", "ea", "apiece") and _text(tokens, position + 2) == "of":
        return _make(tokens, position, 3, count, kind="each")
    if _text(tokens, position + 1) in ("each", "apiece"):
        return _make(tokens, position, 2, count, kind="each")
    return None


def _vague(tokens: list[Token], position: int, words: Words) -> Found:
    """A handful, some, a few: kept as a question."""
    at = position + (tokens[position].text in ("a", "an"))
    if at >= len(tokens) or tokens[at].kind != "word" or tokens[at].text not in words.vague:
        return None
    if tokens[at].text in ("bit", "lot") and at == position:
        return None
    taken = at - position + 1 + (_text(tokens, at + 1) == "of")
    return _make(tokens, position, taken, 0, kind="vague")


def _all_of(tokens: list[Token], position: int, words: Words) -> Found:
    """All 4, all four, both motors; "both hands" and "both sides" count nothing."""
    if tokens[position].text == "both" and _plural_ahead(tokens, position, words):
        return _make(tokens, position, 1, 1, "pair")
    if tokens[position].text == "all" and _is_number(tokens, position + 1):
        return _make(tokens, position, 2, tokens[position + 1].count)
    return None


def _plural_ahead(tokens: list[Token], position: int, words: Words) -> bool:
    for token in tokens[position + 1 : position + 7]:
        if token.text == "-":
            continue
        if token.kind not in ("word", "attribute") or token.text in (
            "and",
            "or",
            "for",
            "on",
            "sides",
            "hands",
            "ways",
            "ends",
        ):
            return False
        if token.kind == "word" and plural_head(token.text, words):
            return True
    return False


def _heard(tokens: list[Token], position: int, words: Words) -> Found:
    """Dictated "for", "to", "won": a number where it opens a request and a plural follows close."""
    text = tokens[position].text
    if text not in _HEARD or tokens[position].kind != "word":
        return None
    before = tokens[position - 1] if position else None
    opens = before is None or before.kind == "mark" or before.text in _ASKING or before.kind == "filler"
    after = _text(tokens, position + 1)
    if not opens or after in _NOT_AFTER_HEARD or (after == "lane" and _is_number(tokens, position + 2)):
        return None
    for token in tokens[position + 1 : position + 9]:
        if token.text == "-":
            continue
        if token.kind in ("mark", "number", "quantity", "machine", "code") or token.text in (
            "and",
            "for",
            "to",
            "the",
            "a",
            "on",
            "in",
        ):
            break
        counted = plural_head(token.text, words) or (token.text in PACKED and token.text.endswith("s"))
        if _HEARD[text] != 1 and token.kind == "word" and counted:
            return _make(tokens, position, 1, _HEARD[text])
        if _HEARD[text] == 1 and token.kind == "word" and words.usual(token.text)[0] in words.family_words:
            return _make(tokens, position, 1, 1)
    return None


def plural_head(word: str, words: Words) -> bool:
    """Whether a word is the plural of a thing with a family."""
    single = singular(word)
    if single == word or (word in words.noise and single not in words.family_words):
        return False
    if word in words.heard and single not in words.heard:
        return False
    if word in words.canon and single in words.canon and words.canon[word][-1].endswith("s"):
        return False  # hrns is one harness
    meant = (*words.usual(word), *words.heard.get(single, ()))
    return any(one in words.family_words for one in meant)


_POINTING = frozenset(
    [
        "last",
        "this",
        "that",
        "these",
        "those",
        "old",
        "other",
        "first",
        "same",
        "wrong",
        "which",
        "every",
        "no",
        "new",
        "right",
        "left",
        "proper",
        "correct",
        "usual",
        "previous",
        "next",
    ]
)


def _pronoun(tokens: list[Token], position: int, words: Words) -> Found:
    """ "the last one", "that one": nothing is counted where nothing is named behind it."""
    one = tokens[position]
    if one.text not in ("one", "ones") or not position or tokens[position - 1].text not in _POINTING:
        return None
    after = tokens[position + 1] if position + 1 < len(tokens) else None
    if after is not None and after.kind == "word" and words.usual(after.text)[0] in words.family_words:
        return None
    return Token(one.text, one.start, one.end, "filler"), 1


_RULES = (_pronoun, _attached, _each, _times, _range, _number_sign, _half, _grouped, _vague, _all_of, _heard)
