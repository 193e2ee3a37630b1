"""Whether words without a trade family name something the live catalogue has."""

from __future__ import annotations

from partsbin.requests.changes import Changes
from partsbin.requests.describe import EXTRAS, LINKS
from partsbin.requests.drafts import IGNORED, Draft, copied
from partsbin.requests.index import Index
from partsbin.requests.measures import Value
from partsbin.requests.query import NUMERIC
from partsbin.requests.segment import Segment
from partsbin.requests.terms import attribute_term
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_LITTLE = LINKS | EXTRAS | listed("a an the and or no as at")
_ASKING = listed("a an the please pls need send want order one some also and plus new")


class Naming(Changes):
    """The part of a book of lines that asks the catalogue whether a stretch is a thing of its own."""

    def __init__(self, words: Words, index: Index | None) -> None:
        super().__init__(words, index)
        self._told: list[Segment] = []

    def _as_told(self, draft: Draft) -> None:
        """Name a thing as fully as the story did: "the drip tray has cracked" and then "one tray please"."""
        if self.index is None or draft.codes:
            return
        own = set(self._terms(draft.words)) & self.index.postings.keys()
        for told in reversed(self._told) if own else ():
            said = self._telling(told)
            if own <= set(self._terms(said)):
                self._add_words(draft, [word for word in said if own.isdisjoint(self._terms([word]))])
                self._add_values(draft, told.facts)
                draft.figures += [] if draft.figures else [one for one in told.figures if self._sized(draft, one)]
                return

    def _sized(self, draft: Draft, figure: float) -> bool:
        """Whether some item called so has a figure for a size."""
        return any(self._stocked(draft.words, {**draft.facts, kind: [figure]}) for kind in NUMERIC)

    def note(self, segments: list[Segment]) -> None:
        """Remember things that were only talked about; values said apart belong to the thing before them."""
        for segment in segments:
            size = [segment.quantity.count] if segment.quantity and segment.quantity.unit == "each" else []
            if self._telling(segment):
                self._told.append(segment)
            elif self._told:
                self._told[-1].facts += segment.facts
                self._told[-1].figures += [*segment.figures, *size]

    def _add_words(self, draft: Draft, more: list[str]) -> None:
        """Add words to what a line is called, all of them or else one, where some item is called so."""
        for some in (more, *([one] for one in reversed(more))):
            if some and self._stocked([*draft.words, *some], draft.facts):
                draft.words += some
                return

    def _add_values(self, draft: Draft, facts: list[tuple[str, Value, bool]]) -> None:
        for kind, value, _ in facts:
            if kind not in draft.facts and self._stocked(draft.words, {**draft.facts, kind: [value]}):
                draft.facts[kind] = [value]

    def _other_word(self, like: Draft, segment: Segment) -> Draft | None:
        """A line like another but for one word, where the catalogue has that: "drop sensor emitter and receiver"."""
        new = self._telling(segment)
        if (
            self.index is None
            or not new
            or segment.head
            or segment.facts
            or self.index.shared(self._terms([*like.words, *new]))
        ):
            return None
        kept = self._agreeing(like.words, new)
        if kept == like.words:
            return None
        other = copied(like)
        other.words = [*kept, *new]
        return other

    def _names_an_item(self, last: Draft | None, segment: Segment) -> bool:
        """Whether words without a trade family are some item's words, and not those of the line before."""
        if self.index is None or segment.joined not in (",", "and", "plus", "also", "+", "&", ""):
            return False
        telling = self._terms(segment.words)
        stated = [attribute_term(kind, value) for kind, value, _ in segment.facts if kind not in IGNORED]
        fits = not stated or self.index.shared([*telling, *stated])
        lone = len(telling) == 1 and fits and len(set(segment.words) - _ASKING) == 1
        if lone and (segment.quantity or not last) and self.index.heads(telling[0], segment.words):
            return True
        own = [*telling, *self._words_of_the_catalogue(segment.words)]
        if not telling or len(own) < 2 or not self.index.shared(own):
            return False
        before = self._terms(last.words) if last else []
        return not before or not self.index.shared([*own, *before])

    def _words_of_the_catalogue(self, said: list[str]) -> list[str]:
        """Words that say nothing elsewhere, but stand in this catalogue: "sold out", "sign", "still"."""
        return [
            word
            for word in said
            if word in self.words.noise and word not in _LITTLE and self.index is not None and self.index.knows(word)
        ]
