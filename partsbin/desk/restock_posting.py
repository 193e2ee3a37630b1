"""Posting a worked-on restock: only what is still true goes, and what bins lacked is told to the count plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from partsbin.depot.file import Depot
from partsbin.depot.ledger import Short, note_refusal
from partsbin.depot.operators import Operator
from partsbin.depot.refusals import BIN_SHORT
from partsbin.desk.restock import Pick, Proposal, check_out, on_shelf, promise_missing, propose
from partsbin.errors import Refused

if TYPE_CHECKING:
    from partsbin.desk.restock_sheet import Sheet, SheetLine


def differences(old: Proposal, new: Proposal) -> list[str]:
    """Return in words what was taken away, or came aboard, since the old proposal was made."""
    fresh = {pick.key: pick for pick in new.picks}
    shorts = {m.item.id for m in new.missing}
    said = []
    for pick in old.picks:
        now = fresh.get(pick.key)
        name, code = pick.item.part_number, pick.source.code
        if now is None:
            gone = pick.item.id in shorts or any(x.item.id == pick.item.id for x in new.picks)
            said.append(
                f"{code} has no {name} left: another terminal took the last."
                if gone
                else f"{name} is off the list: {old.van.code} no longer needs it."
            )
        elif now.aboard != pick.aboard:
            said.append(f"{pick.target.code} has {now.aboard} {name} now, not {pick.aboard}.")
        elif now.quantity < pick.quantity and now.there < pick.quantity:
            said.append(f"{code} has {now.there} {name} left of {pick.there}: another terminal took the rest.")
    return said


def passed_over(depot: Depot, sheet: Sheet) -> list[str]:
    """Return a sentence for every dated lot that stays behind though a younger one goes, and nobody said why."""
    by_item: dict[int, list[SheetLine]] = {}
    for line in sheet.going():
        if line.pick.best_before:
            by_item.setdefault(line.pick.item.id, []).append(line)
    empty = {line.pick.spot for line in sheet.lines if line.bin_short}
    found = (_left_behind(depot, sheet.today, lines, empty) for lines in by_item.values())
    return [said for said in found if said]


def _left_behind(depot: Depot, today: str, lines: Sequence[SheetLine], empty: set[tuple[int, int, int]]) -> str:
    youngest = max(lines, key=lambda line: line.pick.best_before)
    pick = youngest.pick
    taken: dict[tuple[int, int, int], int] = {}
    for line in lines:
        taken[line.pick.spot] = taken.get(line.pick.spot, 0) + line.take
    for held in on_shelf(depot, pick.item.id, today):
        spot = (held.item_id, held.place_id, held.lot_id)
        stays = held.quantity - taken.get(spot, 0)
        if held.best_before < pick.best_before and stays > 0 and spot not in empty and not youngest.reason:
            return (
                f"{stays} of {pick.item.part_number} lot {held.lot} ({held.best_before}) stay in {held.place} "
                f"while lot {pick.lot} ({pick.best_before}) goes."
            )
    return ""


def post_sheet(
    depot: Depot,
    operator: Operator,
    sheet: Sheet,
    seen: Proposal | None = None,
    *,
    only_ticked: bool = False,
    reason: str = "",
) -> int:
    """Post the sheet as one checkout, promise what is short, and return the slip's number.

    Refuses with what changed when another terminal took stock, supplied the van or served its requests since the
    proposal was ``seen`` (default: the sheet's own): nothing is posted then, and the sheet wants renewing.
    """
    final = sheet.final(only_ticked=only_ticked)
    going = sheet.going(only_ticked=only_ticked)
    reasons = dict.fromkeys([reason.strip(), *(line.reason for line in going)])
    serials: dict[str, list[int]] = {}
    for line in going:
        serials.setdefault(line.pick.key, []).extend(line.serials)
    try:
        with depot.write():
            said = differences(seen or sheet.proposal, propose(depot, sheet.van, sheet.today))
            if said:
                message = " ".join([*said, "Nothing was posted; look at the renewed list and post again."])
                raise Refused(message)
            slip = check_out(
                depot,
                operator,
                sheet.van,
                final.picks,
                final.missing,
                reason="; ".join(text for text in reasons if text),
                serials=serials,
            )
            _note_short_bins(depot, operator, sheet.lines)
    except Short as short:
        note_refusal(depot, operator, "checkout below zero", str(short), short.item_id, short.place_id)
        raise
    return slip


def promise_only(depot: Depot, operator: Operator, sheet: Sheet) -> None:
    """Promise what is short when nothing can be picked."""
    with depot.write():
        promise_missing(depot, operator, sheet.van, sheet.final().missing)
        _note_short_bins(depot, operator, sheet.lines)


def _note_short_bins(depot: Depot, operator: Operator, lines: Iterable[SheetLine]) -> None:
    for line in lines:
        if line.bin_short:
            pick = line.pick
            said = f"{pick.source.code}: {pick.there} {pick.item.part_number} in the file, {line.take} found"
            note_refusal(depot, operator, BIN_SHORT, said, pick.item.id, pick.source.id)


def serials_at(depot: Depot, pick: Pick) -> Sequence[tuple[int, str]]:
    """Return (id, serial number) of the units of a pick's item known to lie in its bin."""
    rows = depot.all(
        "SELECT id, serial FROM serials WHERE item_id = ? AND place_id = ? ORDER BY serial",
        (pick.item.id, pick.source.id),
    )
    return [(row["id"], row["serial"]) for row in rows]
