"""What the ledger says was asked for, item by item and week by week, and what it cannot say."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from partsbin.depot import clock
from partsbin.depot.demand import Weeks, moves_by_week, weekly_short
from partsbin.depot.file import Depot, Row
from partsbin.wanted import still_wanted

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

WEEKS = 104
"""How far back the plan looks: two years, or as long as the ledger is."""

_BATCH = 50_000  # moves in hand at a time


def history_of(depot: Depot, rows: Sequence[Row], day: date) -> NDArray[np.float64]:
    """Return items x weeks of net demand; NaN in weeks without demand in which there was no stock anywhere.

    What was used under an old number counts for the one that took its place. An empty week before an item was stocked,
    or while it was out of stock, says nothing about what would have been asked for: it is unknown, not zero.
    """
    import numpy as np

    weeks = Weeks.before(day, _length(depot, day))
    place = _rows_by_item(depot, [row["id"] for row in rows])
    used, empty = _read(moves_by_week(depot, weeks), place, len(rows), len(weeks))
    for item, week, quantity in weekly_short(depot, weeks):
        if place[item] >= 0:
            used[place[item], week] += quantity
    used[empty & (used == 0)] = np.nan
    return used


def _length(depot: Depot, day: date) -> int:
    first = depot.value("SELECT min(posted_at) FROM slips")
    if first is None:
        return 1
    began = clock.local_time(first, depot.zone).date()
    return max(1, min(WEEKS, (day - began).days // 7))


def _read(
    moves: sqlite3.Cursor, place: NDArray[np.int64], items: int, weeks: int
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Units used, and whether there was nothing to use: no stock when the week began and none that came in it."""
    import numpy as np

    used, came = np.zeros((items, weeks)), np.zeros((items, weeks), dtype=bool)
    stock = np.zeros((items, weeks + 1), dtype=np.int32)  # changes, the first column those before the first week
    while batch := moves.fetchmany(_BATCH):
        still_wanted()
        item, week, asked, change = np.array(batch, dtype=np.int64).T
        known = place[item] >= 0
        row, week, asked, change = place[item[known]], week[known], asked[known], change[known]
        np.add.at(stock, (row, week + 1), change)
        inside = week >= 0
        np.add.at(used, (row[inside], week[inside]), asked[inside])
        came[row[inside & (change > 0)], week[inside & (change > 0)]] = True
    np.cumsum(stock, axis=1, out=stock)
    return used, (stock[:, :-1] <= 0) & ~came


def _rows_by_item(depot: Depot, ids: Sequence[int]) -> NDArray[np.int64]:
    """Return the row of each item by its id, an old number's being that of its successor; -1 for any other."""
    import numpy as np

    after = {
        row["id"]: row["superseded_by"]
        for row in depot.all("SELECT id, superseded_by FROM items WHERE superseded_by IS NOT NULL")
    }
    place = np.full(int(depot.value("SELECT ifnull(max(id), 0) FROM items")) + 1, -1, dtype=np.int64)
    place[np.array(ids, dtype=np.int64)] = np.arange(len(ids))
    for item in after:
        seen, live = {item}, after[item]
        while live in after and live not in seen:
            seen.add(live)
            live = after[live]
        place[item] = place[live]
    return place
