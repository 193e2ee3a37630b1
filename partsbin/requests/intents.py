"""What a stretch of speech takes back or changes of what was asked before."""

from __future__ import annotations

import re

from partsbin.requests.segment import Segment

# Words speech begins with before it says what is to be done.
_LEAD = (
    r"^(?:(?:and|but|so|oh|ok|okay|no|nah|sorry|actually|wait|well|ps|p s|also|yes|yeah|please|pls|hang on|hold on|"
    r"edit|update|correction|in fact|can you|could you|you can|on second thoughts?|scratch that|scrap that)\b[ ,:]*)*"
)
# What takes a thing back by itself, and what does so only before "the", "that", "my" …: a drop sensor is a thing.
_DROPS_ANY = (
    r"cancel|scrap|scrub|skip|forget(?: about)?|ignore|omit|delete|remove|never ?mind|leave (?:out|off)|"
    r"hold off(?: on)?|hold(?= (?:the|that|those|these|it|them|my)\b.*\bfor (?:now|the moment))|"
    r"take (?:out|off)|strike out|knock off|don'?t bother with"
)
_DROPS_POINTED = r"scratch|drop|leave|lose|ditch|bin|strike"
_POINTED = (
    r"(?= (?:the|that|those|this|these|it|them|my|your|all|any|both|everything|last|off|"
    r"one|two|three|\d+)\b)"
)
_DROP = rf"(?:(?:{_DROPS_ANY})\b|(?:{_DROPS_POINTED})\b{_POINTED})"
# "Leave it at the gate", "drop the old one back Friday".
_HANDED = r"(?!(?:drop|leave|take)\b.* (?:at|with|by|in|back|round|on my|on the|behind)\b|drop\b.* off\b|.*\bif\b)"
_DROPPED = re.compile(rf"{_LEAD}{_HANDED}(?:{_DROP}|(?:i |we )?(?:don'?t|do not) (?:need|want|send)\b|no need\b)")
_NEGATES = re.compile(
    rf"{_LEAD}(?:(?:i|we)\s+)?(?:"
    r"(?:do not|don't|dont|does not|doesn't|doesnt|didn't|won't|wont|no longer) (?:need|want|send|require|"
    r"bother with|order|bring|get|worry about)"
    r"|no need (?:for|of)|not (?!sure|certain|urgent)(?:needing|the|a|an|any)?\b|none of (?:the|those|these|them)"
    r"|(?:there'?s |(?:i|we)(?:'ve)? )?(?:have |got |have got )?(?:enough|plenty)(?: of)?"
    r"|minus|without|except(?: for)?|apart from|all but|rather than|instead of|already (?:have|got)"
    r"|(?:have|got) (?:the |a |an |some )?.{0,30}already|keep(?: the| my| your)?|no more|(?<=but )no\b"
    r"|no (?!\d|(?:required|needed|wanted|ordered|the|its?|it's|that's)\b|worries|problem|rush|idea)"
    rf"|{_HANDED}{_DROP})",
)
_EXCEPTS = re.compile(rf"{_LEAD}(?:without|except|apart from|all but|leave (?:out|off)|bar\b)")
_REFUSES = re.compile(
    r"(?:no|nah|nope|none)\b(?: ?(?:,|no|none|thanks?|thank you|ta|cheers|need|needed|wait|never ?mind|don'?t bother|"
    r"not (?:needed|today|now|this time)|(?:leave|forget|skip|on|of) (?:it|that|those|them|these)|we'?re ok|i'?m ok|"
    r"all good))*"
    r"|(?:there )?(?:isn'?t|aren'?t|is no|are no|is none|are none) (?:one|any|ones)"
    r"(?: on (?:it|that|those|them|these))?"
)
_NOT_NEEDED = re.compile(
    r"\b(?:not needed|no longer needed|not required|isn't needed|aren't needed|isnt needed|arent needed|not now|"
    r"(?<!never )turned up|is sorted|are sorted|all sorted|already (?:have|got) (?:it|them|one|some|that|those)|"
    r"can wait(?! (?:till?|until|for|to)\b)|"
    r"cancelled|canceled|not any ?more|don't need (?:it|them|that|those)|dont need (?:it|them|that|those)|"
    r"not wanted|(?:is |are )?(?:fine|ok)$|is fine|are fine|is ok|are ok)\b"
)
_FORGETS = re.compile(rf"{_LEAD}(?:{_DROP}|(?:do not|don't|dont) need\b)(?! (?:that|it)\b)")
_AMENDS = re.compile(
    r"^(?:(?:and|but|so|oh|ok|no|sorry|actually|wait|hang on|hold on|correction|edit|update|on second thoughts?|"
    r"please|can you|could you|scratch that|scrap that|i mean|meant|rather|er|um)\b[ ,:]*)*"
    r"(?:make (?:that|it|those|them|the)\b|change (?:that|it|those|them|the)\b|should (?:be|have been|read)|"
    r"i mean(?:t)?\b|meant\b|correction\b|actually\b|sorry\b|that'?s\b|it'?s\b|on second thoughts?\b|or rather\b|"
    r"(?:wait|hang on|hold on|oops|scratch that)\b(?! (?:for|until|till|a))|edit\b|"
    r"update\b|not \d+ but\b|in fact\b|better make|up (?:that|it|the)\b|bump (?:that|it|the)\b|"
    r"(?:(?:i|we) )?(?:only|just|actually|really) (?:need|want)\b(?! the one\b))",
)
# "2 clamps 12 mm, no 16 mm": another value, and nothing that is taken back.
_NO_BUT = re.compile(r"^(?:oh |sorry |wait )*no\b")
# "Just the lenses", "the hinge is left": speaks of an earlier line, if there is one it fits.
_AGAIN = re.compile(rf"{_LEAD}(?:(?:just|only) (?:the|that|those|this|these)\b|the .{{2,40}} (?:is|are|should be) )")
_BARE_NO = re.compile(
    r"^(?:no|sorry|actually|wait|no wait|hang on|oops|correction|edit|update|or rather|rather|i mean|er|um)$"
)


