"""What a stretch of speech does besides asking: take back, change, tell a story, hold, return, repeat."""

from __future__ import annotations

import re

from partsbin.requests.segment import Segment
from partsbin.requests.words import Words

_NEGATES = re.compile(
    r"^(?:(?:and|but|so|oh|ok|no|sorry|actually|wait)\s+)*(?:(?:i|we)\s+)?(?:"
    r"(?:do not|don't|dont|does not|doesn't|doesnt|didn't|won't|wont|no longer) (?:need|want|send|require|"
    r"bother with|order|bring|get|worry about)"
    r"|no need (?:for|of)|not (?:needing|the|a|an|any)?\b|never ?mind|forget(?: about)?|cancel|scrap|scratch|skip|"
    r"ignore|leave out|leave off|hold off(?: on)?|take off|take out"
    r"|drop the|lose the|without|except|rather than|instead of|already (?:have|got)|(?:have|got) (?:the |a |an |"
    r"some )?.{0,30}already|remove the|keep(?: the| my| your)?|no more|(?<=but )no\b|no (?!\d|worries|problem|rush|"
    r"idea))",
)
_NOT_NEEDED = re.compile(
    r"\b(?:not needed|no longer needed|not required|isn't needed|aren't needed|isnt needed|arent needed|not now|"
    r"turned up|is sorted|are sorted|all sorted|already (?:have|got) (?:it|them|one|some|that|those)|can wait|"
    r"cancelled|canceled|not any ?more|don't need (?:it|them|that|those)|dont need (?:it|them|that|those)|"
    r"not wanted|is fine|are fine|is ok|are ok)\b"
)
_FORGETS = re.compile(
    r"^(?:(?:and|but|so|oh|ok|no|sorry|actually|wait)\s+)*(?:forget|cancel|skip|ignore|leave out|drop the|lose the|"
    r"remove the|(?:do not|don't|dont) need)\b(?! (?:that|it)\b)"
)
_AMENDS = re.compile(
    r"^(?:(?:and|but|so|oh|ok|no|sorry|actually|wait|hang on|hold on|correction|edit|update|on second thoughts?|"
    r"scratch that|scrap that|i mean|meant|rather|er|um)\b[ ,:]*)*"
    r"(?:make (?:that|it|those|them|the)\b|change (?:that|it|those|them|the)\b|should (?:be|have been|read)|"
    r"i mean(?:t)?\b|meant\b|correction\b|actually\b|sorry\b|that'?s\b|it'?s\b|on second thoughts?\b|or rather\b|"
    r"(?:wait|hang on|hold on|oops|scratch that)\b(?! (?:for|until|till|a))|"
    r"update\b|in fact\b|better make|up (?:that|it|the)\b|bump (?:that|it|the)\b)",
)
_BARE_NO = re.compile(r"^(?:no|sorry|actually|wait|oops|correction|edit|or rather|rather|i mean|er|um)$")
_STORY = re.compile(
    r"\b(?:is|are|was|were|keeps?|kept|won't|wont|doesn't|doesnt|don't|didn't|didnt|isn't|isnt|aren't|has been|"
    r"have been|hasn't|hums?|humming|stopped|stops|broke|broken|dead|died|fried|stuck|leaking|leaks|jamm\w+|says|"
    r"said|reckons?|thinks|looks like|tripped|trips|tripping|went|got|goes|seems?|turns|turning|spins?|runs|"
    r"running|fitted|replaced|swapped|checked|tried|cleaned|tested|reset|ate|took|saw|noticed|found|again|has split|"
    r"i'll|i will)\b",
)
_INTENTS = (
    ("repeat",
     r"\bsame (?:again|as (?:last|usual|before|yesterday|always))|\brepeat (?:of )?(?:last|my|the)\b|\bthe usual\b"),
    ("restock", r"\brestock\b|\btop[- ]?up (?:my|the|our)?\s*van|\bfill (?:my|the|our) van|\bbring (?:my|"
    r"the) van (?:up )?to par"),
    ("hold",
     r"\b(?:on hold|hold (?:one|a|the|for|me|it|on to)|reserve|put (?:\w+ ){0,3}(?:aside|by|to one side)|set aside|"
    r"keep (?:one|it) for)\b"),
    ("return", r"\b(?:returning|bringing back|sending back|send(?:ing)? (?:\w+ ){0,4}back|rma|warranty|came last time|"
    r"wrong (?:one|part)s? (?:came|sent|arrived)|too many)\b"),
    ("loan", r"\b(?:loaner|loan|borrow|lend)\b"),
    ("question",
     r"\b(?:superseded|what (?:number|part)|which (?:one|part)|is (?:there|it) (?:a|an|still)|what replaces|"
    r"replacement for|how (?:many|much)|when (?:will|is|are))\b"),
    ("convert", r"\b(?:convert\w*|swap(?:ping)? (?:the )?spacers?|change ?over|conversion)\b"),
)  # fmt: skip


def intent_of(text: str) -> str:
    """The intent a sentence states besides asking for things, or empty."""
    lowered = text.lower()
    return next((kind for kind, pattern in _INTENTS if re.search(pattern, lowered)), "")


_ASKS = re.compile(
    r"\b(?:need|needs|want|wants|send|sending|get|grab|order|please|pls|plz|require|requires|after|bring|can i|can you|"
    r"could you|have you|got any|got (?:a|an|any|some)? ?spares?|any chance|looking for|add|also|qty|supply|request)\b"
)


def asks_for(text: str) -> bool:
    """Whether a sentence has words that ask for something."""
    return bool(_ASKS.search(text.lower()))


def is_story(text: str, asks: bool) -> bool:
    """Whether a sentence tells what happened and asks for nothing."""
    return not asks and bool(_STORY.search(text.lower()))


def marks_of(segment: Segment, words: Words) -> None:
    """Note whether a segment takes back or changes what was asked."""
    del words
    # "not heated" is a value, nothing taken back.
    text = " ".join(
        token.text.replace(" ", "_") if token.kind == "attribute" else token.text
        for token in segment.tokens
        if token.kind != "filler"
    )
    if _AMENDS.match(text) and not _FORGETS.match(text):
        segment.amends = True
    elif _NEGATES.match(text) or _NOT_NEEDED.search(text):
        segment.negated = True
    elif _BARE_NO.match(text):
        segment.amends = True
