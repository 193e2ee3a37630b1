"""What one stretch of a sentence says: its count, values, figures, words and the families they name."""

from __future__ import annotations

from partsbin.requests.describe import families
from partsbin.requests.heard import plural_head
from partsbin.requests.segment import BEHIND, SUPPLIES, TOLD_BY_SIZE, Segment
from partsbin.requests.token import CONTRACTED, Token
from partsbin.requests.words import Words


class Looker:
    """Reads stretches with one set of words; ``guess`` spells unknown ones against a catalogue when there is one."""

    def __init__(self, words: Words, guess: dict[str, str]) -> None:
        self.words = words
        self.guess = guess

    def _named(self, tokens: list[Token]) -> bool:
        return any(token.kind == "code" for token in tokens) or self._names(
            [token for token in tokens if token.kind in ("word", "attribute")]
        )

    def _names(self, tokens: list[Token]) -> bool:
        return bool(families(self.words, self.usual([token.text for token in tokens]))) if tokens else False

    def usual(self, said: list[str]) -> list[str]:
        """Usual words in order, misspelt ones guessed."""
        out: list[str] = []
        parts = [self.guess.get(part, part) for word in said for part in word.split()]
        for word in self.words.hear(parts):
            for part in word.split():
                out.extend(self.words.usual(part))
        return out

    def look(self, segment: Segment) -> Segment:
        """Read a segment's tokens into its fields."""
        said: list[str] = []
        for token in segment.tokens:
            if token.kind == "quantity":
                self._count(segment, token)
        for position, token in enumerate(segment.tokens):
            self._take(segment, token, position, said)
        segment.families = families(self.words, self.usual(said)) if said else {}
        if not segment.families and (thing := _named_by_size(segment)):
            segment.words.append(thing)
            segment.families = families(self.words, [thing])
        segment.plural = self._is_plural(said)
        segment.unknown = [word for word in segment.words if self._strange(word)]
        return segment

    def _take(self, segment: Segment, token: Token, position: int, said: list[str]) -> None:
        kind = token.kind
        if kind == "vague":
            segment.vague = True
        elif kind == "number":
            self._number(segment, token, position)
        elif kind == "attribute":
            segment.facts.extend((name, value, token.weak) for name, value in token.facts if name != "figure")
            segment.figures.extend(float(value) for name, value in token.facts if name == "figure")
            if token.weak:
                said.append(token.text)
                segment.words.extend(
                    word for word in token.text.split() if word in self.words.family_words or word in self.words.values
                )
        elif kind == "code":
            segment.codes.append(token.text)
        elif kind == "machine":
            segment.machine = token.text
        elif kind == "lane":
            segment.lane = token.text
        elif kind == "each":
            segment.each = token
        elif kind == "word" and token.text != "x" and not CONTRACTED.match(token.text):
            said.append(token.text)
            segment.words.append(token.text)

    def _count(self, segment: Segment, token: Token) -> None:
        if segment.quantity is None or segment.quantity.weak:
            segment.quantity = token

    def _number(self, segment: Segment, token: Token, position: int) -> None:
        """A bare figure counts when it leads or follows a plural; behind a singular it is a figure of the part."""
        before = segment.tokens[position - 1].text if position else ""
        whole = token.count == int(token.count)
        rest = [one for one in segment.tokens[position + 1 :] if one.kind in ("word", "attribute", "code", "machine")]
        front = [one for one in segment.tokens[:position] if one.kind in ("word", "attribute")]
        named = self._named(front) or any(one.kind == "code" for one in segment.tokens[:position])
        taken = segment.quantity is not None and not segment.quantity.weak
        cut_point = (
            before in ("in", "out", "-") and position > 1 and segment.tokens[position - 2].text in ("cut", "in", "out")
        )
        if not position and not taken and self._beyond_counting(token, rest):
            segment.vague = True  # no count anybody could mean: it is asked
        elif (
            taken
            or segment.each
            or cut_point
            or not whole
            or (token.count == 0 and position)
            or token.count > (9_999 if position == 0 or token.spelt or "," in token.text else 999)
            or before in ("a", "model", "type", "size", "number", "code", "key", "no")
            or (before in ("with", "w") and (named or not self._only_noise(front)))
        ):
            segment.figures.append(token.count)
        elif segment.tokens[0] is token and rest and self._is_plural([one.text for one in rest]):
            self._settle(segment, token, counts=True)
        elif not named and (rest or not front or self._only_noise(front)):
            threaded = any(kind == "thread" for one in rest for kind, _ in one.facts)
            single = bool(rest) and self._names(rest) and not self._is_plural([one.text for one in rest])
            modelled = bool(front) and not self._only_noise(front)  # "for the Halden 600 we need"
            self._settle(segment, token, counts=threaded or token.count < 100 or not (single or modelled))
        else:
            sized = any(
                kind == "size" or (isinstance(value, float) and kind != "volts")
                for one in segment.tokens[:position]
                for kind, value in one.facts
            )
            threaded = any(kind == "thread" for one in segment.tokens[:position] for kind, _ in one.facts)
            counts = self._counts_behind([one.text for one in front], token, sized=sized, threaded=threaded)
            self._settle(segment, token, counts=counts)

    def _beyond_counting(self, token: Token, rest: list[Token]) -> bool:
        """Whether a leading figure counts what follows and yet cannot: a million keypads, 1.5 keypads."""
        several = self._is_plural([one.text for one in rest])
        return bool(rest) and (
            token.count > 9_999 or (several and token.count != int(token.count) and "/" not in token.text)
        )

    def _settle(self, segment: Segment, token: Token, *, counts: bool) -> None:
        if counts:
            segment.quantity = Token(token.text, token.start, token.end, "quantity", count=token.count)
        else:
            segment.figures.append(token.count)

    def _counts_behind(self, front: list[str], token: Token, *, sized: bool, threaded: bool) -> bool:
        if token.count in SUPPLIES and front:
            return False
        if self._is_plural(front) or (token.spelt and token.count < 100) or not front:
            return True
        if token.count in (24, 48, 110, 115, 120, 208, 220, 230, 240):
            return False
        if sized and (token.count <= 60 or threaded):
            return True
        if token.count > 60:
            return False
        named = families(self.words, self.usual(front))
        return not any(named[code] == 1.0 for code in TOLD_BY_SIZE & named.keys())

    def _only_noise(self, tokens: list[Token]) -> bool:
        return all(token.text in self.words.noise or token.kind == "attribute" for token in tokens)

    def _is_plural(self, said: list[str]) -> bool:
        """Whether the noun before the first linking word is a plural: the last word that names the thing decides."""
        cut = next((place for place, word in enumerate(said) if word in BEHIND), len(said))
        front = said[:cut]
        codes = set(families(self.words, self.usual(front))) if front else set()
        bag = set(self.usual(front))
        naming = {
            word
            for one in bag
            for pattern in self.words.family_words.get(one, ())
            if pattern <= bag and codes & set(self.words.families[pattern])
            for word in pattern
        }
        nouns = [
            word
            for word in front
            if naming & set(self.usual([word])) and word.replace(" ", "") not in self.words.values
        ]
        if not nouns:
            return False
        last, meant = nouns[-1], self.guess.get(nouns[-1], nouns[-1])
        misspelt = meant != last and last.endswith("s") and not last.endswith("ss") and not meant.endswith("s")
        return misspelt or plural_head(meant, self.words)

    def _strange(self, word: str) -> bool:
        words = self.words
        if word in words.noise or word in words.vague or word in words.values or len(word) < 2:
            return False
        return word not in words.canon and words.usual(word)[0] not in words.known and word not in words.heard


def _named_by_size(segment: Segment) -> str:
    """What "a cr2032", "16 M5x16" and "5x20 2A" name by their size alone; empty for any other size."""
    kinds = {kind for kind, _, _ in segment.facts}
    if {"size", "amps"} <= kinds:
        return "fuse"
    return "battery" if "cell" in kinds else "screw" if {"thread", "mm"} <= kinds and not segment.words else ""
