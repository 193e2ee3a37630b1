"""A line of speech as tokens with a meaning: words, attributes, numbers, quantities, codes, machines, marks."""

from __future__ import annotations

import re

from partsbin.requests.codes import whole_codes
from partsbin.requests.countables import is_count, names_a_part, sold_by_length, tells_panel
from partsbin.requests.letters import initials
from partsbin.requests.measures import SPEECH, Value, figure, stated
from partsbin.requests.misheard import numbers_meant
from partsbin.requests.ranges import with_ranges
from partsbin.requests.respelling import respell
from partsbin.requests.spoken import figures
from partsbin.requests.token import CONTRACTED, Known, Token, text_at
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, singular


def tokenise(line: str, words: Words, known: Known | None) -> list[Token]:
    """Read one line into tokens; codes and whole machine names first, so that nothing else eats their figures."""
    tokens: list[Token] = []
    lowered = with_ranges(line.lower() if len(line.lower()) == len(line) else line)
    at = 0
    for span in whole_codes(line, known, words):
        tokens.extend(_speech(lowered, at, span.start, words))
        tokens.append(span)
        at = span.end
    tokens.extend(_speech(lowered, at, len(line), words))
    tokens = numbers_meant(tokens, words, known)
    if known:
        tokens = _values_heard(respell(initials(tokens, words, known), words, known), words, known)
    if any("fuse" in words.usual(token.text) for token in tokens if token.kind == "word"):
        tokens = _fuse_marks(tokens)
    tokens = figures(_phrases(tokens, words), known)
    if known:
        tokens = _as_described(tokens, words, known)
    tokens = _without_weather(tokens, known)
    return _machines(tokens, words, known) if known else tokens


def _values_heard(tokens: list[Token], words: Words, known: Known) -> list[Token]:
    """Words heard for a value that what is asked for has here: "jug blew", "hinge lower write"."""
    said = [token.text for token in tokens if token.kind == "word"]
    for token in tokens:
        meant = " ".join(words.heard.get(token.text, ())) if token.kind == "word" else ""
        if meant in words.values and known.states([words.values[meant]], said):
            token.text = meant
    return tokens


def _without_weather(tokens: list[Token], known: Known | None) -> list[Token]:
    """Degrees tell a part only where what is asked for is told apart by them: "it is 12 degrees in there"."""
    said = [token.text for token in tokens if token.kind == "word"]
    for token in tokens:
        warm = any(kind == "degrees" for kind, _ in token.facts)
        if warm and not (known and known.measures("degrees", said)):
            token.kind, token.facts = "filler", ()
    return tokens


def _as_described(tokens: list[Token], words: Words, known: Known) -> list[Token]:
    """Figures that tell what kind and count nothing: as a description has them ("3 section slide"), and in headings."""
    return [
        Token(token.text, token.start, token.end, "attribute", facts=(("figure", token.count),))
        if token.kind == "number" and (_described(tokens, place, words, known) or _heading(tokens, place))
        else token
        for place, token in enumerate(tokens)
    ]


def _described(tokens: list[Token], place: int, words: Words, known: Known) -> bool:
    noun = text_at(tokens, place + 1)
    if not noun or tokens[place + 1].kind != "word" or noun != singular(noun):
        return False
    if frozenset(words.usual(noun)) not in words.families:
        return known.says(tokens[place].count, noun)
    beside = text_at(tokens, place + 2)  # "4 bar gauge" is no four bars
    return bool(beside) and tokens[place + 2].kind == "word" and known.says(tokens[place].count, noun, beside)


_NOT_OF_A_THING = listed("qty quantity van truck job order ticket wo lane site")


def _heading(tokens: list[Token], place: int) -> bool:
    """Whether a figure ends the heading of a list that counts for itself: "Panels 400: 2 blue, 1 red"."""
    behind = tokens[place + 2 :]
    named = place > 0 and tokens[place - 1].kind == "word" and tokens[place - 1].text not in _NOT_OF_A_THING
    return named and text_at(tokens, place + 1) == ":" and any(one.kind == "number" for one in behind)


_FUSE_MARK = re.compile(r"([tf])(\d[\d.]*a)?")


def _fuse_marks(tokens: list[Token]) -> list[Token]:
    """Read "T5A", "5A F": time lag and quick acting where fuses are asked for."""
    out: list[Token] = []
    for token in tokens:
        mark = _FUSE_MARK.fullmatch(token.text.lower()) if token.kind in ("word", "code") else None
        if mark:
            facts = [("blow", "slow" if mark[1] == "t" else "fast"), *(stated(mark[2]) if mark[2] else ())]
            token = Token(token.text, token.start, token.end, "attribute", facts=tuple(facts))
        out.append(token)
    return out


