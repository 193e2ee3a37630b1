"""Names a depot has for single items that say nothing of the trade: "old faithful", "the big one"."""

from __future__ import annotations

from collections.abc import Iterable

from partsbin.requests.describe import families
from partsbin.requests.words import Words, singular, split_words

LONGEST = 5
Name = tuple[str, ...]


class Names:
    """Aliases whose words name no part: they are taken whole, like a number, or not at all."""

    def __init__(self, words: Words) -> None:
        self._words = words
        self.items: dict[Name, tuple[int, ...]] = {}

    def __bool__(self) -> bool:
        return bool(self.items)

    def add(self, item_id: int, texts: Iterable[str]) -> None:
        """Learn an item's names."""
        for text in texts:
            name = tuple(split_words(text))
            have = self.items.get(name, ())
            if item_id not in have and self._is_name(name):
                self.items[name] = (*have, item_id)

    def remove(self, item_id: int, texts: Iterable[str]) -> None:
        """Forget an item's names."""
        for text in texts:
            name = tuple(split_words(text))
            left = tuple(one for one in self.items.get(name, ()) if one != item_id)
            if left:
                self.items[name] = left
            else:
                self.items.pop(name, None)

    def find(self, text: str) -> tuple[int, ...]:
        """The items of this name."""
        return self.items.get(tuple(split_words(text)), ()) if self.items else ()

    def _is_name(self, name: Name) -> bool:
        words = self._words
        if not name or len(name) > LONGEST or all(part.isdigit() for part in name):
            return False
        if len(name) == 1 and (len(name[0]) < 3 or self.common(singular(name[0]))):
            return False
        return not families(words, [usual for part in name for usual in words.usual(part)])

    def common(self, word: str) -> bool:
        """Whether a word says something in many requests."""
        words = self._words
        return word in words.noise or word in words.known or word in words.values or word in words.vague
