"""Which earlier lines of a message a stretch speaks of, and what of them an item of the catalogue bears it out."""

from __future__ import annotations

import math

from partsbin.requests.drafts import IGNORED, Draft, clash, finished, likeliest
from partsbin.requests.index import Index
from partsbin.requests.measures import Value
from partsbin.requests.plausible import meant
from partsbin.requests.query import prepare
from partsbin.requests.scoring import measure
from partsbin.requests.segment import Segment
from partsbin.requests.terms import attribute_term
from partsbin.requests.words import Words, singular

_NOT_AT_ALL = -math.inf
_BETTER = 2.5


class Earlier:
    """The part of a book of lines that finds the lines spoken of again, as they were said or by the item meant."""

    def __init__(self, words: Words, index: Index | None) -> None:
        self.words = words
        self.index = index

    def _earlier(self, segment: Segment, drafts: list[Draft]) -> list[Draft]:
        """The lines a segment speaks of: those that fit it best, all of them for a plural, else the latest."""
        found = self._fitting(segment, drafts)
        several = segment.plural or any(
            singular(word) != word for word in segment.words if word in self._telling(segment)
        )
        return found if several else found[:1]

    def _fitting(self, segment: Segment, drafts: list[Draft]) -> list[Draft]:
        """The lines that fit a segment best, the latest first."""
        fits = [(self._fit(segment, draft), draft) for draft in reversed(drafts)]
        best = max((fit for fit, _ in fits), default=_NOT_AT_ALL)
        return [draft for fit, draft in fits if fit > max(best - 0.01, _NOT_AT_ALL)]

    def _fit(self, segment: Segment, draft: Draft) -> float:
        """How well a segment's words fit a line as it was said or the item it most likely means."""
        if clash(draft.facts, segment):
            return _NOT_AT_ALL
        if set(segment.codes) & set(draft.codes):
            return 100.0
        telling = self._telling(segment)
        if not segment.head and all(word in self.words.values for word in telling):
            agrees = all(value in draft.facts.get(kind, ()) for kind, value, _ in segment.facts if kind not in IGNORED)
            return 10.0 if segment.facts and agrees else _NOT_AT_ALL
        own = set(map(singular, draft.words))
        if telling and all(singular(word) in own for word in telling) and not segment.facts:
            return 50.0
        if self.index is None:
            return 1.0 if set(likeliest(segment.families)) & set(likeliest(draft.families)) else _NOT_AT_ALL
        return self._item_fit(segment, draft, self.index)

    def _item_fit(self, segment: Segment, draft: Draft, index: Index) -> float:
        item = meant(index, finished(draft))
        if item is None:
            return _NOT_AT_ALL
        spoken = finished(self._spoken(segment))
        query = prepare(index, spoken)
        found = measure(query, item)
        likeliest_item = meant(index, spoken)
        if likeliest_item is not None and measure(query, likeliest_item).score > found.score + _BETTER:
            return _NOT_AT_ALL  # another thing is spoken of: "no bucket" is not the bucket's float switch
        missed = [word for word in found.missed if index.knows(self.words.usual(word)[0])]
        named = found.features.get("family", 0.0) >= 0.5 or found.features.get("number", 0.0)
        if found.contradictions or missed or not (named or found.matched):
            return _NOT_AT_ALL
        return found.score

    def _spoken(self, segment: Segment) -> Draft:
        draft = Draft(self._telling(segment), codes=list(segment.codes), families=segment.families)
        draft.facts = {kind: [value] for kind, value, _ in segment.facts if kind not in IGNORED}
        draft.figures = list(segment.figures)
        return draft

    def _telling(self, segment: Segment) -> list[str]:
        """The words of a segment that tell what is spoken of."""
        known = self.index.knows if self.index else self.words.family_words.__contains__
        return [word for word in segment.words if word not in self.words.noise and known(self.words.usual(word)[0])]

    def _agreeing(self, old: list[str], new: list[str]) -> list[str]:
        """The old words without the one that stands against the new: "evap fan", changed to "the condenser one"."""
        if self.index is None or not new or self.index.shared(self._terms([*old, *new])):
            return old
        for left_out in old:
            kept = [word for word in old if word != left_out]
            if kept and left_out not in self.words.noise and self.index.shared(self._terms([*kept, *new])):
                return kept
        return old

    def _make_room(self, draft: Draft, segment: Segment) -> None:
        """Leave out of a draft the one word or value no item has beside a stretch's: "short ones, 4 of the clear"."""
        new = {kind: [value] for kind, value, _ in segment.facts if kind not in IGNORED}
        telling = [word for word in draft.words if word not in self.words.noise]
        kinds = [kind for kind in draft.facts if all(self.words.values.get(word, ("",))[0] != kind for word in telling)]
        for out in ("", *telling, *kinds) if new else ():
            words = [word for word in draft.words if word != out]
            value = self.words.values.get(out, (out,))[0]
            facts = {kind: some for kind, some in draft.facts.items() if kind != value}
            if self._stocked(words, {**facts, **new}):
                draft.words, draft.facts = words, facts
                return

    def _stocked(self, words: list[str], facts: dict[str, list[Value]]) -> bool:
        """Whether some item is called by all these words and has all these values."""
        values = [attribute_term(kind, one) for kind, some in facts.items() if kind not in IGNORED for one in some]
        known = [term for term in self._terms(words) if self.index and self.index.knows(term)]
        return self.index is not None and self.index.shared([*known, *values])

    def _terms(self, said: list[str]) -> list[str]:
        """The catalogue's terms for spoken words, those without meaning left out."""
        usual = [one for word in said if word not in self.words.noise for one in self.words.usual(word)]
        return self.index.terms.linked(usual) if self.index else usual
