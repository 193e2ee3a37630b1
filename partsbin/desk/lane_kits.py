"""Changing lanes to another drink: the kit that goes out, the parts that come back, the chart that is written.

A kit leaves as one request that explodes to its items (shelf → van, a checkout). When the lanes are done, what was
fitted leaves the van for the machine (an issue) and what came out is cleaned and put back (a return): only the
difference between what the lanes carried and what they carry now ever moves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.depot.catalogue import Caution, Item, cautions_of, the_item
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_lines
from partsbin.depot.ledger import Line, post
from partsbin.depot.machines import LaneRow, MachineRow, lanes_of, put_lane, the_machine
from partsbin.depot.operators import Operator
from partsbin.depot.places import Place, outside
from partsbin.depot.pulling import oldest_first, pull
from partsbin.depot.stock import holdings_of, shortage
from partsbin.desk.lane_limits import limits_of
from partsbin.desk.lanes import chart, container_of, lane_parts, lane_types, with_partners
from partsbin.desk.posting import usual_bin
from partsbin.desk.supplying import Supplied, Wanted, supply
from partsbin.desk.today import today
from partsbin.errors import Refused
from partsbin.lanes.change import changed_lanes
from partsbin.lanes.chart import Lane, fitted_parts
from partsbin.lanes.kits import HAND_WORDS, KitLine, LaneKit, lane_kit
from partsbin.lanes.work import order_of_work

if TYPE_CHECKING:
    from partsbin.printing.slips import SlipRow


@dataclass(frozen=True, slots=True)
class LaneChange:
    """Lanes of one machine about to sell ``item``; pairs stand next to each other. ``kit`` is only the difference."""

    machine: MachineRow
    lanes: tuple[LaneRow, ...]
    item: Item
    kit: LaneKit

    @property
    def numbers(self) -> str:
        """The lanes in words: ``10+11``."""
        return "+".join(lane.lane for lane in self.lanes)

    @property
    def job(self) -> str:
        """What the slips refer to."""
        return f"{self.machine.asset} lane {self.numbers}"

    @property
    def text(self) -> str:
        """The request line that explodes to the kit's items."""
        return f"lane kit {self.job}: {self.kit.container.name} ({self.item.description})"


def plan_change(
    depot: Depot, asset: str, numbers: Sequence[str], part_number: str, van: Place | None = None
) -> LaneChange:
    """Work out what turns these lanes to a drink; on hand counts the shelf, and ``van`` where given.

    A lane of a coupled pair brings its partner. Refuses unknown lanes with those there are, lanes of two types
    together, and a drink that does not fit, by how much.
    """
    machine = the_machine(depot, asset)
    rows = lanes_of(depot, machine.asset)
    chosen = [_lane(rows, machine, number) for number in numbers]
    types = {t.code: t for t in lane_types(depot)}
    codes = {row.lane_type for row in chosen}
    if len(codes) != 1:
        listed = ", ".join(f"{row.lane} is {row.lane_type}" for row in chosen) or "no lane was named"
        message = f"Change lanes of one type at a time: {listed}."
        raise Refused(message)
    kind = types[codes.pop()]
    lanes = with_partners(rows, chosen, kind)
    item = the_item(depot, part_number)
    parts = lane_parts(depot, machine.family, van)
    fitted = fitted_parts(chart(lanes))
    container = container_of(depot, item)
    kit = lane_kit(container, kind, parts, limits_of(depot, container), lanes=len(lanes), fitted=fitted)
    return LaneChange(machine, tuple(lanes), item, kit)


def _lane(rows: Sequence[LaneRow], machine: MachineRow, number: str) -> LaneRow:
    found = next((row for row in rows if row.lane.upper() == number.strip().upper()), None)
    if found is None:
        known = ", ".join(row.lane for row in rows) or "none yet: import lanes"
        message = f"{machine.asset} has no lane {number}. Its lanes: {known}."
        raise Refused(message)
    return found


def hand_out(depot: Depot, operator: Operator, change: LaneChange, van: Place) -> Supplied:
    """Check the kit out to a van as one request; what is not there stays promised. Refuses a kit with nothing in it."""
    wanted = [Wanted(change.text, the_item(depot, x.part_number).id, x.quantity) for x in change.kit.take]
    if not wanted:
        message = f"{change.job} needs no parts for {change.item.description}; mark it done."
        raise Refused(message)
    return supply(depot, operator, change.text, wanted, target=van, job=change.job)


@dataclass(frozen=True, slots=True)
class Done:
    """What finishing a change posted: the issue of what went in, the return of what came out (None: nothing did)."""

    issue: int | None
    back: int | None
    waste: tuple[KitLine, ...]


def finish(depot: Depot, operator: Operator, change: LaneChange, van: Place | None = None) -> Done:
    """Write the chart after the work: fitted parts leave ``van`` (or the shelf), what came out is put back, cleaned.

    Issue, return and chart are one transaction. Refuses when the parts are not where they would come from.
    """
    kit = change.kit
    job = outside(depot, "job")
    with depot.write():
        out = [line for x in kit.take for line in _leaving(depot, the_item(depot, x.part_number), x.quantity, job, van)]
        back = [x for x in kit.back if x.reusable]
        home = [_coming_back(depot, the_item(depot, x.part_number), x.quantity, job, van) for x in back]
        issue = post(depot, "issue", out, operator=operator, reference=change.job, reason=change.text) if out else None
        reason = f"out of {change.job}, cleaned"
        returned = post(depot, "return", home, operator=operator, reference=change.job, reason=reason) if home else None
        _write_chart(depot, change, today(depot))
    return Done(issue, returned, tuple(x for x in kit.back if not x.reusable))


