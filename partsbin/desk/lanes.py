"""Which spacers, how many, or why not: a container in a lane, answered from the depot's own items and stock."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from rapidfuzz import fuzz, process

from partsbin.depot.catalogue import Item, cautions_of, find_item
from partsbin.depot.containers import case_rows, container_rows, lane_type_rows
from partsbin.depot.file import Depot
from partsbin.depot.machines import LaneRow, MachineRow, find_machine, lanes_of
from partsbin.depot.places import Place, aboard, place_by_id
from partsbin.depot.plain_text import counted
from partsbin.desk.finding import stock_of
from partsbin.desk.lane_limits import limits_of
from partsbin.errors import Refused
from partsbin.lanes.chart import Lane, Machine
from partsbin.lanes.containers import Container
from partsbin.lanes.fit import Fit, Verdict, fit
from partsbin.lanes.kits import LaneKit, LanePart, lane_kit, spacer_stock
from partsbin.lanes.lane_parts import ROLES, WORDS, for_family, read_lane_part
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.lookup import containers_named, lane_types_named
from partsbin.lanes.questions import LaneQuestion, read_lane_question
from partsbin.lanes.tables import read_cases, read_containers, read_lane_types

MOST_ANSWERS = 6
_ABOUT_LANES = re.compile(
    r"\b(lanes?|trays?|spacers?|shims?|fillers?|fits?|sw[ao]p|convert|change|switch)\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class LaneAnswer:
    """One container in one lane type: the fit, the lane parts it may name, the kit or why there is none."""

    fit: Fit
    parts: tuple[LanePart, ...]
    kit: LaneKit | None
    no_kit: str = ""

    def part(self, part_number: str) -> LanePart:
        """The lane part with this number; only numbers of ``parts`` are ever asked for."""
        return next(p for p in self.parts if p.part_number == part_number)


def containers(depot: Depot) -> list[Container]:
    """Return every container with its case forms; refuses when none were imported yet."""
    found = read_containers(container_rows(depot), read_cases(case_rows(depot)))
    if not found:
        message = "No containers are known yet: import them (containers.csv)."
        raise Refused(message)
    return found


def lane_types(depot: Depot) -> list[LaneType]:
    """Return every lane type; refuses when none were imported yet."""
    found = read_lane_types(lane_type_rows(depot))
    if not found:
        message = "No lane types are known yet: import them (lane_types.csv)."
        raise Refused(message)
    return found


def lane_parts(depot: Depot, family: str, van: Place | None = None) -> list[LanePart]:
    """Return the stocked parts a lane of a machine family may take; on hand is the shelf, and ``van`` where given."""
    by_words = " OR ".join(f"description LIKE '%{name}%'" for names in WORDS.values() for name in names)
    rows = depot.all(
        "SELECT id, part_number, family, description, hand, disposition, "
        "(SELECT group_concat(machine, '|') FROM item_fits WHERE item_id = items.id) AS fits FROM items "
        f"WHERE (family IN ({','.join('?' * len(ROLES))}) OR (family NOT LIKE '___-%' AND ({by_words}))) "
        "AND retired = 0 AND superseded_by IS NULL ORDER BY part_number",
        tuple(ROLES),
    )
    near = {row["code"] for row in depot.all("SELECT code FROM places WHERE kind = 'bin'")}
    near |= {place_by_id(depot, place_id).code for place_id in aboard(depot, van)} if van else set()
    found = []
    for row in rows:
        part = read_lane_part(
            row["part_number"], row["family"], row["description"], hand=row["hand"], disposition=row["disposition"]
        )
        if part is not None and for_family([(part, tuple(row["fits"].split("|") if row["fits"] else ()))], family):
            found.append(_stocked(depot, row["id"], part, near, van))
    return found


def _stocked(depot: Depot, item_id: int, part: LanePart, near: set[str], van: Place | None) -> LanePart:
    places = stock_of(depot, item_id, van)
    on_hand = sum(quantity for code, quantity in places if code in near)
    codes = tuple(caution.code for caution in cautions_of(depot, item_id))
    return replace(part, on_hand=on_hand, places=tuple(places), cautions=codes)


def the_containers(depot: Depot, text: str) -> tuple[Container, ...]:
    """Return the containers ``text`` may mean: a code, words, or a drink's part number. Refused: the nearest three."""
    known = containers(depot)
    item = find_item(depot, text)
    if item is not None and item.container:
        return (container_of(depot, item),)
    try:
        return containers_named(text, known)
    except Refused:
        names = {c.code: " ".join((c.code, c.name, *c.words)).lower() for c in known}
        close = _nearest(text, names)
        by_code = {c.code: c.name for c in known}
        message = f"No container is called “{text}”. Nearest: {'; '.join(f'{c} {by_code[c]}' for c in close)}."
        raise Refused(message) from None


