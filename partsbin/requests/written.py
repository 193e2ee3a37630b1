"""Words run together or apart, as the catalogue writes them."""

from __future__ import annotations

from partsbin.requests.index import Index

_SHORTEST_PART = 3


def as_written(index: Index, said: list[str]) -> list[str]:
    """The words said, run together or parted as the catalogue has them: "o ring" an ORING, "doorswitch" two words.

    And by their initials: "quick release" is QR.
    """
    words: list[str] = []
    for word in _by_initials(index, said):
        joined = words[-1] + word if words else ""
        if joined.isalpha() and _stocked(index, joined) and not (_stocked(index, words[-1]) and _stocked(index, word)):
            words[-1] = joined
        else:
            words.extend(_parts(index, word))
    return words


_INITIALS = (4, 3, 2)


def _by_initials(index: Index, said: list[str]) -> list[str]:
    words: list[str] = []
    place = 0
    while place < len(said):
        runs = (said[place : place + width] for width in _INITIALS if place + width <= len(said))
        run = next((run for run in runs if _initialled(index, run)), said[place : place + 1])
        words.append("".join(word[0] for word in run) if len(run) > 1 else run[0])
        place += len(run)
    return words


def _initialled(index: Index, run: list[str]) -> bool:
    """Whether some item has the initials of words that no item has all of."""
    whole = all(len(word) > _SHORTEST_PART and word.isalpha() and word not in index.words.noise for word in run)
    initials = "".join(word[0] for word in run)
    words = index.words
    means = initials in words.values or initials in words.canon or initials in words.noise  # LH, PB, PC
    means = means or any(word in words.heard for word in run)  # a "power chord" is a cord
    return whole and not means and index.knows(initials) and not all(_stocked(index, word) for word in run)


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
