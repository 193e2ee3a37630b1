"""Segments written up as lines: qualifiers joined to what they qualify, variants split, changes honoured."""

from __future__ import annotations

import re

from partsbin.requests.describe import families
from partsbin.requests.drafts import Draft, clash, copied, count, count_each, finished, state
from partsbin.requests.for_machines import ForMachines
from partsbin.requests.in_cases import takes_loose
from partsbin.requests.index import Index
from partsbin.requests.segment import Segment, usual_of
from partsbin.requests.token import Token
from partsbin.requests.types import AskedLine
from partsbin.requests.words import Words

# "Same for the keypads", "ditto lenses": as many as of the thing before.
_AS_MANY = re.compile(r"(?:the )?(?:same (?:again )?(?:for|with)|ditto|likewise|as many)\b")
_FOR_IT = re.compile(
    r"\b(?:for|fits?|with) (?:it|that|this|them|those|these|the same(?: one)?|that one)\b|"
    r"\bto (?:suit|match|fit|go with)\b"
)
_ELSE = re.compile(r"(?:or )?(?:otherwise|failing that|or else|if not)\b")
_FOR_EACH = re.compile(r"\bfor each(?: one| of them)?(?: please)?$")


class Book(ForMachines):
    """The lines of one message as they are read."""

    def __init__(self, words: Words, index: Index | None) -> None:
        super().__init__(words, index)
        self.told = False  # whether what is read only tells
        self._turning = ""
        self._wholes: list[tuple[list[Draft], Draft]] = []

    def wholes(self) -> list[tuple[tuple[int, ...], AskedLine]]:
        """Second readings whose lines all still stand, by the lines' places."""
        found = []
        for drafts, whole in self._wholes:
            places = tuple(place for place, draft in enumerate(self.drafts) if any(draft is one for one in drafts))
            if len(places) == len(drafts) and not any(draft.changed for draft in drafts):
                found.append((places, finished(whole)))
        return found

    def lines(self) -> list[AskedLine]:
        """The finished lines."""
        self.settle()
        return [finished(draft, before) for draft, before in zip(self.drafts, [None, *self.drafts], strict=False)]

    def note(self, segments: list[Segment]) -> None:
        """Remember the machine and the things that were only talked about."""
        super().note(segments)
        for segment in segments:
            if segment.machine:
                self._say_machine(segment.machine)

    def read(
        self, segments: list[Segment], text: str, start: int, whole: Segment | None = None, *, asking: bool = False
    ) -> None:
        """Write up one sentence, whose text starts at ``start`` of its line.

        ``whole`` is the same sentence as a single thing, kept as a second reading. One that is ``asking`` something
        about things ("is it in stock?") does not say how many are wanted.
        """
        self._group += 1
        self._each = self._each_below
        self._header = None
        self._pending = []
        self._turning = ""
        first = len(self.drafts)
        for position, segment in enumerate(segments):
            self._segment(segment, _cut(text, segment, start), segments[position + 1 :])
        for segment in self._pending:
            self._headless(segment, _cut(text, segment, start), [])
        if len(self.drafts) == first:
            super().note(segments)
        self._machine_behind(first, segments)
        for draft in self.drafts[first:] if asking else ():
            if not draft.stated:
                draft.quantity, draft.vague = None, True
        if whole is not None and len(self.drafts) > first:
            one = self._draft(whole, text)
            if whole.each and not one.stated:
                count_each(one, whole.each)
            self._wholes.append((self.drafts[first:], one))

    def has(self, segments: list[Segment]) -> bool:
        """Whether some line is what these speak of, or they name nothing that is known."""
        heads = [segment for segment in segments if segment.head]
        return (
            not heads
            or any(segment.unknown for segment in segments)
            or any(self._earlier(segment, self.drafts) for segment in heads)
        )

    def take(self, segment: Segment, text: str) -> None:
        """Write up one segment as a line whatever it holds."""
        self._say(self._draft(segment, text))

    def _segment(self, segment: Segment, text: str, later: list[Segment]) -> None:
        segment.amends = segment.amends or bool(self._turning)
        says = segment.head or segment.quantity or segment.facts or segment.figures
        turned, self._turning = self._turning, "" if says or not segment.amends else segment.said
        if segment.head and segment.quantity is not None and not segment.quantity.count:
            self.cancelled.append(finished(self._draft(segment, text)))  # a form's line with nothing wanted
            return
        if self._orders_nothing(segment, text, later) or self._is_the_machine(segment):
            return
        if segment.negated and self._take_back(segment, text):
            return
        if segment.again and not segment.quantity and (named := self._earlier(segment, self.drafts)):
            self._change(named[0], segment)
            return
        if segment.amends and self._amend(segment, text, turned):
            return
        if segment.each and not segment.head:
            self._each_of(segment, segment.each)
            return
        if segment.machine and not segment.head and self._machine_alone(segment, text):
            return
        if segment.head:
            self._headed(segment, text, later)
        elif not takes_loose(self._last_in_group(), segment):
            self._headless(segment, text, later)

    def _orders_nothing(self, segment: Segment, text: str, later: list[Segment]) -> bool:
        """Whether a stretch only says how many things follow ("two things: …") or what else would do."""
        if self.drafts and _ELSE.match(segment.said):
            self.unread.append(text)
            return True
        if not later or later[0].joined != ":":
            return False
        counts = segment.tokens[0].kind == "number" and segment.words and not segment.head
        if counts and not (segment.facts or segment.figures or self._telling(segment)):
            return True
        if self._heads_a_list(segment, later[0]):
            self.unread.append(text)
            return True
        return False

    def _heads_a_list(self, segment: Segment, first: Segment) -> bool:
        """Whether a stretch before a colon names the sort of what is counted behind it: "soft drinks: 3 cs cola"."""
        counted = first.quantity is not None and first.head and segment.head
        if self.index is None or not counted or segment.quantity or segment.vague or segment.facts or segment.codes:
            return False
        own, named = set(self._terms(self._telling(segment))), set(self._terms(self._telling(first)))
        return own <= named or not self.index.shared([*own, *named])

    # Lines with a thing in them

    def _headed(self, segment: Segment, text: str, later: list[Segment]) -> None:
        last = self._last_in_group()
        if last is not None and self._same_thing(last, segment):
            self._merge(last, segment, text)
            return
        draft = self._draft(segment, text)
        if self._each and draft.quantity is not None and draft.quantity > 99 and draft.unit == "each":
            draft.figures.append(draft.quantity)  # "one each of 600 and 900 strips"
            draft.quantity = int(self._each.count)
        if segment.each:
            self._count_each(draft, segment.each, behind=self._is_last(segment.each, segment))
        elif self._each and not draft.stated and not segment.has_article:
            count_each(draft, self._each)
        if self.drafts and not draft.stated and _AS_MANY.match(segment.said):
            last = self.drafts[-1]
            draft.quantity, draft.unit, draft.stated, draft.vague = last.quantity, last.unit, last.stated, last.vague
        self._resolve_pending(draft)
        if self.drafts and _FOR_IT.search(segment.said):
            self._take_after(draft, self.drafts[-1])
        elif self.drafts and _FOR_EACH.search(segment.said):
            here = [one for one in self.drafts if one.group == self._group] or self.drafts[-1:]
            draft.quantity = (draft.quantity or 1) * sum(one.quantity or 1 for one in here)
        self._split_hands(draft)

    def _take_after(self, draft: Draft, last: Draft) -> None:
        """For "an 80 mm magazine and ejector for it": what fits a thing has its values, if some item does."""
        draft.machine = draft.machine or last.machine
        if self.index is not None:
            self._add_words(draft, [word for word in last.words if self.index.knows(self.words.usual(word)[0])])
        self._add_values(draft, [(kind, value, False) for kind, values in last.facts.items() for value in values])

    def _count_each(self, draft: Draft, each: Token, *, behind: bool) -> None:
        """Before a thing "2 each" holds for what follows; behind ("keypads, switches 2 each") for what came before."""
        count_each(draft, each)
        if not behind:
            self._each = each
            return
        for other in self.drafts:
            if other.group == self._group and not other.stated:
                count_each(other, each)

    def _is_last(self, each: Token, segment: Segment) -> bool:
        """Whether nothing but filler comes behind: "2 of each please"."""
        return all(token.start <= each.start or token.text in self.words.noise for token in segment.tokens)

    def _split_hands(self, draft: Draft) -> None:
        """Both hands in one breath ("left right spacers") are two lines, and so are both rotations."""
        for kind in ("hand", "rotation"):
            values = draft.facts.get(kind, [])
            if len(values) == 2 and not draft.excluded:
                self._say(draft)
                paired = draft.unit == "pair"
                other = copied(draft)
                draft.facts[kind], other.facts[kind] = values[:1], values[1:]
                draft.plural = other.plural = False
                if paired:
                    draft.unit = other.unit = "each"
                self._say(other)
                return
        self._say(draft)

    def _same_thing(self, last: Draft, segment: Segment) -> bool:
        """Whether a segment says again, or more closely, what the last line is."""
        if segment.joined == "(" and not segment.quantity and not segment.codes:
            return True
        if (
            (segment.quantity and not segment.quantity.weak and last.stated)
            or segment.vague
            or segment.joined in ("and", "plus", "also", "+", "&", "then", "run")
        ):
            return False
        if last.codes and not segment.codes and not segment.quantity:
            return self._code_is(last.codes, segment)
        if segment.codes and not last.codes and not (last.stated and segment.quantity):
            return self._code_is(segment.codes, segment, last)
        if segment.codes or last.codes:
            return False
        if clash(last.facts, segment):
            return False
        spoken = {token.text for token in segment.tokens}
        if spoken & {word for word in last.words if word not in self.words.noise} or (
            segment.machine and last.machine and not last.carried
        ):
            return False
        shared = set(last.families) & set(segment.families)
        new = [word for word in self._usual(segment.words) if word in self.words.family_words]
        old = self._usual(last.words)
        if shared and set(new) <= set(old):
            return True  # the same noun under another name: "coil, helix"
        all_said = [word for word in self._usual([*last.words, *segment.words]) if word not in self.words.noise]
        if shared and segment.joined in (",", "(", "-") and self.index is not None and self.index.shared(all_said):
            return True  # an item has the words of both
        both = families(self.words, [*old, *new])
        pattern_grew = bool(both) and not (set(both) <= set(last.families) | set(segment.families))
        return (
            pattern_grew
            and segment.quantity is None
            and not segment.facts
            and len(new) == 1
            and segment.joined in (",", "(", "-")
        )

    def _code_is(self, codes: list[str], segment: Segment, last: Draft | None = None) -> bool:
        named = set(last.families if last else segment.families)
        if self.index is None or not named:
            return not named
        hit = self.index.numbers.find(codes[0])
        if hit is None:
            return False
        return any(
            set(self.index.view(self.index.slot(one)).families) & named for one in hit.item_ids if one in self.index
        )

    def _usual(self, said: list[str]) -> list[str]:
        return usual_of(self.words, *said)

    def _merge(self, draft: Draft, segment: Segment, text: str) -> None:
        draft.words += [word for word in segment.words if word not in draft.words]
        draft.codes += segment.codes
        draft.figures += segment.figures
        state(draft, segment)
        count(draft, segment)
        draft.families = draft.families or segment.families
        draft.machine = segment.machine or draft.machine
        draft.lane = segment.lane or draft.lane
        draft.text = f"{draft.text}, {text}" if text and text not in draft.text else draft.text

    def _draft(self, segment: Segment, text: str) -> Draft:
        draft = Draft(
            list(segment.words),
            group=self._group,
            text=text,
            families=segment.families,
            plural=segment.plural,
            joined=segment.joined,
            noun=segment.noun,
            told=self.told,
        )
        draft.codes = list(segment.codes)
        draft.figures = list(segment.figures)
        draft.lane = segment.lane
        state(draft, segment)
        count(draft, segment)
        if segment.machine:
            draft.machine = segment.machine
            self._say_machine(segment.machine)
        elif self._current_machine:
            draft.machine, draft.carried = self._current_machine, True
        self._as_told(draft)
        return draft


def _cut(text: str, segment: Segment, start: int) -> str:
    return text[segment.start - start : segment.end - start].strip(" ,;:-")
