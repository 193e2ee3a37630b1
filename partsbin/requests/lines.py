"""Segments written up as lines: qualifiers joined to what they qualify, variants split, changes honoured."""

from __future__ import annotations

from partsbin.requests.changes import Changes
from partsbin.requests.describe import families
from partsbin.requests.drafts import IGNORED, Draft, alike, clash, copied, count, finished, state
from partsbin.requests.index import Index
from partsbin.requests.segments import Segment, usual_of
from partsbin.requests.types import AskedLine
from partsbin.requests.words import Words


class Book(Changes):
    """The lines of one message as they are read."""

    def __init__(self, words: Words, index: Index | None) -> None:
        super().__init__()
        self.words = words
        self.index = index
        self.unread: list[str] = []
        self.machine = ""
        self._current_machine = ""
        self._group = 0
        self._each = self._each_below = 0.0
        self._header: Draft | None = None
        self._pending: list[Segment] = []
        self._wholes: list[tuple[list[Draft], Draft]] = []

    def wholes(self) -> list[tuple[tuple[int, ...], AskedLine]]:
        """Second readings whose lines all still stand, by the lines' places."""
        found = []
        for drafts, whole in self._wholes:
            places = tuple(place for place, draft in enumerate(self.drafts) if any(draft is one for one in drafts))
            if len(places) == len(drafts):
                found.append((places, finished(whole)))
        return found

    def lines(self) -> list[AskedLine]:
        """The finished lines."""
        return [finished(draft) for draft in self.drafts]

    def note_machine(self, segments: list[Segment]) -> None:
        """Remember a machine that was only talked about."""
        for segment in segments:
            if segment.machine:
                self._say_machine(segment.machine)

    def _say_machine(self, name: str) -> None:
        self._current_machine = name
        self.machine = self.machine or name

    def read(self, segments: list[Segment], text: str, whole: Segment | None = None) -> None:
        """Write up one sentence; ``whole`` is the same sentence as a single thing, kept as a second reading."""
        self._group += 1
        self._each = self._each_below
        self._header = None
        self._pending = []
        first = len(self.drafts)
        for position, segment in enumerate(segments):
            segment_text = _cut(text, segment, segments)
            self._segment(segment, segment_text, segments[position + 1 :])
        for segment in self._pending:
            self._headless(segment, _cut(text, segment, segments), [])
        self._machine_behind(first, segments)
        if whole is not None and len(self.drafts) > first:
            self._wholes.append((self.drafts[first:], self._draft(whole, text)))

    def take(self, segment: Segment, text: str) -> None:
        """Write up one segment as a line whatever it holds."""
        self._say(self._draft(segment, text))

    def _machine_behind(self, first: int, segments: list[Segment]) -> None:
        """A machine named at a sentence's end holds for its earlier lines too."""
        named = next((segment.machine for segment in reversed(segments) if segment.machine), "")
        if not named:
            return
        for draft in self.drafts[first:]:
            if not draft.machine or draft.carried:
                draft.machine, draft.carried = named, True

    def _segment(self, segment: Segment, text: str, later: list[Segment]) -> None:
        if segment.negated and self._take_back(segment, text):
            return
        if segment.amends and self._amend(segment, text):
            return
        if segment.each and not segment.head:
            self._each_of(segment)
            return
        if segment.machine and not segment.head and not segment.quantity:
            self._say_machine(segment.machine)
            if self.drafts and self.drafts[-1].group == self._group and not self.drafts[-1].machine:
                self.drafts[-1].machine = segment.machine
        if segment.head:
            self._headed(segment, text, later)
        else:
            self._headless(segment, text, later)

    # Lines with a thing in them

    def _headed(self, segment: Segment, text: str, later: list[Segment]) -> None:
        last = self._last_in_group()
        if last is not None and self._same_thing(last, segment):
            self._merge(last, segment, text)
            return
        draft = self._draft(segment, text)
        self._resolve_pending(draft)
        if segment.each:
            draft.quantity, draft.stated = int(segment.each), True
            self._each = segment.each
        elif self._each and not draft.stated:
            draft.quantity, draft.stated = int(self._each), True
        self._split_hands(draft, segment)

    def _split_hands(self, draft: Draft, segment: Segment) -> None:
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
        del segment
        self._say(draft)

    def _say(self, draft: Draft) -> None:
        if draft not in self.drafts:
            self.drafts.append(draft)

    def _last_in_group(self) -> Draft | None:
        return self.drafts[-1] if self.drafts and self.drafts[-1].group == self._group else None

    def _same_thing(self, last: Draft, segment: Segment) -> bool:
        """Whether a segment says again, or more closely, what the last line is."""
        if (
            (segment.quantity and last.stated)
            or segment.vague
            or segment.joined in ("and", "plus", "also", "+", "&", "then", "run")
        ):
            return False
        if last.codes and not segment.codes and not segment.quantity:
            return self._code_is(last.codes, segment)
        if segment.codes and not last.codes and not last.stated:
            return self._code_is(segment.codes, segment, last)
        if segment.codes or last.codes:
            return False
        if clash(last.facts, segment):
            return False
        if set(segment.words) & {word for word in last.words if word not in self.words.noise} or (
            segment.machine and last.machine and not last.carried
        ):
            return False
        shared = set(last.families) & set(segment.families)
        new = [word for word in self._usual(segment.words) if word in self.words.family_words]
        old = self._usual(last.words)
        if shared and set(new) <= set(old):
            return True  # the same noun under another name: "coil, helix"
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
        return draft

    # Stretches that name nothing themselves

    def _headless(self, segment: Segment, text: str, later: list[Segment]) -> None:
        last = self._last_in_group()
        heads_later = any(one.head for one in later)
        facts = [fact for fact in segment.facts if fact[0] not in IGNORED]
        counted = segment.quantity is not None or segment.vague
        if (counted and segment.unknown and not self._is_qualifier(segment)) or self._names_an_item(last, segment):
            self._say(self._draft(segment, text))
        elif last is None and heads_later and (facts or counted or segment.figures):
            self._pending.append(segment)
        elif last is not None and self._is_variant(last, segment, heads_later):
            self._vary(last, segment, text)
        elif last is not None and (facts or counted or segment.figures or segment.lane or segment.unknown):
            self._qualify(last, segment, text, heads_later)
        elif last is None and counted and facts and self.drafts and self.drafts[-1].words:
            self._vary(self.drafts[-1], segment, text)
        elif last is None and counted and self.drafts and not self.drafts[-1].stated and segment not in self._pending:
            count(self.drafts[-1], segment)
        elif (facts or segment.figures) and last is None and self.drafts and not segment.unknown:
            self._qualify(self.drafts[-1], segment, text, heads_later=False)
        elif segment.unknown or (counted and not heads_later):
            self.unread.append(text)

    def _names_an_item(self, last: Draft | None, segment: Segment) -> bool:
        """Whether words without a trade family are some item's words, and not those of the line before."""
        if (
            self.index is None
            or not segment.unknown
            or segment.joined not in (",", "and", "plus", "also", "+", "&", "")
        ):
            return False
        own = [self.words.usual(word)[0] for word in segment.words if word not in self.words.noise]
        if len(own) < 2 or not self.index.shared(own):
            return False
        before = [self.words.usual(word)[0] for word in last.words if word not in self.words.noise] if last else []
        return not before or not self.index.shared([*own, *before])

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
        if counted and last.stated and (segment.figures or segment.facts) and not heads_later:
            return True
        if counted and segment.facts and not last.stated and last is self._header:
            return True
        return bool(counted and segment.facts and any(kind == "hand" for kind, _, _ in segment.facts))

    def _vary(self, last: Draft, segment: Segment, text: str) -> None:
        kinds = {kind for kind, _, _ in segment.facts}
        first_variant = (
            not (set(last.facts) & kinds) and not last.figures and (not last.stated or self._totals(last, segment))
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
        if segment.figures and not kinds & {"mm", "count"}:
            other.facts.pop("mm", None)
            other.facts.pop("count", None)
        state(other, segment)
        if segment.quantity is None and not segment.vague and last.unit == "pair":
            last.unit = other.unit = "each"
        other.stated = False if segment.quantity or segment.vague else other.stated
        count(other, segment)
        other.text = text
        other.lane = segment.lane or other.lane
        self._say(other)

    def _totals(self, last: Draft, segment: Segment) -> bool:
        """ "4 spacers, 2 left 2 right": the first figure is the sum of those behind it."""
        return segment.quantity is not None and last.quantity is not None and segment.quantity.count < last.quantity

    def _qualify(self, last: Draft, segment: Segment, text: str, heads_later: bool) -> None:
        del heads_later
        targets = [draft for draft in self.drafts if draft.group == last.group and alike(draft, last)] or [last]
        for draft in targets:
            new = [(kind, value) for kind, value, _ in segment.facts if kind not in IGNORED and kind not in draft.facts]
            for kind, value in new:
                draft.facts.setdefault(kind, []).append(value)
            if draft is last or len(targets) > 1:
                draft.figures += segment.figures
        last.words += [word for word in segment.words if word not in last.words]
        last.lane = segment.lane or last.lane
        if segment.quantity is not None or segment.vague:
            if not last.stated:
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
            if clash(draft.facts, segment) or (segment.quantity is not None and draft.stated and segment.facts):
                other = copied(draft)
                for kind, _, _ in segment.facts:
                    other.facts.pop(kind, None)
                draft.plural = other.plural = False
                state(other, segment)
                if segment.quantity is not None or segment.vague:
                    other.stated = False
                    count(other, segment)
                    if not draft.stated:
                        draft.quantity = other.quantity
                    if other.unit == "pair":
                        other.unit, draft.unit, other.quantity, draft.quantity = "each", "each", 1, 1
                other.text = " ".join(token.text for token in segment.tokens) + " " + draft.text
                self._say(other)
            else:
                state(draft, segment)
                draft.figures += segment.figures
                draft.lane = draft.lane or segment.lane
                if not draft.stated:
                    count(draft, segment)

    def _each_of(self, segment: Segment) -> None:
        here = [draft for draft in self.drafts if draft.group == self._group]
        if not here and self.drafts and not any(draft.stated for draft in self.drafts):
            here = self.drafts  # said behind a list: "2 of each"
        elif not here:
            self._each = self._each_below = segment.each
        for draft in here:
            draft.quantity, draft.stated, draft.unit, draft.vague = int(segment.each), True, "each", False
            state(draft, segment)


def _cut(text: str, segment: Segment, segments: list[Segment]) -> str:
    base = min(one.start for one in segments)
    return text[segment.start - base : segment.end - base].strip(" ,;:-")
