"""A sentence's tokens cut into segments, one thing each, with what each says."""

from __future__ import annotations

from itertools import takewhile

from partsbin.requests.called import Called
from partsbin.requests.describe import families
from partsbin.requests.heard import plural_head
from partsbin.requests.index import Index
from partsbin.requests.intents import turns_back
from partsbin.requests.looking import Looker
from partsbin.requests.segment import ARTICLES, SUPPLIES, Segment
from partsbin.requests.token import Token, text_at
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

BREAKS = listed(", ; + & : = ( ) [ ]") | {"\n"}
JOINS = frozenset(("and", "plus", "also", "then", "&", "+"))
INSIDE = listed("with w for on in of at to as is like from has into onto by behind without that")
_JOINERS = frozenset(["join", "joins", "joining", "connects", "between", "links", "couples"])
_TURNING = listed("no wait actually sorry oh hang on correction oops er um")
_HELPERS = listed(
    """
    do does did is are was were will would should can could am has have had i'm it's that's
    """
)
# No one thing takes more words than this to ask for; without a limit a page of figures would be read for minutes.
LONGEST = 60
_CONTAINERS = frozenset((200, 250, 330, 355, 375, 440, 473, 500, 591))


class Cutter(Looker):
    """Cuts sentences into the stretches a looker reads, with a catalogue where there is one."""

    def __init__(self, words: Words, guess: dict[str, str], index: Index | None = None) -> None:
        super().__init__(words, guess)
        self.called = Called(self, index) if index is not None else None
        self._together = index.shared if index is not None else None

    def cut(self, tokens: list[Token]) -> list[Segment]:
        """Segments of one sentence, in order."""
        segments: list[Segment] = []
        current = Segment()
        joined = ""
        for position, token in enumerate(tokens):
            breaks = (token.kind == "mark" and token.text in BREAKS) or (token.kind == "word" and token.text in JOINS)
            if breaks:
                if token.text in ("and", "&") and self._inside_and(tokens, position):
                    current.tokens.append(token)
                    continue
                segments.append(current)
                joined = token.text if not joined or current.tokens else joined
                current = Segment(joined=token.text)
            elif token.kind == "mark":
                if token.text == "-" and self._opens_list(current, tokens, position):
                    current.tokens = []
                continue
            elif len(current.tokens) >= LONGEST or self._starts_new(current, tokens, position):
                segments.append(current)
                current = Segment(tokens=[token], joined="run")
            else:
                current.tokens.append(token)
        segments.append(current)
        return [self.look(segment) for segment in segments if segment.tokens]

    def _opens_list(self, current: Segment, tokens: list[Token], position: int) -> bool:
        """Whether what stands before a dash only leads up to what is counted behind it: "quick one - 4 keypads"."""
        counts = position + 1 < len(tokens) and tokens[position + 1].kind in ("number", "quantity", "vague")
        words = [token for token in current.tokens if token.kind not in ("number", "filler")]
        named = self.called is not None and any(self.called.tells(token) for token in words)
        return counts and bool(words) and not named and all(token.text in self.words.noise for token in words)

    def _inside_and(self, tokens: list[Token], position: int) -> bool:
        """For "chip and pin", "emitter and receiver", "can and bottle": one thing said with an and."""
        if 0 < position < len(tokens) - 1:
            left, right = tokens[position - 1], tokens[position + 1]
            kinds = [token.facts[0][0] if token.kind == "attribute" and token.facts else "" for token in (left, right)]
            if kinds[0] and kinds[0] == kinds[1] and kinds[0] in ("pay", "form", "stack"):
                return True
        if self._one_name(tokens, position) or self._named_so(tokens, position):
            return True
        before, after = text_at(tokens, position - 1), text_at(tokens, position + 1)
        stocked = self._together is None or self._together(self.usual([before, after]))
        return stocked and (before, after) in {
            ("chip", "pin"),
            ("up", "down"),
            ("can", "bottle"),
            ("nuts", "bolts"),
            ("emitter", "receiver"),
            ("relay", "overload"),
        }

    def _named_so(self, tokens: list[Token], position: int) -> bool:
        """Whether an item of the catalogue is called so, "and" and all ("belt and roller kit")."""
        if self._together is None or tokens[position].text != "and":
            return False
        front, back = tokens[max(0, position - 2) : position], tokens[position + 1 : position + 3]
        said = [token.text for token in (*front, *back) if token.kind == "word"]
        beside = position and position + 1 < len(tokens) and tokens[position - 1].kind == tokens[position + 1].kind
        return bool(beside) and len(said) > 2 and self._together([*self.usual(said), "and"])

    def _one_name(self, tokens: list[Token], position: int) -> bool:
        """Whether both sides name one thing that neither names alone ("start relay & overload 1/4 hp")."""
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
        if self._together is not None and not self._together(whole):
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
            return self._turns_to(tokens, position + 1)
        if token.kind == "number" and token.count != int(token.count):
            return False
        if token.kind == "attribute" and current.tokens and current.tokens[-1].kind == "quantity":
            return _other_value(current.tokens, token)
        if token.kind in ("quantity", "number", "vague"):
            return self._new_at_count(current, tokens, position, before, kinds)
        if token.kind == "code":
            return "code" in kinds or (
                "quantity" in kinds and self._named(current.tokens) and current.tokens[-1].kind == "quantity"
            )
        if token.text in ARTICLES and before not in INSIDE and self._closed(current):
            return self._head_ahead(tokens, position)
        if (
            token.kind == "word"
            and current.tokens
            and current.tokens[-1].kind == "quantity"
            and self._named(current.tokens[:-1])
        ):
            return token.text not in INSIDE and self._head_ahead(tokens, position - 1, near=3)
        return False

    def _turns_to(self, tokens: list[Token], position: int) -> bool:
        """Whether a "but" or "so" goes over to something else: "but just 2 belts", "but the roller is worn"."""
        if text_at(tokens, position) in ("the", "my", "our") and self._head_ahead(tokens, position):
            return True
        near = tokens[position : position + 3]
        return any(one.kind in ("number", "quantity", "vague") or one.text in ("just", "only") for one in near)

    def _turns(self, current: Segment, tokens: list[Token], position: int) -> bool:
        """Whether speech turns on itself here: "no wait make it three", "left not right"."""
        text = tokens[position].text
        after = [token.text for token in tokens[position + 1 : position + 3]] + ["", ""]
        if not current.tokens or all(token.text in _TURNING or token.kind == "filler" for token in current.tokens):
            return False
        if text in ("actually", "sorry", "correction", "oops"):
            return position + 1 < len(tokens)
        if (text, after[0]) in (("instead", "of"), ("rather", "than")):
            return self._closed(current)
        if any(token.text == "if" for token in current.tokens):
            return False  # "if not in stock leave it"
        dashed = tokens[position - 1].text == "-"
        if turns_back(" ".join(token.text for token in tokens[position : position + 4]), dashed=dashed):
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
        counted = bool(kinds & {"quantity", "number", "vague"})
        if before in INSIDE and token.kind == "number" and before != "to":
            return False
        if "quantity" in kinds and token.kind in ("quantity", "vague"):
            return True
        if token.kind == "number" and token.count in _CONTAINERS and "quantity" in kinds:
            return False
        if counted and token.kind == "number":
            # A second figure straight behind the first is a size ("3 10"), anywhere else it counts the next thing.
            apart = current.tokens[-1].kind not in ("number", "quantity")
            ahead = self._head_ahead(tokens, position) or bool(self._things_meet(current, tokens, position))
            return apart and (ahead or self._variant_ahead(tokens, position))
        if not self._closed(current) or self._is_supply(tokens, position):
            return False
        if token.kind == "number" and self._other_ahead(current, tokens, position):
            return True
        return self._head_ahead(tokens, position) and (token.kind == "number" or self._prefixes(tokens, position))

    def _is_supply(self, tokens: list[Token], position: int) -> bool:
        """For "relay 24 coil": a supply's figure before a single thing is no count of it."""
        after = tokens[position + 1].text if position + 1 < len(tokens) else ""
        return (
            tokens[position].kind == "number"
            and tokens[position].count in (12, 24, *SUPPLIES)
            and not plural_head(after, self.words)
        )

    def _prefixes(self, tokens: list[Token], position: int) -> bool:
        """x2 behind a noun belongs to it; 2x, "2 of", "a pair of" before a noun belong to what follows."""
        token = tokens[position]
        return not token.text.startswith(("x", "(", "=", ":", "-", "qty", "quantity")) and not token.text.endswith(
            (" ea", " off", " each")
        )

    def _closed(self, current: Segment) -> bool:
        return self._named(current.tokens) or (self.called is not None and self.called.is_thing(current.tokens))

    def _variant_ahead(self, tokens: list[Token], position: int) -> bool:
        after = tokens[position + 1] if position + 1 < len(tokens) else None
        return after is not None and after.kind == "attribute"

    def _other_ahead(self, current: Segment, tokens: list[Token], position: int) -> bool:
        """Whether the catalogue has a thing next that is none with what stands before: "belt two tensioners"."""
        ahead = self._things_meet(current, tokens, position)
        own = [token for token in current.tokens if token.kind in ("word", "attribute")]
        called = self.called if ahead else None
        return called is not None and bool(called.places(own)) and not called.places([*own, *ahead])

    def _things_meet(self, current: Segment, tokens: list[Token], position: int) -> list[Token]:
        """The thing next, where what stands before is one too, by the catalogue: "one belt one tensioner"."""
        ahead = list(takewhile(lambda token: token.kind in ("word", "attribute"), tokens[position + 1 : position + 5]))
        little = self.words.noise | JOINS | INSIDE
        ahead = list(takewhile(lambda token: token.text not in little, ahead))
        called = self.called
        return ahead if called and called.is_thing(ahead) and called.is_thing(current.tokens) else []

    def _head_ahead(self, tokens: list[Token], position: int, near: int = 6) -> bool:
        """Whether a thing is named before the next break or count."""
        front: list[Token] = []
        for token in tokens[position + 1 : position + 1 + near]:
            if token.text == "-":
                continue
            if token.kind in ("mark", "quantity", "number", "vague") or token.text in JOINS or token.text in INSIDE:
                return False
            if token.kind == "code":
                return True
            if token.kind == "word":
                front.append(token)
                if self._names(front):
                    return True
        return False


def _other_value(before: list[Token], token: Token) -> bool:
    """Whether a value counts apart from one of its kind: "left x1 right x1"."""
    stated = {kind: value for one in before if one.kind == "attribute" for kind, value in one.facts}
    return any(kind in stated and stated[kind] != value for kind, value in token.facts)