def _leaving(depot: Depot, item: Item, quantity: int, job: Place, van: Place | None) -> list[Line]:
    if van is not None:
        return pull(depot, item, van, job, quantity)
    lines: list[Line] = []
    rest = quantity
    for held in oldest_first(h for h in holdings_of(depot, item.id) if h.kind == "bin"):
        take = min(rest, held.quantity)
        if take > 0:
            lines.append(Line(item.id, held.place_id, job.id, take, held.lot_id or None))
            rest -= take
    if rest:
        shelf = outside(depot, "shelf")
        raise Refused(shortage(depot, item.id, item.part_number, shelf, wanted=quantity, there=quantity - rest))
    return lines


def _coming_back(depot: Depot, item: Item, quantity: int, job: Place, van: Place | None) -> Line:
    try:
        target = usual_bin(depot, item)
    except Refused:
        if van is None:
            raise
        target = van
    return Line(item.id, job.id, target.id, quantity)


def _write_chart(depot: Depot, change: LaneChange, day: date) -> None:
    after = changed_lanes(chart(change.lanes), change.kit, change.item.part_number, day)
    for lane in after:
        write_lane(depot, lane, change.item.id)


def write_lane(depot: Depot, lane: Lane, item_id: int | None) -> None:
    """Write one lane as the lane rules left it. Call inside ``write()``."""
    put_lane(
        depot,
        {
            "asset": lane.asset,
            "lane": lane.lane,
            "selection": lane.selection,
            "shelf": lane.shelf,
            "position": lane.position,
            "lane_type": lane.lane_type,
            "item_id": item_id,
            "container": lane.container or None,
            "capacity": lane.capacity,
            "count": lane.count,
            "changed_on": str(lane.changed_on or ""),
        },
        [(the_item(depot, part).id, quantity) for part, quantity in lane.fitted],
    )


def change_lines(change: LaneChange) -> list[str]:
    """Return a change in lines for people: what it holds, parts to take, parts that come back, what to mind."""
    kit = change.kit
    was = sum(lane.capacity for lane in change.lanes)
    now = kit.capacity * kit.lanes // len(kit.fits)
    out = [f"{change.job} to {change.item.description}: holds {now} (was {was})."]
    if not kit.take and not kit.back:
        out.append("The parts in the lane stay as they are.")
    out += [_line_words("Take", x) for x in kit.take]
    out += [_line_words("Comes back" if x.reusable else "Comes out, not used again", x) for x in kit.back]
    return out + [f"Note: {note}" for note in kit.notes]


def _line_words(title: str, line: KitLine) -> str:
    short = f"  lacking {line.lacking}" if line.lacking else ""
    return f"{title}: {line.quantity} x {line.part_number}{HAND_WORDS.get(line.hand, '')}  {line.description}{short}"


def write_kit_slip(depot: Depot, change: LaneChange, slip: int | None, path: Path, initials: str) -> None:
    """Write the slip that goes with a kit: parts, cautions, order of work, what to test before leaving."""
    from partsbin.printing.slips import ShortRow, SlipCaution, SlipPaper, write_slip

    cards = _cards(depot, change)
    short = [
        ShortRow(x.part_number, x.description, x.lacking, "not in the depot in this number")
        for x in change.kit.take
        if x.lacking
    ]
    about = (
        ("Machine", f"{change.machine.asset} {change.machine.site}"),
        ("Lanes", change.numbers),
        ("To", f"{change.item.part_number} {change.item.description}"),
        ("Holds", f"{change.kit.capacity} a selection"),
        (
            "Comes back",
            "; ".join(f"{x.quantity} x {x.part_number}" for x in change.kit.back if x.reusable) or "nothing",
        ),
        ("By", initials),
    )
    paper = SlipPaper(
        title=f"Lane kit {change.job}",
        depot=depot.setting("depot_name"),
        number=slip,
        about=about,
        rows=tuple(_rows(depot, change, slip)),
        cautions=tuple(SlipCaution(c.code, c.word, c.text, c.severity) for c in cards.values()),
        short=tuple(short),
        steps=tuple(work_lines(change.kit, cards)),
        paper=depot.setting("paper"),
    )
    write_slip(paper, path)


def _rows(depot: Depot, change: LaneChange, slip: int | None) -> list[SlipRow]:
    from partsbin.printing.slips import SlipRow

    by_part = {x.part_number: x for x in change.kit.take}
    if slip is not None:
        lines = [(x.source, x.target, x.part_number, x.description, x.quantity) for x in slip_lines(depot, slip)]
    else:
        lines = [("", "", x.part_number, x.description, x.quantity) for x in change.kit.take]
    return [
        SlipRow(
            source,
            target,
            part,
            description,
            quantity,
            hand=by_part[part].hand if part in by_part else "",
            cautions=by_part[part].cautions if part in by_part else (),
        )
        for source, target, part, description, quantity in lines
    ]


def _cards(depot: Depot, change: LaneChange) -> dict[str, Caution]:
    """The caution cards of all parts handled, and those the order of work names."""
    codes = {step.code for step in order_of_work(change.kit) if step.code}
    rows = depot.all("SELECT code, word, text, severity, basis FROM cautions ORDER BY severity, code")
    cards = {row["code"]: Caution(*tuple(row)) for row in rows if row["code"] in codes}
    for line in (*change.kit.take, *change.kit.back):
        cards.update({c.code: c for c in cautions_of(depot, the_item(depot, line.part_number).id)})
    return cards


def work_lines(kit: LaneKit, cards: Mapping[str, Caution]) -> list[str]:
    """Return the order of work; a step whose caution has a card of the depot's points to it, else says it itself."""
    out = []
    for step in order_of_work(kit):
        mark = f"[{step.code}] " if step.code in cards else f"{step.caution} " if step.caution else ""
        out.append(f"{mark}{step.text}")
    return out
