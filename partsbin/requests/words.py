"""The trade's words: abbreviations, synonyms, mishearings, values, family names and noise, as data."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from partsbin.errors import Refused
from partsbin.requests.wordlists import listed
from partsbin.resources import shipped

KINDS = ("abbreviation", "synonym", "homophone", "value", "family", "vague", "noise")
_SPLIT = re.compile(r"[^a-z0-9]+")
_PLURAL_STAYS = listed(
    """
    glass gas bus lens chassis brass harness press cross class this his its is was us yes plus less
    """
)


@dataclass(frozen=True, slots=True)
class TradeWord:
    """One row of the trade's words.

    ``kind`` says how ``means`` is read: the usual word for an abbreviation, synonym or homophone; ``hand=LH`` for a
    value; one or more family codes parted by ``|`` (the likeliest first) for a family; empty for vague and noise.
    """

    word: str
    means: str
    kind: str


def split_words(text: str) -> list[str]:
    """Lower-case words and figures of a text, in order."""
    return [word for word in _SPLIT.split(text.lower()) if word]


@lru_cache(maxsize=65536)
def singular(word: str) -> str:
    """The singular of a plain English plural; anything else comes back as it is."""
    if len(word) < 4 or word in _PLURAL_STAYS or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word in ("shelves", "halves", "knives", "leaves"):
        return word[:-3] + ("fe" if word == "knives" else "f")
    if word.endswith(("ches", "shes", "sses", "xes", "zes")):
        return word[:-2]
    return word[:-1]


class Words:
    """The trade's words made ready for look-up.

    ``canon`` turns a word into its usual word or words, ``phrases`` (by first word) does the same for several words
    at once, ``families`` maps sets of usual words to family codes.
    """

    def __init__(self) -> None:
        self.rows: list[TradeWord] = []
        self.canon: dict[str, tuple[str, ...]] = {}
        self.heard: dict[str, tuple[str, ...]] = {}
        self.values: dict[str, tuple[str, str]] = {}
        self.phrases: dict[str, list[tuple[tuple[str, ...], str, tuple[str, ...]]]] = {}
        self.families: dict[frozenset[str], tuple[str, ...]] = {}
        self.family_words: dict[str, list[frozenset[str]]] = {}
        self.family_names: dict[str, str] = {}
        self.phrase_words: set[str] = set()
        self.phrase_starts: set[str] = set()
        self.noise: set[str] = set()
        self.vague: set[str] = set()
        self.known: set[str] = set()

    @classmethod
    def load(cls, rows: Iterable[TradeWord | Mapping[str, str]]) -> Words:
        """Make words from rows (TradeWord, or mappings with word, means, kind). Raises Refused for an unknown kind."""
        words = cls()
        words.rows = [row if isinstance(row, TradeWord) else _row(row) for row in rows]
        ordered = sorted(words.rows, key=lambda row: KINDS.index(row.kind))
        for row in ordered:
            if row.kind != "family":
                words._add(row)
        words.canon = {word: words._resolve(word) for word in words.canon}
        for row in ordered:
            if row.kind == "family":
                words._add(row)
        words._finish()
        return words

    @classmethod
    def shipped(cls) -> Words:
        """The words that ship with the program."""
        return _shipped()

    def usual(self, word: str) -> tuple[str, ...]:
        """The usual words for one lower-case word: abbreviations and synonyms opened, plural made singular."""
        found = self.canon.get(word)
        if found is None:
            single = singular(word)
            found = self.canon.get(single, (single,))
        return found

    def hear(self, said: list[str]) -> list[str]:
        """Spoken words with mishearings put right: where nothing else makes sense, or where the neighbours say so.

        "power really" is a power relay because those two words name a thing; "really need" stays as it is.
        """
        out = list(said)
        for place, word in enumerate(said):
            heard = self.heard.get(word) or self.heard.get(singular(word))
            if heard and any(one in self.family_words for one in heard) and self._sounds_like(out, place, heard):
                out[place] = " ".join(heard)
        return out

    def _sounds_like(self, said: list[str], place: int, heard: tuple[str, ...]) -> bool:
        word = said[place]
        usual = self.usual(word)
        if word not in self.noise and not any(one in self.family_words for one in usual):
            return True
        around = {one for near in (place - 1, place + 1) if 0 <= near < len(said) for one in self.usual(said[near])}
        here = set(usual)
        for one in heard:
            for pattern in self.family_words.get(one, ()):
                if len(pattern) > 1 and pattern - {one} <= around and ((pattern - {one}) | here) not in self.families:
                    return True
        return False

    def _add(self, row: TradeWord) -> None:
        parts = tuple(split_words(row.word))
        if not parts:
            return
        if row.kind == "family":
            self._add_family(parts, tuple(code for code in row.means.split("|") if code))
            return
        if row.kind in ("abbreviation", "synonym", "homophone"):
            self._add_meaning(parts, row)
        elif row.kind == "value":
            kind, _, value = row.means.partition("=")
            self._add_form(parts, "value", (kind, value))
        elif len(parts) > 1:
            self._add_form(parts, "noise", ())
        else:
            (self.noise if row.kind == "noise" else self.vague).add(parts[0])

    def _add_meaning(self, parts: tuple[str, ...], row: TradeWord) -> None:
        means = tuple(split_words(row.means))
        self.known.update(means)
        if len(parts) > 1:
            self._add_form(parts, "word", means)
        elif row.kind == "homophone":
            self.heard.setdefault(parts[0], means)
        else:
            self.canon.setdefault(parts[0], means)

    def _add_form(self, parts: tuple[str, ...], kind: str, means: tuple[str, ...]) -> None:
        """Register a phrase, and its words run together."""
        if len(parts) > 1:
            self.phrases.setdefault(parts[0], []).append((parts, kind, means))
            if kind == "value":
                self.phrase_words.update(parts)
        joined = "".join(parts)
        self.known.update(part for part in parts if kind == "value")
        if kind == "value":
            self.values.setdefault(joined, (means[0], means[1]))
        elif kind == "word" and len(parts) > 1 and len(joined) > 3:
            self.canon.setdefault(joined, means)

    def _add_family(self, parts: tuple[str, ...], codes: tuple[str, ...]) -> None:
        bag = frozenset(word for part in parts for word in self.usual(part))
        self.known.update(bag)
        have = self.families.get(bag, ())
        self.families[bag] = (*have, *(code for code in codes if code not in have))
        self.family_names.setdefault(codes[0], " ".join(parts))
        for word in bag:
            self.family_words.setdefault(word, []).append(bag)

    def _resolve(self, word: str, depth: int = 0) -> tuple[str, ...]:
        """Follow abbreviation to synonym to usual word; depth-bound, so a circle in the data stops."""
        means = self.canon.get(word) or self.canon.get(singular(word))
        if not means or depth > 3 or means == (word,):
            return means or (singular(word),)
        return tuple(last for part in means for last in self._resolve(part, depth + 1))

    def _finish(self) -> None:
        for row in self.rows:  # LWR says “bottom” as surely as the “lower” it is short for
            if row.kind == "abbreviation" and (value := self.values.get(row.means.lower())):
                self.values.setdefault(row.word.lower(), value)
        self.phrase_starts = {word for word in self.family_words if len(word) > 4}
        self.known.update(self.canon)
        for forms in self.phrases.values():
            forms.sort(key=lambda form: -len(form[0]))
        for word, patterns in self.family_words.items():
            self.family_words[word] = sorted(set(patterns), key=lambda bag: (-len(bag), sorted(bag)))


def _row(row: Mapping[str, str]) -> TradeWord:
    kind = (row.get("kind") or "").strip().lower()
    if kind not in KINDS:
        message = f"trade word {row.get('word')!r} has kind {kind!r}; use one of {', '.join(KINDS)}"
        raise Refused(message)
    return TradeWord((row.get("word") or "").strip(), (row.get("means") or "").strip(), kind)


@lru_cache(maxsize=1)
def _shipped() -> Words:
    with (shipped("seed") / "words.csv").open(encoding="utf-8", newline="") as handle:
        return Words.load(csv.DictReader(handle))
