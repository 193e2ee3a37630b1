"""Taking back and changing what was asked earlier in a message."""

from __future__ import annotations

from dataclasses import replace

from partsbin.requests.drafts import DROPS, IGNORED, Draft, clash, count, finished, likeliest, said
from partsbin.requests.segment import SUPPLIES, Segment
from partsbin.requests.types import AskedLine
from partsbin.requests.wordlists import listed

_EVERYTHING = frozenset(("everything", "all", "lot", "both"))
_LAST = listed("that it those them last one these this")
_INSTEAD = ("make that", "make it", "change that", "change it", "i mean", "meant")


class Changes:
    """The part of a book of lines that goes back over what stands in it."""

    def __init__(self) -> None:
        self.drafts: list[Draft] = []
        self.cancelled: list[AskedLine] = []
        self.intents: list[tuple[str, str]] = []

    def _draft(self, segment: Segment, text: str) -> Draft:
        raise NotImplementedError

    def _take_back(self, segment: Segment, text: str) -> bool:
        """Honour "no gasket", "drop the left one", "cancel that": whether the segment took something back."""
        words = set(segment.words)
        if segment.head:
            self._take_back_thing(segment, text)
            return True
        if segment.facts or segment.figures:
            return self._drop_valued(segment) or self._exclude(segment)
        if words & _EVERYTHING and DROPS.match(said(segment)):
            for draft in list(self.drafts):
                self._cancel(draft)
            return True
        if words & _LAST and self.drafts and not segment.amends:
            self._cancel(self.drafts[-1])
            return True
        return segment.quantity is not None

    def _take_back_thing(self, segment: Segment, text: str) -> None:
        matching = self._matching(segment)
        if matching:
            self._cancel(matching[0])
        elif not set(segment.words) & {"keep", "fine", "ok"}:
            self.cancelled.append(replace(finished(self._draft(segment, text)), text=text))
            self.intents.append(("cancel", text))

    def _drop_valued(self, segment: Segment) -> bool:
        """For "drop the left one": the latest line with that value."""
        if not segment.facts or not DROPS.match(said(segment)):
            return False
        for draft in reversed(self.drafts):
            if all(value in draft.facts.get(kind, []) for kind, value, _ in segment.facts):
                self._cancel(draft)
                return True
        return False

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

    def _cancel(self, draft: Draft) -> None:
        self.drafts = [one for one in self.drafts if one is not draft]
        self.cancelled.append(finished(draft))

    def _matching(self, segment: Segment) -> list[Draft]:
        """Earlier lines a segment speaks of again, the latest first."""
        found = []
        for draft in reversed(self.drafts):
            same_code = bool(set(segment.codes) & set(draft.codes))
            same_family = bool(set(likeliest(segment.families)) & set(likeliest(draft.families)))
            if same_code or (same_family and not clash(draft.facts, segment)):
                found.append(draft)
        return found

    def _amend(self, segment: Segment, text: str) -> bool:
        """Honour "make that three", "sorry, right hand": whether the segment changed something."""
        if not self.drafts:
            return False
        says = (segment.head, segment.quantity, segment.facts, segment.vague, segment.figures)
        if not any(says):
            return True
        matching = self._matching(segment) if segment.head else self.drafts[-1:]
        if matching:
            self._change(matching[0], segment)
            return True
        if segment.head and any(phrase in said(segment) for phrase in _INSTEAD):
            self._replace(segment, text)
            return True
        return False

    def _replace(self, segment: Segment, text: str) -> None:
        """For "make that a gasket": another thing in the last line's place, its count kept unless a new one is said."""
        old = self.drafts[-1]
        new = self._draft(segment, text)
        if not new.stated:
            new.quantity, new.unit, new.stated = old.quantity, old.unit, old.stated
        self._cancel(old)
        self.drafts.append(new)

    def _change(self, draft: Draft, segment: Segment) -> None:
        for kind, value, _ in segment.facts:
            if kind not in IGNORED:
                draft.facts[kind] = [value]
        supply = [figure for figure in segment.figures if figure in SUPPLIES or figure in (12, 24)]
        if supply and "volts" in draft.facts:
            draft.facts["volts"] = list(supply)
        else:
            draft.figures = list(segment.figures) or draft.figures
        if segment.quantity is not None or segment.vague:
            draft.stated = False
            count(draft, segment)
        draft.words += [word for word in segment.words if word not in draft.words and segment.head]
