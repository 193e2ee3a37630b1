"""From a line to an answer: sure, ask with the one question that splits the candidates, or none."""

from __future__ import annotations

import re
from dataclasses import replace

from partsbin.requests.amounts import all_pieces
from partsbin.requests.base_units import base_quantity, cases_or_singly, doubt, speaks_of_cases
from partsbin.requests.doubts import is_another_thing, rests_on_a_guess
from partsbin.requests.index import Index
from partsbin.requests.plausible import plausible
from partsbin.requests.query import Query, prepare
from partsbin.requests.questions import confirm, question
from partsbin.requests.reading import read_message
from partsbin.requests.scored import Scored
from partsbin.requests.scoring import NONE_WEIGHTS, chances, none_features
from partsbin.requests.types import Answer, AskedLine, Candidate, CatalogueItem, Message, Status
from partsbin.requests.words import split_words

SURE = 0.8
OFFERED = 0.004
NONE_BELOW = 0.12


def answer(index: Index, line: AskedLine, limit: int = 5, machine: str = "") -> Answer:
    """Find what a line asks for.

    ``machine`` is a machine already known (a job's asset); one named in the line itself goes before it.
    """
    return _judge(index, line, limit, machine)[0]


def _judge(index: Index, line: AskedLine, limit: int, machine: str = "") -> tuple[Answer, Scored | None]:
    """The answer, and how its first candidate was measured."""
    query = prepare(index, line, machine)
    scored = plausible(index, query)
    best = max((one for one, _, _ in scored), key=lambda one: one.score, default=None)
    none = sum(NONE_WEIGHTS[name] * value for name, value in none_features(query, best).items())
    shares = chances([one.score for one, _, _ in scored], none)
    ranked = sorted(zip(scored, shares, strict=True), key=_rank)
    shown = [(found, share) for found, share in ranked if _worth_showing(found[0], share)] or ranked[:1]
    candidates = tuple(_candidate(*found, share) for found, share in shown[: max(limit, 1)])
    top = shown[0][0][0] if shown else None
    status = _status(query, top, candidates)
    asked = _asked(query, status, [(one, share) for (one, _, _), share in shown])
    kept = tuple(one for (found, share), one in zip(shown, candidates, strict=False) if _worth_showing(found[0], share))
    quantity = base_quantity(line, shown[0][0][1] if kept else None)
    if top and quantity and status != "none" and (many := all_pieces(line, top.view)):
        quantity, status = quantity * many, "ask"
        asked = f"{quantity} × {top.view.item.description}?"
    if quantity is None and status != "none":
        asked = asked or "how many?"
        status = "ask" if line.vague else status
    elif status == "sure" and line.vague:
        status, asked = "ask", "still wanted?"
    elif status == "sure" and (unclear := doubt(line, shown[0][0][1])):
        status, asked = "ask", unclear
    return Answer(line, status, asked, kept[:limit], quantity), top


def answer_text(index: Index, text: str, limit: int = 5) -> list[Answer]:
    """Answer what is typed into one entry: usually one line, sometimes several things at once.

    Words no reading knows are still looked for: the catalogue or what was learned may know them.
    """
    message, answers = answer_message(index, text, limit)
    words = tuple(split_words(text[:200]))
    if answers or message.cancelled or message.intents or not words:
        return answers
    return [answer(index, AskedLine(text.strip()[:200], words=words), limit)]


def answer_message(index: Index, text: str, limit: int = 5) -> tuple[Message, list[Answer]]:
    """Read a whole message and answer every line in it.

    Where an item of the catalogue carries every word of several lines, those lines were one thing said in the
    catalogue's order ("bushing, rear, coil, 10 mm"), and become one.
    """
    message = read_message(text, index.words, index)
    judged = [_judge(index, line, limit) for line in message.lines]
    answers = [one for one, _ in judged]
    _set_aside_stories(message, answers, [bool(scored and scored.missed) for _, scored in judged])
    if speaks_of_cases(text):
        _count_cases(index, message, answers, limit)
    for places, line in reversed(message.wholes):
        whole, scored = _judge(index, line, limit)
        parts = [answers[place] for place in places]
        if scored is not None and _is_one(whole, scored, parts):
            message.lines[places[0] : places[-1] + 1] = [line]
            answers[places[0] : places[-1] + 1] = [whole]
    return message, answers


def _set_aside_stories(message: Message, answers: list[Answer], leftover: list[bool]) -> None:
    """Keep as unread what only tells of a thing another line counts: "heater measured open circuit. 1 heater"."""
    for place in reversed(range(len(answers))):
        one = answers[place]
        orders = [other for other in answers if other is not one and not other.line.told]
        others = [other for other in orders if _counted(other) or one.line.told]
        again = any(other.candidates[:1] and _alike(other, one) for other in others)
        tells = leftover[place] or one.line.told or _TELLING.match(one.line.text)
        if tells and again and not _counted(one) and not message.wholes:
            message.unread.append(message.lines.pop(place).text)
            answers.pop(place)


