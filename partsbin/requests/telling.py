"""What a sentence does: ask for something, tell what happened, speak of what came before, open a list."""

from __future__ import annotations

import re

from partsbin.requests.intents import says_anew
from partsbin.requests.segment import Segment

_STORY = re.compile(
    r"\b(?:is|are|was|were|keeps?|kept|won't|wont|doesn't|doesnt|don't|didn't|didnt|isn't|isnt|aren't|has been|"
    r"have been|hasn't|hums?|humming|seized|frozen|torn|burnt|burned|blown|perished|knackered|faulty|worn|"
    r"noisy|stopped|stops|"
    r"broke|broken|dead|died|fried|stuck|leaking|leaks|jamm\w+|says|"
    r"said|reckons?|thinks|looks like|tripped|trips|tripping|went|got|goes|seems?|turns|turning|spins?|runs|"
    r"running|works?|takes|shows|gone|snapped|cracked|smashed|bent|drips|dripping|leaked|has|had|fitted|"
    r"replaced|swapped|changed|everything|everywhere|nothing|nobody|there'?s|"
    r"(?:i|we|they|he|she)(?:'ve|'d| have| had)(?! to\b)|checked|tried|"
    r"\w+'s (?:(?:just|all|now|been|also) )?(?:\w+ed|gone|off|out|down|dead|shot|stuck)\b|"
    r"short of|low on|cleaned|tested|measured|reset|ate|took|saw|noticed|found|again|has split|i'll|i will)\b",
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
    r"\b(?:could do with|is best|would do|will do|needed|needs?|wants?|send|sending|get|grab|order|please|pls|plz|"
    r"requires?|after|bring|can i|can you|could you|have you|got any|got (?:a|an|any|some)? ?spares?|any chance|"
    r"looking for|add|also(?! (?:the|my|our)\b)|qty|(?<!power )supply|request|never (?:turned up|arrived|came))\b"
)


# "I'll drop the old one back Friday": nothing is asked for, whatever is named.
_PROMISES = re.compile(
    r"^\W*(?:and |but )?(?:i'?ll|i will|we'?ll|we will)\b(?! (?:have|take|need|want|get|grab|also)\b)"
)


def promises(text: str) -> bool:
    """Whether a sentence says what its writer will do."""
    return bool(_PROMISES.match(text.lower()))


_DONE = re.compile(
    r"^\W*(?:(?:i|we)(?:'ve)? |already )*"
    r"(?:(?:tried|used|fitted|replaced|swapped|changed|found|took|checked|cleaned|tested|measured)\b|"
    r"(?:had|got|ordered|bought)\b.*\b(?:last (?:week|month|time|year)|(?:off|from) you|yesterday)\b)"
)


def reports(text: str) -> bool:
    """Whether a sentence says what was done: "tried two" counts nothing that is asked for."""
    return bool(_DONE.match(text.lower()))


_MENDED = re.compile(
    r"(?:(?:i|we)(?:'ve)? |have |already )*(?:fitted|replaced|swapped|changed|cleaned|checked|tested) "
    r"(?:the|a|an|my|that|this|both|all|one|two|three|four|\d+)\b"
)


def mended(segment: Segment) -> bool:
    """Whether a stretch of a story names what was seen to already: "replaced the keypad, now the modem has gone"."""
    return bool(_MENDED.match(segment.said))


def asks_for(text: str) -> bool:
    """Whether a sentence has words that ask for something."""
    return bool(_ASKS.search(text.lower())) and not promises(text)


_INTRODUCES = re.compile(
    r"\b(?:following|with reference|further to|as (?:discussed|agreed|per)|items?|parts?|list|supply|order|send|needs?|"
    r"requires?|wants?)\b.*:\s*$",
    re.IGNORECASE,
)


_LISTED = re.compile(r"\b(?:listed|detailed|shown|set out|as) (?:below|follows)\b", re.IGNORECASE)


def introduces(text: str, segments: list[Segment]) -> bool:
    """Whether a sentence only opens the list below it: "please send us the following for the M12:"."""
    if _LISTED.search(text) and not any(one.quantity or one.codes for one in segments):
        return True
    if not _INTRODUCES.search(text) or any(one.quantity for one in segments):
        return False
    return "following" in text.lower() or not any(one.families for one in segments)


_FINDS = re.compile(
    r"^\W*(?:so |i (?:think|reckon) )*(?:it'?s|it is|must be|that'?s|probably) "
    r"(?:definitely |probably )?(?:the|a|an)\b|"
    r"\bso (?:it'?s|it is|it must be) (?:the|a|an)\b",
    re.IGNORECASE,
)


