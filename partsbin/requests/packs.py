"""Counts in dozens, pairs, boxes and cases."""

from __future__ import annotations

from partsbin.requests.token import Found, Token, counted, is_number, text_at
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_EACH = listed("off ea each pcs pc pce pieces piece nos units")


PACKED = {
    "case": "case", "cases": "case", "cs": "case", "crate": "case", "crates": "case", "carton": "case",
    "cartons": "case", "slab": "case",
    "slabs": "case", "box": "box", "boxes": "box", "bx": "box", "bag": "bag", "bags": "bag", "pack": "pack",
    "packs": "pack", "packet": "pack",
    "packets": "pack", "pk": "pack", "pks": "pack", "pkt": "pack", "pkts": "pack",
    "pair": "pair", "pairs": "pair", "pr": "pair", "prs": "pair",
    "set": "set", "sets": "set",
    "roll": "roll", "rolls": "roll", "reel": "roll", "reels": "roll", "tray": "case", "trays": "case",
}  # fmt: skip


_TIMES = {"dozen": 12, "doz": 12, "dozens": 12, "dz": 12, "couple": 2, "cpl": 2, "gross": 144}


# What things come in besides: the item says of how many ("sleeve of 50").
COMES_IN = listed("sheet tub jar tin bottle card strip sleeve tube pot outer drum sachet")
_HELD_IN = COMES_IN - {"bottle", "card", "strip"}
HOLDS = listed("drum tub tin jar bucket pail sack keg pot sachet carton canister")
COUNTED = PACKED.keys() | _TIMES.keys()
_BARE = listed("case cs box bx bag crate carton slab roll")


def multiplied(token: Token, taken: int, tokens: list[Token], position: int) -> tuple[Token, int]:
    """For "x 2 dozen", "qty 3 boxes": a counted word behind a count that has no unit yet."""
    at = position + taken
    name = text_at(tokens, at)
    if token.kind != "quantity" or token.unit != "each" or not token.count:
        return token, taken
    if name in _TIMES:
        return counted(tokens, position, taken + 1, token.count * _TIMES[name])
    if (
        name in PACKED
        and (name.endswith("s") or name in _BARE or at + 1 == len(tokens))
        and not names_a_thing(tokens, at)
    ):
        return counted(tokens, position, taken + 1, token.count, PACKED[name])
    return token, taken


def half(tokens: list[Token], position: int, _: Words) -> Found:
    """Half a dozen, 1/2 doz, half case, 1 1/2 dozen, two and a half cases, a dozen and a half."""
    halves, step = _halves(tokens, position)
    while step and step < 5 and text_at(tokens, position + step) in ("a", "of", "-"):
        step += 1
    name = text_at(tokens, position + step) if step else ""
    if step and name not in _TIMES and name not in PACKED:
        return None
    if not step:
        at = position + (text_at(tokens, position) in ("a", "an", "one"))
        name, halves, step = text_at(tokens, at), 3, at - position + 3
        behind = [text_at(tokens, at + ahead) for ahead in (1, 2, 3)]
        if (name not in _TIMES and name not in PACKED) or behind != ["and", "a", "half"]:
            return None
    taken = step + 1 + (text_at(tokens, position + step + 1) == "of")
    if name in _TIMES:
        return counted(tokens, position, taken, halves * _TIMES[name] / 2)
    return counted(tokens, position, taken, halves, "half " + PACKED[name]) if PACKED[name] != "pair" else None


def _halves(tokens: list[Token], position: int) -> tuple[int, int]:
    """How many halves are said from here, and in how many tokens; (0, 0) where none are."""
    first = tokens[position]
    if first.text in ("half", "1/2"):
        return 1, 1
    if first.kind == "number" and first.count * 2 == int(first.count * 2) and first.count != int(first.count):
        return int(first.count * 2), 1
    if is_number(tokens, position) and [text_at(tokens, position + ahead) for ahead in (1, 2)] == ["and", "a"]:
        return (int(first.count) * 2 + 1, 4) if text_at(tokens, position + 3) == "half" else (0, 0)
    return 0, 0


def _opens(tokens: list[Token], position: int) -> bool:
    """Whether a stretch starts here."""
    before = text_at(tokens, position - 1)
    return (
        not position or tokens[position - 1].kind == "mark" or before in ("and", "plus", "need", "send", "want", "also")
    )