# "Customer says it has to be the 16": said anew, though it sounds like a story.
_ANEW = re.compile(
    rf"{_LEAD}(?:(?:the )?[\w']+ (?:says|said|reckons|wants|meant) )?(?:it|that|they|those|these) "
    r"(?:must|needs? to|ha(?:s|ve) to|ought to|should|was meant to|were meant to) (?:be|have been)\b"
)


def replaces(segment: Segment) -> bool:
    """Whether a stretch comes in the place of another: "can you do 4 lids instead"."""
    return any(token.text == "instead" for token in segment.tokens)


_TURNS = re.compile(
    r"(?:make|change) (?:that|it|those|them)\b|i (?:mean|meant)\b|(?:except|apart from|but not|bar the)\b|"
    rf"no (?:wait|make|sorry|actually|hang on|hold on)\b|(?:(?:{_DROPS_ANY}|{_DROPS_POINTED})\b{_POINTED})"
)
_TURNS_DASHED = re.compile(rf"no\b .|(?:{_DROPS_ANY})\b")


def turns_back(text: str, *, dashed: bool) -> bool:
    """Whether words amid a sentence, perhaps behind a dash, start to take back or change what stands before them."""
    return bool(_TURNS.match(text) or (dashed and _TURNS_DASHED.match(text)))


def drops(segment: Segment) -> bool:
    """Whether a segment takes back by a word of dropping ("scrap the left one"), not by a mere "not"."""
    return bool(_DROPPED.match(_plainly(segment)))


_CORRECTS = re.compile(r"\b(?:should|must|needs? to|has to|have to|(?:was|were) meant to) (?:be|have been|say)\b")


def corrects(text: str) -> bool:
    """Whether words say what a thing named before has to be: "the printer should be the 80 mm"."""
    return bool(_CORRECTS.search(text))


