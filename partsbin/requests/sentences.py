"""A message's lines as sentences: cut at full stops and where a story turns into a request, with what each names."""

from __future__ import annotations

import re
from dataclasses import dataclass

from partsbin.requests.catalogue import Catalogue
from partsbin.requests.clauses import Clause, clauses
from partsbin.requests.context import Context, mark_context
from partsbin.requests.furniture import without_furniture
from partsbin.requests.index import Index
from partsbin.requests.instead import settled
from partsbin.requests.intents import marks_of, replaces
from partsbin.requests.meaning import settle
from partsbin.requests.parting import counted_behind, parted
from partsbin.requests.pieces import pieces
from partsbin.requests.quantities import counted_fractions, quantities
from partsbin.requests.segment import Segment
from partsbin.requests.segments import LONGEST, Cutter
from partsbin.requests.sharing import Sharer
from partsbin.requests.sites import site_of
from partsbin.requests.telling import asked_before, asks_for, finds, is_story, promises, reports, runs_out
from partsbin.requests.token import Token
from partsbin.requests.tokens import tokenise
from partsbin.requests.types import Message
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_MOST_SEGMENTS = 600


@dataclass(slots=True)
class Sentence:
    """One sentence or clause, the things it names, and whether it tells or asks."""

    text: str
    start: int
    segments: list[Segment]
    story: bool = False
    asks: bool = False
    whole: Segment | None = None
    questions: bool = False

    @property
    def amending(self) -> bool:
        """Whether it only says more of what was named before: "it's the plain one"."""
        return all(one.amends and not one.head for one in self.segments)


def sentences_of(
    lines: list[str], words: Words, index: Index | None, context: Context, message: Message
) -> list[Sentence]:
    """The sentences of a message's lines; who and where go into the context, what is too much into ``unread``."""
    known = Catalogue(index) if index else None
    found: list[Sentence] = []
    count = 0
    for line in lines:
        if site := site_of(line, known):
            start, end = site
            message.site = message.site or line[start:end].strip()
            line = line[:start] + " " * (end - start) + line[end:]
        line = without_furniture(line, known)
        tokens = mark_context(tokenise(line, words, known), context)
        for stretch, kind in (clause for one in _by_sentence(tokens, line) for clause in clauses(one, line)):
            if count > _MOST_SEGMENTS:
                message.unread.append(line)
                message.left_out += len(line)
                break
            sentence = _sentence(stretch, line, words, index, kind)
            left = _MOST_SEGMENTS - count
            if len(sentence.segments) > left:
                message.unread.append(line[sentence.segments[left].start : stretch[-1].end])
                message.left_out += len(message.unread[-1])
                del sentence.segments[left:]
            count += len(sentence.segments)
            found.append(sentence)
    return found


def _sentence(tokens: list[Token], line: str, words: Words, index: Index | None, kind: Clause) -> Sentence:
    text = line[tokens[0].start : tokens[-1].end].strip()
    counted = counted_behind(quantities(settled(counted_fractions(tokens, words)), words), words.noise)
    cutter = Cutter(words, guesses(counted, words, index), index)
    if cutter.called is not None:
        counted = pieces(parted(counted, cutter.called), cutter.called)
    segments = cutter.cut(counted)
    said_before = asked_before(text)
    for segment in segments:
        marks_of(segment)
        segment.amends = segment.amends or (segment.joined != "" and said_before and replaces(segment))
        segment.words = list(segment.words)
    if cutter.called is not None:
        segments = Sharer(cutter, cutter.called).share(segments)
    asked = not reports(text) and any(one.quantity or one.vague or one.codes or one.each for one in segments)
    asks = kind == "request" or (not kind and not promises(text) and (asks_for(text) or asked))
    whole = None
    if index is not None and 1 < len(segments) < 7 and _may_be_one(segments):
        whole = cutter.look(Segment(tokens=[token for segment in segments for token in segment.tokens][:LONGEST]))
    start, end = tokens[0].start, tokens[-1].end
    questions = line[end:].lstrip().startswith("?")
    front = _front(text, start, segments)
    told = is_story(front, asks) or (not asks and (finds(text, segments) or _says_what_it_does(segments, words)))
    story = kind == "story" or told
    tells = story or runs_out(text)
    if called := cutter.called:
        for segment in segments:
            segment.named = segment.named or ((tells or segment.negated) and called.speaks_of_thing(segment))
    return Sentence(text, start, segments, story, asks, whole, questions)


