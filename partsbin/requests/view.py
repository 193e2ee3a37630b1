"""An item as the matcher sees it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from partsbin.requests.describe import LINKS, Description, Phrase
from partsbin.requests.measures import Value
from partsbin.requests.terms import Terms, split_usual
from partsbin.requests.types import CatalogueItem
from partsbin.requests.words import Words, split_words

# Values that mark a special sort: unasked, the ordinary one is meant.
MARKS = frozenset(
    (
        ("diet", "yes"),
        ("heated", "yes"),
        ("lanes", "dual"),
        ("plugend", "y"),
        ("plugend", "extension"),
        ("keyed", "alike"),
        ("condition", "refurbished"),
        ("sides", "universal"),
    )
)


@dataclass(frozen=True, slots=True)
class View:
    """An item's words, values, families and names, made ready for comparing."""

    item: CatalogueItem
    ordered: tuple[str, ...]
    words: frozenset[str]
    attributes: dict[str, set[Value]]
    figures: set[float]
    families: dict[str, float]
    fits: frozenset[str]
    aliases: tuple[frozenset[str], ...]
    learned: tuple[tuple[frozenset[str], int], ...]
    plain: frozenset[str]
    marks: frozenset[str]
    front: frozenset[str]
    noun: str
    named: frozenset[str]
    lacks: frozenset[str]
    shorthand: tuple[tuple[str, str], ...]


def look(terms: Terms, item: CatalogueItem) -> View:
    """The matcher's view of an item."""
    described = terms.describe(item)
    lacks = frozenset(after for word, after in pairwise(described.words) if word == "without")
    described.words = [word for word in described.words if word not in lacks]
    aliases = [frozenset(terms.linked(terms.describer.read(alias).words)) for alias in item.aliases]
    learned = [(frozenset(terms.linked(terms.describer.read(text).words)), times) for text, times in item.learned]
    words = frozenset(described.words).union(*aliases)
    named = frozenset(part for name in item.fits for part in split_words(name))
    return View(
        item,
        tuple(described.words),
        words if described.words else words.union(_kind_of(terms.words, item)),
        described.attributes,
        described.figures,
        terms.families(item, described.words),
        frozenset(item.fits),
        tuple(aliases),
        tuple(learned),
        frozenset(word for word in described.words if _says_nothing(terms.words, word)) | named,
        _marks(terms.words, described.words),
        frozenset(front(described.words)).union(*aliases),
        _noun(terms, item, described),
        frozenset(described.named or described.words) - _NO_NOUNS,
        lacks,
        tuple((raw, usual) for raw, usual in _shorthand(terms, described.raw) if usual in described.words),
    )


def _kind_of(words: Words, item: CatalogueItem) -> list[str]:
    """What an item with no word in its description is, by its category and kind."""
    return [one for one in split_usual(words, f"{item.category} {item.kind}") if one in words.family_words]


def inherit(old: View, heir: View) -> View:
    """An item something took the place of: what it does not say of itself is as in its successor."""
    return replace(old, attributes=heir.attributes | old.attributes, fits=old.fits or heir.fits)


def _shorthand(terms: Terms, raw: list[str | Phrase]) -> Iterator[tuple[str, str]]:
    """Words a catalogue may have cut short, each with the usual word it is listed under; trade words are whole."""
    words = terms.words
    for piece in raw:
        if not isinstance(piece, str) or not piece.isalpha() or piece in words.values:
            continue
        usual = words.usual(piece)
        trade = piece in words.known or piece in words.noise
        if len(piece) > 2 if piece in words.canon else not trade and terms.linked(usual) == list(usual):
            yield piece, usual[-1]


def _noun(terms: Terms, item: CatalogueItem, described: Description) -> str:
    """The word that says what an item is: the last before the first comma.

    Where there is no comma it is the last of a plain sentence ("Spare key 2201"), elsewhere the first of all.
    """
    sentence = item.description[:1].isupper() and not item.description.isupper()
    if "," not in item.description and not sentence:
        return next((word for word in described.words if word not in _NO_NOUNS), "")
    words = front(terms.linked(described.named) or described.words)
    telling = [word for word in words if not (word in _NO_NOUNS or _says_nothing(terms.words, word))]
    return next(reversed(telling or words), "")


# Words of a description that leave what the thing is to their neighbours.
_NO_NOUNS = frozenset(("assembly", "number", "type", "model", "size", "series", "s", "m", "l", "xl", "xxl"))


def front(ordered: list[str]) -> list[str]:
    """The words of a description before "for", "with" and the like: what the thing is, not what it belongs to."""
    return ordered[: next((place for place, word in enumerate(ordered) if place and word in LINKS), len(ordered))]


def _marks(words: Words, ordered: list[str]) -> frozenset[str]:
    """Words that make an item a special sort: a marked value, or what comes behind "with"."""
    marks = {word for word in ordered if words.values.get(word) in MARKS}
    for place, word in enumerate(ordered):
        if word in ("with", "w"):
            marks.update(one for one in ordered[place + 1 : place + 3] if one not in words.noise and one.isalpha())
    return frozenset(marks)


def _says_nothing(words: Words, word: str) -> bool:
    """Words of a description that need no asking for: values (compared as attributes), filler, figures."""
    return word in words.values or (word in words.noise and word not in words.family_words) or not word.isalpha()
