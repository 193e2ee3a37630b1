"""Every usual way of saying how many, on invented catalogues, beside figures that are no quantity."""

from __future__ import annotations

import how_many
import made_up
import pytest
from demo_items import demo_items

from partsbin.requests import Index, answer_text


@pytest.mark.parametrize("style", made_up.STYLES, ids=lambda style: style.name)
def test_quantities_are_told_from_attribute_numbers(style: made_up.Style) -> None:
    made = made_up.catalogue(style)
    index = Index([one.item for one in made])
    wrong = []
    said = list(how_many.sayings(style, made, seed=20, each=2))
    for one in said:
        answers = answer_text(index, one.text)
        if [answer.quantity for answer in answers] != [one.quantity]:
            wrong.append((one.form, one.text, one.quantity, [answer.quantity for answer in answers]))
    assert len(wrong) <= len(said) * 0.01, wrong


def test_a_catalogues_own_words_are_counted_right() -> None:
    items = demo_items()
    index = Index(items)
    said = list(how_many.catalogue_words(items, seed=21))
    wrong = [
        (one.text, one.quantity, found)
        for one in said
        if (found := [answer.quantity for answer in answer_text(index, one.text)]) != [one.quantity]
    ]
    assert len(wrong) <= len(said) * 0.015, wrong
