"""One noun said once for several kinds: "3 upper and 3 lower gauze discs", "wedges lh & rh", "small and large aprons".

Which words are the noun and which the kind only the catalogue can tell: each stretch without a noun takes the words
and values of its neighbour, less those it puts others in place of, wherever an item is called so.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations, takewhile

from partsbin.requests.called import Called, front, uncounted
from partsbin.requests.describe import LINKS
from partsbin.requests.looking import Looker
from partsbin.requests.measures import stated
from partsbin.requests.packs import PACKED
from partsbin.requests.pairs import only_hands, paired
from partsbin.requests.rows import in_a_row
from partsbin.requests.segment import Segment
from partsbin.requests.token import Token

_AND = ("and", "&", "+", "plus", "also")
_ONES = re.compile(r"(?:the|that|those) (?:ones?\b|(?:\S+ ){1,3}ones?$)")
_IN_A_BREATH = 40  # stretches of one sentence; a page without a stop is no talk of kinds, and would take minutes
_SEVERAL = 2
_JOINING = (*_AND, "/", "or", ",", "(", "run")


class Sharer:
    """Gives every kind its noun, with one looker and one catalogue."""

    def __init__(self, looker: Looker, called: Called) -> None:
        self._looker = looker
        self._called = called

    def share(self, segments: list[Segment]) -> list[Segment]:
        """The segments of a sentence, those that only name a kind completed with the noun beside them."""
        if len(segments) > _IN_A_BREATH:
            return segments
        segments = in_a_row(segments, self._looker, self._called)
        whole = self._with_both_hands(self._with_tail(segments))
        for place in range(len(whole) - 2):
            self._headed(whole, place)
        whole = [segment for segment in whole if segment.tokens]
        handed = any(kind == "hand" for segment in whole for kind, _, _ in segment.facts)
        out = [one for segment in whole for one in paired(segment, self._looker, self._called, handed=handed)]
        for place in range(len(out) - 1):
            self._describe(out, place)
        out = [segment for segment in out if segment.tokens]
        for place in range(len(out) - 1, 0, -1):
            self._before(out, place)
        for place in range(len(out) - 1):
            if out[place].tokens and out[place + 1].tokens:
                self._figures(out, place)
                self._behind(out, place)
        for place, segment in enumerate(out):
            segment.named = segment.named or self._is_next(out[:place], segment)
        return [segment for segment in out if segment.tokens]

    def _with_tail(self, segments: list[Segment]) -> list[Segment]:
        """The segments, what is said of all at the end with each: "orange x3 lemon x2 all 500 bottles"."""
        last = segments[-1].tokens if segments else []
        at = next((place for place, token in enumerate(last) if token.text == "all"), len(last))
        counted = [one for one in segments if one.quantity and one.head]
        tail = [token for token in last[at:] if token.kind == "attribute" or token.text not in ("all", "of")]
        if not tail or len(counted) < _SEVERAL or any(token.kind not in ("word", "attribute") for token in tail):
            return segments
        unit = next((PACKED[token.text] for token in tail if token.text in PACKED), "")
        tail = [token for token in tail if token.text not in PACKED]
        if not any(self._called.places([*uncounted(one), *tail]) for one in counted):
            return segments
        told = [*segments[:-1], replace(segments[-1], tokens=last[:at])]
        return [self._told(one, tail, unit) if one.quantity and one.head else one for one in told if one.tokens]

    def _told(self, one: Segment, tail: list[Token], unit: str) -> Segment:
        """A stretch with what is said of all, where the catalogue has such a thing."""
        more = tail if self._called.places([*uncounted(one), *tail]) else []
        made = self._looker.look(Segment(tokens=[*one.tokens, *more], joined=one.joined))
        made.tokens = one.tokens
        if unit and made.quantity and made.quantity.unit == "each":
            made.quantity = replace(made.quantity, unit=unit)
        return made

    def _with_both_hands(self, segments: list[Segment]) -> list[Segment]:
        """The segments, "both hands" said behind a comma with the thing before it."""
        out: list[Segment] = []
        for segment in segments:
            if out and segment.joined in _JOINING and only_hands(segment):
                own = uncounted(out[-1]) if segment.quantity else out[-1].tokens
                tokens = [*own, *segment.tokens]
                out[-1] = self._looker.look(Segment(tokens=tokens, joined=out[-1].joined))
            else:
                out.append(segment)
        return out

    def _before(self, out: list[Segment], noun: int) -> None:
        """Complete the kinds before a noun."""
        first = noun
        while first and out[first].joined in _JOINING:
            kind = self._completed(self._sized(out[first - 1], out[noun]), out[noun], before=True)
            if kind is None:
                break
            first -= 1
            out[first] = kind
        if first < noun:
            _settle(out, first, noun)

    def _behind(self, out: list[Segment], noun: int) -> None:
        """Complete the kinds behind a noun."""
        last = noun
        while last + 1 < len(out) and out[last + 1].joined in _JOINING:
            kind = self._completed(out[last + 1], out[noun], before=False)
            if kind is None:
                break
            last += 1
            out[last] = kind
        if last > noun:
            _settle(out, noun, last)

    def _headed(self, out: list[Segment], noun: int) -> None:
        """Complete the kinds behind a noun of no kind: "aprons: 2 small, 3 medium", "2 stats (1 digital 1 dial)"."""
        head, shared = out[noun], uncounted(out[noun])
        if head.vague or head.negated or head.codes or not self._called.is_thing(shared):
            return
        behind = takewhile(lambda one: one.joined in (":", *_JOINING) and self._is_sort(one, shared), out[noun + 1 :])
        kinds = [(one, self._called.places([*uncounted(one), *shared])) for one in behind]
        apart = all(found and found.isdisjoint(other) for (_, found), (_, other) in permutations(kinds, 2))
        valued = out[noun + 1].joined == ":" or all(_kinds(uncounted(one)) for one, _ in kinds)
        if not valued and self._called.spelt_out(shared):
            return  # "boiler, gasket and probe"
        if len(kinds) > 1 and apart and _totals(head, [one for one, _ in kinds]):
            for place, (kind, _) in enumerate(kinds, noun + 1):
                kind.each = kind.each or (None if kind.quantity or kind.vague else head.each)
                out[place] = self._made(kind, shared)
            _settle(out, noun + 1, noun + len(kinds))
            head.tokens = []

    def _is_sort(self, segment: Segment, noun: list[Token]) -> bool:
        """Whether a stretch names a kind, or only with the noun all that some item is called: "nozzles: one water"."""
        if self._is_kind(segment):
            return True
        own = uncounted(segment)
        turns = segment.codes or segment.machine or segment.negated or segment.amends or segment.again
        named = bool(self._called.telling(own)) and not turns
        return named and self._called.spelt_out([*own, *noun]) and not self._called.spelt_out(own)

    def _completed(self, kind: Segment, noun: Segment, *, before: bool) -> Segment | None:
        """The kind with its neighbour's noun, where an item is called so and none is both."""
        own, whole = uncounted(kind), self._plainly(uncounted(noun))
        here = self._called.places(whole) if self._is_kind(kind) and not (noun.negated or noun.codes) else set()
        for kept in self._kept(own, whole, before=before) if here else ():
            there = self._called.places([*own, *kept])
            if there and there.isdisjoint(here):
                return self._made(kind, kept)
        return None

    def _sized(self, kind: Segment, noun: Segment) -> Segment:
        """For "12 and 16 mm clamps": a bare figure takes the unit of the figure behind it."""
        size = next(iter(uncounted(noun)), None)
        unit = re.fullmatch(r"[\d./]+ ?([a-z]+)", size.text) if size and size.kind == "attribute" else None
        bare = kind.tokens[-1]
        if unit is None or bare.kind != "number" or any(token.kind == "word" for token in kind.tokens):
            return kind
        text = f"{bare.count:g} {unit[1]}"
        token = replace(bare, text=text, kind="attribute", facts=tuple(stated(text)))
        return self._looker.look(Segment(tokens=[*kind.tokens[:-1], token], joined=kind.joined))

    def _figures(self, out: list[Segment], noun: int) -> None:
        """For "ejectors 70 and 80": figures that are sizes of the thing count nothing."""
        thing, kind = out[noun], out[noun + 1]
        if thing.tokens[-1].kind != "number" or [token.kind for token in kind.tokens] != ["number"]:
            return
        sizes = [_figure(one.tokens[-1]) for one in (thing, kind)]
        if all(self._called.places([*uncounted(thing), size]) for size in sizes):
            for place, tokens in ((noun, [*thing.tokens[:-1], sizes[0]]), (noun + 1, sizes[1:])):
                out[place] = self._looker.look(Segment(tokens=tokens, joined=out[place].joined))

    def _describe(self, out: list[Segment], place: int) -> None:
        """Take "two readers, the ones with the 300 magazine" as one: what describes the thing is no thing."""
        thing, more = out[place : place + 2]
        if thing.negated or more.negated or more.joined not in (",", "(", "-") or not _ONES.match(more.said):
            return
        own = [_figure(token) if token.kind == "number" else token for token in more.tokens if token.text not in LINKS]
        if self._called.places([*uncounted(thing), *(token for token in own if token.kind != "quantity")]):
            out[place] = self._looker.look(Segment(tokens=[*thing.tokens, *own], joined=thing.joined))
            more.tokens = []

    def _plainly(self, noun: list[Token]) -> list[Token]:
        """A noun without its "for" where an item has the words on both sides of it: "canisters for cocoa"."""
        plain = [token for token in noun if token.text not in LINKS]
        return plain if self._called.places(plain) else noun

    def _made(self, kind: Segment, kept: list[Token]) -> Segment:
        made = self._looker.look(Segment(tokens=[*uncounted(kind), *kept]))
        made.tokens, made.joined, made.lane = kind.tokens, kind.joined, kind.lane
        made.quantity, made.vague, made.each = kind.quantity, kind.vague, kind.each
        return made

    def _kept(self, own: list[Token], noun: list[Token], *, before: bool) -> Iterator[list[Token]]:
        """What of a noun goes to another kind: all but the values, or the one word, that this kind has others for."""
        kinds = _kinds(own)
        kept = [token for token in noun if not (token.facts and _kinds([token]) <= kinds)]
        telling = self._called.telling(front(kept))
        if len(kept) < len(noun) and telling:
            yield kept
        if self._called.telling(own):
            said = [token for token in kept if token in telling or token.facts]
            for out in said[:-1] if before else reversed(said):
                if len(telling) > 1 or out.facts:
                    yield [token for token in kept if token is not out]

    def _is_kind(self, segment: Segment) -> bool:
        """Whether a stretch may name a kind and no thing of its own."""
        if segment.codes or segment.machine or segment.negated or segment.amends or segment.again:
            return False
        own = uncounted(segment)
        count = segment.quantity.count if segment.quantity else 1
        telling = self._called.telling(front(own))
        if self._called.strange(own) or not (telling or _kinds(own)) or len(self._called.telling(own)) > len(telling):
            return False
        if len(telling) > 1 and self._called.names(own):
            return False
        return not telling or not self._called.is_noun(telling[-1].text, count)

    def _is_next(self, before: list[Segment], segment: Segment) -> bool:
        """Whether a stretch that names nothing the trade knows is a thing of the catalogue: "and a padlock"."""
        if segment.head or segment.negated or segment.amends or not self._called.is_said(segment):
            return False
        own = uncounted(segment)
        counted = segment.has_article or segment.quantity is not None or any(one.each for one in before)
        if not (self._called.names(own) or (counted and self._called.picks(own))):
            return False
        last = next((one for one in reversed(before) if self._called.telling(one.tokens)), None)
        if last is None:
            return True
        parted = segment.joined in _AND or counted
        return parted and not self._called.come_together(uncounted(last), own)


