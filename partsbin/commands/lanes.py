"""Lanes: lane, chart."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.commands.files import Add
from partsbin.commands.session import Session, table

if TYPE_CHECKING:
    from partsbin.depot.machines import LaneRow
    from partsbin.desk.lane_answers import LaneAnswer
    from partsbin.desk.lane_questions import LaneAsked
    from partsbin.lanes.kits import KitLine, LaneKit, LanePart
    from partsbin.lanes.spacers import SpacerSet


def add(command: Add) -> None:
    """Declare these commands."""
    lane = command("lane", lane_, "spacers, capacity and kit for a container in a lane, or why it does not fit")
    lane.add_argument("container", metavar="CONTAINER", help="code, words such as “250 slim”, or a drink's part number")
    lane.add_argument(
        "lane",
        metavar="LANE",
        nargs="?",
        default="",
        help="code, width such as 74, machine family, or “A0417 12”; without it every lane type, the best first",
    )
    lane.add_argument("--van", metavar="VAN", default="", help="count what this van carries as on hand")

    chart = command("chart", chart_, "a machine's lane chart, and as PDF for its door")
    chart.add_argument("machine", metavar="MACHINE", help="asset number, serial, or words of its site")
    chart.add_argument("--pdf", metavar="F", type=Path)


def lane_(session: Session, options: argparse.Namespace) -> int:
    """Answer which spacers, how many, or why not."""
    from partsbin.depot.places import the_place
    from partsbin.desk.lane_answers import answer_lines, answers

    with session.open() as depot:
        van = the_place(depot, options.van, kinds=("van",)) if options.van else None
        found = answers(depot, options.container, options.lane, van)
    document = {"container": options.container, "lane": options.lane, "answers": [_answer(x) for x in found]}
    if options.lane:
        text = [line for answer in found for line in (*answer_lines(answer), "")][:-1]
    else:
        text = [f"{answer.fit.sentence()}." for answer in found]
    return session.answer(document, text)


def lane_document(asked: LaneAsked) -> dict[str, object]:
    """A lane question answered, as ``find`` gives it beside the lines: what to ask, answers as ``lane`` gives them."""
    return {
        "ask": list(asked.ask),
        "answers": [_answer(x) for x in asked.answers],
        "more": asked.more,
        "first_checks": list(asked.checks),
    }


def chart_(session: Session, options: argparse.Namespace) -> int:
    """Show every lane of a machine; write its door chart where asked."""
    from partsbin.depot.machines import lanes_of, the_machine
    from partsbin.desk.door_chart import spacer_words, write_door_chart

    with session.open() as depot:
        machine = the_machine(depot, options.machine)
        lanes = [(lane, spacer_words(depot, lane)) for lane in lanes_of(depot, machine.asset)]
        if options.pdf:
            write_door_chart(depot, machine.asset, options.pdf)
    rows = [
        (
            *(x.shelf, x.lane, x.lane_type, x.container, spacers, "?" if x.count is None else x.count, x.capacity),
            *(x.changed_on, x.part_number, x.description),
        )
        for x, spacers in lanes
    ]
    document = {
        "asset": machine.asset,
        "site": machine.site,
        "van": machine.van_code,
        "lanes": [_chart_lane(lane, spacers) for lane, spacers in lanes],
    }
    headings = ("SHELF", "LANE", "TYPE", "CONTAINER", "SPACERS", "HOLDS", "OF", "CHANGED", "PART", "DESCRIPTION")
    return session.answer(document, [f"{machine.asset} {machine.site}, {machine.family}", *table(headings, rows)])


def _chart_lane(lane: LaneRow, spacers: str) -> dict[str, object]:
    names = ("lane", "selection", "shelf", "position", "lane_type", "part_number", "container", "capacity", "count")
    facts: dict[str, object] = {name: getattr(lane, name) for name in names}
    return {**facts, "changed_on": lane.changed_on, "spacers": spacers, "fitted": dict(lane.fitted)}


def _answer(answer: LaneAnswer) -> dict[str, object]:
    found = answer.fit
    return {
        "container": found.container.code,
        "lane_type": found.lane_type.code,
        "fits": bool(found.best),
        "verdict": found.verdict.value,
        "sentence": found.sentence(),
        "too_wide_mm": found.over_mm,
        "unconfirmed": found.unconfirmed,
        "capacity": found.capacity,
        "capacity_pair": 2 * found.capacity if found.lane_type.coupled else None,
        "coil_pitch_mm": list(found.coil_mm),
        "reasons": list(found.reasons),
        "notes": list(found.notes),
        "sets": [_set(answer, spacers) for spacers in (*found.sets, *found.unstocked)],
        "kit": answer.kit and _kit(answer, answer.kit),
        "no_kit": answer.no_kit,
    }


def _kit(answer: LaneAnswer, kit: LaneKit) -> dict[str, object]:
    return {
        "machine": answer.rows[0].asset if answer.rows else "",
        "machine_lanes": [row.lane for row in answer.rows],
        "lanes": kit.lanes,
        "capacity": kit.capacity,
        "complete": kit.complete,
        "lines": [_line(answer, line) for line in kit.take],
        "comes_back": [_line(answer, line) for line in kit.back],
        "cautions": list(kit.cautions),
        "notes": list(kit.notes),
    }


def _set(answer: LaneAnswer, spacers: SpacerSet) -> dict[str, object]:
    lacking = dict(spacers.lacking)
    parts = [(answer.part(number), quantity) for number, quantity in spacers.items]
    return {
        "spacers": [
            {
                "part_number": part.part_number,
                "hand": part.hand,
                "thickness_mm": part.thickness_mm,
                "quantity": quantity,
                "lacking": lacking.get(part.part_number, 0),
                "stock": _stock(part),
            }
            for part, quantity in parts
            if part is not None
        ],
        "left_mm": list(spacers.left_mm),
        "right_mm": list(spacers.right_mm),
        "slack_mm": spacers.slack_mm,
        "offset_mm": spacers.offset_mm,
        "in_stock": not spacers.lacking,
    }


def _line(answer: LaneAnswer, line: KitLine) -> dict[str, object]:
    return {
        "part_number": line.part_number,
        "description": line.description,
        "role": line.role.value if line.role else "",
        "hand": line.hand,
        "quantity": line.quantity,
        "lacking": line.lacking,
        "stock": _stock(answer.part(line.part_number)),
    }


def _stock(part: LanePart | None) -> list[dict[str, object]]:
    return [{"place": place, "quantity": held} for place, held in (part.places if part else ())]