_TELLING = re.compile(r"\W*(?:the|our|my|this|that|hi)\b", re.IGNORECASE)
_ARTICLE = re.compile(r"\b(?:a|an|one|another|new)\b", re.IGNORECASE)


def _counted(one: Answer) -> bool:
    """Whether a line says how many: by a count, or by an article before its thing."""
    return one.line.quantity_stated or bool(_ARTICLE.search(one.line.text) and not _TELLING.match(one.line.text))


def _alike(one: Answer, other: Answer) -> bool:
    """Whether one answer's item is the other's; where the other is told and unsure, one that was offered for it."""
    offered = other.candidates if other.line.told and other.status != "sure" else other.candidates[:1]
    return any(found.item_id == one.candidates[0].item_id for found in offered)


def _count_cases(index: Index, message: Message, answers: list[Answer], limit: int) -> None:
    """Where a message speaks of cases, its drinks without a unit are cases too: "2 cases cola, 3 lemon"."""
    for place, one in enumerate(answers):
        item = index.get(one.candidates[0].item_id) if one.candidates else None
        if item is not None and cases_or_singly(one.line, item):
            message.lines[place] = replace(one.line, unit="case")
            answers[place] = answer(index, message.lines[place], limit)


def _is_one(whole: Answer, scored: Scored, parts: list[Answer]) -> bool:
    """Whether one item plainly has all the words that were read as several lines, or as one line and leavings."""
    if not whole.candidates or scored.contradictions or scored.missed or whole.candidates[0].score < 0.4:
        return False
    counted = any(part.line.quantity_stated for part in parts) and not whole.line.quantity_stated
    if counted and not scored.features.get("figures"):
        return False
    if len(parts) == 1:
        return not parts[0].candidates or whole.candidates[0].score >= parts[0].candidates[0].score
    alike = len({part.candidates[0].item_id if part.candidates else 0 for part in parts}) == 1
    if all(part.status == "sure" for part in parts) and not alike:
        return False
    return scored.features.get("extra", 0.0) <= 0.34 or len(set(scored.matched)) >= 3


def _rank(pair: tuple[tuple[Scored, CatalogueItem, tuple[str, ...]], float]) -> tuple[bool, float, int]:
    """Best chance first; what contradicts after what does not, unless its number was read."""
    (one, item, _), share = pair
    numbered = one.features.get("number", 0.0) + one.features.get("alike_number", 0.0)
    return bool(one.contradictions) and not numbered and share < 0.5, -share, item.item_id


def _candidate(one: Scored, item: CatalogueItem, passed: tuple[str, ...], share: float) -> Candidate:
    return Candidate(
        item.item_id,
        item.part_number,
        item.description,
        round(share, 4),
        _why(one, passed, item),
        tuple(one.contradictions),
    )


def _why(one: Scored, passed: tuple[str, ...], item: CatalogueItem) -> str:
    parts = []
    if passed:
        parts.append(f"{' then '.join(passed)} is superseded by {item.part_number}")
    if one.matched:
        parts.append("matches " + ", ".join(dict.fromkeys(one.matched)))
    parts.extend(one.read_as)
    if one.features.get("learned"):
        parts.append("the desk has picked it for these words before")
    if one.missed:
        parts.append("nothing for " + ", ".join(f"'{word}'" for word in dict.fromkeys(one.missed)))
    if one.silent:
        parts.append("does not say " + ", ".join(one.silent))
    parts.extend(one.contradictions)
    return "; ".join(parts) or "no word in common"


def _status(query: Query, top: Scored | None, candidates: tuple[Candidate, ...]) -> Status:
    if top is None or not candidates or (candidates[0].score < NONE_BELOW and not _close_family(candidates)):
        return "none"
    doubtful = is_another_thing(query, top) or rests_on_a_guess(query)
    doubtful = doubtful or any(top.features.get(name) for name in ("near_number", "unstated"))
    if candidates[0].score >= SURE and not doubtful and not candidates[0].contradictions:
        return "sure"
    return "ask"


def _asked(query: Query, status: Status, shown: list[tuple[Scored, float]]) -> str:
    """The question between likely items, or about the one thing that is here but contradicts."""
    if status == "ask":
        return question(query, shown)
    return confirm(query, shown[0][0]) if status == "none" and shown and shown[0][0].contradictions else ""


def _worth_showing(one: Scored, share: float) -> bool:
    """Likely, or the right thing but for a contradiction the desk should see named."""
    near = one.features.get("family", 0.0) >= 0.5 and one.features["covered"] >= 0.6
    return share >= OFFERED or (bool(one.contradictions) and near)


def _close_family(candidates: tuple[Candidate, ...]) -> bool:
    """Many alike candidates share one chance between them: together they may still be a good reason to ask."""
    return sum(one.score for one in candidates if not one.contradictions) >= 0.3
