"""Whole messages of every shape on invented catalogues: every line right and nothing else, and nothing vanishes."""

from __future__ import annotations

import made_up
import pytest
import whole_messages
from whole_messages import SHAPES

from partsbin.requests import Answer, Index, Message, answer_message
from partsbin.requests.words import split_words


@pytest.mark.parametrize("turn", range(len(made_up.STYLES)), ids=[style.name for style in made_up.STYLES])
def test_every_line_of_a_message_comes_out_right(turn: int) -> None:
    made = made_up.catalogue(made_up.STYLES[turn])
    index = Index([one.item for one in made])
    shapes = SHAPES[turn :: len(made_up.STYLES)]
    wrong = []
    for one in whole_messages.messages(made, seed=20, shapes=shapes):
        message, answers = answer_message(index, one.text)
        assert not _lost(one.named, message, answers), one.text
        found = sorted(
            (each.candidates[0].part_number if each.candidates else "", each.quantity or 0) for each in answers
        )
        if tuple(each for each in found if each[0] not in one.optional) != one.wanted:
            wrong.append((one.text, one.wanted, found))
    assert len(wrong) <= len(shapes) * 0.05, wrong


def _lost(named: tuple[str, ...], message: Message, answers: list[Answer]) -> set[str]:
    """Words of the things named that stand nowhere in what the desk is shown."""
    shown = [one.line.text for one in answers] + [" ".join(one.line.words) for one in answers] + message.unread
    shown += [one.text for one in (*message.cancelled, *message.intents)] + message.quoted
    words = {word for thing in named for word in split_words(thing) if len(word) > 3 and word.isalpha()}
    text = " ".join(shown).lower()
    return {word for word in words if word not in text}
