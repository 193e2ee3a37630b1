"""A restock being worked on: the proposal with what the technician changed, kept through renewals and restarts."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Literal

from partsbin.depot.catalogue import Item, item_by_id
from partsbin.depot.file import Depot
from partsbin.depot.places import Place, place_by_id
from partsbin.depot.stock import Holding
from partsbin.desk.restock import (
    Missing,
    Pick,
    Proposal,
    missing_line,
    on_shelf,
    pick_from,
    walking,
)
from partsbin.desk.restock_posting import differences
from partsbin.desk.scanned import date_passed
from partsbin.errors import Refused
from partsbin.exchange import Scan

Mark = Literal["open", "picked", "skipped"]


@dataclass
class SheetLine:
    """One line being picked. ``key`` is that of the pick as proposed, even when another lot was taken instead."""

    key: str
    pick: Pick
    take: int
    mark: Mark = "open"
    added: bool = False
    reason: str = ""
    bin_short: bool = False
    serials: list[int] = field(default_factory=list)

    @property
    def swapped(self) -> bool:
        """Whether another lot or bin was chosen than proposed."""
        return not self.added and self.key != self.pick.key

    @property
    def goes(self) -> bool:
        """Whether the line will be posted."""
        return self.mark != "skipped" and self.take > 0

    @property
    def final(self) -> Pick:
        """The pick with the quantity as it stands."""
        return replace(self.pick, quantity=self.take)


class Sheet:
    """The lines of one van's restock and what is short, open to change until posted. ``today`` is an ISO date."""

    def __init__(self, proposal: Proposal, today: str) -> None:
        self.van: Place = proposal.van
        self.today = today
        self.proposal = proposal
        self.lines = [SheetLine(pick.key, pick, pick.quantity) for pick in proposal.picks]
        self.more_missing: list[Missing] = []
        self.not_promised: set[str] = set()

    # -- looking -----------------------------------------------------------------------------------------

    @property
    def missing(self) -> list[Missing]:
        """What is short: as proposed, and what came up while picking."""
        return [*self.proposal.missing, *self.more_missing]

    @property
    def ticked(self) -> int:
        """How many lines are ticked."""
        return sum(1 for line in self.lines if line.mark == "picked")

    @property
    def edited(self) -> bool:
        """Whether anything was changed or ticked."""
        plain = all(x.mark == "open" and x.take == x.pick.quantity and not x.added for x in self.lines)
        return not plain or bool(self.more_missing or self.not_promised) or any(x.swapped for x in self.lines)

    def line(self, key: str | None) -> SheetLine | None:
        """Return the line called ``key``."""
        return next((line for line in self.lines if line.key == key), None)

    def of_item(self, item_id: int, lot: str = "") -> list[SheetLine]:
        """Return an item's lines, of one lot where that is named; lines without a lot are of any."""
        lines = [line for line in self.lines if line.pick.item.id == item_id]
        return [line for line in lines if line.pick.lot.lower() in ("", lot.lower())] if lot else lines

    def wrong_case(self, depot: Depot, item: Item, scan: Scan) -> str:
        """Why a scanned case does not go onto the van, in a sentence; empty when nothing speaks against it."""
        past = date_passed(depot, item, scan, date.fromisoformat(self.today))
        if past:
            return f"{item.part_number}: best before {past} has passed. Set it aside; it goes onto no van."
        wanted = self.of_item(item.id)
        if not wanted or self.of_item(item.id, scan.lot):
            return ""
        lots = ", ".join(dict.fromkeys(line.pick.lot for line in wanted))
        return f"That is lot {scan.lot} of {item.part_number}; {lots} goes first. L takes another lot, with a reason."

    def short(self, key: str | None) -> Missing | None:
        """Return the short line called ``key``."""
        return next((found for found in self.missing if found.key == key), None)

    def going(self, *, only_ticked: bool = False) -> list[SheetLine]:
        """Return the lines that would be posted."""
        return [x for x in self.lines if x.goes and (x.mark == "picked" or not only_ticked)]

    def final(self, *, only_ticked: bool = False) -> Proposal:
        """Return what would be posted; two lines that came to take from the same place are one."""
        picks: dict[str, Pick] = {}
        for line in self.going(only_ticked=only_ticked):
            pick, same = line.final, picks.get(line.pick.key)
            picks[pick.key] = replace(pick, quantity=pick.quantity + same.quantity) if same else pick
        missing = [m for m in self.missing if m.key not in self.not_promised]
        return Proposal(self.van, tuple(sorted(picks.values(), key=walking)), tuple(missing))

    # -- changing ----------------------------------------------------------------------------------------

    def free(self, line: SheetLine) -> int:
        """Return how many of the line's lot its bin holds that no other line takes."""
        spot = line.pick.spot
        others = sum(x.take for x in self.lines if x is not line and x.goes and x.pick.spot == spot)
        return max(line.pick.there - others, 0)

    def set_take(self, depot: Depot, line: SheetLine, quantity: int) -> None:
        """Take another quantity and tick the line; refuses more than is there, saying where else it is."""
        free = self.free(line)
        if quantity > free:
            others = missing_line(depot, line.pick.item, 1, self.van).elsewhere
            elsewhere = ", ".join(f"{code} has {n}" for code, n in others if code != line.pick.source.code)
            message = (
                f"{line.pick.source.code} has {free} of {line.pick.item.part_number} to take, not {quantity}. "
                + (f"Elsewhere: {elsewhere}." if elsewhere else "There is no more in the depot.")
            )
            raise Refused(message)
        line.take, line.mark, line.bin_short = quantity, "picked", False
        line.serials = line.serials[:quantity]

    def bin_is_short(self, depot: Depot, line: SheetLine) -> list[SheetLine]:
        """Note that the bin held only what the line takes: the rest comes from other bins, or is promised.

        Returns the lines added. The count plan hears of the bin when the slip is posted.
        """
        rest = line.pick.quantity - line.take
        line.bin_short = True
        return self.add(depot, line.pick.item, rest, past=line.pick) if rest > 0 else []

    def add(self, depot: Depot, item: Item, quantity: int, *, past: Pick | None = None) -> list[SheetLine]:
        """Add lines for an item that was not proposed, oldest date first; what the shelf lacks counts as short.

        ``past`` is a pick whose bin has no more, whatever the file says. Returns the lines added or raised.
        """
        target = past.target if past else self.van
        changed: list[SheetLine] = []
        for held in on_shelf(depot, item.id, self.today):
            if past is not None and (held.place_id, held.lot_id) == (past.source.id, past.lot_id or 0):
                continue
            line = self._line_for(depot, item, held, target)
            take = min(self.free(line) - line.take, quantity)
            if take > 0:
                line.take += take
                quantity -= take
                line.mark = "open" if line.mark == "skipped" else line.mark
                changed.append(line)
                if line not in self.lines:
                    self.lines.append(line)
        if quantity:
            self._lacks(depot, item, quantity)
        self.lines.sort(key=lambda line: walking(line.pick))
        return changed

    def _line_for(self, depot: Depot, item: Item, held: Holding, target: Place) -> SheetLine:
        pick = pick_from(depot, item, held, target, 0)
        for line in self.lines:
            if line.pick.spot == pick.spot and line.pick.target.id == target.id:
                if line.mark == "skipped":
                    line.take = 0
                return line
        return SheetLine(pick.key, pick, 0, added=True)

    def _lacks(self, depot: Depot, item: Item, quantity: int) -> None:
        known = next((m for m in self.more_missing if m.item.id == item.id), None)
        if known:
            self.more_missing.remove(known)
        total = quantity + (known.quantity if known else 0)
        self.more_missing.append(missing_line(depot, item, total, self.van))

    def other_lot(self, depot: Depot, line: SheetLine, held: Holding, reason: str) -> None:
        """Take a line from another lot or bin; refuses to pass over an older lot without a reason."""
        best = line.pick.best_before
        if best and (held.best_before or "9999") > best and not reason.strip():
            message = f"Lot {line.pick.lot} (best before {best}) must go first; say why another is taken."
            raise Refused(message)
        pick = pick_from(depot, line.pick.item, held, line.pick.target, line.pick.quantity)
        was = line.pick
        line.pick = replace(pick, par=was.par, aboard=was.aboard, request_line=was.request_line, job=was.job)
        line.take, line.reason = min(line.take, self.free(line)), reason.strip()
        if not line.take:
            line.pick = was
            line.take = was.quantity
            message = f"{held.place} has no more of lot {held.lot} to take than other lines of this list do."
            raise Refused(message)

    # -- renewal and drafts ------------------------------------------------------------------------------

    def renew(self, depot: Depot, proposal: Proposal) -> list[str]:
        """Take in a fresh proposal and keep what was changed; returns what it did to the lines, in words.

        Lines that stay are the same objects: whoever holds one while a question is open still holds the right one.
        """
        told = differences(self.proposal, proposal)
        kept, before = self.edits(), {line.key: line for line in self.lines}
        self.proposal = proposal
        self.lines = [SheetLine(pick.key, pick, pick.quantity) for pick in proposal.picks]
        told += self.apply(depot, kept)
        for at, line in enumerate(self.lines):
            if line.key in before:
                vars(before[line.key]).update(vars(line))
                self.lines[at] = before[line.key]
        return told

    def edits(self) -> dict[str, Any]:
        """Return what was changed, as JSON can keep it."""
        return {
            "lines": {
                line.key: [
                    line.mark,
                    line.take if line.take != line.pick.quantity or line.added else None,
                    line.reason,
                    line.bin_short,
                    line.serials,
                ]
                for line in self.lines
            },
            "lots": {x.key: [x.pick.source.id, x.pick.lot_id or 0] for x in self.lines if x.swapped},
            "added": {
                x.key: [x.pick.item.id, x.pick.source.id, x.pick.lot_id or 0, x.pick.target.id]
                for x in self.lines
                if x.added
            },
            "missing": [[m.item.id, m.quantity] for m in self.more_missing],
            "not_promised": sorted(self.not_promised),
        }

    def apply(self, depot: Depot, edits: dict[str, Any]) -> list[str]:
        """Bring back changes kept by ``edits``; returns what could not be brought back, in words."""
        told: list[str] = []
        for key, (item_id, source_id, lot_id, target_id) in edits.get("added", {}).items():
            held = _held(depot, item_id, source_id, lot_id, self.today)
            if held is None:
                item, source = item_by_id(depot, item_id), place_by_id(depot, source_id)
                told.append(f"{source.code} has no {item.part_number} any more; the line you added is gone.")
            elif self.line(key) is None:
                pick = pick_from(depot, item_by_id(depot, item_id), held, place_by_id(depot, target_id), 0)
                self.lines.append(SheetLine(key, pick, 0, added=True))
        for key, (source_id, lot_id) in edits.get("lots", {}).items():
            line = self.line(key)
            held = _held(depot, line.pick.item.id, source_id, lot_id, self.today) if line else None
            if line and held:
                self.other_lot(depot, line, held, edits["lines"][key][2] or "as chosen before")
        for key, (mark, take, reason, bin_short, serials) in edits.get("lines", {}).items():
            line = self.line(key)
            if line is not None:
                line.mark, line.reason, line.bin_short, line.serials = mark, reason, bin_short, list(serials)
                told += self._retake(line, take)
        self.lines = sorted((x for x in self.lines if x.take or not x.added), key=lambda x: walking(x.pick))
        self.more_missing = [
            missing_line(depot, item_by_id(depot, item_id), quantity, self.van)
            for item_id, quantity in edits.get("missing", ())
        ]
        self.not_promised = set(edits.get("not_promised", ()))
        return told

    def _retake(self, line: SheetLine, take: int | None) -> list[str]:
        if take is None:
            return []
        line.take = min(take, self.free(line))
        if line.take == take:
            return []
        return [f"{line.pick.source.code} now has {line.take} of {line.pick.item.part_number}, you had keyed {take}."]


def _held(depot: Depot, item_id: int, source_id: int, lot_id: int, today: str) -> Holding | None:
    found = on_shelf(depot, item_id, today)
    return next((held for held in found if (held.place_id, held.lot_id) == (source_id, lot_id)), None)
