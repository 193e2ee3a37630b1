"""What the desk lead should know or be asked about an item before accepting its set point."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from partsbin.planning import proposal as say
from partsbin.planning.intake import Case, Mask
from partsbin.planning.lots import WEEKS_A_YEAR

Remarks = list[tuple[str, ...]]


def remarks(case: Case, capped: Mask) -> tuple[Remarks, Remarks]:
    """Flags and questions of each item."""
    flags: Remarks = [()] * case.n
    asked: Remarks = [()] * case.n
    for flag, where in _flags(case, capped).items():
        ask = _QUESTIONS.get(flag)
        for i in np.flatnonzero(where).tolist():
            flags[i] = (*flags[i], flag)
            if ask:
                asked[i] = (*asked[i], ask(case, i))
    return flags, asked


def _flags(case: Case, capped: Mask) -> dict[str, Mask]:
    f, mean = case.facts, case.outlook.mean
    stood_in = ~np.isnan(case.stand_in)
    both = (mean > 0) & (f.class_forecast > 0) & (f.demands >= 5)
    ratio = np.where(both, mean / np.where(both, f.class_forecast, 1.0), 1.0)
    return {
        say.DEAD: f.dead & ~f.surplus,
        say.FALLING: f.falling & ~f.dead,
        say.NEW: f.little & ~f.dead,
        say.NEVER_MOVED: (f.known_weeks == 0) & ~stood_in,
        say.FROM_OTHER: stood_in,
        say.CENSORED: f.censored_weeks > 0,
        say.LEAD_UNKNOWN: case.lead_unknown,
        say.NO_SUPPLIER: case.no_supplier,
        say.NO_COST: case.no_cost,
        say.ONE_BIG: f.one_big,
        say.RETURNS: f.surplus,
        say.DATED: (capped | case.lot_cut) & ~case.never_sells,
        say.NEVER_SELLS: case.never_sells & (mean > 0),
        say.PACK_CHANGED: ~np.isnan(case.old_pack) & (case.old_pack != case.pack),
        say.LOT_FORCED: (case.terms.lot > np.maximum(WEEKS_A_YEAR * mean, 1)) & (mean > 0),
        say.METHODS_DIFFER: (ratio > 2) | (ratio < 0.5),
        **_season(case),
    }


def _season(case: Case) -> dict[str, Mask]:
    """The season counted in, in whole per cent, where it makes at least one."""
    swing = np.rint(100 * (case.season - 1)).astype(np.int64)
    asked_for = case.outlook.mean > 0
    return {say.SEASON.format(part): asked_for & (swing == part) for part in np.unique(swing[swing != 0]).tolist()}


def _part(case: Case, i: int) -> str:
    return case.part_numbers[i]


_QUESTIONS: dict[str, Callable[[Case, int], str]] = {
    say.DEAD: lambda c, i: f"Nobody has used {_part(c, i)} for a year: is it still fitted anywhere, or may it go?",
    say.NEVER_MOVED: lambda c, i: (
        f"Nothing is known of {_part(c, i)}: if it is wanted on the shelf, give its set point by hand."
    ),
    say.FALLING: lambda c, i: f"Use of {_part(c, i)} is falling: is it being replaced, and by what?",
    say.FROM_OTHER: lambda c, i: (
        f"Too little is known of {_part(c, i)} itself, so {c.stand_in_from.get(i, 'a similar item')} stands in: "
        "is it used about as much?"
    ),
    say.LEAD_UNKNOWN: lambda c, i: (
        f"How many days does {_part(c, i)} take to come? {c.terms.lead[i]:.1f} weeks were assumed."
    ),
    say.NO_SUPPLIER: lambda c, i: f"Who supplies {_part(c, i)}? Without a supplier it cannot be ordered.",
    say.NO_COST: lambda c, i: f"What does {_part(c, i)} cost? Without it the order quantity is four weeks' use.",
    say.ONE_BIG: lambda c, i: (
        f"One week took {c.facts.biggest[i]:.0f} of {_part(c, i)}, the next highest {c.facts.second[i]:.0f}: "
        f"it was counted as {c.facts.most[i]:.0f}, being perhaps a single planned job. Will it come again? Then set "
        "the point by hand."
    ),
    say.RETURNS: lambda c, i: f"More of {_part(c, i)} came back than went out: are issues missing from the file?",
    say.DATED: lambda c, i: (
        f"About {c.usable_weeks[i] * c.outlook.mean[i]:.0f} of {_part(c, i)} sell in the {c.usable_weeks[i]:.1f} weeks "
        "before its best-before less the margin, so no more is kept or ordered: does it come in a smaller pack?"
    ),
    say.NEVER_SELLS: lambda c, i: (
        f"A pack of {c.pack[i]} of {_part(c, i)} does not sell before its best-before: smaller pack, or order on "
        "request?"
    ),
    say.PACK_CHANGED: lambda c, i: (
        f"{_part(c, i)} now comes in packs of {c.pack[i]} instead of {c.old_pack[i]:.0f}: is the history in "
        "single units?"
    ),
    say.LOT_FORCED: lambda c, i: (
        f"The smallest order of {_part(c, i)} ({c.terms.lot[i]}) lasts over a year: smaller pack, or order on request?"
    ),
}