_TELLING = re.compile(r"\W*(?:the|my|our|its|it|this|that|both|all|i|we|he|she|they|there)\b", re.IGNORECASE)


def _front(text: str, start: int, segments: list[Segment]) -> str:
    """What tells a story from a request: a thing named first, without a verb, is asked for whatever comes behind it.

    "Keypad, the old one has gone" asks for one; "the keypad, not two years old, has gone" tells of it.
    """
    first = next((segment for segment in segments if segment.head), None)
    return text if first is None or _TELLING.match(text) else text[: first.end - start]


_VERB = re.compile(r"[a-z]{2,}(?:ed|ing|[^su]s)")
_NO_VERBS = listed(
    "parts bits items pieces pcs spares things thanks cheers asap boxes bags packs packets cases sets pairs"
)


def _says_what_it_does(segments: list[Segment], words: Words) -> bool:
    """Whether a verb stands right behind the first thing named: "the flap sticks", "compressor sounds normal"."""
    first = next((segment for segment in segments if segment.head), None)
    said = [token.text for token in first.tokens if token.kind in ("word", "attribute")] if first else []
    naming = [place for place, word in enumerate(said) if words.usual(word)[0] in words.family_words]
    behind = said[naming[-1] + 1 :][:2] if naming else []
    return any(_VERB.fullmatch(word) and word in words.noise and word not in _NO_VERBS for word in behind)


def _may_be_one(segments: list[Segment]) -> bool:
    """Whether stretches parted by commas could be one thing: at most one count, nothing taken back, no "and"."""
    counts = sum(bool(segment.quantity or segment.vague or segment.each) for segment in segments)
    parted = any(segment.joined in ("and", "plus", "also", "+", "then", "run") for segment in segments)
    turned = any(segment.negated or segment.amends or segment.codes for segment in segments)
    return counts < 2 and not parted and not turned


def guesses(tokens: list[Token], words: Words, index: Index | None) -> dict[str, str]:
    """Spellings for words nobody knows, where the catalogue or the trade's words suggest one."""
    if index is None:
        return {}
    return settle([token.text for token in tokens if token.kind == "word"], index)


def _by_sentence(tokens: list[Token], line: str) -> list[list[Token]]:
    """Stretches between full stops; a stop inside an abbreviation or before small letters with a figure is none."""
    found: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind == "mark" and token.text in ".!?;":
            if token.text == "." and _abbreviates(found[-1], token, line):
                continue
            found.append([])
        else:
            found[-1].append(token)
    return [stretch for stretch in found if stretch]


_SHORT = listed(
    """
    no qty pcs pc ea approx assy brd mtr temp cond evap comp doz pr st mr mrs dr vs incl min max e g i rh lh pt
    pn p n cs bx ref disp refrig x rev
    """
)
# A capital behind the stop starts a sentence, except behind these.
_TITLES = listed("no qty approx st mr mrs dr ref rev pn e g i")


def _abbreviates(before: list[Token], stop: Token, line: str) -> bool:
    if not before or before[-1].end != stop.start:
        return False
    if before[-1].text in ("n c", "n o", "a c", "d c"):
        return True
    rest = line[stop.end :].strip()
    if rest and re.fullmatch(r"\d+(?:nos?|pcs?|ea|off)", before[-1].text):
        return True
    short = before[-1].text.rpartition(" ")[2]  # "part no." too
    if not rest or short not in _SHORT:
        return False
    return short in _TITLES or not (rest[0].isupper() and rest[1:2].islower())
