"""Words run together or apart, as the catalogue writes them."""

from __future__ import annotations

from partsbin.requests.index import Index

_SHORTEST_PART = 3


def as_written(index: Index, said: list[str]) -> list[str]:
    """The words said, run together or parted as the catalogue has them: "o ring" an ORING, "doorswitch" two words."""
    words: list[str] = []
    for word in said:
        joined = words[-1] + word if words else ""
        if joined.isalpha() and _stocked(index, joined) and not (_stocked(index, words[-1]) and _stocked(index, word)):
            words[-1] = joined
        else:
            words.extend(_parts(index, word))
    return words


def _stocked(index: Index, word: str) -> bool:
    return all(map(index.knows, index.words.usual(word)))


def _parts(index: Index, word: str) -> list[str]:
    """The two words of some item that a word nobody knows is run together from; else the word."""
    if not word.isalpha() or _stocked(index, word) or word in index.words.canon or word in index.words.noise:
        return [word]
    for cut in range(_SHORTEST_PART, len(word) - _SHORTEST_PART + 1):
        front, back = word[:cut], word[cut:]
        both = [*index.words.usual(front), *index.words.usual(back)]
        if front not in index.words.noise and back not in index.words.noise and index.shared(both):
            return [front, back]
    return [word]