def finds(text: str, segments: list[Segment]) -> bool:
    """Whether a sentence names what was found to be wrong: "so it's the door switch"."""
    pointing = any(token.text in ("one", "ones") for segment in segments for token in segment.tokens)
    return bool(_FINDS.search(text)) and not pointing and any(segment.head for segment in segments)


_RUNS_OUT = re.compile(r"\b(?:out of|(?:running |getting )?low on|short of|run out|last of)\b", re.IGNORECASE)


def runs_out(text: str) -> bool:
    """Whether a sentence says what there is no more of, and so asks for it: "we're out of keypads"."""
    return bool(_RUNS_OUT.search(text))


def is_story(text: str, asks: bool) -> bool:
    """Whether a sentence tells what happened and asks for nothing."""
    return not asks and bool(_STORY.search(text.lower())) and not says_anew(text)


# "Thanks for the keypad", "got the modem today", "whip aerial still to come?": about things already asked for.
_NEWS = re.compile(
    r"^\W*(?:many )?(?:thanks|thank you|ta|cheers) for\b|^\W*(?:i |we )?(?:got|received|had) (?:the|your|my|our)\b|"
    r"\b(?:still to come|no sign of|(?:still )?waiting (?:for|on)|on back ?-?order|any news (?:on|of|about)|eta|"
    r"(?:has|have) (?:arrived|turned up|landed))\b|"
    r"^\W*(?:fault|symptoms?|problem|issue|complaint|diagnosis|cause|work done|action taken)\s*:|"
    r"^\W*(?:van |current )?stock ?(?:check|count|take|levels?|on hand)\b[^:]*:|"
    r"\b(?:is|are) (?:fine|ok|okay|all right)\W*$|\b(?:came|arrived) (?:today|yesterday|this \w+)\b|"
    r"^\W*where(?:'s| is| are) (?:my|the|our)\b|"
    r"^\W*you(?:'ve| have)? (?:sent|gave|delivered|supplied|shipped|charged)\b",
    re.IGNORECASE,
)


def is_news(text: str) -> bool:
    """Whether a sentence only speaks of what was asked for, or has come, before."""
    return _says_only(_NEWS, text)


# "I said 3 keypads but I only need 2": what was asked before is changed in the same breath.
_SAID_BEFORE = re.compile(
    r"\b(?:i|we)(?:'d|'ve| had| have)? (?:said|asked for|ordered|put(?: down)?|requested)\b", re.IGNORECASE
)


def asked_before(text: str) -> bool:
    """Whether words speak of what was asked for before."""
    return bool(_SAID_BEFORE.search(text))


_COMPLAINS = re.compile(r"\byou(?:'ve| have)? (?:sent|gave|delivered|supplied|shipped)\b", re.IGNORECASE)


def complains(text: str) -> bool:
    """Whether a sentence speaks of something that was sent before: "the keypad you sent last week was faulty"."""
    return bool(_COMPLAINS.search(text))


_RETURNED = re.compile(
    r"\b(?:returning|(?:send|post|bring|giv)(?:ing)? [^.?!]{0,60}\bback\b|"
    r"on (?:its|their|the) way back|"
    r"came last time|wrong [^.?!]{0,60}(?:came|sent|arrived|delivered|received))\b",
    re.IGNORECASE,
)


def returns(text: str) -> bool:
    """Whether a sentence speaks of things that go back to the desk, and asks for nothing else."""
    return _says_only(_RETURNED, text)


def _says_only(what: re.Pattern[str], text: str) -> bool:
    """Whether a sentence says this, and asks for nothing besides."""
    found = what.search(text)
    return found is not None and not asks_for(text[: found.start()] + text[found.end() :])


_PRESUMES = re.compile(
    r"^\W*(?:and )?also (?:the|my|our)\b|\b(?:i|we) (?:think|reckon|guess|suspect|believe)\b|"
    r"\b(?:looks like|short of|low on)\b",
    re.IGNORECASE,
)


def presumes(text: str) -> bool:
    """Whether a story names what is wanted unless another line asks for it: "I reckon the panel has gone"."""
    return bool(_PRESUMES.search(text))


_OF_STOCK = re.compile(r"\bhow (?:many|much)\b|^\W*(?:is|are|do|have) .*\bin stock\b", re.IGNORECASE)


def asks_of_stock(text: str) -> bool:
    """Whether a sentence asks what is there, and so does not say how many are wanted."""
    return bool(_OF_STOCK.search(text))