def _totals(head: Segment, kinds: list[Segment]) -> bool:
    """Whether a count before kinds is the sum of theirs, or there is none."""
    if head.quantity is None:
        return True
    each = [one.quantity.count if one.quantity else 1 for one in kinds]
    return head.quantity.count == (sum(each) / 2 if head.quantity.unit == "pair" else sum(each))


def _figure(token: Token) -> Token:
    return replace(token, kind="attribute", facts=(("figure", token.count),))


def _kinds(tokens: list[Token]) -> set[str]:
    return {kind for token in tokens for kind, _ in token.facts}


def _settle(out: list[Segment], first: int, last: int) -> None:
    """Kinds of one noun: a count said once, or "5 ea" behind them, holds for each."""
    run = out[first : last + 1]
    counted = [one for one in run if one.quantity or one.vague or one.each]
    behind = out[last + 1] if last + 1 < len(out) else None
    for one in run:
        one.named, one.noun = True, run[0].start
        one.plural = False  # "left and right hatches" are one of each
        if len(counted) == 1 and not one.each and not one.has_article:
            one.quantity, one.vague = counted[0].quantity, counted[0].vague
            if one.quantity and one.quantity.unit == "pair" and len(run) == 2:
                one.quantity = replace(one.quantity, unit="each")  # "2 pairs, left and right"
    if not counted and behind is not None and behind.quantity and not uncounted(behind):
        pair = behind.quantity.unit == "pair" and len(run) == 2
        behind.each = replace(behind.quantity, kind="each", unit="each" if pair else behind.quantity.unit)