_HYPHENED = re.compile(r"-(?!off|ea\b|pcs|no\b|x\b|of\b|each|pair|line)[a-z]{3,}")
_GLUED = re.compile(r"\d{1,3}([a-z]{4,})")
_LOCK = re.compile(r"lock|barrel|cyl")
_COUNTED_POWER = re.compile(r"([12]) (\d/\d{1,2}\s?-?\s?(?:hp|horsepower))")


def _speech(lowered: str, start: int, end: int, words: Words) -> list[Token]:
    tokens = []
    for match in SPEECH.finditer(lowered, start, end):
        text = match[0]
        apart = _COUNTED_POWER.fullmatch(text)
        if apart:  # motors of more than one horsepower stand in no vending machine: two of a quarter
            tokens.append(Token(apart[1], match.start(), match.start() + 1, "number", count=float(apart[1])))
            text = apart[2]
        token = Token(text, match.end() - len(text), match.end())
        facts = (
            tuple(stated(text))
            if any(sign.isdigit() for sign in text) or text.startswith("rev") or len(text) == 4
            else ()
        )
        counts = _counts_things(text, lowered, match.start())
        before, unit, after = lowered[: match.start()], text.split()[-1], lowered[match.end() : match.end() + 18]
        panel = facts[:1] and facts[0][0] == "keys" and tells_panel(before, unit, after)
        if facts and not counts and (panel or not names_a_part(unit, after)):
            token.kind, token.facts = "attribute", facts
        elif facts:
            tokens.extend(_count_of_things(token))
            continue
        elif text[0].isdigit() and re.fullmatch(r"[\d.,/ -]+", text):
            token.kind, token.count = "number", figure(text)
            if _HYPHENED.match(lowered, match.end()):  # "5-blade" tells what kind
                token.kind, token.facts = "attribute", (("figure", token.count),)
        elif not text[0].isalnum():
            token.kind = "mark"
        elif (glued := _GLUED.fullmatch(text)) and words.usual(singular(glued[1]))[0] in words.family_words:
            tokens.extend(_count_of_things(token))  # "2keypads"
            continue
        elif text.endswith("'s") and not CONTRACTED.match(text):
            token.text = text[:-2]
        tokens.append(token)
    return tokens


def _counts_things(text: str, lowered: str, start: int) -> bool:
    """Whether a figure and its unit count: "12 lanes" does, "for 12 lanes" tells what kind."""
    if text.endswith("mtr") and not sold_by_length(lowered, start):
        return True
    if not is_count(text) or lowered.endswith(("for ", "("), 0, start):
        return False
    return not (text.endswith("keys") and _LOCK.search(lowered, 0, start))


def _count_of_things(token: Token) -> list[Token]:
    match = re.match(r"^([\d.,/]+)\s?-?\s?", token.text)
    cut = match.end() if match else 0
    number = Token(
        token.text[:cut].strip(), token.start, token.start + cut, "number", count=figure(token.text[:cut].strip(" -"))
    )
    return [number, Token(token.text[cut:], token.start + cut, token.end)]