def _drink_or_many(tokens: list[Token], position: int, words: Words) -> bool:
    """Whether a drink or several of a thing are named right behind: "case lemon lime", "bag zip ties"."""
    for token in tokens[position + 1 : position + 4]:
        if token.kind == "mark":
            return False
        usual = words.usual(token.text)[0]
        if token.text != usual and usual in words.family_words and token.text.endswith("s"):
            return True
        if frozenset((usual,)) in words.families and words.families[frozenset((usual,))][0] == "DRK-CASE":
            return True
    return False


def grouped(tokens: list[Token], position: int, words: Words) -> Found:
    """2 dozen, a couple of, a pair of, 3 boxes, a case, 2 off, 4 ea."""
    first = tokens[position]
    number = is_number(tokens, position)
    if number and is_number(tokens, position + 1) and text_at(tokens, position + 2) in ("pack", "packs", "pk"):
        return counted(tokens, position, 3, first.count, f"pack of {tokens[position + 1].count:g}")
    bare = _bare(tokens, position)
    if (
        not bare
        and not number
        and first.text in _BARE
        and _opens(tokens, position)
        and _drink_or_many(tokens, position, words)
    ):
        return counted(tokens, position, 1, 1, PACKED[first.text])
    if bare or not (number or first.text in ("a", "an", "pair", "pairs", "pr", "prs") or first.text in _TIMES):
        return bare
    count, at = (first.count, position + 1) if number else (1.0, position + (first.text in ("a", "an")))
    if text_at(tokens, at) == "more":
        at += 1
    name = text_at(tokens, at)
    taken = at - position + 1 + (text_at(tokens, at + 1) == "of")
    if name in _TIMES:
        return counted(tokens, position, taken, count * _TIMES[name])
    if name in PACKED:
        found = _packed(tokens, position, at, count)
        if found and not number and first.text == name:
            found[0].weak = True  # "receiver pair" says what it is sooner than how many
        return found
    if number and name.removesuffix("s") in _HELD_IN and _behind_a_thing(tokens, position, at):
        return counted(tokens, position, at + 1 - position, count, name.removesuffix("s"))
    if number and name in _EACH:
        each = name in ("ea", "each") and text_at(tokens, at + 1) == "of"
        return counted(tokens, position, taken, count, kind="each" if each else "quantity")
    return None


def _behind_a_thing(tokens: list[Token], position: int, at: int) -> bool:
    """Whether a count and what it counts end what is said of a thing: "12 oz lids 20 sleeves"."""
    ends = at + 1 == len(tokens) or tokens[at + 1].kind == "mark" or tokens[at + 1].text in ("and", "please", "pls")
    return ends and any(token.kind == "word" for token in tokens[max(0, position - 2) : position])


def _bare(tokens: list[Token], position: int) -> Found:
    """For "box of 100", "pr of clips": a pack with no count before it, at the start or round a figure."""
    name = tokens[position].text
    if name not in PACKED or name.endswith("s") or text_at(tokens, position + 1) != "of":
        return None
    if is_number(tokens, position + 2):
        return counted(tokens, position, 3, 1, f"{PACKED[name]} of {tokens[position + 2].count:g}")
    return None if position else counted(tokens, position, 2, 1, PACKED[name])


def _packed(tokens: list[Token], position: int, at: int, count: float) -> Found:
    """A count of packs: "2 boxes of 50", "2 sets"."""
    of = text_at(tokens, at + 1) == "of"
    if of and is_number(tokens, at + 2) and tokens[at + 2].count > 1 and text_at(tokens, at + 3) not in ("x", "off"):
        return counted(
            tokens, position, at + 3 - position, count, f"{PACKED[tokens[at].text]} of {tokens[at + 2].count:g}"
        )
    if names_a_thing(tokens, at):
        return None
    return counted(tokens, position, at - position + 1 + of, count, PACKED[tokens[at].text])


def names_a_thing(tokens: list[Token], at: int) -> bool:
    """A tray or a set of something is a part when it stands alone; a case with no drink behind it likewise."""
    name, after = tokens[at].text, text_at(tokens, at + 1)
    if name in ("tray", "trays"):
        return after != "of"
    return after in ("kit", "kits")
