"""How counting is put into rows and words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsbin.depot import clock
from partsbin.depot.catalogue import cautions_of, the_item
from partsbin.depot.file import Depot
from partsbin.depot.places import find_place
from partsbin.depot.plain_text import counted
from partsbin.desk.counting import Gap, Sheet
from partsbin.desk.counts_due import Due
from partsbin.exchange.values import major

DUE = ("Place", "Why", "Last counted", "Lines")
SHEET = ("", "Part", "What", "Lot", "Best before", "Counted")
GAPS = ("Part", "Lot", "File", "Counted", "Gap", "Value", "Reason")
OPTIONAL = ("Lot", "Best before")
CHOOSE = "scan or type a bin, a van, an aisle (A), a bay (A-03), a zone"
REVIEW = "a reason for all lines without one; Esc, then P posts, R reasons, C counts"


def due_row(depot: Depot, due: Due) -> tuple[str, ...]:
    """Return a place to count as the table shows it."""
    last = f"{clock.local_time(due.last, depot.zone):%Y-%m-%d}" if due.last else "never"
    return (due.code, due.why or "longest ago", last, str(due.holdings))


def sheet_rows(depot: Depot, sheet: Sheet) -> list[tuple[str, ...]]:
    """Return the blind sheet's lines under ``SHEET``."""
    rows: list[tuple[str, ...]] = []
    for line in sheet.lines:
        mark = "·" if line.count is None else "✓" if line.listed else "+"
        count = "" if line.count is None else str(line.count)
        what = the_item(depot, line.part).description
        rows.append((mark, line.part, what, line.lot, line.best_before, count))
    return rows


def gap_rows(depot: Depot, found: Sequence[Gap], reasons: Mapping[str, str]) -> list[tuple[str, ...]]:
    """Return differences as the table shows them."""
    return [
        (
            gap.found.item.part_number,
            gap.found.lot,
            str(gap.found.expected),
            str(gap.found.counted),
            f"{gap.found.gap:+}",
            money(depot, gap.value),
            reasons.get(gap.key, "why?"),
        )
        for gap in found
    ]


def money(depot: Depot, minor: int | None) -> str:
    """Write a signed amount with the depot's currency; unknown is a dash."""
    if minor is None:
        return "–"
    return f"{'-' if minor < 0 else '+'}{major(abs(minor))} {depot.setting('currency')}"


def sheet_words(depot: Depot, sheet: Sheet, at: int) -> str:
    """Return what to know about the line being counted; never how many the file says."""
    line = sheet.lines[at]
    item = the_item(depot, line.part)
    pack = f", case of {item.pack_size}" if item.pack_size > 1 else ""
    out = [f"{item.part_number}  {item.description}  ({item.unit}{pack})"]
    if not line.listed:
        out.append("The file does not expect it here.")
    out += [f"⚠ {caution.word}: {caution.text}" for caution in cautions_of(depot, item.id)]
    return "\n".join(out)


def gap_words(depot: Depot, found: Sequence[Gap], at: int) -> str:
    """Return the line under the cursor in words, and what all differences come to."""
    known = [gap.value for gap in found if gap.value is not None]
    lacking = " without those whose cost is not known" if len(known) < len(found) else ""
    total = f"{counted(len(found), 'difference')} worth {money(depot, sum(known))} in all{lacking}."
    if not 0 <= at < len(found):
        return total
    item = found[at].found.item
    return f"{item.part_number}  {item.description}\n{total}"


def sheet_head(depot: Depot, sheet: Sheet, queue: Sequence[str], *, again: bool) -> str:
    """Return what is being counted, in one line."""
    place = find_place(depot, sheet.place)
    name = f" {place.name}" if place and place.name else ""
    done = len(sheet.lines) - len(sheet.uncounted)
    more = f" · then {queue[0]}" + (f" and {len(queue) - 1} more" if len(queue) > 1 else "") if queue else ""
    how = "counted again" if again else "counted"
    return f" {sheet.place}{name} · {done} of {len(sheet.lines)} lines {how}{more}"
