"""Demand by ISO week on ledgers small enough to work out by hand."""

from __future__ import annotations

from datetime import date

import pytest

from partsbin.depot.demand import Weeks, jobs_of, weekly_demand, weekly_short
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post, reverse
from partsbin.depot.operators import Operator
from partsbin.depot.places import outside, the_place

MOTOR = 1
WEEKS = Weeks.before(date(2026, 3, 18), 3)


def at(depot: Depot, code: str) -> int:
    kinds = {"JOB": "job", "SUPPLIER": "supplier", "SCRAP": "scrap"}
    return outside(depot, kinds[code]).id if code in kinds else the_place(depot, code).id


@pytest.fixture
def book(depot: Depot, desk: Operator):
    def book_(when: str, kind: str, source: str, target: str, quantity: int, reference: str = "") -> int:
        line = Line(MOTOR, at(depot, source), at(depot, target), quantity)
        return post(depot, kind, [line], operator=desk, reference=reference, at=f"{when}Z")

    book_("2026-01-05T08:00:00", "receipt", "SUPPLIER", "A-01-01-1", 100)
    book_("2026-01-05T09:00:00", "checkout", "A-01-01-1", "VAN1", 50)
    return book_


def test_the_weeks_before_a_day_are_whole_and_end_on_the_sunday_before() -> None:
    assert [str(start) for start in WEEKS.starts] == ["2026-02-23", "2026-03-02", "2026-03-09"]


def test_only_what_jobs_used_is_demand_net_of_what_came_back(depot, book) -> None:
    book("2026-02-23T00:00:00", "issue", "VAN1", "JOB", 4)
    book("2026-03-01T23:59:59", "issue", "VAN1", "JOB", 3)
    book("2026-03-04T10:00:00", "checkout", "A-01-01-1", "VAN2", 9)
    book("2026-03-05T10:00:00", "count", "VAN1", "SCRAP", 2)
    book("2026-03-10T10:00:00", "issue", "A-01-01-1", "JOB", 5)
    book("2026-03-11T10:00:00", "return", "JOB", "VAN1", 2)
    book("2026-03-16T00:00:00", "issue", "VAN1", "JOB", 40)
    assert weekly_demand(depot, WEEKS) == [(MOTOR, 0, 7), (MOTOR, 2, 3)]
    assert weekly_demand(depot, WEEKS, van=at(depot, "VAN1")) == [(MOTOR, 0, 7), (MOTOR, 2, -2)]


def test_a_slip_taken_back_was_never_demand(depot, desk, book) -> None:
    slip = book("2026-03-03T10:00:00", "issue", "VAN1", "JOB", 4)
    reverse(depot, slip, operator=desk, reason="wrong job")
    assert weekly_demand(depot, WEEKS) == []


def test_a_week_is_the_depots_own(depot, book) -> None:
    depot.set_setting("time_zone", "America/Halifax")
    book("2026-03-02T03:30:00", "issue", "VAN1", "JOB", 1)  # Sunday 23:30 at the depot, before the clocks change
    book("2026-03-16T02:30:00", "issue", "VAN1", "JOB", 2)  # Sunday 23:30 at the depot, after they changed
    assert weekly_demand(depot, WEEKS) == [(MOTOR, 0, 1), (MOTOR, 2, 2)]


def test_week_53_is_a_week(depot, book) -> None:
    weeks = Weeks.before(date(2027, 1, 4), 2)
    assert [start.isocalendar()[1] for start in weeks.starts] == [52, 53]
    book("2027-01-01T10:00:00", "issue", "VAN1", "JOB", 3)
    assert weekly_demand(depot, weeks) == [(MOTOR, 1, 3)]


def test_what_was_asked_for_and_never_had_counts_in_the_week_it_was_asked(depot, desk) -> None:
    asks = (("4 motors", "withdrawn"), ("Short at the restock of VAN1", "withdrawn"), ("2", "promised"))
    asked = "INSERT INTO requests (asked_at, text, operator) VALUES ('2026-03-04T10:00:00Z', ?, 1)"
    line = "INSERT INTO request_lines (request_id, line, text, item_id, quantity, status) VALUES (?, 1, 'x', 1, 4, ?)"
    with depot.write():
        for number, (text, status) in enumerate(asks, 1):
            depot.run(asked, (text,))
            depot.run(line, (number, status))
    assert weekly_short(depot, WEEKS) == [(MOTOR, 1, 4)]


def test_a_job_is_the_parts_used_together(depot, desk, book) -> None:
    book("2026-03-03T10:00:00", "issue", "VAN1", "JOB", 2, "J1")
    book("2026-03-03T11:00:00", "issue", "VAN1", "JOB", 1, "J1")
    book("2026-03-03T12:00:00", "return", "JOB", "VAN1", 1, "J1")
    book("2026-03-04T10:00:00", "issue", "VAN1", "JOB", 1)
    jobs = jobs_of(depot, at(depot, "VAN1"), "2026-01-01T00:00:00Z")
    assert sorted(jobs.values(), key=str) == [{MOTOR: 1}, {MOTOR: 2}]
    assert jobs["J1"] == {MOTOR: 2}
