"""From answers to work: keeping a request, promising its lines, learning from the desk's choice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.asks import Asked, keep_request
from partsbin.depot.catalogue import learn
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.places import find_place

if TYPE_CHECKING:
    from partsbin.requests import Answer, Message


def keep(depot: Depot, operator: Operator, text: str, message: Message, answers: Sequence[Answer]) -> int:
    """Keep a request as read: lines that are sure with a quantity are promised, the others only asked."""
    lines = []
    for answer in answers:
        sure = answer.status == "sure" and bool(answer.quantity) and bool(answer.candidates)
        item = answer.candidates[0].item_id if sure else None
        lines.append(Asked(answer.line.text, item, answer.quantity, promised=sure))
    van = find_place(depot, message.van) if message.van else None
    return keep_request(
        depot,
        text,
        lines,
        operator=operator,
        van=van.id if van and van.kind == "van" else None,
        job=message.job,
        site=message.site,
    )


def chose(depot: Depot, operator: Operator, answer: Answer, item_id: int) -> bool:
    """Learn the words of a line when the desk picks something other than the first candidate; True if it did."""
    words = " ".join(answer.line.words) or answer.line.text
    if not words.strip() or (answer.candidates and answer.candidates[0].item_id == item_id):
        return False
    learn(depot, item_id, words, operator.id, clock.now())
    return True
