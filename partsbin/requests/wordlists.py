"""Short closed lists of plain words."""

from __future__ import annotations


def listed(words: str) -> frozenset[str]:
    """The words of a text parted by blanks."""
    return frozenset(words.split())
