"""Counting what a set of request lines and messages reaches."""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from messages import Wanted

from partsbin.requests import CatalogueItem, Index, answer_message, answer_text

DATA = Path(__file__).parents[1] / "data" / "requests"


@dataclass
class Board:
    """Counts by kind, and pairs of (probability said, right or not) for calibration."""

    asked: Counter[str] = field(default_factory=Counter)
    first: Counter[str] = field(default_factory=Counter)
    third: Counter[str] = field(default_factory=Counter)
    sure: int = 0
    sure_right: int = 0
    sure_stocked: int = 0
    false_sure: int = 0
    quantity: int = 0
    said: list[tuple[float, bool]] = field(default_factory=list)

    @property
    def stocked(self) -> int:
        return sum(self.asked.values()) - self.asked["none"]


def lines(used_for: str) -> list[dict[str, str]]:
    with (DATA / "lines.csv").open(encoding="utf-8", newline="") as handle:
        return [row for row in csv.DictReader(handle) if row["used_for"] == used_for]


def other_depot() -> tuple[list[CatalogueItem], list[dict[str, str]]]:
    """A terse catalogue from another depot, without families or aliases, and lines asked of it (used in tuning)."""
    with (DATA / "other_depot_items.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    ids = {row["part_number"]: place for place, row in enumerate(rows, 1)}
    items = [
        CatalogueItem(
            ids[row["part_number"]],
            row["part_number"],
            row["description"],
            unit=row["unit"],
            pack_size=int(row["pack_size"]),
            fits=tuple(part for part in row["fits"].split("|") if part),
            superseded_by=ids.get(row["superseded_by"]),
        )
        for row in rows
    ]
    with (DATA / "other_depot_lines.csv").open(encoding="utf-8", newline="") as handle:
        return items, list(csv.DictReader(handle))


def score(index: Index, rows: list[dict[str, str]]) -> Board:
    board = Board()
    for row in rows:
        answers = answer_text(index, row["text"])
        one = answers[0] if answers else None
        parts = [candidate.part_number for candidate in one.candidates] if one else []
        sure = one is not None and one.status == "sure"
        stocked = row["kind"] != "none"
        right = parts[:1] == [row["part_number"]] if stocked else not sure
        board.asked[row["kind"]] += 1
        board.first[row["kind"]] += right
        board.third[row["kind"]] += right or row["part_number"] in parts[:3]
        board.sure += sure
        board.sure_right += sure and right
        board.sure_stocked += sure and stocked
        board.false_sure += sure and not stocked
        said = "" if one is None or one.quantity is None else str(one.quantity)
        board.quantity += stocked and len(answers) == 1 and said == row["quantity"]
        if one and one.candidates:
            board.said.append((one.candidates[0].score, stocked and right))
    return board


def whole_messages(index: Index, wanted: list[Wanted]) -> int:
    """How many messages come out with every part number and quantity right and nothing else."""
    right = 0
    for one in wanted:
        _, answers = answer_message(index, one.text)
        found = sorted(
            (answer.candidates[0].part_number if answer.candidates else "", answer.quantity or 0) for answer in answers
        )
        right += found == sorted(one.lines)
    return right
