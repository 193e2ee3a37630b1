"""A sentence's tokens cut into segments, one thing each, with what each says."""

from __future__ import annotations

from dataclasses import dataclass, field

from partsbin.requests.describe import LINKS, families
from partsbin.requests.measures import Value
from partsbin.requests.quantities import plural_head
from partsbin.requests.tokens import Token
from partsbin.requests.words import Words

_BREAKS = frozenset((",", ";", "+", "&", ":", "\n", "=", "(", ")", "[", "]"))
_JOINS = frozenset(("and", "plus", "also", "then", "&", "+"))
_INSIDE = frozenset(
    (
        "with",
        "w",
        "for",
        "on",
        "in",
        "of",
        "at",
        "to",
        "as",
        "is",
        "like",
        "from",
        "has",
        "into",
        "onto",
        "by",
        "behind",
        "without",
        "that",
    )
)
_LINKS = LINKS | {"w", "without", "holds", "hold", "holding"}
_JOINERS = frozenset(["join", "joins", "joining", "connects", "between", "links", "couples"])
_TURNING = frozenset(["no", "wait", "actually", "sorry", "oh", "hang", "on", "correction", "oops", "er", "um"])
_HELPERS = frozenset(
    [
        "do",
        "does",
        "did",
        "is",
        "are",
        "was",
        "were",
        "will",
        "would",
        "should",
        "can",
        "could",
        "am",
        "has",
        "have",
        "had",
        "i'm",
        "it's",
        "that's",
    ]
)
# No one thing takes more words than this to ask for; without a limit a page of figures would be read for minutes.
LONGEST = 60
# A bare figure behind these is a size sooner than a count: "spacer left 10", "fuse 5".
_TOLD_BY_SIZE = frozenset(("DLV-SPC", "DLV-COIL", "CTL-FUSE", "DOR-LED", "CTL-RLY", "PAY-HARN", "DLV-TRHN"))
_SUPPLIES = frozenset((110, 115, 120, 208, 220, 230, 240))
_CONTAINERS = frozenset((200, 250, 330, 355, 375, 440, 473, 500, 591))


@dataclass(slots=True)
class Segment:
    """One stretch that names at most one thing."""

    tokens: list[Token] = field(default_factory=list)
    joined: str = ""
    quantity: Token | None = None
    vague: bool = False
    facts: list[tuple[str, Value, bool]] = field(default_factory=list)
    figures: list[float] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    codes: list[str] = field(default_factory=list)
    machine: str = ""
    lane: str = ""
    each: float = 0.0
    families: dict[str, float] = field(default_factory=dict)
    unknown: list[str] = field(default_factory=list)
    plural: bool = False
    negated: bool = False
    amends: bool = False
    cancels: bool = False

    @property
    def head(self) -> bool:
        """Whether the segment names a thing."""
        return bool(self.families or self.codes)

    @property
    def start(self) -> int:
        """Where the segment's words start."""
        return self.tokens[0].start if self.tokens else 0

    @property
    def end(self) -> int:
        """Where the segment's words end."""
        return max((token.end for token in self.tokens), default=0)


def usual_of(words: Words, *said: str) -> list[str]:
    """Usual words of spoken words, mishearings put right."""
    return [one for word in words.hear(list(said)) for part in word.split() for one in words.usual(part)]


