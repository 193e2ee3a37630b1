from __future__ import annotations

import csv
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsbin.errors import Refused
from partsbin.exchange.audit import AuditReading, Device, Selection, read_audit_file
from partsbin.exchange.audit_events import EventHint, hint_for, leads
from partsbin.exchange.audit_sales import carried, compare
from partsbin.lanes.chart import Lane, Machine
from partsbin.lanes.refill import refill

REPO = Path(__file__).parents[2]
SAMPLES = REPO / "tests" / "data" / "audit"


def shipped_hints() -> list[EventHint]:
    with (REPO / "seed" / "event_hints.csv").open(encoding="utf-8", newline="") as file:
        return [
            EventHint(
                row["code"], tuple(row["families"].split("|")) if row["families"] else (), row["symptom"], row["text"]
            )
            for row in csv.DictReader(file)
        ]


BASE = AuditReading("one", checked=True, asset="A0417", serial="S1", read_at=datetime(2026, 3, 2))


def reading(fingerprint: str, counts: dict[str, int], day: int = 9, **more: object) -> AuditReading:
    selections = tuple(Selection(number, sold=sold) for number, sold in counts.items())
    changed = replace(BASE, fingerprint=fingerprint, read_at=datetime(2026, 3, day), selections=selections)
    return replace(changed, **more)  # type: ignore[arg-type]


def test_a_reading_against_itself_sold_nothing() -> None:
    one = read_audit_file(SAMPLES / "ok.dex")
    again = read_audit_file(SAMPLES / "ok_lf_only.dex")
    assert (compare(one, one).units, compare(one, one).same) == (0, True)
    assert (compare(one, again).units, compare(one, again).same) == (0, True)


def test_a_swapped_board_starts_afresh_and_is_named() -> None:
    sold = compare(read_audit_file(SAMPLES / "ok.dex"), read_audit_file(SAMPLES / "board_swapped.dex"))
    assert sold.units == 0
    assert all(row.afresh for row in sold.selections)
    assert sold.swapped == (("control board", "TSTB000042", "TSTB000077"),)
    assert "counters restarted" in sold.notes[0]


def test_after_a_swap_the_next_reading_counts_on() -> None:
    swapped = reading("two", {"10": 3})
    assert compare(swapped, reading("three", {"10": 8}, day=16)).by_selection() == {"10": 5}


def test_one_fallen_counter_starts_afresh_alone() -> None:
    sold = compare(reading("a", {"10": 50, "11": 5}, day=2), reading("b", {"10": 2, "11": 9, "12": 4}))
    assert sold.by_selection() == {"10": 0, "11": 4, "12": 0}
    assert "10, 12" in sold.notes[0]


def test_a_fallen_total_restarts_every_counter() -> None:
    sold = compare(reading("a", {"10": 5}, day=2, vends=900), reading("b", {"10": 8}, vends=8))
    assert sold.units == 0


def test_another_machine_or_wrong_order_is_refused() -> None:
    with pytest.raises(Refused, match="asset A0417 and A0422"):
        compare(BASE, reading("b", {}, asset="A0422"))
    with pytest.raises(Refused, match="serial S1 and S2"):
        compare(replace(BASE, asset=""), reading("b", {}, asset="", serial="S2"))
    with pytest.raises(Refused, match="neither asset nor serial"):
        compare(replace(BASE, asset="", serial=""), reading("b", {}, asset="", serial=""))
    with pytest.raises(Refused, match="older one first"):
        compare(reading("b", {}, day=9), reading("a", {}, day=2))


def test_a_clock_that_went_back_is_noted_when_the_order_is_certain() -> None:
    early, late = reading("a", {"10": 5}, day=9, vends=5), reading("b", {"10": 8}, day=2, vends=8)
    assert compare(early, late).units == 3
    assert "clock went back" in compare(early, late).notes[-1]
    fresh = reading("c", {"10": 1}, day=2, vends=1)
    with pytest.raises(Refused, match="set the machine's clock"):
        compare(early, fresh)
    boards = [replace(r, devices=(Device("control board", b),)) for r, b in ((early, "B1"), (fresh, "B2"))]
    assert compare(*boards).units == 0


