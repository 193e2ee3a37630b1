"""Reading a message: from free text to the lines asked for."""

from __future__ import annotations

import re
from itertools import takewhile

from partsbin.requests.catalogue import Catalogue
from partsbin.requests.context import Context, mark_context
from partsbin.requests.describe import LINKS
from partsbin.requests.drafts import Draft
from partsbin.requests.index import Index
from partsbin.requests.intents import drops, prefers, refuses
from partsbin.requests.lines import Book
from partsbin.requests.meaning import unknown
from partsbin.requests.segment import Segment
from partsbin.requests.segments import LONGEST, Cutter
from partsbin.requests.sentences import Sentence, guesses, sentences_of
from partsbin.requests.telling import (
    asks_for,
    asks_of_stock,
    complains,
    intent_of,
    introduces,
    is_news,
    is_story,
    mended,
    presumes,
    returns,
)
from partsbin.requests.text import part
from partsbin.requests.tokens import tokenise
from partsbin.requests.types import AskedLine, Intent, Message
from partsbin.requests.wordlists import listed
from partsbin.requests.words import Words, split_words


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
    message = Message(quoted=parted.quoted, unread=list(parted.unread), left_out=parted.left_out)
    context = Context(words=words, known=Catalogue(index) if index else None)
    sentences = sentences_of(parted.lines, words, index, context, message)
    book = Book(words, index)
    book.quoted = _spoken_of(parted.quoted, [one for sentence in sentences for one in sentence.segments], words, index)
    _read_sentences(sentences, book, message)
    _finish(message, book, context)
    if not message.lines and not message.cancelled and not message.intents:
        _as_description(message, sentences, words, index)
    if index is not None:
        _keep_what_is_lost(message, sentences, index)
    for line in parted.signature:
        _van_in(line, words, context)
    message.van = message.van or context.van
    return message


def _keep_what_is_lost(message: Message, sentences: list[Sentence], index: Index) -> None:
    """Keep a sentence as unread where a word of the catalogue stands in nothing that was read from it."""
    lines = [*message.lines, *message.cancelled]
    read = [line.text for line in lines] + [intent.text for intent in message.intents] + message.unread
    read += [word for line in lines for word in (*line.words, *line.excluded)]
    kept = set(split_words(" ".join(read)))
    words = index.words
    for sentence in sentences:
        lost = [word for word in split_words(sentence.text) if word not in kept and word not in words.noise]
        named = [word for word in lost if len(word) > 1 and word.isalpha() and word not in _SAYS_NO_THING]
        if any(word not in words.values and index.knows(words.usual(word)[0]) for word in named):
            message.unread.append(sentence.text)


_SAYS_NO_THING = LINKS | {"and"}


def _is_told(sentence: Sentence, *, asking: bool) -> bool:
    """Whether a sentence only tells of what came, went back or was wrong."""
    return is_news(sentence.text) or returns(sentence.text) or (not asking and complains(sentence.text))


def _read_sentences(sentences: list[Sentence], book: Book, message: Message) -> None:
    """Write up what is asked; a story is kept, but what it says is broken is wanted where no line asks for it."""
    presumed: list[Sentence] = []
    asking = any(sentence.asks and not sentence.story for sentence in sentences)
    for place, sentence in enumerate(sentences):
        later = sentences[place + 1 :]
        if _is_furniture(sentence) or (place and not later and _is_a_name(sentence, book.index)):
            book.note(sentence.segments)
            continue
        intent = intent_of(sentence.text)
        if intent:
            message.intents.append(Intent(intent, sentence.text))
        told = _is_told(sentence, asking=asking)
        tells = sentence.story and asking and not _answers_to(sentence, later)
        if told or tells or _is_ordered_below(sentence, later, book):
            _keep_story(sentence, book, message)
            presumed += [sentence] if presumes(sentence.text) and not told else []
            continue
        _leave_out_what_is_done(sentence, later)
        if (sentence.questions or sentence.story) and later and _is_refused(sentence, later[0]):
            book.refuse(sentence.segments.pop(), sentence.text)
            if not prefers(later[0].text):
                later[0].segments.pop(0)
        book.told = sentence.story
        book.read(sentence.segments, sentence.text, sentence.start, sentence.whole, asking=asks_of_stock(sentence.text))
    for sentence in presumed:
        if not book.has(sentence.segments):
            book.told = True
            book.read(sentence.segments, sentence.text, sentence.start)
            message.unread.remove(sentence.text)


def _is_ordered_below(sentence: Sentence, later: list[Sentence], book: Book) -> bool:
    """Whether all a sentence says is broken is asked for by name below it: "lock seized. Parts required: lock"."""
    named = [_name_of(one, book) for one in sentence.segments if one.head]
    if len(named) == 1:  # "Hinge, lower, right hand, has sheared"
        named = [set().union(*(_name_of(one, book) for one in sentence.segments))]
    if not named or sentence.asks or not is_story(sentence.text, asks=False):
        return False
    below = [_name_of(one, book) for other in later if not other.story for one in other.segments if one.head]
    return all(any(name <= other for other in below) for name in named)


def _name_of(segment: Segment, book: Book) -> set[str]:
    """The words and values a thing is called by."""
    words = {word for word in segment.words if word not in book.words.noise}
    return words | {f"{kind}={value}" for kind, value, _ in segment.facts}