def the_lane_types(depot: Depot, text: str) -> tuple[LaneType, ...]:
    """Return the lane types ``text`` may mean: a code, a width, a family, or a machine and lane such as ``A0417 12``.

    Refuses an unknown one with the nearest three.
    """
    known = lane_types(depot)
    plain = " ".join(text.lower().replace("lane", " ").replace("tray", " ").split())
    spot = find_lane(depot, plain)
    if spot is not None:
        return tuple(t for t in known if t.code == spot.lane_type)
    try:
        return lane_types_named(plain or text, known)
    except Refused:
        close = _nearest(text, {t.code: f"{t.code} {t.family} {t.width_mm:g}".lower() for t in known})
        by_code = {t.code: t for t in known}
        offer = "; ".join(f"{c} ({by_code[c].family}, {by_code[c].width_mm:g} mm)" for c in close)
        message = f"No lane is called “{text}”. Nearest: {offer}. A width in mm, or machine and lane, works too."
        raise Refused(message) from None


def find_lane(depot: Depot, text: str) -> LaneRow | None:
    """Return the lane meant by ``ASSET LANE``, or None."""
    asset, _, number = text.strip().partition(" ")
    machine = find_machine(depot, asset) if number else None
    if machine is None:
        return None
    return next((x for x in lanes_of(depot, machine.asset) if x.lane.lower() == number.strip().lower()), None)


def _nearest(text: str, names: dict[str, str]) -> list[str]:
    """Return the three keys whose names are most like ``text``, whole words before letters."""
    scored = process.extract(text.lower(), names, scorer=fuzz.token_set_ratio, limit=3)
    return [key for _, _, key in scored]


def container_of(depot: Depot, item: Item) -> Container:
    """Return the container a drink comes in; refuses a drink that names none, or one that is not known."""
    if not item.container:
        message = f"{item.part_number} {item.description} names no container; set it on its card (Items, E)."
        raise Refused(message)
    found = next((c for c in containers(depot) if c.code == item.container.upper()), None)
    if found is None:
        message = f"{item.part_number} comes in {item.container}, which is not a container of this depot."
        raise Refused(message)
    return found


def answer_lane(
    depot: Depot, container: Container, lane_type: LaneType, van: Place | None = None, *, lanes: int = 1
) -> LaneAnswer:
    """Work out one container in one lane type from the depot's stock; the kit is for ``lanes`` lanes, pairs whole."""
    parts = lane_parts(depot, lane_type.family, van)
    limits = limits_of(depot, container)
    found = fit(container, lane_type, spacer_stock(parts), limits)
    if found.verdict is Verdict.NO_FIT:
        return LaneAnswer(found, tuple(parts), None, "; ".join(found.reasons))
    try:
        kit = lane_kit(container, lane_type, parts, limits, lanes=lanes + lanes % 2 if lane_type.coupled else lanes)
    except Refused as refused:
        return LaneAnswer(found, tuple(parts), None, str(refused))
    return LaneAnswer(found, tuple(parts), kit)


def answers(depot: Depot, container: str, lane: str, van: Place | None = None) -> list[LaneAnswer]:
    """Answer ``container`` in ``lane``, each by code or by words; several where the words allow several.

    Refuses words that mean nothing here, with the nearest three, and words that leave too much open.
    """
    pairs = [(c, t) for c in the_containers(depot, container) for t in the_lane_types(depot, lane)]
    if len(pairs) > MOST_ANSWERS:
        which = " or ".join(dict.fromkeys(c.name for c, _ in pairs))
        types = " or ".join(dict.fromkeys(t.code for _, t in pairs))
        message = f"“{container}” in “{lane}” leaves too much open: {which}? {types}?"
        raise Refused(message)
    return [answer_lane(depot, c, t, van) for c, t in pairs]


