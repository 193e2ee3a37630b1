"""Taking back and changing what was asked earlier in a message."""

from __future__ import annotations

from dataclasses import replace

from partsbin.requests.drafts import IGNORED, Draft, count, count_each, finished
from partsbin.requests.earlier import Earlier
from partsbin.requests.in_cases import PACKS
from partsbin.requests.index import Index
from partsbin.requests.intents import contrasts, corrects, drops, excepts, replaces
from partsbin.requests.segment import SUPPLIES, Segment
from partsbin.requests.token import Token
from partsbin.requests.types import AskedLine
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, singular

_EVERYTHING = frozenset(("everything", "all", "lot", "both"))
_ONE_OF_TWO = frozenset(("second", "other", "spare"))
_CONTENT = frozenset(("keep", "fine", "ok"))
_LAST = listed("that it those them last one these this")
_INSTEAD = (
    "make that", "make it", "change that", "change it", "i mean", "meant", "scratch that", "scrap that", "instead",
)  # fmt: skip


class Changes(Earlier):
    """The part of a book of lines that goes back over what stands in it.

    ``quoted`` are the lines of the message answered to: only what is said about them makes them lines of this one.
    """

    def __init__(self, words: Words, index: Index | None) -> None:
        super().__init__(words, index)
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
                self.refuse(segment, segment.said)
                self.unread.append(segment.said)
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
            self.unread.append(segment.said)
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
        if segment.head and any(phrase in f"{turned} {segment.said}" for phrase in _INSTEAD):
            self._replace(segment, text)
            return True
        return False

    def _called_so(self, segment: Segment) -> list[Draft]:
        """The latest line called as a correction says, whatever its values: "the printer should be the 80 mm"."""
        telling = {singular(word) for word in self._telling(segment)} if corrects(segment.said) else set()
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
            packed = draft.unit if draft.unit in PACKS and not segment.head else "each"
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
        if not _points_at(figure, segment) and (draft.stated or "make" in segment.said):
            return
        for kind, values in draft.facts.items():
            sized = any(isinstance(value, float) for value in values) and figure.count not in values
            if sized and self._stocked(draft.words, {**draft.facts, kind: [figure.count]}):
                draft.facts[kind] = [figure.count]
                segment.quantity = None
                return


def _points_at(count: Token, segment: Segment) -> bool:
    """Whether a figure points at a kind instead of counting: "the 80"."""
    place = next((place for place, token in enumerate(segment.tokens) if token.start == count.start), 0)
    return place > 0 and segment.tokens[place - 1].text == "the"
