"""Letters said aloud: "vee eff dee" is VFD, "see are" before a figure CR, "tea twelve" T12."""

from __future__ import annotations

from partsbin.requests.token import Known, Token
from partsbin.requests.words import Words

_NAMES = {
    "ay": "a", "bee": "b", "be": "b", "see": "c", "sea": "c", "cee": "c", "dee": "d", "ee": "e", "eff": "f", "gee": "g",
    "aitch": "h", "eye": "i", "jay": "j", "kay": "k", "ell": "l", "el": "l", "em": "m", "en": "n", "oh": "o",
    "pee": "p", "pea": "p", "queue": "q", "cue": "q", "are": "r", "ar": "r", "ess": "s", "tee": "t", "tea": "t",
    "you": "u", "vee": "v", "ex": "x", "why": "y", "zed": "z", "zee": "z",
}  # fmt: skip


def letter(token: Token) -> str:
    """The letter a word is or sounds like; empty for any other word."""
    if token.kind not in ("word", "attribute"):
        return ""
    return token.text if len(token.text) == 1 and token.text.isalpha() else _NAMES.get(token.text, "")


def initials(tokens: list[Token], words: Words, known: Known) -> list[Token]:
    """Two and more letters said one by one become the word they spell, where the trade or the catalogue has it."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        run = 0
        while position + run < len(tokens) and letter(tokens[position + run]):
            run += 1
        joined = "".join(letter(token) for token in tokens[position : position + run])
        if run > 1 and (known.word(joined) or joined in words.canon):
            out.append(Token(joined, tokens[position].start, tokens[position + run - 1].end))
            position += run
        else:
            out.extend(tokens[position : position + max(run, 1)])
            position += max(run, 1)
    return out
