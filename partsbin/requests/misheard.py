"""Number words misspelt ("thre", "dozzen") or heard as others ("to off", "twenty for volt", "times ate")."""

from __future__ import annotations

import jellyfish

from partsbin.requests.countables import THINGS, is_count
from partsbin.requests.heard import NOT_AFTER_HEARD, SOUNDS_LIKE, opens, plural_ahead
from partsbin.requests.spoken import NUMBER_WORDS
from partsbin.requests.token import Known, Token, text_at
from partsbin.requests.units import UNITS
from partsbin.requests.words import Words, singular

_OF_WHICH = frozenset(("the", "them", "those", "these", "each", "both"))
_COUNTED = (*(word for word in NUMBER_WORDS if len(word) > 3), "hundred", "thousand", "dozen", "couple", "quantity")


def numbers_meant(tokens: list[Token], words: Words, known: Known | None) -> list[Token]:
    """The tokens with misspelt and misheard number words put right where they can be nothing else."""
    for position, token in enumerate(tokens):
        if token.kind != "word":
            continue
        if token.text == "em" and text_at(tokens, position + 2) in ("by", "x"):
            token.text = "m"  # "em four by ten"
        elif token.text in ("pare", "pear") and text_at(tokens, position + 1) == "of":
            token.text = "pair"
        elif token.text in SOUNDS_LIKE:
            token.text = SOUNDS_LIKE[token.text] if _counts(tokens, position, words) else token.text
        else:
            unit = text_at(tokens, position - 1) + token.text in UNITS  # "micro farad"
            token.text = (not unit and _misspelt(token.text, words, known)) or token.text
    return tokens


def _counts(tokens: list[Token], position: int, words: Words) -> bool:
    """Whether a word that sounds like a number stands where only a number can."""
    before, after = text_at(tokens, position - 1), text_at(tokens, position + 1)
    behind = text_at(tokens, position + 2)
    if after in ("off", "ea", "pcs") and behind != "the":
        return True
    if (after == "of" and behind in _OF_WHICH) or (after == "each" and opens(tokens, position)):
        return True
    if after in UNITS and len(after) > 2 and not _may_be_a_thing(tokens[position].text, after):
        return True
    if before in ("m", "em") and after in ("by", "x"):
        return True
    if before in ("times", "x", "ex", "quantity", "qty"):
        ends = not after or tokens[position + 1].kind == "mark"
        return ends or tokens[position].text != "for" or plural_ahead(tokens, position, words)
    if tokens[position].text not in ("to", "too", "for", "ate") and NUMBER_WORDS.get(after, 0) > 9:
        return True
    tens = NUMBER_WORDS.get(before, 0) >= 20
    return tens and after not in NOT_AFTER_HEARD and plural_ahead(tokens, position, words)


def _may_be_a_thing(said: str, unit: str) -> bool:
    """Whether a unit-like word may be a thing here: "for key switches" counts no keys, "ate way" can only be 8 way."""
    return unit in THINGS and (said in ("to", "too", "for") or is_count(f"8 {unit}"))


def _misspelt(word: str, words: Words, known: Known | None) -> str:
    """The number word an unknown word is a slip of: a letter left out, doubled or swapped, or the same by its sound."""
    if word.endswith(("ed", "ing")):  # "freed" is no forty
        return ""
    if len(word) < 4 or not word.isalpha() or word in NUMBER_WORDS or word in _COUNTED or word in UNITS:
        return ""
    if word in words.noise or word in words.values or word in words.heard or word in words.canon:
        return ""
    if word in words.phrase_words or singular(word) in words.known or (known is not None and known.word(word)):
        return ""
    return next((one for one in _COUNTED if one[0] == word[0] and _slip(word, one)), "")


def _slip(word: str, meant: str) -> bool:
    if sorted(word) == sorted(meant):
        return True
    longer, shorter = (word, meant) if len(word) > len(meant) else (meant, word)
    one_more = len(longer) - len(shorter) == 1 and not longer.endswith("s")
    if one_more and any(longer[:at] + longer[at + 1 :] == shorter for at in range(1, len(longer))):
        return True
    return len(word) > 4 and jellyfish.metaphone(word) == jellyfish.metaphone(meant)
