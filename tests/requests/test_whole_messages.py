"""Whole messages of every shape on invented catalogues: every line right and nothing else."""

from __future__ import annotations

import made_up
import pytest
import whole_messages

from partsbin.requests import Index, answer_message


@pytest.mark.parametrize("style", made_up.STYLES, ids=lambda style: style.name)
def test_every_line_of_a_message_comes_out_right(style: made_up.Style) -> None:
    made = made_up.catalogue(style)
    index = Index([one.item for one in made])
    wrong = []
    told = list(whole_messages.messages(made, seed=20, each=2))
    for one in told:
        _, answers = answer_message(index, one.text)
        found = sorted(
            (each.candidates[0].part_number if each.candidates else "", each.quantity or 0) for each in answers
        )
        if tuple(found) != one.wanted:
            wrong.append((one.text, one.wanted, found))
    assert len(wrong) <= len(told) * 0.03, wrong
