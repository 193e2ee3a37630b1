"""Audit files on a depot: sold units booked once, never negative, never of another machine; loads in round order."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_head, slip_lines
from partsbin.depot.machines import lanes_of, set_van
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.depot.reorder import weekly_use
from partsbin.depot.stock import on_hand
from partsbin.desk.event_leads import event_leads
from partsbin.desk.load_paper import write_van_load
from partsbin.desk.posting import Keyed, transfer
from partsbin.desk.restock import check_out, propose
from partsbin.desk.round_booking import Booked, close_open, take
from partsbin.desk.rounds import look, read_path
from partsbin.desk.van_loads import promise_load, round_loads
from partsbin.errors import Refused
from partsbin.exchange.audit import AuditReading, Device, Event, Selection
from tests.desk.lane_depot import build


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.open(build(tmp_path)) as opened:
        yield opened


def reading(number: int, sold: dict[str, int], asset: str = "M1", board: str = "B1", **more: object) -> AuditReading:
    """Reading ``number`` of a machine, a week apart."""
    return AuditReading(
        fingerprint=f"{asset}-{board}-{number}",
        checked=True,
        asset=asset,
        read_at=datetime(2026, 3, 2 + number, 8, 0),
        selections=tuple(Selection(key, sold=units) for key, units in sold.items()),
        devices=(Device("control board", board),),
        **{"vends": sum(sold.values()), **more},  # type: ignore[arg-type]
    )


def posted(depot: Depot, *readings: AuditReading) -> list[Booked]:
    return take(depot, the_operator(depot), look(depot, readings))


def load(depot: Depot, part: str, quantity: str) -> None:
    transfer(depot, the_operator(depot), "checkout", [Keyed(part, quantity, target="VAN1")])


FIRST = {"10": 100, "11": 50, "12": 10, "20": 30}
SECOND = {"10": 103, "11": 52, "12": 10, "20": 30}


def test_what_was_sold_leaves_the_van_once_as_one_issue(depot: Depot) -> None:
    load(depot, "COLA", "24")
    (first,) = posted(depot, reading(1, FIRST))
    assert (first.slip, first.units) == (None, 0)
    (booked,) = posted(depot, reading(2, SECOND))
    assert booked.units == 5
    assert {x.lot for x in slip_lines(depot, booked.slip)} == {"C1"}
    assert {(x.part_number, x.source, x.target) for x in slip_lines(depot, booked.slip)} == {("COLA", "VAN1", "JOB")}
    assert "M1" in slip_head(depot, booked.slip).reference
    (again,) = posted(depot, reading(2, SECOND))
    assert (again.slip, again.units, again.open) == (None, 0, ())
    cola = depot.value("SELECT id FROM items WHERE part_number = 'COLA'")
    assert weekly_use(depot, "2026-01-01", 1)[cola] == 5
    assert [lane.count for lane in lanes_of(depot, "M1")[:2]] == [7, 7]
    assert differences(depot) == []


def test_a_selection_that_skips_a_reading_or_comes_padded_loses_nothing(depot: Depot) -> None:
    load(depot, "COLA", "24")
    posted(depot, reading(1, FIRST))
    posted(depot, reading(2, {"10": 101, "20": 30}, vends=191))
    (booked,) = posted(depot, reading(3, {"10": 101, "11": 53, "12": 10, "20": 30}))
    assert booked.units == 3
    with depot.write():
        depot.run("UPDATE lanes SET selection = '011' WHERE asset = 'M1' AND lane = '11'")
    (again,) = posted(depot, reading(4, {"10": 101, "11": 54, "12": 10, "20": 30}))
    assert (again.units, again.open) == (1, ())


def test_what_a_lane_sold_before_it_was_changed_is_of_the_drink_before(depot: Depot) -> None:
    load(depot, "COLA", "24")
    posted(depot, reading(1, FIRST))
    with depot.write():
        slim = depot.value("SELECT id FROM items WHERE part_number = 'SLIM'")
        depot.run("UPDATE lanes SET item_id = ?, changed_on = '2026-03-20' WHERE asset = 'M1' AND lane = '10'", (slim,))
    found = look(depot, [reading(2, SECOND)])
    assert any("lanes changed after this reading: 10" in note for note in found.readings[0].notes)
    assert [x.lane for x in found.stops[0].lanes] == ["11"]
    (booked,) = take(depot, the_operator(depot), found)
    assert {(x.part_number, x.quantity) for x in slip_lines(depot, booked.slip)} == {("COLA", 3), ("COLA", 2)}
    assert [lane.count for lane in lanes_of(depot, "M1")[:2]] == [7, 7]


def test_both_readings_in_one_folder_are_compared_with_each_other(depot: Depot) -> None:
    load(depot, "COLA", "24")
    (booked,) = posted(depot, reading(1, FIRST), reading(2, SECOND))
    assert booked.units == 5


def test_what_the_van_lacks_stays_open_until_it_is_loaded(depot: Depot) -> None:
    load(depot, "COLA", "2")
    found = look(depot, [reading(1, FIRST), reading(2, SECOND)])
    (stop,) = found.stops
    assert {(x.lane, x.before, x.add) for x in stop.lanes} == {("10", 4, 3), ("11", 5, 2)}
    (booked,) = take(depot, the_operator(depot), found)
    assert booked.units == 2
    assert [(item.part_number, units) for item, units in booked.open] == [("COLA", 3)]
    assert "VAN1 does not hold the rest" in booked.note
    assert sum(lane.count or 0 for lane in lanes_of(depot, "M1")[:2]) == 11
    load(depot, "COLA", "24")
    (rest,) = posted(depot, reading(2, SECOND))
    assert (rest.units, rest.open) == (3, ())
    assert [lane.count for lane in lanes_of(depot, "M1")[:2]] == [7, 7]


def test_what_drivers_issued_by_hand_is_closed_without_a_slip(depot: Depot) -> None:
    posted(depot, reading(1, FIRST), reading(2, SECOND))
    assert close_open(depot, "M1") == 5
    (again,) = posted(depot, reading(2, SECOND))
    assert (again.slip, again.open) == (None, ())


def test_a_swapped_board_starts_afresh_and_books_nothing(depot: Depot) -> None:
    load(depot, "COLA", "24")
    (booked,) = posted(depot, reading(1, FIRST), reading(2, {"10": 3, "11": 0}, board="B2"))
    assert (booked.units, booked.open) == (0, ())
    (next_one,) = posted(depot, reading(3, {"10": 5, "11": 0}, board="B2"))
    assert next_one.units == 2


def test_a_machine_no_van_fills_waits_for_its_van(depot: Depot) -> None:
    set_van(depot, "M1", None)
    (booked,) = posted(depot, reading(1, FIRST), reading(2, SECOND))
    assert "no van fills M1" in booked.note
    load(depot, "COLA", "24")
    (done,) = take(depot, the_operator(depot), look(depot, [reading(2, SECOND)]), the_place(depot, "VAN1"))
    assert done.units == 5


def test_cases_past_their_date_never_fill_a_machine(depot: Depot) -> None:
    load(depot, "COLA", "24")
    with depot.write():
        depot.run("UPDATE lots SET best_before = '2020-01-01' WHERE code = 'C1'")
    (booked,) = posted(depot, reading(1, FIRST), reading(2, SECOND))
    assert (booked.slip, booked.units) == (None, 0)


@pytest.mark.parametrize(
    ("strange", "says"),
    [
        (reading(1, FIRST, asset="X9"), "asset X9, which is no machine of this depot"),
        (reading(1, FIRST, asset=""), "a machine without a name"),
    ],
)
def test_a_file_of_another_machine_is_refused(depot: Depot, strange: AuditReading, says: str) -> None:
    with pytest.raises(Refused, match=says):
        look(depot, [strange])
    assert look(depot, [strange, reading(1, FIRST)]).refused


def test_an_older_reading_than_the_last_is_refused(depot: Depot) -> None:
    posted(depot, reading(5, SECOND))
    with pytest.raises(Refused, match="give the older one first"):
        look(depot, [reading(1, FIRST)])


@pytest.mark.parametrize("noise", [b"", b"hello\n", b"ST*001*0001\r\n", bytes(range(256)) * 40])
def test_noise_is_refused_in_words(tmp_path: Path, noise: bytes) -> None:
    file = tmp_path / "noise.dex"
    file.write_bytes(noise)
    with pytest.raises(Refused, match=r"\w"):
        read_path(file)


def test_a_file_of_fifty_megabytes_is_not_even_read(tmp_path: Path) -> None:
    file = tmp_path / "big.dex"
    with file.open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(Refused, match="50.0 MB"):
        read_path(file)


def test_the_load_is_promised_and_restocking_picks_it(depot: Depot) -> None:
    found = look(depot, [reading(1, FIRST), reading(2, SECOND), reading(1, {"1": 50}, asset="M2")])
    (east,) = round_loads(depot, found.stops)
    assert [stop.machine.asset for stop in east.packing] == ["M1", "M2"]
    assert [(d.item.part_number, d.load.each) for d in east.drinks] == [("COLA", 5)]
    assert promise_load(depot, the_operator(depot), east)
    (again,) = round_loads(depot, found.stops)
    assert promise_load(depot, the_operator(depot), again) is None
    van = the_place(depot, "VAN1")
    check_out(depot, the_operator(depot), van, propose(depot, van).picks)
    assert on_hand(depot, east.drinks[0].item.id, van) == 5


def test_standing_events_lead_to_families_with_first_checks_and_order_nothing(depot: Depot) -> None:
    events = (Event("EJB", "EJB ", count=3, active=True), Event("XX", "OCM", active=True), Event("EOH", "EOH"))
    found = event_leads(depot, reading(1, FIRST, events=events))
    assert [lead.lead.event.raw for lead in found] == ["EJB ", "OCM"]
    assert found[0].checks[0][0] == "DLV-MTR"
    assert found[0].checks[0][1]
    assert "nothing follows from it" in found[1].sentence()
    assert depot.value("SELECT count(*) FROM requests") == 0


@settings(max_examples=10, deadline=None)
@given(
    st.lists(st.dictionaries(st.sampled_from(["10", "11", "12"]), st.integers(0, 9), max_size=3), max_size=5),
    st.integers(0, 48),
)
def test_never_more_booked_than_sold_and_never_more_than_the_van_held(
    tmp_path_factory: pytest.TempPathFactory, weeks: list[dict[str, int]], aboard: int
) -> None:
    with Depot.open(build(tmp_path_factory.mktemp("sold"))) as depot:
        if aboard:
            load(depot, "COLA", str(aboard))
        counters = {"10": 0, "11": 0, "12": 0}
        readings = [reading(0, counters)]
        for number, week in enumerate(weeks, 1):
            counters = {key: counters[key] + week.get(key, 0) for key in counters}
            readings.append(reading(number, counters))
        booked = [x for one in readings for x in (*posted(depot, one), *posted(depot, one))]
        cola = counters["10"] + counters["11"]
        assert sum(x.units for x in booked) == min(cola, aboard)
        assert differences(depot) == []


def test_from_two_readings_to_demand_in_one_go(depot: Depot, tmp_path: Path) -> None:
    desk, van = the_operator(depot), the_place(depot, "VAN1")
    cola = depot.value("SELECT id FROM items WHERE part_number = 'COLA'")
    took = [reading(1, FIRST), reading(2, SECOND)]
    (load_,) = round_loads(depot, look(depot, took).stops)
    write_van_load(depot, [load_], tmp_path / "load.pdf")
    assert promise_load(depot, desk, load_)
    (waiting,) = take(depot, desk, look(depot, took))
    assert [(item.part_number, units) for item, units in waiting.open] == [("COLA", 5)]
    check_out(depot, desk, van, propose(depot, van).picks)
    (booked,) = take(depot, desk, look(depot, took[1:]))
    assert (booked.units, booked.open, on_hand(depot, cola, van)) == (5, (), 0)
    assert {x.lot for x in slip_lines(depot, booked.slip)} == {"C1"}
    assert [lane.count for lane in lanes_of(depot, "M1")[:2]] == [7, 7]
    assert weekly_use(depot, "2026-01-01", 1)[cola] == 5
    assert [left.drinks for left in round_loads(depot, look(depot, took[1:]).stops)] == [()]
    assert differences(depot) == []


def test_the_load_on_paper_packs_the_last_stop_first(depot: Depot, tmp_path: Path) -> None:
    readings = [reading(1, FIRST), reading(2, SECOND), reading(1, {"1": 50}, "M2"), reading(2, {"1": 53}, "M2")]
    paper = tmp_path / "load.pdf"
    write_van_load(depot, round_loads(depot, look(depot, readings).stops), paper)
    text = "".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(paper))
    assert text.index("1. M1") < text.index("2. M2")
    assert "COLA" in text
    with pytest.raises(Refused, match="nothing to fill"):
        write_van_load(depot, [], paper)