def _keep_story(sentence: Sentence, book: Book, message: Message) -> None:
    """Keep what only tells as unread; what it drops first goes: "scrap that, the bearing was only dry"."""
    if sentence.segments and drops(sentence.segments[0]):
        book.read(sentence.segments[:1], sentence.text, sentence.start)
    book.note(sentence.segments)
    message.unread.append(sentence.text)


def _leave_out_what_is_done(sentence: Sentence, later: list[Sentence]) -> None:
    """Leave what was seen to out of a story and its request: "fitted the belt, but the roller has gone"."""
    others = [one for one in sentence.segments if not mended(one)]
    if sentence.story or any(one.head for one in others):
        sentence.segments = others
    if sentence.story and later and any(one.quantity for one in later[0].segments[:1]):
        for segment in others:
            segment.quantity = None  # "had 3 keypads last week. Could do with 4 more"


def _is_refused(sentence: Sentence, answer: Sentence) -> bool:
    """Whether the last thing a sentence names is refused at once: "compressor? no thanks"."""
    if not (sentence.segments and answer.segments):
        return False
    return refuses(answer.segments[0]) or (sentence.questions and prefers(answer.text))


def _is_furniture(sentence: Sentence) -> bool:
    """Whether a sentence signs off, or only opens the list below it."""
    named = any(one.head or one.quantity for one in sentence.segments)
    return (bool(_SIGNING_OFF.match(sentence.text)) and not named) or introduces(sentence.text, sentence.segments)


def _is_a_name(sentence: Sentence, index: Index | None) -> bool:
    """Whether a sentence is only a name nobody knows, as below a letter: "Sal"."""
    words = sentence.text.split()
    if index is None or len(words) > _NAMES or not all(map(_NAME.fullmatch, words)):
        return False
    return all(unknown(word.lower(), index) for word in words)


def _spoken_of(quoted: list[str], said: list[Segment], words: Words, index: Index | None) -> list[Draft]:
    """The lines of the message that is answered, where the answer changes them or names nothing itself."""
    if not quoted:
        return []
    if any(one.negated or one.amends for one in said):
        return _drafts_of(quoted, words, index)
    front = list(takewhile(lambda one: not one.head, said))
    pointing = any(not _POINTS_AT_SEVERAL.isdisjoint(token.text.split()) for one in front for token in one.tokens)
    answer = front if pointing or quoted[-1].rstrip().endswith("?") else said
    if any(one.quantity or one.facts for one in answer) and not any(one.head for one in answer):
        for segment in answer:
            segment.amends = True  # "send me three please"
        return _drafts_of(quoted, words, index)[-1:]
    return []


def _drafts_of(quoted: list[str], words: Words, index: Index | None) -> list[Draft]:
    parted = part("\n".join(line.lstrip("> |") for line in quoted))
    book = Book(words, index)
    for sentence in sentences_of(parted.lines, words, index, Context(words=words), Message()):
        book.read(sentence.segments, sentence.text, sentence.start)
    return book.drafts


def _answers_to(story: Sentence, later: list[Sentence]) -> bool:
    """Whether the next sentence that asks names nothing itself: "coin mech is dead. Cleaned it. Send a 6 tube one"."""
    following = next((one for one in later if one.asks or not (one.story or one.amending)), None)
    if (
        following is None
        or not (following.asks and following.segments)
        or not any(segment.head for segment in story.segments)
    ):
        return False
    if _ADDS.search(following.text):
        return True  # "the ejector is broken. Also need 4 padlocks": one of each
    first = following.segments[0]
    several = any(token.kind == "each" or token.text in _POINTS_AT_SEVERAL for token in first.tokens)
    between = later[: later.index(following)]
    if not several and any(one.story and any(segment.head for segment in one.segments) for one in between):
        return False
    said = [token.text for token in first.tokens]
    pointing = several or not _POINTS.isdisjoint(said) or ("it" in said and asks_for(" ".join(said)))
    return not first.head and (pointing or first.quantity is not None or bool(first.facts))


_ADDS = re.compile(
    r"^\W*(?:and )?(?:also\b|and (?:can|could)\b)|\b(?:too|as well)\W*(?:please|pls)?\W*$", re.IGNORECASE
)
_POINTS = listed("one ones another replacement that this")
_POINTS_AT_SEVERAL = listed("both them those these all lot")


def _as_description(message: Message, sentences: list[Sentence], words: Words, index: Index | None) -> None:
    """Nothing was read: words parted by commas may be one thing in a catalogue's order ("bar, retainer, front")."""
    for sentence in [one for one in sentences if not _is_told(one, asking=False)][:3]:
        tokens = [token for segment in sentence.segments for token in segment.tokens][:LONGEST]
        guess = guesses(tokens, words, index)
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


_NAME = re.compile(r"[A-Z][a-z]+\.?")
_NAMES = 2
_SIGNING_OFF = re.compile(
    r"^(?:many |kind |best |warm )?(?:thanks|thank you|thx|cheers|regards|wishes|ta|rgds|br|yours|best)\b",
    re.IGNORECASE,
)


def _van_in(line: str, words: Words, context: Context) -> None:
    mark_context(tokenise(line, words, None), context)


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
