"""Taking back and changing what was asked earlier in a message."""

from __future__ import annotations

import math
from dataclasses import replace

from partsbin.requests.drafts import IGNORED, Draft, clash, count, count_each, finished, likeliest, said
from partsbin.requests.index import Index
from partsbin.requests.intents import contrasts, corrects, drops, excepts, replaces
from partsbin.requests.measures import Value
from partsbin.requests.packs import PACKED
from partsbin.requests.plausible import meant
from partsbin.requests.query import prepare
from partsbin.requests.scoring import measure
from partsbin.requests.segment import SUPPLIES, Segment
from partsbin.requests.terms import attribute_term
from partsbin.requests.token import Token
from partsbin.requests.types import AskedLine
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, singular

_EVERYTHING = frozenset(("everything", "all", "lot", "both"))
_ONE_OF_TWO = frozenset(("second", "other", "spare"))
_CONTENT = frozenset(("keep", "fine", "ok"))
_LAST = listed("that it those them last one these this")
_NOT_AT_ALL = -math.inf
_BETTER = 2.5
_PACKED = frozenset(PACKED.values())
_INSTEAD = (
    "make that", "make it", "change that", "change it", "i mean", "meant", "scratch that", "scrap that", "instead",
)  # fmt: skip


class Changes:
    """The part of a book of lines that goes back over what stands in it.

    ``quoted`` are the lines of the message answered to: only what is said about them makes them lines of this one.
    """

    def __init__(self, words: Words, index: Index | None) -> None:
        self.words = words
        self.index = index
        self.drafts: list[Draft] = []
        self.quoted: list[Draft] = []
        self.cancelled: list[AskedLine] = []
        self.intents: list[tuple[str, str]] = []
        self.unread: list[str] = []
        self._excepted: list[Segment] = []
        self._refused: Draft | None = None
        self._rest_of_quote = False

    def _draft(self, segment: Segment, text: str) -> Draft:
        raise NotImplementedError

    def settle(self) -> None:
        """Close the book: what was excepted beforehand goes, and what is left of a quote that was agreed to comes."""
        for segment in self._excepted:
            for draft in (named := self._earlier(segment, self.drafts)):
                self._cancel(draft)
            if not named:
                self.refuse(segment, said(segment))
                self.unread.append(said(segment))
        if self._rest_of_quote:
            self.drafts = [*self.quoted, *self.drafts]
            self.quoted = []

    def _take_back(self, segment: Segment, text: str) -> bool:
        """Honour "no gasket", "drop the left one", "cancel that": whether the segment took something back."""
        words = set(segment.words)
        dropping = drops(segment)
        if contrasts(segment) and self.drafts:
            self.drafts[-1].excluded += self._telling(segment)
            return self._exclude(segment)
        if not segment.head and words & _CONTENT:
            return True  # "that's fine" takes nothing back
        if segment.head or any(word not in self.words.values for word in self._telling(segment)):
            return self._take_back_thing(segment, text)
        if segment.facts or segment.figures:
            return ((dropping or self._tells_apart(segment)) and self._drop_earlier(segment)) or self._exclude(segment)
        if words & _EVERYTHING and dropping:
            for draft in list(self.drafts):
                self._cancel(draft)
            return True
        if dropping and segment.quantity is not None and self.drafts:
            self._cancel(self.drafts[-1], segment.quantity)
            return True
        last = self.drafts[-1] if self.drafts else None
        if dropping and last is not None and words & _ONE_OF_TWO and last.quantity == 2 and last.stated:
            last.quantity = 1  # "leave the second out"
            return True
        if words & _LAST and self.drafts and not segment.amends:
            self._cancel(self.drafts[-1])
            return True
        return segment.quantity is not None

    def _tells_apart(self, segment: Segment) -> bool:
        """Whether the values said are those of one of several lines: "left and right panels, not the left"."""
        kinds = {kind for kind, _, _ in segment.facts}
        return sum(bool(kinds & draft.facts.keys()) for draft in self.drafts) > 1

    def _take_back_thing(self, segment: Segment, text: str) -> bool:
        if self._drop_earlier(segment):
            self._refused = self._draft(segment, text)
            return True
        if excepts(segment):
            self._excepted.append(segment)
        elif segment.head and not set(segment.words) & _CONTENT:
            self.refuse(segment, text)
            self.unread.append(text)
        elif segment.head or replaces(segment):
            self.unread.append(text)
        return segment.head or excepts(segment) or replaces(segment)

    def refuse(self, segment: Segment, text: str) -> None:
        """Keep a thing that is not wanted, though no line asked for it."""
        self._refused = self._draft(segment, text)
        self.cancelled.append(replace(finished(self._refused), text=text))
        self.intents.append(("cancel", text))

    def _drop_earlier(self, segment: Segment) -> bool:
        """Drop the earlier lines a segment speaks of, in this message or else in the one it answers."""
        named = self._earlier(segment, self.drafts)
        alike = self._fitting(segment, self.drafts)
        if len(named) < len(alike) and segment.quantity is None:
            for draft in alike:
                draft.vague = True  # "cancel the relay" beside two different ones: which is asked
            self.unread.append(said(segment))
            return True
        for draft in named:
            self._cancel(draft, segment.quantity)
        if not named and (named := self._earlier(segment, self.quoted)):
            self.quoted = [one for one in self.quoted if all(one is not draft for draft in named)]
            self.cancelled.extend(map(finished, named))
            self._rest_of_quote = self._rest_of_quote or excepts(segment)
        return bool(named)

    def _exclude(self, segment: Segment) -> bool:
        """For "lh not rh", "not the 115": a value that is not meant."""
        if not self.drafts:
            return True
        last = self.drafts[-1]
        for kind, value, _ in segment.facts:
            if value in last.facts.get(kind, []) and len(last.facts[kind]) > 1:
                last.facts[kind].remove(value)
            last.excluded.append(value if isinstance(value, str) else f"{value:g}")
        return True

    def _cancel(self, draft: Draft, some: Token | None = None) -> None:
        """Take a line back, or some of it: "leave one of the thermostats out"."""
        if some is not None and draft.stated and 0 < some.count < (draft.quantity or 0) and some.unit == draft.unit:
            draft.quantity = (draft.quantity or 0) - int(some.count)
            return
        self.drafts = [one for one in self.drafts if one is not draft]
        self.cancelled.append(finished(draft))

    # Which earlier lines are spoken of

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

    # What is changed in them

    def _amend(self, segment: Segment, text: str, turned: str) -> bool:
        """Honour "make that three", "sorry, right hand": whether the segment changed something.

        ``turned`` is what was said alone before it: "scratch that".
        """
        here = self.drafts or self.quoted
        if not here:
            return False
        if segment.each and not segment.head:
            for draft in list(here):
                count_each(draft, segment.each)
                self._wanted(draft)
            return True
        says = (
            segment.head, segment.quantity, segment.facts, segment.vague, segment.figures, segment.machine,
            self._telling(segment),
        )  # fmt: skip
        if not any(says):
            return True
        named = self._telling(segment) or segment.head
        found = (self._earlier(segment, self.drafts) or self._earlier(segment, self.quoted)) if named else []
        found = found or self._called_so(segment)
        if not found and not segment.head:
            kinds = {kind for kind, _, _ in segment.facts}
            found = [draft for draft in here if kinds & draft.facts.keys()][-1:] or here[-1:]
        if found:
            self._change(found[0], segment)
            if text not in found[0].text:
                found[0].text = f"{found[0].text}, {text}"
            self._wanted(found[0])
            return True
        if segment.head and any(phrase in f"{turned} {said(segment)}" for phrase in _INSTEAD):
            self._replace(segment, text)
            return True
        return False

    def _called_so(self, segment: Segment) -> list[Draft]:
        """The latest line called as a correction says, whatever its values: "the printer should be the 80 mm"."""
        telling = {singular(word) for word in self._telling(segment)} if corrects(said(segment)) else set()
        return [one for one in self.drafts if telling and telling <= {singular(word) for word in one.words}][-1:]

    def _wanted(self, draft: Draft) -> None:
        """Make a line of the quote that is spoken of a line of this message."""
        if any(one is draft for one in self.quoted):
            self.quoted = [one for one in self.quoted if one is not draft]
            self.drafts.append(draft)

    def _replace(self, segment: Segment, text: str) -> None:
        """For "make that a gasket": another thing in the last line's place, its count kept unless a new one is said."""
        old = (self.drafts or self.quoted)[-1]
        new = self._draft(segment, text)
        if not new.stated:
            new.quantity, new.unit, new.stated = old.quantity, old.unit, old.stated
        self._cancel(old)
        self.drafts.append(new)

    def _change(self, draft: Draft, segment: Segment) -> None:
        if segment.machine:
            draft.machine, draft.carried = segment.machine, False
        self._resize(draft, segment)
        for kind, value, _ in segment.facts:
            if kind not in IGNORED:
                draft.facts[kind] = [value]
        draft.changed = True
        figure = segment.quantity
        if figure is not None and (figure.count in SUPPLIES or _points_at(figure, segment)):
            segment.figures.append(figure.count)  # "230 please", "it must be the 80"
            segment.quantity = None
        supply = [figure for figure in segment.figures if figure in SUPPLIES or figure in (12, 24)]
        if supply and "volts" in draft.facts:
            draft.facts["volts"] = list(supply)
        else:
            draft.figures = list(segment.figures) or ([] if segment.facts else draft.figures)
        if segment.quantity is not None or segment.vague:
            packed = draft.unit if draft.unit in _PACKED and not segment.head else "each"
            draft.stated = False
            count(draft, segment)
            draft.unit = packed if draft.unit == "each" else draft.unit  # "four cases … make it six"
        new = self._telling(segment)
        draft.words = [*self._agreeing(draft.words, new), *(word for word in new if word not in draft.words)]

    def _resize(self, draft: Draft, segment: Segment) -> None:
        """For "clamp 12 mm … it must be the 16": a figure that another size of the thing has is that size, no count."""
        figure = segment.quantity
        if figure is None or figure.unit != "each":
            return
        if not _points_at(figure, segment) and (draft.stated or "make" in said(segment)):
            return
        for kind, values in draft.facts.items():
            sized = any(isinstance(value, float) for value in values) and figure.count not in values
            if sized and self._stocked(draft.words, {**draft.facts, kind: [figure.count]}):
                draft.facts[kind] = [figure.count]
                segment.quantity = None
                return

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


def _points_at(count: Token, segment: Segment) -> bool:
    """Whether a figure points at a kind instead of counting: "the 80"."""
    place = next((place for place, token in enumerate(segment.tokens) if token.start == count.start), 0)
    return place > 0 and segment.tokens[place - 1].text == "the"
