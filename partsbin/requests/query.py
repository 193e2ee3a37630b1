"""A line made ready to be matched: each word with what it may stand for, families, attributes, machines, numbers."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import takewhile

from partsbin.requests.describe import LINKS, families
from partsbin.requests.index import Alternatives, Index
from partsbin.requests.meaning import likely, settle
from partsbin.requests.measures import Value, agreement
from partsbin.requests.numbers import Hit
from partsbin.requests.segment import usual_of
from partsbin.requests.terms import NUMBER_PART, attribute_term
from partsbin.requests.types import AskedLine, Attribute
from partsbin.requests.wordlists import listed
from partsbin.requests.written import as_written

# Inside these families every name is another thing: lemonade is no cola.
_TOLD_BY_FLAVOUR = frozenset(("DRK-CASE", "CON-SUP"))
# What one short word says of either: mil, w, t; "20 way" of a ribbon is its 20W.
TWINS = {"mm": "ml", "watts": "ways", "ways": "watts", "teeth": "tubes"}
BY_NAME = "its name here"
_SAYS_LITTLE = LINKS | listed("the and not all any one out off you can has had was our its per old new")
# How sizes of gloves and vests stand in a catalogue.
WORN = {"small": "s", "medium": "m", "large": "l", "xlarge": "xl"}
NUMERIC = (
    "volts",
    "mm",
    "amps",
    "watts",
    "count",
    "ways",
    "lane_count",
    "tubes",
    "ml",
    "pack",
    "hertz",
    "kelvin",
    "teeth",
)


@dataclass(slots=True)
class AskedWord:
    """A word as said with the usual words it may mean; ``noise`` words may help but are not missed.

    Noise ``wakes`` where it tells stocked items apart; ``stocked`` is what some item is described by.
    """

    said: str
    alternatives: Alternatives
    weight: float
    noise: bool = False
    wakes: bool = False
    known: bool = True
    stocked: bool = True
    read_as: str = ""


@dataclass(slots=True)
class Query:
    """What a line asks of the index."""

    line: AskedLine
    words: list[AskedWord] = field(default_factory=list)
    ordered: list[str] = field(default_factory=list)
    families: dict[str, float] = field(default_factory=dict)
    family_words: frozenset[str] = frozenset()
    names: dict[str, set[str]] = field(default_factory=dict)
    attributes: tuple[Attribute, ...] = ()
    figures: tuple[float, ...] = ()
    machines: frozenset[str] = frozenset()
    hits: dict[int, Hit] = field(default_factory=dict)
    unwanted: tuple[str, ...] = ()
    strange_codes: int = 0
    telling: set[str] = field(default_factory=set)
    asked: frozenset[str] = frozenset()
    said: frozenset[str] = frozenset()
    noun: frozenset[str] = frozenset()

    def unknown(self, opened: set[str]) -> float:
        """Share of the naming words that mean nothing to the trade or the catalogue, but for those ``opened``."""
        counted = [word for word in self.words if not word.noise]
        strange = sum(not (word.known or word.said in opened) for word in counted)
        return strange / len(counted) if counted else 0.0


def prepare(index: Index, line: AskedLine, machine: str = "") -> Query:
    """Read a line against an index."""
    query = Query(line, attributes=line.attributes, figures=line.numbers)
    said_words = as_written(index, _designations(index, query, _wanted(index, query)))
    _drop_spelt_out(index, query, said_words)
    settled = settle(said_words, index)
    for said, heard in zip(said_words, index.words.hear(said_words), strict=True):
        _word(index, query, said, heard, settled.get(said, ""))
    query.families = families(index.words, query.ordered) if query.ordered else {}
    _names(index, query)
    query.asked = query.family_words.union(term for word in query.words for term, _ in word.alternatives)
    query.said = frozenset(word.said for word in query.words)
    query.noun = _noun(query, said_words)
    said_machine = line.machine or machine
    if said_machine:
        query.machines = index.machines.resolve(said_machine)
    _numbers(index, query)
    return query


def _drop_spelt_out(index: Index, query: Query, said: list[str]) -> None:
    """Drop the values of words that stand for something else: "quick" in "quick release", which is QR here."""
    gone = {index.words.values.get(word) for word in query.line.words if word not in said}
    query.attributes = tuple(one for one in query.attributes if (one.kind, one.value) not in gone)


_DESIGNATION = re.compile(r"([a-z]{2,})(\d+)")


def _wanted(index: Index, query: Query) -> list[str]:
    """The words of what is asked for; "not the tall", "without brake", "no stacker" tell what is not meant."""
    words = list(query.line.words)
    place = next(
        (place for place, word in enumerate(words[:-1]) if word in ("not", "without") or (place and word == "no")),
        len(words),
    )
    behind = [word for word in words[place + 1 :] if word not in ("the", "a", "an")]
    query.unwanted = (*query.line.excluded, *usual_of(index.words, *behind[:1]))
    return words[:place] + behind[1:] if place else words


def _designations(index: Index, query: Query, said: list[str]) -> list[str]:
    """The words said; "fs4" is FS and a 4 where the catalogue parts them."""
    words: list[str] = []
    for word in said:
        parted = _DESIGNATION.fullmatch(word)
        if parted and index.knows(parted[1]) and not index.knows(word):
            words.append(parted[1])
            query.figures = (*query.figures, float(parted[2]))
        else:
            words.append(word)
    return words


def _noun(query: Query, said: list[str]) -> frozenset[str]:
    """What the last telling word before "for", "on" and the like may mean: speech names the thing last."""
    front = set(takewhile(lambda word: word not in LINKS, said))
    last = next((word for word in reversed(query.words) if word.said in front and not word.noise), None)
    return frozenset(term for term, _ in last.alternatives) if last else frozenset()


def _names(index: Index, query: Query) -> None:
    """The asked words by the families they name: these stand for one another inside a family."""
    bag = set(query.ordered)
    patterns = {pattern for word in bag for pattern in index.words.family_words.get(word, ()) if pattern <= bag}
    for pattern in patterns:
        for code in index.words.families[pattern]:
            if code in query.families and code not in _TOLD_BY_FLAVOUR:
                query.names.setdefault(code, set()).update(pattern)
    query.family_words = frozenset(word for words in query.names.values() for word in words)


def _word(index: Index, query: Query, said: str, heard: str, settled: str) -> None:
    words = index.words
    if heard != said:
        _heard(index, query, said, heard)
        return
    noise = said in words.noise or said in words.vague or said in words.values
    usual = words.usual(said)
    if noise and usual[0] not in words.family_words:
        query.ordered.append(said)
        meant = next((one for one in (usual[0], WORN.get(said, "")) if index.knows(one)), "")
        if meant:
            query.words.append(AskedWord(said, [(meant, 1.0)], 0.3, noise=True, wakes=_may_wake(index, said)))
        return
    if len(usual) > 1 or said in words.canon or usual[0] in words.known or index.knows(usual[0]):
        opened = _opened(index, said, usual)
        for one in usual:
            alternatives = [(one, 1.0), *opened]
            if said in words.heard and one not in words.family_words:
                alternatives.extend((heard, 0.85) for heard in words.heard[said])
            query.words.append(_asked(index, said, alternatives, noise=noise))
            query.words[-1].wakes = noise and _may_wake(index, said)
        usual = (opened[0][0],) if opened else usual
        query.ordered.extend(_best_family_word(index, usual, words.heard.get(said, ())))
        return
    _guessed(index, query, said, settled, noise=noise)


def _guessed(index: Index, query: Query, said: str, settled: str, *, noise: bool) -> None:
    """A word nobody knows: what it sounds or looks like, what was settled for it before first."""
    words = index.words
    usual = words.usual(said)
    guesses = [(heard, 0.9) for heard in words.heard.get(said, ())]
    guesses += [(one, weight) for guess, weight in likely(said, index) for one in words.usual(guess)]
    if settled:
        guesses = [(one, 0.9) for one in words.usual(settled)][:1] + [
            guess for guess in guesses if guess[0] not in words.usual(settled)
        ]
    word = _asked(index, said, guesses or [(usual[0], 1.0)], noise=noise)
    word.known = bool(guesses)
    word.read_as = guesses[0][0] if guesses else ""
    query.words.append(word)
    query.ordered.append(
        guesses[0][0]
        if settled
        else next(
            (guess for guess, _ in guesses if guess in words.family_words), guesses[0][0] if guesses else usual[0]
        )
    )


def _may_wake(index: Index, said: str) -> bool:
    """Whether a filler word may say which item is meant; values are compared as such."""
    return (len(said) > 2 or said in ("hi", "lo")) and said not in index.words.values and said not in _SAYS_LITTLE


def _opened(index: Index, said: str, usual: tuple[str, ...]) -> Alternatives:
    """For an abbreviation whose usual meaning is not stocked here: what else it is cut from (CONV: a conveyor)."""
    if said not in index.words.canon or any(index.knows(one) for one in usual):
        return []
    here = [(guess, weight) for guess, weight in index.speller.opened(said) if index.knows(guess)]
    return sorted(here, key=lambda pair: -pair[1])


def _heard(index: Index, query: Query, said: str, heard: str) -> None:
    """A word put right by its neighbours: what was heard for counts, what was said still may."""
    for one in (usual for part in heard.split() for usual in index.words.usual(part)):
        word = _asked(index, said, [(one, 0.95), (index.words.usual(said)[0], 0.9)], noise=False)
        word.read_as = one
        query.words.append(word)
        query.ordered.append(one)


def _best_family_word(index: Index, usual: tuple[str, ...], heard: tuple[str, ...]) -> tuple[str, ...]:
    """The words to look for families with: a mishearing gives way to what it was heard for."""
    known = index.words.family_words
    if heard and not any(one in known for one in usual) and any(one in known for one in heard):
        return heard
    return usual


def _asked(index: Index, said: str, alternatives: Alternatives, *, noise: bool) -> AskedWord:
    stocked = [index.rarity(term) for term, _ in alternatives if index.knows(term)]
    weight = 0.3 if noise else max(stocked, default=1.0)
    return AskedWord(said, alternatives, weight, noise=noise, stocked=bool(stocked))


def _numbers(index: Index, query: Query) -> None:
    for code in query.line.codes:
        named = index.names.find(code)
        hit = (
            Hit(named, BY_NAME)
            if named
            else index.numbers.find(code) or index.numbers.starting(code) or index.numbers.near(code)
        )
        if hit is None:
            query.strange_codes += 1
            continue
        for item_id in hit.item_ids:
            query.hits[item_id] = hit


def groups(index: Index, query: Query) -> list[tuple[Alternatives, float]]:
    """The query as groups of index terms, for the first rough search."""
    found = [(word.alternatives, word.weight) for word in query.words]
    if query.families:
        found.append(([("+" + code, share) for code, share in query.families.items()], 1.5))
    found.extend((_attribute_terms(index, one.kind, one.value), 1.0) for one in query.attributes)
    for number in query.figures:
        terms = [(f"={number:g}", 1.0)] + [(attribute_term(kind, number), 1.0) for kind in NUMERIC]
        found.append((terms, 0.8))
    if query.machines:
        found.append(([("@" + name, 1.0) for name in query.machines], 1.0))
    found.extend(([(NUMBER_PART + code.upper(), 1.0)], 1.0) for code in query.line.codes)
    return found


def _attribute_terms(index: Index, kind: str, value: Value) -> Alternatives:
    if isinstance(value, str):
        return [(attribute_term(kind, value), 1.0)]
    near = [(has, agreement(kind, value, has)) for has in index.values(kind)]
    twin = [(attribute_term(TWINS[kind], value), 0.9)] if kind in TWINS else []
    return [(attribute_term(kind, has), share) for has, share in near if share > 0] + [(f"={value:g}", 0.7), *twin]
