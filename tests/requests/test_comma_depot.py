"""A depot that writes its catalogue in capitals parted by commas, and what its people ask for (tuned on)."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.requests import Answer, CatalogueItem, Index, answer_message, answer_text

DATA = Path(__file__).parents[1] / "data" / "requests"


@pytest.fixture(scope="module")
def index() -> Index:
    rows = [line.split("|") for line in (DATA / "comma_depot_items.txt").read_text().splitlines()[1:]]
    ids = {row[0]: number for number, row in enumerate(rows, 1)}
    return Index(
        [
            CatalogueItem(
                ids[row[0]],
                row[0],
                row[1],
                fits=(row[2],) if row[2] else (),
                pack_size=24 if "CS24" in row[1] else 1,
                superseded_by=ids[row[3]] if len(row) > 3 else None,
            )
            for row in rows
        ]
    )


def said(answers: list[Answer]) -> list[str]:
    return sorted(
        f"{one.candidates[0].part_number if one.candidates else '-'} {'?' if one.quantity is None else one.quantity}"
        for one in answers
    )


LINES = [line.rsplit("|", 1) for line in (DATA / "comma_depot_lines.txt").read_text().splitlines() if line]
MESSAGES = [block.rsplit("\n> ", 1) for block in (DATA / "comma_depot_messages.txt").read_text().split("=====\n")]


@pytest.mark.parametrize(("text", "wanted"), LINES)
def test_a_line(index: Index, text: str, wanted: str) -> None:
    answers = answer_text(index, text)
    if wanted == "none":
        assert all(one.status != "sure" for one in answers)
    else:
        assert said(answers) == sorted(wanted.split(";"))
        assert all(one.status != "none" for one in answers)


@pytest.mark.parametrize(("text", "wanted"), MESSAGES)
def test_a_message(index: Index, text: str, wanted: str) -> None:
    assert said(answer_message(index, text)[1]) == sorted(wanted.strip().split(";"))
