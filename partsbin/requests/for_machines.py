"""The machines a message names, and the lines they hold for: "controller for the Q2 and the Alder 20"."""

from __future__ import annotations

from partsbin.requests.drafts import copied, count
from partsbin.requests.index import Index
from partsbin.requests.segment import Segment
from partsbin.requests.variants import Variants
from partsbin.requests.words import Words

_BESIDE = ("and", "&", "+", "/")
_TWO = 2


class ForMachines(Variants):
    """The part of a book of lines that knows which machine is spoken of."""

    def __init__(self, words: Words, index: Index | None) -> None:
        super().__init__(words, index)
        self.machine = ""
        self._current_machine = ""

    def _say_machine(self, name: str) -> None:
        self._current_machine = name
        self.machine = self.machine or name

    def _machine_behind(self, first: int, segments: list[Segment]) -> None:
        """A machine named at a sentence's end holds for its earlier lines too."""
        named = next((segment.machine for segment in reversed(segments) if segment.machine), "")
        if not named:
            return
        for draft in self.drafts[first:]:
            if not draft.machine or draft.carried:
                draft.machine, draft.carried = named, True

    def _is_the_machine(self, segment: Segment) -> bool:
        """Whether a figure is that of the machine just named: "it's a Robin 15, so the 15 one"."""
        if segment.head or segment.facts or segment.quantity is None:
            return False
        known = f"{segment.quantity.count:g}" in self._current_machine.split()
        return known and any(token.text == "one" for token in segment.tokens)

    def _machine_alone(self, segment: Segment, text: str) -> bool:
        """Whether a machine named without a thing asks for the last thing; else it is noted for what follows."""
        if self._for_machine(segment, text):
            return True
        if not segment.quantity:
            self._say_machine(segment.machine)
            if self.drafts and self.drafts[-1].group == self._group and not self.drafts[-1].machine:
                self.drafts[-1].machine = segment.machine
        return False

    def _for_machine(self, segment: Segment, text: str) -> bool:
        """Whether a stretch asks for the last thing once more, for another machine: "and one for the Alder 20"."""
        last = self._last_in_group()
        if last is None or segment.facts or segment.joined not in (*_BESIDE, ",", ":") or self._telling(segment):
            return False
        if not last.machine or last.carried:
            if segment.joined != ":" or segment.quantity is None:
                return False
            last.machine, last.carried = segment.machine, False
            count(last, segment)
            return True
        if last.machine == segment.machine:
            return False
        other = copied(last)
        other.machine, other.text = segment.machine, f"{last.text}, {text}"
        if segment.quantity or segment.vague:
            other.stated = False
            count(other, segment)
        elif last.stated and (last.quantity or 0) > 1:  # two for two machines are one each; else nobody has said
            each = 1 if last.quantity == _TWO else None
            last.quantity = other.quantity = each
            last.vague = other.vague = each is None
        else:
            last.plural = other.plural = False  # "main boards for the Q2 and the Q9"
        self._say_machine(segment.machine)
        self._say(other)
        return True
