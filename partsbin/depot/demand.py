"""Demand read from the ledger by ISO week: what jobs used, net of what came back unused, and what was asked but short.

Transfers, counts, write-offs and slips that were taken back are no demand. Weeks are the depot's own, Monday to Sunday,
so daylight saving and week 53 fall where the calendar puts them.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import date, timedelta

from partsbin.depot import clock
from partsbin.depot.file import Depot


@dataclass(frozen=True, slots=True)
class Weeks:
    """Whole weeks in order: ``starts`` are their Mondays, the last one the latest that is over."""

    starts: tuple[date, ...]

    @classmethod
    def before(cls, day: date, count: int) -> Weeks:
        """Return the ``count`` whole weeks before the week that holds ``day``."""
        monday = day - timedelta(days=day.weekday())
        return cls(tuple(monday - timedelta(weeks=back) for back in range(count, 0, -1)))

    def __len__(self) -> int:
        return len(self.starts)


def _week_table(depot: Depot, weeks: Weeks) -> None:
    zone = depot.zone
    depot.run("CREATE TEMP TABLE IF NOT EXISTS weeks (n INTEGER PRIMARY KEY, starts TEXT, ends TEXT)")
    depot.run("DELETE FROM temp.weeks")
    rows = [
        (n, clock.day_start(start, zone), clock.day_start(start + timedelta(weeks=1), zone))
        for n, start in enumerate(weeks.starts)
    ]
    depot.connection.executemany("INSERT INTO temp.weeks VALUES (?, ?, ?)", rows)


_KEPT_SLIPS = "s.reverses IS NULL AND NOT EXISTS (SELECT 1 FROM slips r WHERE r.reverses = s.id)"


def weekly_demand(depot: Depot, weeks: Weeks, van: int | None = None) -> list[tuple[int, int, int]]:
    """Return (item, week number from 0, net quantity) used by jobs; of one van (with its drawers) where given."""
    _week_table(depot, weeks)
    only = "" if van is None else "AND :van IN (f.id, f.parent, t.id, t.parent)"
    sql = f"""
        SELECT m.item_id, w.n, sum(iif(t.kind = 'job', m.quantity, -m.quantity))
        FROM temp.weeks w CROSS JOIN slips s ON s.posted_at >= w.starts AND s.posted_at < w.ends
        JOIN moves m ON m.slip_id = s.id JOIN places f ON f.id = m.from_place JOIN places t ON t.id = m.to_place
        WHERE (t.kind = 'job') <> (f.kind = 'job') AND {_KEPT_SLIPS} {only}
        GROUP BY m.item_id, w.n"""
    rows = depot.all(sql, {"van": van} if van is not None else {})
    return [(row[0], row[1], row[2]) for row in rows]


def weekly_short(depot: Depot, weeks: Weeks) -> list[tuple[int, int, int]]:
    """Return (item, week, quantity) asked for in a request and never supplied: demand the ledger cannot show.

    A line still to be supplied is left out: it becomes demand when it is issued. Restocks ask for vans, not for jobs.
    """
    _week_table(depot, weeks)
    sql = """
        SELECT l.item_id, w.n, sum(l.quantity - l.supplied)
        FROM temp.weeks w CROSS JOIN requests r ON r.asked_at >= w.starts AND r.asked_at < w.ends
        JOIN request_lines l ON l.request_id = r.id
        WHERE l.status = 'withdrawn' AND l.item_id IS NOT NULL AND l.quantity > l.supplied
          AND r.text NOT LIKE 'Short at the restock of %'
        GROUP BY l.item_id, w.n"""
    return [(row[0], row[1], row[2]) for row in depot.all(sql)]


def moves_by_week(depot: Depot, weeks: Weeks) -> sqlite3.Cursor:
    """Return rows (item, week, units used by jobs, change of stock) of every move until the last week is over.

    Week -1 is any time before the first one. Stock is what all physical places hold together, so moves between them
    change nothing. One pass in the order of the ledger: rows are not summed, for most weeks of an item see one move.
    """
    _week_table(depot, weeks)
    first = clock.day_start(weeks.starts[0], depot.zone)
    depot.run("CREATE TEMP TABLE IF NOT EXISTS week_of (slip INTEGER PRIMARY KEY, n INTEGER, kept INTEGER)")
    depot.run("DELETE FROM temp.week_of")
    depot.run(f"INSERT INTO temp.week_of SELECT s.id, -1, {_KEPT_SLIPS} FROM slips s WHERE s.posted_at < ?", (first,))
    depot.run(
        f"""INSERT INTO temp.week_of SELECT s.id, w.n, {_KEPT_SLIPS}
            FROM temp.weeks w CROSS JOIN slips s ON s.posted_at >= w.starts AND s.posted_at < w.ends"""
    )
    rows = depot.connection.cursor()
    rows.row_factory = None
    return rows.execute(
        """SELECT m.item_id, w.n, w.kept * m.quantity * ((t.kind = 'job') - (f.kind = 'job')),
                  m.quantity * (t.physical - f.physical)
           FROM moves m CROSS JOIN temp.week_of w ON w.slip = m.slip_id
           JOIN places f ON f.id = m.from_place JOIN places t ON t.id = m.to_place
           WHERE f.physical <> t.physical OR (t.kind = 'job') <> (f.kind = 'job')"""
    )


def jobs_of(depot: Depot, van: int, since: str) -> dict[str, dict[int, int]]:
    """Return {job: {item: net quantity}} done from a van (with its drawers): which parts were used together.

    A job is the slip's reference; an issue without one is a job of its own.
    """
    sql = f"""
        SELECT iif(s.reference = '', 'slip ' || s.id, s.reference) AS job, m.item_id,
               sum(iif(t.kind = 'job', m.quantity, -m.quantity)) AS used
        FROM slips s JOIN moves m ON m.slip_id = s.id
        JOIN places f ON f.id = m.from_place JOIN places t ON t.id = m.to_place
        WHERE s.posted_at >= :since AND (t.kind = 'job') <> (f.kind = 'job')
          AND :van IN (f.id, f.parent, t.id, t.parent) AND {_KEPT_SLIPS}
        GROUP BY job, m.item_id HAVING used > 0"""
    jobs: dict[str, dict[int, int]] = {}
    for job, item, used in depot.all(sql, {"van": van, "since": since}):
        jobs.setdefault(job, {})[item] = used
    return jobs