def test_a_selection_that_skips_a_reading_counts_on_from_the_one_before() -> None:
    one, two = reading("a", {"10": 5, "11": 7}, day=2), reading("b", {"10": 6})
    kept = carried(one, two)
    assert {s.number: s.sold for s in kept.selections} == {"10": 6, "11": 7}
    assert compare(kept, reading("c", {"10": 6, "11": 9}, day=16)).by_selection() == {"10": 0, "11": 2}
    assert carried(replace(one, vends=9), replace(two, vends=1)).selections == two.selections
    assert carried(None, two) == two


def test_of_two_readers_the_one_that_changed_is_named() -> None:
    one = replace(reading("a", {}, day=2), devices=(Device("cashless", "A"), Device("cashless", "B")))
    two = replace(reading("b", {}), devices=(Device("cashless", "B"), Device("cashless", "C")))
    assert compare(one, two).swapped == (("cashless", "A", "C"),)
    assert "the cashless A is now C: is that on a slip?" in compare(one, two).notes


def test_what_a_person_should_look_at_is_noted() -> None:
    old = replace(reading("a", {"10": 1, "13": 1}, day=2), checked=False, devices=(Device("coins", "C1"),))
    new = replace(
        reading("b", {"10": 4}),
        devices=(Device("coins", "C2"),),
        selections=(Selection("10", product="LEMON", sold=4),),
    )
    sold = compare(old, new)
    assert sold.swapped == (("coins", "C1", "C2"),)
    text = " ".join(sold.notes)
    assert all(words in text for words in ("no longer reported: 13", "product changed", "at someone's word"))


counters = st.dictionaries(st.sampled_from([str(n) for n in range(10, 18)]), st.integers(0, 10**6))


@given(before=counters, after=counters)
def test_units_are_never_negative_and_never_more_than_the_counter(
    before: dict[str, int], after: dict[str, int]
) -> None:
    sold = compare(reading("a", before, day=2), reading("b", after))
    for row in sold.selections:
        assert 0 <= row.units <= row.counter
        assert row.afresh or row.units == after[row.number] - before[row.number]
    assert compare(reading("a", before, day=2), reading("a", before, day=2)).units == 0


def test_sales_flow_into_the_refill() -> None:
    sold = compare(read_audit_file(SAMPLES / "ok.dex"), read_audit_file(SAMPLES / "after_reset.dex"))
    lanes = [Lane("A0417", n, 1, p, "B40-74", "", "COLA", "CAN355", capacity=8) for p, n in enumerate(("10", "11"), 1)]
    stop = refill(Machine("A0417", "Borealis 40"), lanes, {s: u for s, u in sold.by_selection().items() if s < "12"})
    assert [row.add for row in stop.lanes] == [5, 2]


# --- events ---------------------------------------------------------------------------------------------------

HINTS = [
    EventHint("EJB", ("DLV-MTR",)),
    EventHint("EC1B", ("DOR-BTN",)),
    EventHint("EO", ("",)),
    EventHint("EK2", ("PAY-RDR",)),
    EventHint("E?X", ()),
]


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        ("EJB", "EJB"),
        (" ejb ", "EJB"),
        ("EJB1", "EJB"),
        ("EC1B", "EC1B"),
        ("EO_1", "EO"),
        ("EJB_12", "EJB"),
        ("EK2A", "EK2"),
        ("EJX", "E?X"),
        ("EJC", None),
        ("OPEN ST", None),
        ("OCM mdb", None),
        ("EJBROKEN", None),
        ("", None),
    ],
)
def test_whole_code_then_shorter_then_nothing(raw: str, code: str | None) -> None:
    hint = hint_for(raw, HINTS)
    assert (hint.code if hint else None) == code


def test_leads_keep_the_raw_text_and_put_unknown_ones_last() -> None:
    reading = read_audit_file(SAMPLES / "events_active.dex")
    rows = leads(reading.active_events, shipped_hints())
    assert [(r.event.raw, r.hint.families[0] if r.hint else "") for r in rows] == [
        ("EJB", "DLV-MTR"),
        ("EJL", "DLV-SNSR"),
    ]
    assert all(r.hint is None for r in leads(reading.events, []))


def test_health_timer_points_to_cooling_not_to_motors() -> None:
    hint = hint_for("EJH", shipped_hints())
    assert hint is not None
    assert hint.families == ()
    assert hint.symptom == "not cooling"
