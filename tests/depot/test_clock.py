"""Times: clocks that go back, the two nights of the year that are not 24 hours, and the years with a week 53."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsbin.depot import clock
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post, reverse
from partsbin.depot.operators import Operator
from partsbin.depot.places import outside, the_place
from partsbin.errors import Refused

DUBLIN, HAVANA, APIA = clock.zone("Europe/Dublin"), clock.zone("America/Havana"), clock.zone("Pacific/Apia")


def test_slips_keep_their_order_when_the_clock_goes_back(depot: Depot, desk: Operator, monkeypatch) -> None:
    supplier, shelf = outside(depot, "supplier").id, the_place(depot, "A-01-01-1").id
    for moment in ("2026-10-25T01:30:00Z", "2026-10-25T00:59:59Z", "1999-12-31T23:59:59Z"):
        monkeypatch.setattr(clock, "now", lambda moment=moment: moment)
        slip = post(depot, "receipt", [Line(1, supplier, shelf, 1)], operator=desk)
    reverse(depot, slip, operator=desk, reason="clock")
    assert [row[0] for row in depot.all("SELECT id FROM slips ORDER BY id")] == [1, 2, 3, 4]
    assert differences(depot) == []


@pytest.mark.parametrize(
    ("kept", "local"),
    [  # summer time in the European Union ends at 01:00 UTC on the last Sunday of October (Directive 2000/84/EC)
        ("2026-10-25T00:30:00Z", "2026-10-25T01:30:00+01:00"),
        ("2026-10-25T01:30:00Z", "2026-10-25T01:30:00+00:00"),
        ("2026-03-29T00:59:59Z", "2026-03-29T00:59:59+00:00"),
        ("2026-03-29T01:00:00Z", "2026-03-29T02:00:00+01:00"),
    ],
)
def test_an_hour_that_comes_twice_is_two_hours_in_the_file(kept: str, local: str) -> None:
    assert clock.local_time(kept, DUBLIN).isoformat() == local
    assert clock.stamp(local, DUBLIN) == kept


def test_a_local_time_that_is_skipped_or_comes_twice_is_still_read() -> None:
    assert clock.stamp("2026-03-29T01:30", DUBLIN) == "2026-03-29T01:30:00Z"
    assert clock.stamp("2026-10-25T01:30", DUBLIN) == "2026-10-25T00:30:00Z"  # the first of the two


def test_a_day_begins_when_it_begins_there_even_where_midnight_is_skipped_or_a_day_has_25_hours() -> None:
    assert clock.day_start(date(2026, 10, 25), DUBLIN) == "2026-10-24T23:00:00Z"
    assert clock.day_start(date(2026, 10, 26), DUBLIN) == "2026-10-26T00:00:00Z"
    skipped = datetime.strptime(clock.day_start(date(2026, 3, 8), HAVANA), clock.STAMP).replace(tzinfo=UTC)
    assert skipped.astimezone(HAVANA).date() == date(2026, 3, 8)
    assert clock.day_start(date(2011, 12, 31), APIA) == "2011-12-30T10:00:00Z"  # the day before never was


@pytest.mark.parametrize(
    ("day", "week"),
    [  # ISO 8601: a year that begins on a Thursday, or a leap year that begins on a Wednesday, has 53 weeks
        ("2020-12-31", "2020-W53"),
        ("2021-01-03", "2020-W53"),
        ("2021-01-04", "2021-W01"),
        ("2026-12-28", "2026-W53"),
        ("2027-01-03", "2026-W53"),
        ("2027-01-04", "2027-W01"),
        ("2024-12-30", "2025-W01"),
        ("2023-01-01", "2022-W52"),
    ],
)
def test_weeks_are_those_of_iso_8601(day: str, week: str) -> None:
    assert clock.week_name(date.fromisoformat(day)) == week


@given(st.dates(date(2000, 1, 3), date(2099, 12, 27)))
def test_each_week_name_stands_for_seven_days_and_the_next_is_another(day: date) -> None:
    monday = day - timedelta(days=day.weekday())
    assert len({clock.week_name(monday + timedelta(days=n)) for n in range(7)}) == 1
    assert clock.week_name(monday) < clock.week_name(monday + timedelta(days=7))


@given(st.datetimes(datetime(2000, 1, 1), datetime(2099, 12, 31), timezones=st.just(UTC)))
def test_what_is_kept_comes_back_to_the_second_in_any_zone(moment: datetime) -> None:
    kept = moment.strftime(clock.STAMP)
    for zone in (DUBLIN, HAVANA, APIA):
        assert clock.stamp(clock.local_time(kept, zone).isoformat(), zone) == kept


@pytest.mark.parametrize(
    "text", ["", "yesterday", "2026-02-29", "2026-11-25T25:00", "25/11/2026", "0001-01-01T00:00+23:00"]
)
def test_what_is_no_time_is_refused_in_words(text: str) -> None:
    with pytest.raises(Refused):
        clock.stamp(text, DUBLIN)
