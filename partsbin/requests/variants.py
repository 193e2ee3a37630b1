"""Stretches that name nothing themselves: counts, values and words that belong to a line before or behind them."""

from __future__ import annotations

from partsbin.requests.drafts import (
    IGNORED,
    Draft,
    alike,
    clash,
    copied,
    count,
    count_each,
    is_length_beside,
    state,
)
from partsbin.requests.in_cases import PACKS, counts_cases, tells_the_pack
from partsbin.requests.index import Index
from partsbin.requests.measures import Value
from partsbin.requests.naming import Naming
from partsbin.requests.segment import Segment
from partsbin.requests.token import Token
from partsbin.requests.words import Words

_BESIDE = ("and", "&", "+", "/", "or", "plus")
_SIZES = frozenset(("mm", "count", "ml"))


class Variants(Naming):
    """The part of a book of lines that joins what names nothing to what does."""

    def __init__(self, words: Words, index: Index | None) -> None:
        super().__init__(words, index)
        self._group = 0
        self._each: Token | None = None
        self._each_below: Token | None = None
        self._header: Draft | None = None
        self._pending: list[Segment] = []

    def _say(self, draft: Draft) -> None:
        if draft not in self.drafts:
            self.drafts.append(draft)

    def _last_in_group(self) -> Draft | None:
        return self.drafts[-1] if self.drafts and self.drafts[-1].group == self._group else None

    def _headless(self, segment: Segment, text: str, later: list[Segment]) -> None:
        last = self._last_in_group()
        counted = segment.quantity is not None or segment.vague
        heads_later = any(one.head for one in later)
        if last is None and self._refused is not None and self._refused.group == self._group and _facts(segment):
            self._instead_of(self._refused, segment, text)
        elif counts_cases(last, segment) and self._words_of_the_catalogue(segment.words):
            self._say(self._draft(segment, text))  # "6 cases strong", where strong is a sort of coffee
        elif (counted and segment.unknown and not self._is_qualifier(segment)) or self._names_an_item(last, segment):
            self._say(self._draft(segment, text))
        elif heads_later and self._belongs_behind(last, segment, later[0]):
            self._pending.append(segment)
        elif not (self._joined(last, segment, text, later) if last else self._joined_above(segment, text, later)) and (
            segment.unknown or (counted and (not heads_later or not self.drafts))
        ):
            self.unread.append(text)

    def _instead_of(self, refused: Draft, segment: Segment, text: str) -> None:
        """For "no longer need the front catch, just the rear": the same thing, with the value said."""
        other = copied(refused)
        for kind, value, _ in _facts(segment):
            other.facts[kind] = [value]
        if segment.figures:
            other.figures = list(segment.figures)
            other.facts.pop("mm", None)
        other.stated = False
        count(other, segment)
        other.text = text
        self._say(other)

    def _joined(self, last: Draft, segment: Segment, text: str, later: list[Segment]) -> bool:
        """Whether what names nothing could be joined to the line before it in the sentence."""
        if segment.joined in _BESIDE and (other := self._other_word(last, segment)):
            other.text = text
            self._say(other)
        elif segment.joined in _BESIDE and last.stated and _for_another(segment):
            other = copied(last)
            other.stated, other.text = False, f"{last.text}, {text}"
            count(other, segment)
            self._say(other)
        elif self._is_variant(last, segment, any(one.head for one in later)):
            self._vary(last, segment, text, later)
        elif _facts(segment) or segment.quantity or segment.vague or segment.figures or segment.lane or segment.unknown:
            self._qualify(last, segment, text)
        else:
            return False
        return True

    def _joined_above(self, segment: Segment, text: str, later: list[Segment]) -> bool:
        """Whether what names nothing could be joined to the last line of an earlier sentence."""
        if not self.drafts:
            return False
        last, facts = self.drafts[-1], _facts(segment)
        counted = segment.quantity is not None or segment.vague
        if counted and segment.said.startswith(("all ", "both ")) and not segment.unknown:
            return True  # "send all three": those that were named
        if (facts and _points_back(segment)) or ((facts or segment.figures) and not counted and not segment.unknown):
            self._qualify(last, segment, text)
        elif counted and facts and last.words:
            self._vary(last, segment, text, later)
        elif counted and not last.stated and segment not in self._pending:
            count(last, segment)
        elif (facts or segment.figures) and not segment.unknown:
            self._qualify(last, segment, text)
        else:
            return False
        return True

    def _belongs_behind(self, last: Draft | None, segment: Segment, following: Segment) -> bool:
        """Whether what names nothing itself waits for the thing behind it: "keypad plus lh and rh hinge"."""
        facts = _facts(segment)
        if last is None and _counts_itself(segment, following) and following.has_article:
            return False  # "so two more please and a helix": the helix is one
        if last is None and self.drafts and ((facts and _points_back(segment)) or _counts_itself(segment, following)):
            return False
        if last is None and self.drafts and facts and following.quantity and not self._may_have(following, facts):
            return False  # "2 of the 9 oz and a box of stirrers"
        if last is None and (facts or segment.quantity is not None or segment.vague or segment.figures):
            return True
        beside = following.joined in _BESIDE and following.head
        if segment.quantity is not None or not beside or segment.joined not in (*_BESIDE, ""):
            return False
        kinds = {kind for kind, _, _ in segment.facts} & {kind for kind, _, _ in following.facts}
        if kinds:
            return last is None or not kinds & last.facts.keys()
        return self._other_word(self._draft(following, ""), segment) is not None

    def _may_have(self, thing: Segment, facts: list[tuple[str, Value, bool]]) -> bool:
        """Whether some item called like a thing has these values, as far as there is a catalogue to tell."""
        return self.index is None or self._stocked(thing.words, {kind: [value] for kind, value, _ in facts})

    def _is_qualifier(self, segment: Segment) -> bool:
        return all(word not in segment.unknown for word in segment.words)

    def _is_variant(self, last: Draft, segment: Segment, heads_later: bool) -> bool:
        """Same thing, other value: "and 2 right", "1 rh", "4 of the 6"."""
        if last.codes and not last.words:
            return False
        differs = clash(last.facts, segment)
        counted = segment.quantity is not None
        if differs and (counted or segment.joined in ("and", "plus", "&", "+", "also", "/", "run", ",")):
            return True
        if counted and last.stated and (segment.facts or (segment.figures and not heads_later)):
            return True
        if counted and segment.facts and not last.stated and last is self._header:
            return True
        return bool(counted and segment.facts and any(kind == "hand" for kind, _, _ in segment.facts))

    def _vary(self, last: Draft, segment: Segment, text: str, later: list[Segment]) -> None:
        kinds = {kind for kind, _, _ in segment.facts}
        first_variant = (
            not (set(last.facts) & kinds)
            and not (last.figures and segment.figures)
            and (not last.stated or self._totals(last, [segment, *later]))
        )
        if first_variant:
            # "Spacers: 3 left 3 right": the noun stood alone until now.
            last.stated = False
            state(last, segment)
            count(last, segment)
            last.figures += segment.figures
            self._header = last
            return
        other = copied(last)
        for kind in kinds:
            other.facts.pop(kind, None)
        other.figures = list(segment.figures) or other.figures
        for kind, rival in (("sides", "hand"), ("hand", "sides")):
            if kind in kinds:
                other.facts.pop(rival, None)
        if "thread" in kinds or (segment.figures and not kinds & _SIZES):
            for kind in _SIZES:
                other.facts.pop(kind, None)
        self._make_room(other, segment)
        state(other, segment)
        if segment.quantity is None and not last.stated:
            last.plural = other.plural = False  # "motors left and right" are one of each
        if segment.quantity is None and not segment.vague and last.unit == "pair":
            last.unit = other.unit = "each"
        other.stated = False if segment.quantity or segment.vague else other.stated
        count(other, segment)
        other.text = text
        other.lane = segment.lane or other.lane
        self._say(other)

    def _totals(self, last: Draft, behind: list[Segment]) -> bool:
        """For "4 spacers, 2 left 2 right": the first figure is the sum of those behind it."""
        parts = [
            one.quantity.count
            for one in behind
            if one.quantity is not None and (one.facts or one.figures) and not one.head
        ]
        return len(parts) > 1 and sum(parts) == last.quantity

    def _qualify(self, last: Draft, segment: Segment, text: str) -> None:
        every = segment.said.startswith("all ")
        here = [draft for draft in self.drafts if draft.group == last.group]
        targets = [draft for draft in here if every or alike(draft, last)] or [last]
        for draft in targets:
            new = [
                (kind, value)
                for kind, value, _ in segment.facts
                if kind not in IGNORED and (kind not in draft.facts or is_length_beside(kind, value, draft.facts[kind]))
            ]
            for kind, value in new:
                draft.facts.setdefault(kind, []).append(value)
            if draft is last or len(targets) > 1:
                draft.figures += segment.figures
        last.words += [word for word in segment.words if word not in last.words]
        last.lane = segment.lane or last.lane
        if segment.quantity is not None or segment.vague:
            if last.vague or not last.stated:
                each = segment.quantity is not None and segment.quantity.text.endswith((" ea", " each", " apiece"))
                for draft in targets if each else [last]:
                    count(draft, segment)
            elif segment.quantity is not None and tells_the_pack(last, segment.quantity):
                last.facts["pack"] = [float(last.quantity or 0)]
                last.stated = False
                count(last, segment)
            elif (
                segment.quantity is not None
                and segment.quantity.count != last.quantity
                and segment.figures == []
                and not segment.facts
            ):
                last.figures.append(segment.quantity.count)
        if text and text not in last.text:
            last.text = f"{last.text}, {text}" if last.text else text

    def _resolve_pending(self, draft: Draft) -> None:
        """Counts and values said before their noun: "2 lh and 2 rh spacers", "left and right coils"."""
        waiting, self._pending = self._pending, []
        for segment in waiting:
            if not segment.facts and (varied := self._other_word(draft, segment)):
                self._say(varied)
                continue
            sizes = segment.each and segment.figures and draft.figures
            other_kind = segment.joined == "" and _other_value(draft, segment)
            if (
                sizes
                or other_kind
                or clash(draft.facts, segment)
                or (segment.quantity is not None and draft.stated and segment.facts)
            ):
                other = copied(draft)
                for kind, _, _ in segment.facts:
                    other.facts.pop(kind, None)
                draft.plural = other.plural = False
                state(other, segment)
                other.figures = list(segment.figures) or other.figures
                if segment.quantity is not None or segment.vague:
                    other.stated = False
                    count(other, segment)
                    if not draft.stated:
                        draft.quantity = other.quantity
                    if other.unit == "pair":
                        other.unit, draft.unit, other.quantity, draft.quantity = "each", "each", 1, 1
                other.text = f"{segment.said} {draft.text}"
                self._say(other)
            else:
                state(draft, segment)
                draft.figures += segment.figures
                draft.lane = draft.lane or segment.lane
                if not draft.stated:
                    count(draft, segment)
                elif segment.quantity is not None and segment.quantity.unit in PACKS and draft.unit == "each":
                    draft.loose = draft.quantity or 0  # "1 case and 6 cans of cola"
                    draft.quantity, draft.unit = int(segment.quantity.count), segment.quantity.unit

    def _each_of(self, segment: Segment, each: Token) -> None:
        here = [draft for draft in self.drafts if draft.group == self._group]
        if not here and self.drafts and not any(draft.stated for draft in self.drafts):
            here = self.drafts  # said behind a list: "2 of each"
        elif not here:
            self._each = self._each_below = each
        for draft in here:
            count_each(draft, each)
            state(draft, segment)
        if (segment.figures or segment.facts) and not here:
            self._pending.append(segment)  # "one each of 600 and 900 strips"


def _facts(segment: Segment) -> list[tuple[str, Value, bool]]:
    return [fact for fact in segment.facts if fact[0] not in IGNORED]


def _counts_itself(segment: Segment, following: Segment) -> bool:
    """Whether a bare count is not that of the thing behind it: "send ten, and a relay"."""
    bare = segment.quantity is not None and not segment.facts and not segment.figures
    own = following.quantity is not None or any(token.text in ("a", "an") for token in following.tokens[:1])
    return bare and own and following.joined in (*_BESIDE, ",", "also")


def _other_value(draft: Draft, segment: Segment) -> bool:
    """Whether a stretch gives another value to what a line states: "short and long probes"."""
    return any(kind in draft.facts and value not in draft.facts[kind] for kind, value, _ in _facts(segment))


def _for_another(segment: Segment) -> bool:
    """Whether a stretch asks for more of the same for somebody else: "and one for Tom's van"."""
    counted = segment.quantity is not None and segment.tokens[0].kind in ("number", "quantity")
    behind = segment.tokens[1].text if len(segment.tokens) > 1 else ""
    return counted and behind == "for" and not (segment.facts or segment.figures)


def _points_back(segment: Segment) -> bool:
    return any(token.text in ("one", "ones") for token in segment.tokens)
