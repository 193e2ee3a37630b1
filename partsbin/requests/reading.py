"""Reading a message: from free text to the lines asked for."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from partsbin.requests.clauses import clauses
from partsbin.requests.context import Context, mark_context, site_of
from partsbin.requests.describe import families
from partsbin.requests.drafts import Draft
from partsbin.requests.furniture import without_furniture
from partsbin.requests.index import Index
from partsbin.requests.intents import asks_for, intent_of, introduces, is_story, marks_of, promises, refuses
from partsbin.requests.lines import Book
from partsbin.requests.meaning import settle, spelling
from partsbin.requests.measures import Stated
from partsbin.requests.numbers import Hit
from partsbin.requests.quantities import counted_fractions, quantities
from partsbin.requests.segment import Segment
from partsbin.requests.segments import LONGEST, Cutter
from partsbin.requests.terms import attribute_term
from partsbin.requests.text import part
from partsbin.requests.token import Token
from partsbin.requests.tokens import tokenise
from partsbin.requests.types import AskedLine, Intent, Message
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words

_MOST_SEGMENTS = 600


@dataclass(slots=True)
class _Sentence:
    text: str
    start: int
    segments: list[Segment]
    story: bool = False
    asks: bool = False
    whole: Segment | None = None
    questions: bool = False


class _Catalogue:
    """What the reader asks of an index, misses remembered."""

    def __init__(self, index: Index) -> None:
        self._index = index

    def word(self, word: str) -> bool:
        return self._index.knows(word)

    def sounding(self, said: str) -> str:
        index = self._index
        here = [guess for guess in index.speller.sounding(said) if index.knows(index.words.usual(guess[0])[0])]
        return max(here, key=lambda guess: guess[1], default=("", 0.0))[0]

    def spell(self, word: str) -> str:
        return spelling(word, self._index)

    def states(self, facts: Iterable[Stated], said: Iterable[str]) -> bool:
        index = self._index
        places = index.having(attribute_term(kind, value) for kind, value in facts)
        usual = [one for word in said for one in index.words.usual(self.spell(word) or word)]
        named = [*usual, *("+" + code for code in families(index.words, usual))] if places else []
        return any(not places.isdisjoint(index.postings.get(term, ())) for term in named)

    def code(self, text: str) -> Hit | None:
        hit = self._index.numbers.find(text)
        if hit is None and sum(sign.isdigit() for sign in text) > 4 and re.search(r"\w[.\-/]\w", text):
            return self._index.numbers.starting(text)  # the front of a number, its tail left out
        return hit

    def number(self, text: str) -> bool:
        return self._index.numbers.owned(text)

    def name(self, text: str) -> bool:
        return bool(self._index.names.find(text))

    def machine(self, text: str) -> bool:
        return self._index.machines.whole(text)

    def machine_word(self, word: str) -> str:
        return self._index.machines.telling(word)

    def machine_part(self, word: str) -> bool:
        return self._index.machines.belongs(word)

    def machine_figure(self, word: str, figure: str) -> bool:
        return self._index.machines.numbered(word, figure)


def read_line(text: str, words: Words | None = None, index: Index | None = None) -> AskedLine:
    """Read one line as typed into an entry; the first thing it asks for, or a line with nothing but its text."""
    message = read_message(text, words, index)
    return message.lines[0] if message.lines else AskedLine(text, words=tuple(text.lower().split()))


def read_message(text: str, words: Words | None = None, index: Index | None = None) -> Message:
    """Read a message of any shape into lines, its van, job, site and machine, and what could not be placed.

    With an index, its part numbers and machine names are recognised and misspelt words are guessed against it.
    Text past the first 20,000 characters is kept in ``unread``.
    """
    words = words or (index.words if index else Words.shipped())
    parted = part(text)
    message = Message(quoted=parted.quoted, unread=list(parted.unread))
    context = Context(words=words)
    sentences = _sentences(parted.lines, words, index, context, message)
    asking = any(sentence.asks and not sentence.story for sentence in sentences)
    book = Book(words, index)
    if parted.quoted and any(one.negated or one.amends for each in sentences for one in each.segments):
        book.quoted = _drafts_of(parted.quoted, words, index)
    for place, sentence in enumerate(sentences):
        if _SIGNING_OFF.match(sentence.text) and not any(one.head or one.quantity for one in sentence.segments):
            continue
        if introduces(sentence.text, sentence.segments):
            book.note_machine(sentence.segments)
            continue
        intent = intent_of(sentence.text)
        if intent:
            message.intents.append(Intent(intent, sentence.text))
        if sentence.story and asking and not _answers_to(sentence, sentences[place + 1 :]):
            book.note_machine(sentence.segments)
            message.unread.append(sentence.text)
            continue
        if sentence.questions and place + 1 < len(sentences) and refuses(sentences[place + 1].segments[0]):
            book.refuse(sentence.segments.pop(), sentence.text)
            sentences[place + 1].segments.pop(0)
        book.read(sentence.segments, sentence.text, sentence.start, sentence.whole)
    _finish(message, book, context)
    if not message.lines and not message.cancelled and not message.intents:
        _as_description(message, sentences, words, index)
    for line in parted.signature:
        _van_in(line, words, context)
    message.van = message.van or context.van
    return message


def _drafts_of(quoted: list[str], words: Words, index: Index | None) -> list[Draft]:
    """The lines of the message that is answered, which only what is said about them makes lines of the answer."""
    parted = part("\n".join(line.lstrip("> |") for line in quoted))
    book = Book(words, index)
    for sentence in _sentences(parted.lines, words, index, Context(words=words), Message()):
        book.read(sentence.segments, sentence.text, sentence.start)
    return book.drafts


def _answers_to(story: _Sentence, later: list[_Sentence]) -> bool:
    """Whether the next sentence that asks names nothing itself: "coin mech is dead. Cleaned it. Send a 6 tube one"."""
    following = next((one for one in later if one.asks or not one.story), None)
    if following is None or not following.asks or not any(segment.head for segment in story.segments):
        return False
    if any(one.story and any(segment.head for segment in one.segments) for one in later[: later.index(following)]):
        return False
    first = following.segments[0]
    pointing = any(token.text in ("one", "ones", "another", "replacement") for token in first.tokens)
    return not first.head and (pointing or first.quantity is not None or bool(first.facts))


def _as_description(message: Message, sentences: list[_Sentence], words: Words, index: Index | None) -> None:
    """Nothing was read: words parted by commas may be one thing in a catalogue's order ("bar, retainer, front")."""
    for sentence in sentences[:3]:
        tokens = [token for segment in sentence.segments for token in segment.tokens][:LONGEST]
        guess = _guesses(tokens, words, index)
        segment = Cutter(words, guess).look(Segment(tokens=tokens))
        known = [
            word
            for word in segment.words
            if index is not None and word not in words.noise and index.knows(words.usual(guess.get(word, word))[0])
        ]
        if segment.head or known or len(segment.facts) + len(segment.figures) > 1:
            book = Book(words, index)
            book.take(segment, sentence.text)
            message.lines.extend(book.lines())
            message.unread = [text for text in message.unread if text not in sentence.text]


