"""What a stretch of speech does besides asking: take back, change, tell a story, hold, return, repeat."""

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
    return bool(_MENDED.match(" ".join(token.text for token in segment.tokens)))


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


# "Customer says it has to be the 16": said anew, though it sounds like a story.
_ANEW = re.compile(
    rf"{_LEAD}(?:(?:the )?[\w']+ (?:says|said|reckons|wants|meant) )?(?:it|that|they|those|these) "
    r"(?:must|needs? to|ha(?:s|ve) to|ought to|should|was meant to|were meant to) (?:be|have been)\b"
)


_RUNS_OUT = re.compile(r"\b(?:out of|(?:running |getting )?low on|short of|run out|last of)\b", re.IGNORECASE)


def runs_out(text: str) -> bool:
    """Whether a sentence says what there is no more of, and so asks for it: "we're out of keypads"."""
    return bool(_RUNS_OUT.search(text))


def is_story(text: str, asks: bool) -> bool:
    """Whether a sentence tells what happened and asks for nothing."""
    return not asks and bool(_STORY.search(text.lower())) and not _ANEW.match(text.lower())


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
    news = _NEWS.search(text)
    return news is not None and not asks_for(text[: news.start()] + text[news.end() :])


# "I said 3 keypads but I only need 2": what was asked before is changed in the same breath.
_SAID_BEFORE = re.compile(
    r"\b(?:i|we)(?:'d|'ve| had| have)? (?:said|asked for|ordered|put(?: down)?|requested)\b", re.IGNORECASE
)


def asked_before(text: str) -> bool:
    """Whether words speak of what was asked for before."""
    return bool(_SAID_BEFORE.search(text))


def replaces(segment: Segment) -> bool:
    """Whether a stretch comes in the place of another: "can you do 4 lids instead"."""
    return any(token.text == "instead" for token in segment.tokens)


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
    told = _RETURNED.search(text)
    return told is not None and not asks_for(text[: told.start()] + text[told.end() :])


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
    text = " ".join(token.text for token in segment.tokens)
    return not segment.head and bool(_REFUSES.fullmatch(re.sub(r"^(?:so|but|and) ", "", text)))


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


def _says_anew(segment: Segment, text: str) -> bool:
    """Whether a count or value is said in place of another: "can you do 3 instead", "it must be the 80"."""
    if segment.head:
        return False
    return bool(_ANEW.match(text)) or (segment.quantity is not None and text.endswith("instead"))


def _says_another_value(segment: Segment, text: str) -> bool:
    """Whether nothing but a value stands behind a "no": "a left hatch, no right"."""
    behind = [token for token in segment.tokens if token.text not in ("no", "oh", "sorry", "wait")]
    return bool(_NO_BUT.match(text)) and bool(behind) and all(token.kind == "attribute" for token in behind)


def marks_of(segment: Segment) -> None:
    """Note whether a segment takes back, changes or says again what was asked."""
    text = _plainly(segment)
    if _STILL_THERE.match(text):
        _say_what_is_there(segment)
    if _RUN_OUT.match(" ".join(token.text for token in segment.tokens)):
        return
    segment.again = bool(_AGAIN.match(text))
    if _NOT_IT.match(text):
        segment.negated = True
        return
    if refuses(segment) and not _BARE_NO.match(text):
        segment.negated = True
    elif (
        (_AMENDS.match(text) and not _FORGETS.match(text))
        or _says_anew(segment, text)
        or _says_another_value(segment, text)
    ):
        segment.amends = True
    elif _NEGATES.match(text) or _NOT_NEEDED.search(text):
        segment.negated = True
    elif _BARE_NO.match(text):
        segment.amends = True
