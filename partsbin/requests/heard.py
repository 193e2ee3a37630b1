"""Plurals, and dictated words that can only be numbers before one: "for coils", "to clips", "ate screws"."""

from __future__ import annotations

from partsbin.requests.packs import PACKED
from partsbin.requests.spoken import NUMBER_WORDS
from partsbin.requests.token import Found, Token, counted, is_number, text_at
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, singular

_ASKING = listed(
    """
    need needs want wants send get grab order please pls and also plus bring have require chuck
    """
)


_POLITE = ("please", "pls", "thanks", "mate")


# Words that dictation writes for a number.
SOUNDS_LIKE = {
    "to": "two", "too": "two", "tow": "two", "for": "four", "fore": "four", "ate": "eight", "won": "one",
    "tree": "three", "sicks": "six", "fife": "five", "nein": "nine",
}  # fmt: skip
_HEARD = {said: NUMBER_WORDS[meant] for said, meant in SOUNDS_LIKE.items()}


NOT_AFTER_HEARD = listed(
    """
    the a an my this that our his her van job machine site unit it them us me him you same one ones number
    """
)


def plural_ahead(tokens: list[Token], position: int, words: Words) -> bool:
    """Whether the thing named behind a position is a plural."""
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


def opens(tokens: list[Token], position: int) -> bool:
    """Whether a request may open here: at the start, behind a mark or a word of asking."""
    before = tokens[position - 1] if position else None
    if before is not None and before.text in ("me", "us"):
        return opens(tokens, position - 1)
    return before is None or before.kind in ("mark", "filler") or before.text in _ASKING


def heard(tokens: list[Token], position: int, words: Words) -> Found:
    """Dictated "for", "to", "won": a number where it opens a request and a plural follows close, or ends it."""
    text = tokens[position].text
    if text not in _HEARD or tokens[position].kind != "word":
        return None
    after = text_at(tokens, position + 1)
    last = all(token.text in _POLITE for token in tokens[position + 1 :])
    if position and last and tokens[position - 1].kind == "word":
        counted_before = any(token.kind in ("number", "quantity", "vague", "each") for token in tokens[:position])
        ends = _HEARD[text] > 1 and not counted_before and plural_head(tokens[position - 1].text, words)
        return counted(tokens, position, 1, _HEARD[text]) if ends else None
    if not opens(tokens, position) or after in NOT_AFTER_HEARD or (after == "lane" and is_number(tokens, position + 2)):
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
        several = plural_head(token.text, words) or (token.text in PACKED and token.text.endswith("s"))
        if _HEARD[text] != 1 and token.kind == "word" and several:
            return counted(tokens, position, 1, _HEARD[text])
        if _HEARD[text] == 1 and token.kind == "word" and words.usual(token.text)[0] in words.family_words:
            return counted(tokens, position, 1, 1)
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
