"""Lane questions in words, from the Counter and from ``find``, answered for the lanes and machines of the depot."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import partial

from partsbin.depot.catalogue import find_item, first_checks_of
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, lanes_of
from partsbin.depot.places import Place
from partsbin.desk.lane_answers import (
    MOST_ANSWERS,
    LaneAnswer,
    Spot,
    answer_all,
    answer_lines,
    best_first,
    spots_of,
)
from partsbin.desk.lanes import containers, lane_types
from partsbin.errors import Refused
from partsbin.lanes.containers import Container
from partsbin.lanes.named_containers import Named, which
from partsbin.lanes.questions import LaneQuestion, may_be_lane_question, read_lane_question

MOST_CHECKS = 3
_NO_NAME = frozenset(
    ("can", "cans", "bottle", "bottles", "case", "tray", "pack", "sleek", "slim", "the", "and", "lane")
)


@dataclass(frozen=True, slots=True)
class LaneAsked:
    """A lane question answered: what is still to be asked, the answers, and how many more the words would allow.

    ``brief`` means it was asked which lanes will do, so that each answer is worth one line. ``checks`` are what to try
    before a part is pulled, where something goes wrong in a lane.
    """

    ask: tuple[str, ...]
    answers: tuple[LaneAnswer, ...]
    more: int = 0
    brief: bool = False
    checks: tuple[str, ...] = ()

    def words(self) -> str:
        """The whole answer in lines for people."""
        out = [f"Ask: {doubt}" for doubt in self.ask]
        out += [f"Try first: {check}" for check in self.checks]
        for answer in self.answers:
            out += [f"{answer.fit.sentence()}."] if self.brief else ["", *answer_lines(answer)]
        if self.more:
            out.append(f"… and {self.more} more: name the container and the lane.")
        return "\n".join(out).strip()


def asked(depot: Depot, text: str, van: Place | None = None) -> LaneAsked | None:
    """Answer a lane question in words; None when ``text`` is no lane question, or no containers and lanes are known."""
    question = _read(depot, text) if may_be_lane_question(text) else None
    if question is None:
        return None
    spots, missing = _spots(depot, question)
    known, doubts = _containers(depot, question, spots)
    pairs = [(container, spot) for container in known for spot in spots]
    if question.every:
        found = best_first(answer_all(depot, pairs, van))
        doubts = (*doubts, *_too_wide(found))
    else:
        found = list(answer_all(depot, pairs[:MOST_ANSWERS], van))
    more = max(len(pairs) - MOST_ANSWERS, 0)
    checks = [text for symptom, text in first_checks_of(depot, "DLV-SPC") if symptom == question.fault]
    told = tuple(found[:MOST_ANSWERS])
    return LaneAsked((*doubts, *missing), told, more, question.every, tuple(checks[:MOST_CHECKS]))


def _read(depot: Depot, text: str) -> LaneQuestion | None:
    assets = {row["asset"].upper() for row in depot.all("SELECT asset FROM machines")}
    try:
        known = containers(depot)
        return read_lane_question(text, known, lane_types(depot), assets, partial(_drinks, depot, known))
    except Refused:
        return None


def _drinks(depot: Depot, known: list[Container], words: str) -> Named:
    """The container of the drink whose number is said, else of the drinks whose names share most with ``words``."""
    for number in re.findall(r"[\w./-]*\d[\w./-]*", words):
        item = find_item(depot, number)
        if item is not None and item.container:
            found = tuple(c for c in known if c.code == item.container.upper())
            return Named(found, bool(found), words=frozenset((number,)))
    said = set(re.findall(r"[a-z]{3,}", words)) - _NO_NAME
    best: dict[str, set[str]] = {}
    most = (0, 0)
    for description, container in depot.all(
        "SELECT description, container FROM items WHERE container <> '' AND NOT retired"
    ):
        name = set(re.findall(r"[a-z]{3,}", description.lower())) - _NO_NAME
        shared = said & name
        rank = (len(shared), -len(name))
        if shared and rank >= most:
            best = best if rank == most else {}
            best.setdefault(container.upper(), set()).update(shared)
            most = rank
    found = tuple(c for c in known if c.code in best)
    return Named(found, bool(found), which(found), frozenset().union(*best.values()))


def _spots(depot: Depot, question: LaneQuestion) -> tuple[list[Spot], list[str]]:
    """Where the container is to go, and a sentence for each lane named that the machine does not have."""
    if not question.asset:
        types = _of_numbers(depot, question)
        return [Spot(kind, question.lanes) for kind in question.lane_types if not types or kind.code in types], []
    rows = lanes_of(depot, question.asset)
    if not question.numbers:
        codes = {row.lane_type for row in rows}
        allowed = question.lane_types or lane_types(depot)
        return [Spot(kind, question.lanes) for kind in allowed if kind.code in codes], []
    chosen = [row for row in rows if row.lane.upper() in question.numbers]
    lacking = [number for number in question.numbers if number not in {row.lane.upper() for row in chosen}]
    known = ", ".join(row.lane for row in rows) or "none yet"
    missing = [f"{question.asset} has no lane {', '.join(lacking)}; its lanes: {known}"] if lacking else []
    return spots_of(depot, chosen), missing


def _of_numbers(depot: Depot, question: LaneQuestion) -> set[str]:
    """The lane types that lanes of these numbers have in machines of the families named; empty where unknown."""
    families = {kind.family for kind in question.lane_types}
    marks = ",".join("?" * len(question.numbers)), ",".join("?" * len(families))
    rows = depot.all(
        "SELECT DISTINCT l.lane_type FROM lanes l JOIN machines m USING (asset) "
        f"WHERE l.lane IN ({marks[0]}) AND m.family IN ({marks[1]})",
        (*question.numbers, *families),
    )
    return {row[0] for row in rows}


def _containers(
    depot: Depot, question: LaneQuestion, spots: list[Spot]
) -> tuple[tuple[Container, ...], tuple[str, ...]]:
    """The containers asked about; where the words name none, or several, the one now in the lanes counts."""
    rows: list[LaneRow] = [row for spot in spots for row in spot.rows]
    now = {row.container.upper() for row in rows if row.container}
    allowed = question.containers or tuple(containers(depot))
    here = tuple(c for c in allowed if c.code in now)
    if question.containers and (len(question.containers) == 1 or len(here) != 1 or question.swap):
        return question.containers, question.doubts
    if question.containers or here:
        return here, tuple(doubt for doubt in question.doubts if doubt not in which(question.containers))
    return (), (*question.doubts, "which container: the chart names none for that lane") if rows else question.doubts


def _too_wide(found: list[LaneAnswer]) -> list[str]:
    """Say by how much a container is wider than any lane, where it is."""
    nearest = min(found, key=lambda x: x.fit.over_mm, default=None)
    if nearest is None or not nearest.fit.over_mm:
        return []
    kind = nearest.fit.lane_type
    over = f"{nearest.fit.over_mm:g} mm too wide even for {kind.code} ({kind.width_mm:g} mm)"
    return [f"{nearest.fit.container.name} is wider than any lane takes, {over}: is there another machine?"]
