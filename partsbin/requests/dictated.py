"""Numbers read aloud and written down word for word: "see are twenty thirty two", "four four one oh dash three"."""

from __future__ import annotations

import re
from collections.abc import Iterator

from partsbin.requests.heard import SOUNDS_LIKE
from partsbin.requests.spoken import NUMBER_WORDS

_LETTERS = {
    "a": "ay alpha alfa", "b": "bee be bravo", "c": "see sea cee charlie", "d": "dee delta", "e": "echo",
    "f": "eff foxtrot", "g": "gee golf", "h": "aitch haitch hotel", "i": "eye india", "j": "jay juliet juliett",
    "k": "kay okay kilo", "l": "el ell lima", "m": "em mike", "n": "en november", "o": "oscar", "p": "pee pea papa",
    "q": "queue cue quebec", "r": "are ar romeo", "s": "ess es sierra", "t": "tee tea tango", "u": "you uniform",
    "v": "vee victor", "w": "whiskey whisky", "x": "ex xray", "y": "why yankee", "z": "zed zee zulu",
}  # fmt: skip
_SIGNS = {"dash": "-", "hyphen": "-", "minus": "-", "slash": "/", "stroke": "/", "point": ".", "dot": ".", "space": " "}
_SAID = (
    {said: letter for letter, sounds in _LETTERS.items() for said in sounds.split()}
    | {word: str(value) for word, value in NUMBER_WORDS.items()}
    | {"hundred": "00", "thousand": "000"}
    | _SIGNS
    | {said: str(NUMBER_WORDS[meant]) for said, meant in SOUNDS_LIKE.items()}
    | {"nought": "0", "nil": "0", "niner": "9"}
)
_AS_WRITTEN = re.compile(r"[a-z]{1,2}|[a-z]{0,3}\d[\w./-]*", re.IGNORECASE)
_AGAIN = {"double": 2, "treble": 3, "triple": 3}
_LONGEST = 16


def read_aloud(chunks: list[str]) -> Iterator[tuple[str, int]]:
    """What the first chunks come to as a number read aloud, the longest run first, and how many chunks it takes.

    Only runs with a figure or letter said as a word, and three figures at least, or two and a sign between.
    """
    pieces: list[str] = []
    said = 0
    runs: list[tuple[str, int]] = []
    for taken, chunk in enumerate(chunks[:_LONGEST], 1):
        word = chunk.lower().rstrip(",.;:!?")
        before = chunks[taken - 2].lower() if taken > 1 else ""
        piece = _SAID.get(word, "") or (word if word in _AGAIN or _AS_WRITTEN.fullmatch(word) else "")
        if not piece:
            break
        said += word in _SAID
        if before in _AGAIN:
            pieces[-1] = piece * _AGAIN[before]
        elif len(piece) == 1 and piece.isdigit() and piece != "0" and NUMBER_WORDS.get(before, 0) >= 20:
            pieces[-1] = pieces[-1][:-1] + piece  # thirty two
        else:
            pieces.append(piece)
        number = "".join(pieces)
        figures = sum(sign.isdigit() for sign in number) + any(one in pieces for one in _SIGNS.values())
        if said and word not in _AGAIN and figures > 2:
            runs.append((number, taken))
        if chunk[-1] in ",;:!?":
            break
    return reversed(runs)