def _van_in(line: str, words: Words, context: Context) -> None:
    mark_context(tokenise(line, words, None), context)


def _sentences(
    lines: list[str], words: Words, index: Index | None, context: Context, message: Message
) -> list[_Sentence]:
    known = _Catalogue(index) if index else None
    found: list[_Sentence] = []
    count = 0
    for line in lines:
        site = site_of(line)
        if site and not message.site:
            message.site = site[1].strip()
        line = line[: site.start(1)] + " " * (site.end(1) - site.start(1)) + line[site.end(1) :] if site else line
        line = without_furniture(line, known)
        tokens = mark_context(tokenise(line, words, known), context)
        for stretch, told in (clause for one in _by_sentence(tokens, line) for clause in clauses(one, line)):
            if count > _MOST_SEGMENTS:
                message.unread.append(line)
                break
            sentence = _sentence(stretch, line, words, index, told=told)
            left = _MOST_SEGMENTS - count
            if len(sentence.segments) > left:
                message.unread.append(line[sentence.segments[left].start : stretch[-1].end])
                del sentence.segments[left:]
            count += len(sentence.segments)
            found.append(sentence)
    return found


def _sentence(tokens: list[Token], line: str, words: Words, index: Index | None, *, told: bool) -> _Sentence:
    text = line[tokens[0].start : tokens[-1].end].strip()
    counted = quantities(counted_fractions(tokens, words), words)
    cutter = Cutter(words, _guesses(counted, words, index), index.shared if index else None)
    segments = cutter.cut(counted)
    for segment in segments:
        marks_of(segment)
        segment.words = list(segment.words)
    asks = not (told or promises(text)) and (
        asks_for(text) or any(one.quantity or one.vague or one.codes or one.each for one in segments)
    )
    whole = None
    if index is not None and 1 < len(segments) < 7 and _may_be_one(segments):
        whole = cutter.look(Segment(tokens=[token for segment in segments for token in segment.tokens][:LONGEST]))
    start, end = tokens[0].start, tokens[-1].end
    questions = line[end:].lstrip().startswith("?")
    return _Sentence(text, start, segments, is_story(text, asks), asks, whole, questions)


def _may_be_one(segments: list[Segment]) -> bool:
    """Whether stretches parted by commas could be one thing: at most one count, nothing taken back, no "and"."""
    counts = sum(bool(segment.quantity or segment.vague or segment.each) for segment in segments)
    parted = any(segment.joined in ("and", "plus", "also", "+", "then", "run") for segment in segments)
    turned = any(segment.negated or segment.amends or segment.codes for segment in segments)
    return counts < 2 and not parted and not turned


_SIGNING_OFF = re.compile(
    r"^(?:many |kind |best |warm )?(?:thanks|thank you|thx|cheers|regards|wishes|ta|rgds|br|yours|best)\b",
    re.IGNORECASE,
)


def _guesses(tokens: list[Token], words: Words, index: Index | None) -> dict[str, str]:
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
    if not rest or before[-1].text not in _SHORT:
        return False
    return before[-1].text in _TITLES or not (rest[0].isupper() and rest[1:2].islower())


def _finish(message: Message, book: Book, context: Context) -> None:
    message.lines = book.lines()
    message.wholes = book.wholes()
    message.cancelled = book.cancelled
    message.unread.extend(book.unread)
    message.van, message.job = context.van, context.job
    message.site = message.site or context.site
    message.machine = book.machine or context.asset
    for kind, text in book.intents:
        message.intents.append(Intent(kind, text))


__all__ = ["read_line", "read_message"]