class Cutter:
    """Cuts sentences with one set of words; ``guess`` spells unknown words against a catalogue when there is one."""

    def __init__(self, words: Words, guess: dict[str, str]) -> None:
        self.words = words
        self.guess = guess

    def cut(self, tokens: list[Token]) -> list[Segment]:
        """Segments of one sentence, in order."""
        segments: list[Segment] = []
        current = Segment()
        joined = ""
        for position, token in enumerate(tokens):
            breaks = (token.kind == "mark" and token.text in _BREAKS) or (token.kind == "word" and token.text in _JOINS)
            if breaks:
                if token.text in ("and", "&") and self._inside_and(tokens, position):
                    current.tokens.append(token)
                    continue
                segments.append(current)
                joined = token.text if not joined or current.tokens else joined
                current = Segment(joined=token.text)
            elif token.kind == "mark":
                continue
            elif len(current.tokens) >= LONGEST or self._starts_new(current, tokens, position):
                segments.append(current)
                current = Segment(tokens=[token], joined="run")
            else:
                current.tokens.append(token)
        segments.append(current)
        return [self.look(segment) for segment in segments if segment.tokens]

    def _inside_and(self, tokens: list[Token], position: int) -> bool:
        """ "chip and pin", "emitter and receiver", "can and bottle": one thing said with an and."""
        if 0 < position < len(tokens) - 1:
            left, right = tokens[position - 1], tokens[position + 1]
            kinds = [token.facts[0][0] if token.kind == "attribute" and token.facts else "" for token in (left, right)]
            if kinds[0] and kinds[0] == kinds[1] and kinds[0] in ("pay", "form", "stack"):
                return True
        if self._one_name(tokens, position):
            return True
        before = tokens[position - 1].text if position else ""
        after = tokens[position + 1].text if position + 1 < len(tokens) else ""
        return (before, after) in {
            ("chip", "pin"),
            ("up", "down"),
            ("can", "bottle"),
            ("nuts", "bolts"),
            ("emitter", "receiver"),
            ("relay", "overload"),
        }

    def _one_name(self, tokens: list[Token], position: int) -> bool:
        """Whether the words on both sides name one thing that neither side names alone ("start relay & overload 1/4 hp")."""
        near = [token for token in tokens[max(0, position - 3) : position] if token.kind == "word"]
        next_word = tokens[position + 1] if position + 1 < len(tokens) else None
        if next_word is None or next_word.kind != "word" or not near or tokens[position - 1].kind != "word":
            return False
        front, back = self.usual([token.text for token in near]), self.usual([next_word.text])
        if any(token.text in _JOINERS for token in near[-3:]):
            return True
        if not set(back) - self.words.noise:
            return False
        behind = [token for token in tokens[position + 1 : position + 4] if token.kind == "word"]
        apart = families(self.words, self.usual([token.text for token in behind]))
        whole = frozenset({*front, *back} - self.words.noise)
        codes = self.words.families.get(whole, ())
        if len(whole) < 3 or not codes or (apart and not set(codes[:1]) & set(apart)):
            return False
        return bool(set(codes[:1]) & set(families(self.words, front)))

    def _starts_new(self, current: Segment, tokens: list[Token], position: int) -> bool:
        """Whether a run-on sentence starts its next thing at this token."""
        token = tokens[position]
        before = tokens[position - 1].text if position else ""
        if before == "/" and position > 1 and tokens[position - 2].text == "w":
            before = "with"
        kinds = {one.kind for one in current.tokens}
        if self._turns(current, tokens, position):
            return True
        if token.text in ("so", "but") and self._closed(current):
            near = tokens[position + 1 : position + 4]
            return any(one.kind in ("number", "quantity", "vague") or one.text in ("just", "only") for one in near)
        if token.kind == "number" and token.count != int(token.count):
            return False
        if token.kind in ("quantity", "number", "vague"):
            return self._new_at_count(current, tokens, position, before, kinds)
        if token.kind == "code":
            return "code" in kinds or (
                "quantity" in kinds and self._named(current.tokens) and current.tokens[-1].kind == "quantity"
            )
        if token.text in ("a", "an", "another") and before not in _INSIDE and self._closed(current):
            return self._head_ahead(tokens, position)
        if (
            token.kind == "word"
            and current.tokens
            and current.tokens[-1].kind == "quantity"
            and self._named(current.tokens[:-1])
        ):
            return token.text not in _INSIDE and self._head_ahead(tokens, position - 1, near=3)
        return False

    def _turns(self, current: Segment, tokens: list[Token], position: int) -> bool:
        """Whether speech turns on itself here: "no wait make it three", "left not right"."""
        text = tokens[position].text
        after = [token.text for token in tokens[position + 1 : position + 3]] + ["", ""]
        if not current.tokens or all(token.text in _TURNING or token.kind == "filler" for token in current.tokens):
            return False
        if text in ("actually", "sorry", "correction", "oops"):
            return position + 1 < len(tokens)
        if text == "make" and after[0] in ("that", "it", "those", "them"):
            return True
        if text == "no" and after[0] in ("wait", "make", "sorry", "actually"):
            return True
        if text in ("scratch", "scrap", "cancel", "forget") and after[0] in ("that", "it", "the", "those", "last"):
            return True
        if text == "i" and after[0] in ("mean", "meant"):
            return True
        if text != "not" or tokens[position - 1].text in _HELPERS:
            return False
        denied = position + 1 + (after[0] in ("the", "a", "an"))
        return denied < len(tokens) and (
            tokens[denied].kind in ("attribute", "number", "quantity")
            or tokens[denied].text in self.words.values
            or self._names([tokens[denied]])
        )

    def _new_at_count(self, current: Segment, tokens: list[Token], position: int, before: str, kinds: set[str]) -> bool:
        token = tokens[position]
        if before in _INSIDE and token.kind == "number" and before != "to":
            return False
        if "quantity" in kinds and token.kind in ("quantity", "vague"):
            return True
        if token.kind == "number" and token.count in _CONTAINERS and "quantity" in kinds:
            return False
        counted = bool(kinds & {"quantity", "number", "vague"})
        if counted and token.kind == "number":
            # A second figure straight behind the first is a size ("3 10"), anywhere else it counts the next thing.
            apart = current.tokens[-1].kind not in ("number", "quantity")
            return apart and (self._head_ahead(tokens, position) or self._variant_ahead(tokens, position))
        if not self._named(current.tokens) or self._is_supply(tokens, position):
            return False
        return self._head_ahead(tokens, position) and (token.kind == "number" or self._prefixes(tokens, position))

    def _is_supply(self, tokens: list[Token], position: int) -> bool:
        """ "relay 24 coil": a supply's figure before a single thing is no count of it."""
        after = tokens[position + 1].text if position + 1 < len(tokens) else ""
        return (
            tokens[position].kind == "number"
            and tokens[position].count in (12, 24, *_SUPPLIES)
            and not plural_head(after, self.words)
        )

    def _prefixes(self, tokens: list[Token], position: int) -> bool:
        """x2 behind a noun belongs to it; 2x, "2 of", "a pair of" before a noun belong to what follows."""
        token = tokens[position]
        return not token.text.startswith(("x", "(", "qty", "quantity")) and not token.text.endswith(
            (" ea", " off", " each")
        )

    def _closed(self, current: Segment) -> bool:
        return self._named(current.tokens)

    def _variant_ahead(self, tokens: list[Token], position: int) -> bool:
        after = tokens[position + 1] if position + 1 < len(tokens) else None
        return after is not None and after.kind == "attribute"

    def _head_ahead(self, tokens: list[Token], position: int, near: int = 6) -> bool:
        """Whether a thing is named before the next break or count."""
        front: list[Token] = []
        for token in tokens[position + 1 : position + 1 + near]:
            if token.kind in ("mark", "quantity", "number", "vague") or token.text in _JOINS or token.text in _INSIDE:
                return False
            if token.kind == "code":
                return True
            if token.kind == "word":
                front.append(token)
                if self._names(front):
                    return True
        return False

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
        if segment.families and not self._has_front(said):
            segment.families = segment.families if segment.quantity else self._front_families(said)
        if not segment.families and any(kind == "cell" for kind, _, _ in segment.facts):
            segment.words.append("battery")  # "a cr2032" names the thing by its size alone
            segment.families = families(self.words, ["battery"])
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
            segment.each = token.count
        elif kind == "word" and token.text != "x":
            said.append(token.text)
            segment.words.append(token.text)

    def _count(self, segment: Segment, token: Token) -> None:
        if segment.quantity is None or segment.quantity.weak:
            segment.quantity = token

    def _number(self, segment: Segment, token: Token, position: int) -> None:
        """A bare figure counts things when it leads or follows a plural; behind a singular it is a figure of the part."""
        before = segment.tokens[position - 1].text if position else ""
        whole = token.count == int(token.count)
        rest = [one for one in segment.tokens[position + 1 :] if one.kind in ("word", "attribute", "code", "machine")]
        front = [one for one in segment.tokens[:position] if one.kind in ("word", "attribute")]
        named = self._named(front) or any(one.kind == "code" for one in segment.tokens[:position])
        taken = segment.quantity is not None and not segment.quantity.weak
        cut_point = (
            before in ("in", "out", "-") and position > 1 and segment.tokens[position - 2].text in ("cut", "in", "out")
        )
        if (
            taken
            or cut_point
            or not whole
            or token.count == 0
            or token.count > 999
            or before in ("with", "w", "model", "type", "size", "number", "code", "key", "no")
        ):
            segment.figures.append(token.count)
        elif not named and (rest or not front or self._only_noise(front)):
            counts = not (
                token.count > 99 and rest and self._names(rest) and not self._is_plural([one.text for one in rest])
            )
            self._settle(segment, token, counts=counts)
        else:
            sized = any(
                kind == "size" or (isinstance(value, float) and kind != "volts")
                for one in segment.tokens[:position]
                for kind, value in one.facts
            )
            self._settle(segment, token, counts=self._counts_behind([one.text for one in front], token, sized=sized))

    def _settle(self, segment: Segment, token: Token, *, counts: bool) -> None:
        if counts:
            segment.quantity = Token(token.text, token.start, token.end, "quantity", count=token.count)
        else:
            segment.figures.append(token.count)

    def _counts_behind(self, front: list[str], token: Token, *, sized: bool) -> bool:
        if token.count in _SUPPLIES:
            return False
        if self._is_plural(front) or token.spelt:
            return True
        if token.count in (24, 48, 110, 115, 120, 208, 220, 230, 240) or token.count > 60:
            return False
        if sized:
            return True
        named = families(self.words, self.usual(front))
        return not any(named[code] == 1.0 for code in _TOLD_BY_SIZE & named.keys())

    def _only_noise(self, tokens: list[Token]) -> bool:
        return all(token.text in self.words.noise or token.kind == "attribute" for token in tokens)

    def _has_front(self, said: list[str]) -> bool:
        """Whether a thing is named before the first linking word."""
        cut = next((place for place, word in enumerate(said) if word in _LINKS), len(said))
        return (
            cut == len(said)
            or bool(families(self.words, self.usual(said[:cut])) if said[:cut] else {})
            or any(self._strange(word) for word in said[:cut])
        )

    def _front_families(self, said: list[str]) -> dict[str, float]:
        """ "need it for the coin mech" names the mech, "on the door" alone names nothing to send."""
        return families(self.words, self.usual(said))

    def _is_plural(self, said: list[str]) -> bool:
        """Whether the noun before the first linking word is a plural: the last word that names the thing decides."""
        cut = next((place for place, word in enumerate(said) if word in _LINKS), len(said))
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
        return bool(nouns) and plural_head(nouns[-1], self.words)

    def _strange(self, word: str) -> bool:
        words = self.words
        if word in words.noise or word in words.vague or word in words.values or len(word) < 2:
            return False
        return word not in words.canon and words.usual(word)[0] not in words.known and word not in words.heard
