"""What the catalogue calls things: whether words, values and figures name a thing, a kind of one, or nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from itertools import dropwhile, takewhile
from math import isclose

from partsbin.requests.base_units import is_run, may_be_run
from partsbin.requests.describe import EXTRAS, LINKS
from partsbin.requests.drafts import IGNORED
from partsbin.requests.index import Index
from partsbin.requests.looking import Looker
from partsbin.requests.query import WORN
from partsbin.requests.segment import ARTICLES, Segment
from partsbin.requests.spelling import abbreviates
from partsbin.requests.terms import attribute_term
from partsbin.requests.token import Token
from partsbin.requests.view import front as view_front
from partsbin.requests.wordlists import listed
from partsbin.requests.words import singular, split_words

_LITTLE = LINKS | EXTRAS | listed("a an the and or no not as at one ones it them each both all please need also")
_INCH = 25.4  # mm
_LITRE = 1000.0  # ml
_MOST_VIEWED = 100
_ENOUGH = 40  # items to see what a word is to them


class Called:
    """Asks a catalogue what tokens name, spelt and heard as one looker does."""

    def __init__(self, looker: Looker, index: Index) -> None:
        self._looker = looker
        self._index = index

    def is_said(self, segment: Segment) -> bool:
        """Whether a stretch is meant as a thing: counted, with an article, or without a word besides."""
        named = [token for token in front(uncounted(segment)) if token.kind == "word"]
        own = [token.text for token in named]
        each = segment.each and (segment.tokens[0] is segment.each or any(singular(word) != word for word in own))
        behind = dropwhile(lambda token: not self.tells(token), named)  # what asks stands before it: "order me aprons"
        besides = [one for one in behind if one.text in self._looker.words.noise and not self.tells(one)]
        return bool(segment.quantity or each or not set(ARTICLES).isdisjoint(own)) or not besides

    def speaks_of_thing(self, segment: Segment) -> bool:
        """Whether a stretch of a story names an item, whatever is told of it: "the spout brush has gone limp"."""
        noise = self._looker.words.noise
        named = front(dropwhile(lambda token: token.text in noise, uncounted(segment)))
        own = [token for token in named if token.kind != "word" or (self.tells(token) and token.text not in noise)]
        return not segment.head and self.is_thing(own) and bool(self.places(own))

    def tells(self, token: Token) -> bool:
        """Whether a word stands in the catalogue and is not merely a link."""
        if token.kind != "word" or token.text in _LITTLE:
            return False
        return all(map(self._index.knows, self._terms([token.text])))

    def telling(self, tokens: Iterable[Token]) -> list[Token]:
        """The words that tell what is meant."""
        return [token for token in tokens if self.tells(token)]

    def strange(self, tokens: Iterable[Token]) -> bool:
        """Whether a word says something that the catalogue does not know."""
        noise = self._looker.words.noise | _LITTLE
        return any(token.kind == "word" and token.text not in noise and not self.tells(token) for token in tokens)

    def places(self, tokens: list[Token]) -> set[int]:
        """Places of the live items that have all these words, values and figures; none where a word is strange."""
        named = front(tokens)
        said = [token.text for token in self.telling(named)]
        if not said or self.strange(named):
            return set()
        facts = [fact for token in tokens for fact in token.facts if fact[0] not in IGNORED]
        figures = [float(value) for token in named for kind, value in token.facts if kind == "figure"]
        words = self._terms(said)
        places = self._index.some([*words, *(attribute_term(*fact) for fact in facts)], _MOST_VIEWED)
        if not places and (runs := [value for kind, value in facts if kind == "mm" and may_be_run(value)]):
            terms = [*words, *(attribute_term(kind, value) for kind, value in facts if value not in runs)]
            some = self._index.some(terms, _MOST_VIEWED)
            places = [place for place in some if all(is_run(value, self._index.at(place)) for value in runs)]
        return {place for place in places if self._live(place) and self._has(place, figures)}

    def spelt_out(self, tokens: list[Token]) -> bool:
        """Whether these are all the words some item is called by, but for values."""
        said = set(self._terms([token.text for token in self.telling(tokens)]))
        views = [self._index.view(place) for place in sorted(self.places(tokens))[:_ENOUGH]]
        return any(view.words - view.plain <= said for view in views)

    def names(self, tokens: list[Token]) -> bool:
        """Whether some item is called by all this, and what it is was said."""
        telling = [token.text for token in self.telling(front(tokens))]
        little = self._looker.words.noise
        places = self.places(tokens)
        if not places or (not little.issuperset(telling) and self.is_thing(tokens)):
            return bool(places)
        said = self._terms(telling)
        return any(self._index.view(place).noun in said for place in sorted(places)[:_ENOUGH])

    def picks(self, tokens: list[Token]) -> bool:
        """Whether words that do not say what it is are those of one item alone: "a malted"."""
        telling = {token.text for token in self.telling(front(tokens))} - self._looker.words.noise
        return bool(telling) and len(self.places(tokens)) == 1

    def is_thing(self, tokens: Iterable[Token]) -> bool:
        """Whether the last telling word is a thing by itself: a plural, or what some item is called, or all end in."""
        telling = self.telling(front(tokens))
        if not telling:
            return False
        return self.is_noun(telling[-1].text) or self._ends_items(telling[-1].text)

    def is_noun(self, word: str, count: float = 1) -> bool:
        """Whether a word is a plural, or what the catalogue calls some item; a singular behind several is neither."""
        if singular(word) != word:
            return True
        if count > 1:
            return False  # "40 spring and 40 plain washers"
        term = self._terms([word])[-1]
        places = self._index.some([term], _ENOUGH)
        return any(self._index.view(place).noun == term for place in places)

    def _ends_items(self, word: str) -> bool:
        term = self._terms([word])[-1]
        places = self._index.some([term], _ENOUGH)
        return bool(places) and all(self._ends_in(place, term) for place in places)

    def _ends_in(self, place: int, noun: str) -> bool:
        """Whether a description without commas says its noun last, as speech does: "Lamp starter"."""
        view = self._index.view(place)
        return "," not in view.item.description and view_front(list(view.ordered))[-1:] == [noun]

    def apart(self, tokens: list[Token]) -> list[Token]:
        """What each of the two live items with these words says and the other does not; none where there are more."""
        views = [self._index.view(place) for place in sorted(self.places(tokens))]
        if len(views) != 2:
            return []
        ways = (views, views[::-1])
        for kind in views[0].attributes.keys() & views[1].attributes.keys():
            values = [mine.attributes[kind] - rival.attributes[kind] for mine, rival in ways]
            if all(values):
                return [Token("", 0, 0, "attribute", facts=((kind, next(iter(own))),)) for own in values]
        words = [[word for word in mine.ordered if word not in rival.words and word.isalpha()] for mine, rival in ways]
        return [Token(own[0], 0, 0) for own in words] if all(words) else []

    def come_together(self, thing: list[Token], extra: list[Token]) -> bool:
        """Whether some item is the thing with the extra: "cam lock with two keys", or called by both."""
        terms = self._terms([token.text for token in self.telling(front(thing))])
        named = self.telling(front(extra))
        noun = singular(named[-1].text) if named else ""
        places = self._index.some(terms, _MOST_VIEWED)
        if any(_has_beside(self._index.at(place).description, noun) for place in places):
            return True
        extras = self._terms([token.text for token in named])
        both = self._index.some([*terms, *extras], _ENOUGH) if terms and extras else ()
        alone = self.spelt_out(thing)  # "CARD TERMINAL" beside "CARD TERMINAL BRACKET"
        return any(self._in_order(place, terms[-1], extras[-1], alone=alone) for place in both)

    def _in_order(self, place: int, thing: str, extra: str, *, alone: bool) -> bool:
        """Whether an item is the thing and says the extra behind it: "Telemetry unit, outside aerial", BOLT PIN Q7."""
        view = self._index.view(place)
        order = [word for word in view.ordered if word in (thing, extra)]
        noun_first = "," in view.item.description or (view.item.description.isupper() and not alone)
        return noun_first and order[:1] == [thing] and view.noun != extra

    def measures(self, thing: list[Token], extra: list[Token]) -> bool:
        """Whether some item called so states the extra's values itself: "aerial with 3 m lead"."""
        facts = [fact for token in extra for fact in token.facts]
        named = self._terms([token.text for token in self.telling(front(thing))])
        return bool(facts) and self._index.shared([*named, *(attribute_term(kind, value) for kind, value in facts)])

    def _terms(self, said: list[str]) -> list[str]:
        terms = self._index.terms.linked(self._looker.usual(said))
        return [WORN[term] if term in WORN and not self._index.knows(term) else term for term in terms]

    def _live(self, place: int) -> bool:
        item = self._index.at(place)
        return item.superseded_by is None and not item.retired

    def _has(self, place: int, figures: list[float]) -> bool:
        if not figures:
            return True
        view = self._index.view(place)
        sizes = [value for values in view.attributes.values() for value in values if isinstance(value, float)]
        sizes += [value / _INCH for value in view.attributes.get("mm", ()) if isinstance(value, float)]
        sizes += [value / _LITRE for value in view.attributes.get("ml", ()) if isinstance(value, float)]
        return all(any(isclose(figure, size, rel_tol=0.005) for size in (*sizes, *view.figures)) for figure in figures)


_BESIDE = re.compile(r"(?:\bwith\b|\bw/|\bincl|\band\b|&|\+)(.*)", re.IGNORECASE)


def _has_beside(description: str, noun: str) -> bool:
    """Whether a description names a thing, in full or cut short, as what comes along: "lock with two keys", "W/BRK"."""
    along = _BESIDE.search(description)
    said = split_words(along[1]) if along else []
    return any(word.startswith(noun) or abbreviates(word, noun) for word in said)


def front(tokens: Iterable[Token]) -> list[Token]:
    """The tokens before "for", "with" and the like: the thing itself."""
    return list(takewhile(lambda token: token.kind != "word" or token.text not in LINKS, tokens))


def uncounted(segment: Segment) -> list[Token]:
    """A segment's tokens without those that say how many; figures that count nothing as values."""
    counted = segment.quantity.start if segment.quantity else -1
    rest = []
    for token in segment.tokens:
        if token.kind == "number" and token.start != counted:
            rest.append(replace(token, kind="attribute", facts=(("figure", token.count),)))
        elif token.kind not in ("number", "quantity", "vague", "each", "filler"):
            rest.append(token)
    return rest