def may_ask(text: str) -> bool:
    """Say in no time whether a text could be a lane question at all, before anything is read."""
    return bool(_ABOUT_LANES.search(text))


def lane_question(depot: Depot, text: str) -> LaneQuestion | None:
    """Read a lane question in words; None when it is none, or when this depot knows no containers and lanes."""
    try:
        return read_lane_question(text, containers(depot), lane_types(depot))
    except Refused:
        return None


@dataclass(frozen=True, slots=True)
class LaneAsked:
    """A lane question answered: what is still to be asked, the answers, and how many more the words would allow."""

    ask: tuple[str, ...]
    answers: tuple[LaneAnswer, ...]
    more: int = 0

    def words(self) -> str:
        """The whole answer in lines for people."""
        out = [f"Ask: {doubt}" for doubt in self.ask]
        for answer in self.answers:
            out += ["", *answer_lines(answer)]
        if self.more:
            out.append(f"… and {self.more} more: name the container and the lane.")
        return "\n".join(out).strip()


def asked(depot: Depot, text: str, van: Place | None = None) -> LaneAsked | None:
    """Answer a lane question in words; None when ``text`` is no lane question."""
    question = lane_question(depot, text) if may_ask(text) else None
    if question is None:
        return None
    types: Sequence[LaneType] = question.lane_types
    if question.asset and question.numbers and not types:
        rows = [find_lane(depot, f"{question.asset} {number}") for number in question.numbers]
        codes = {row.lane_type for row in rows if row is not None}
        types = [t for t in lane_types(depot) if t.code in codes]
    pairs = [(c, t) for c in question.containers for t in types]
    work = partial(answer_lane, depot, van=van, lanes=max(question.lanes, len(question.numbers), 1))
    found = tuple(work(container, lane_type) for container, lane_type in pairs[:MOST_ANSWERS])
    return LaneAsked(question.doubts, found, max(len(pairs) - MOST_ANSWERS, 0))


def answer_lines(answer: LaneAnswer, *, most: int = 3) -> list[str]:
    """Return one answer in lines for people: verdict, spacer sets as items with hand and stock, capacity, kit."""
    found = answer.fit
    out = [found.sentence() + "."]
    if found.unconfirmed and found.verdict is not Verdict.NO_FIT:
        out.append(f"Unconfirmed: {found.unconfirmed}.")
    for number, spacers in enumerate((*found.sets, *found.unstocked)[:most], 1):
        lacking = "  (not in stock)" if spacers.lacking else ""
        out.append(f"{number}. {spacers.words()}: {spacers.slack_mm:g} mm play{lacking}")
        out += [f"   {_part_words(answer.part(number_), quantity)}" for number_, quantity in spacers.items]
    if answer.kit is not None:
        kit = answer.kit
        out.append(f"Kit for {counted(kit.lanes, 'lane')}, holding {kit.capacity}:")
        out += [f"   {_part_words(answer.part(x.part_number), x.quantity)}" for x in kit.take] or ["   nothing needed"]
        out += [f"   note: {note}" for note in kit.notes if note != found.unconfirmed]
    elif found.verdict is not Verdict.NO_FIT:
        out.append(f"No kit: {answer.no_kit}")
    return out


def _part_words(part: LanePart, quantity: int) -> str:
    where = ", ".join(f"{place} {held}" for place, held in part.places[:3]) or "none in the depot"
    hand = {"LH": " LEFT", "RH": " RIGHT"}.get(part.hand, "")
    return f"{quantity} x {part.part_number}{hand}  {part.description}  [{where}]"


def machine_of(row: MachineRow) -> Machine:
    """Return a kept machine as the lane rules see it."""
    return Machine(row.asset, row.family, row.site, row.serial, row.round_name, row.stop)


def chart(rows: Iterable[LaneRow]) -> list[Lane]:
    """Return kept lanes as the lane rules see them."""
    return [
        Lane(
            asset=x.asset,
            lane=x.lane,
            shelf=x.shelf,
            position=x.position,
            lane_type=x.lane_type,
            selection=x.selection,
            part_number=x.part_number,
            container=x.container,
            fitted=x.fitted,
            capacity=x.capacity,
            count=x.count,
            changed_on=date.fromisoformat(x.changed_on) if x.changed_on else None,
        )
        for x in rows
    ]