def contrasts(segment: Segment) -> bool:
    """Whether one word says what the thing before is not: "bottles not cans"."""
    said = [token.text for token in segment.tokens]
    return segment.joined == "run" and said[0] == "not" and len(said) == _NOT_SO


_NOT_SO = 2  # words


def excepts(segment: Segment) -> bool:
    """Whether a segment names what is left out of all the rest: "everything except the castors"."""
    return bool(_EXCEPTS.match(_plainly(segment)))


_RATHER = re.compile(r"^\W*no\b\W*(?:the|its?|it's|that's)\b", re.IGNORECASE)


def prefers(text: str) -> bool:
    """Whether an answer says what is meant instead: "the Q5 one? no the Q2 lid, qty 1"."""
    return bool(_RATHER.match(text))


def refuses(segment: Segment) -> bool:
    """Whether a segment is nothing but a no: "no thanks", "no leave those"."""
    return not segment.head and bool(_REFUSES.fullmatch(re.sub(r"^(?:so|but|and) ", "", segment.said)))


def _plainly(segment: Segment) -> str:
    """What was said; "not heated" is a value, nothing taken back."""
    return " ".join(
        token.text.replace(" ", "_") if token.kind == "attribute" else token.text
        for token in segment.tokens
        if token.kind != "filler" or token.text == "no longer"
    )


# "No rear catches left on van 4" is why some are asked for.
_RUN_OUT = re.compile(r"^no .*\b(?:left|remaining|in stock)\b")


# "I've only got one keypad left, send 3 more": what is there counts nothing that is asked for.
_STILL_THERE = re.compile(
    r"^(?:i|we|they|there)(?:'ve|'s|'m|'re)? ?(?:only |just |still )*(?:got|have|has|is|are|down to)\b.*\bleft$"
)


def _say_what_is_there(segment: Segment) -> None:
    start = segment.quantity.start if segment.quantity else -1
    segment.tokens = [token for token in segment.tokens[:-1] if token.start > start]
    segment.quantity = None
    segment.facts = [fact for fact in segment.facts if fact[:2] != ("hand", "LH")]


_NOT_IT = re.compile(rf"{_LEAD}(?:it'?s|it is|that'?s|they'?re) not (?:the|a|an)\b")


def says_anew(text: str) -> bool:
    """Whether words say what something has to be instead: "customer says it must be the 80"."""
    return bool(_ANEW.match(text.lower()))


def _says_other(segment: Segment, text: str) -> bool:
    """Whether a count or value is said in place of another: "can you do 3 instead", "it must be the 80"."""
    if segment.head:
        return False
    return says_anew(text) or (segment.quantity is not None and text.endswith("instead"))


def _says_another_value(segment: Segment, text: str) -> bool:
    """Whether nothing but a value stands behind a "no": "a left hatch, no right"."""
    behind = [token for token in segment.tokens if token.text not in ("no", "oh", "sorry", "wait")]
    return bool(_NO_BUT.match(text)) and bool(behind) and all(token.kind == "attribute" for token in behind)


def marks_of(segment: Segment) -> None:
    """Note whether a segment takes back, changes or says again what was asked."""
    text = _plainly(segment)
    if _STILL_THERE.match(text):
        _say_what_is_there(segment)
    if _RUN_OUT.match(segment.said):
        return
    segment.again = bool(_AGAIN.match(text))
    if _NOT_IT.match(text):
        segment.negated = True
        return
    if refuses(segment) and not _BARE_NO.match(text):
        segment.negated = True
    elif (
        (_AMENDS.match(text) and not _FORGETS.match(text))
        or _says_other(segment, text)
        or _says_another_value(segment, text)
    ):
        segment.amends = True
    elif _NEGATES.match(text) or _NOT_NEEDED.search(text):
        segment.negated = True
    elif _BARE_NO.match(text):
        segment.amends = True