def _phrases(tokens: list[Token], words: Words) -> list[Token]:
    """Phrases of the trade's words taken together: values become attributes, meanings replace, noise drops out."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        taken, made = _phrase_at(tokens, position, words)
        if taken:
            out.extend(made)
            position += taken
            continue
        token = tokens[position]
        if (
            token.text in ("each", "per")
            and position + 1 < len(tokens)
            and tokens[position + 1].text in ("side", "hand")
        ):
            hands: tuple[tuple[str, Value], ...] = (("hand", "LH"), ("hand", "RH"))
            out.append(Token("each side", token.start, tokens[position + 1].end, "attribute", facts=hands))
            position += 2
            continue
        if token.text == "left" and _remains(tokens, position):
            out.append(Token(token.text, token.start, token.end, "filler"))
            position += 1
            continue
        if token.kind == "word" and token.text in words.values and not _denies(tokens, position, words):
            token = Token(token.text, token.start, token.end, "attribute", facts=(words.values[token.text],), weak=True)
        out.append(token)
        position += 1
    return out


def _remains(tokens: list[Token], position: int) -> bool:
    """Whether "left" says what remains: "no links left"."""
    ends = (
        position + 1 == len(tokens)
        or tokens[position + 1].kind == "mark"
        or text_at(tokens, position + 1) in ("on", "in")
    )
    near = {token.text for token in tokens[max(0, position - 5) : position]}
    return ends and not near.isdisjoint(("no", "any", "few", "none", "last", "many"))


def _denies(tokens: list[Token], position: int, words: Words) -> bool:
    """Whether "no" says no, and is not how a contact is marked ("door switch NO")."""
    if tokens[position].text != "no":
        return False
    before = words.usual(tokens[position - 1].text)[0] if position else ""
    last = position + 1 == len(tokens) or tokens[position + 1].kind == "mark"
    return before not in words.family_words or not last


def _phrase_at(tokens: list[Token], position: int, words: Words) -> tuple[int, list[Token]]:
    first = tokens[position]
    for parts, kind, means in words.phrases.get(first.text, ()) if first.kind == "word" else ():
        taken = _spelled(tokens, position, parts)
        if not taken or (kind == "noise" and _goes_on(tokens, position + taken - 1, words)):
            continue
        end = tokens[position + taken - 1].end
        text = " ".join(parts)
        if kind == "value":
            return taken, [Token(text, first.start, end, "attribute", facts=((means[0], means[1]),), weak=True)]
        if kind == "word":
            several = tokens[position + taken - 1].text == parts[-1] + "s" and not means[-1].endswith("s")
            said = (*means[:-1], means[-1] + "s") if several else means
            return taken, [Token(word, first.start, end) for word in said]
        return taken, [Token(text, first.start, end, "filler")]
    return 0, []


def _goes_on(tokens: list[Token], last: int, words: Words) -> bool:
    """Whether the last word of what seems filler belongs to what follows: "all right hand", "no display board"."""
    if last + 1 >= len(tokens) or tokens[last + 1].kind != "word":
        return False
    if frozenset((*words.usual(tokens[last].text), *words.usual(tokens[last + 1].text))) in words.families:
        return True
    values = [parts for parts, kind, _ in words.phrases.get(tokens[last].text, ()) if kind == "value"]
    return any(_spelled(tokens, last, parts) for parts in values)


def _spelled(tokens: list[Token], position: int, parts: tuple[str, ...]) -> int:
    at = position
    for number, part in enumerate(parts):
        if number and at < len(tokens) and tokens[at].text in ("-", "/", ".", "="):
            at += 1
        if at >= len(tokens) or tokens[at].text not in (part, part + "s"):
            return 0
        at += 1
    return at - position


def _machines(tokens: list[Token], words: Words, known: Known) -> list[Token]:
    """Words that tell machines apart, with the figures of the name beside them, become one machine token."""
    out: list[Token] = []
    position = 0
    while position < len(tokens):
        token = tokens[position]
        if _machine_figure(tokens, position, known):
            out.append(Token(token.text, token.start, token.end, "machine"))
            position += 1
            continue
        telling = known.machine_word(token.text) if token.kind == "word" and token.text not in words.noise else ""
        if not telling:
            out.append(token)
            position += 1
            continue
        end, parts = position + 1, [telling]
        if (
            out
            and out[-1].kind == "number"
            and not out[-1].spelt
            and out[-1].count >= 100
            and known.machine_part(out[-1].text)
        ):
            parts.insert(0, out.pop().text)
        while end < len(tokens) and _belongs(tokens[end], known):
            parts.append(known.machine_word(tokens[end].text) or tokens[end].text)
            end += 1
        if len(parts) == 1 and end < len(tokens) and _other_figure(telling, tokens[end], known):
            parts.append(tokens[end].text)
            end += 1
        out.append(Token(" ".join(part for part in parts if part != "-"), token.start, tokens[end - 1].end, "machine"))
        position = end
    return out


def _machine_figure(tokens: list[Token], position: int, known: Known) -> bool:
    """Whether a figure is a machine's and nothing else: "on the 50", where a Larkin 50 is known."""
    token, before = tokens[position], [text_at(tokens, position - 2), text_at(tokens, position - 1)]
    pointed = before[0] in ("on", "in", "at", "for", "from") and before[1] == "the"
    behind = text_at(tokens, position + 1)
    ends = not behind or tokens[position + 1].kind in ("mark", "filler") or behind in ("in", "at", "and", "is", "has")
    return token.kind == "number" and pointed and ends and known.machine_part(f"{token.count:g}")


def _other_figure(telling: str, token: Token, known: Known) -> bool:
    """The figure of a machine nothing here fits, such as the 900 of a Brant 900 where only a Brant 600 is known."""
    return token.kind == "number" and token.text.isdigit() and known.machine_figure(telling, token.text)


def _belongs(token: Token, known: Known) -> bool:
    if token.kind in ("word", "number") and (
        known.machine_part(token.text) or (token.spelt and known.machine_part(f"{token.count:g}"))
    ):
        return True
    return token.kind == "word" and bool(known.machine_word(token.text))
