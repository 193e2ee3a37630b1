"""Scan reading against GS1's own unit tests, biip's tests and worked examples (source beside each fact).

``scan_facts.json`` holds the facts. Check characters of our own codes: ISO/IEC 7064 examples at the end.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from partsbin.codes import check_character
from partsbin.errors import Refused
from partsbin.exchange import read_scan
from partsbin.exchange.gtin import check_digit, gtin14
from partsbin.exchange.scan_gs1 import GS, day_of, read_elements, read_written_out

FACTS = json.loads((Path(__file__).parent / "scan_facts.json").read_text())
TODAY = date(2026, 11, 25)


def facts(kind: str) -> list:
    chosen = [fact for fact in FACTS if fact["kind"] == kind]
    assert chosen
    return [pytest.param(fact, id=str(number)) for number, fact in enumerate(chosen)]


@pytest.mark.parametrize("fact", facts("check_digit"))
def test_the_check_digit_of_a_number(fact):
    assert check_digit(fact["payload"]) == fact["check"]
    assert fact["full"] == fact["payload"] + str(fact["check"])


@pytest.mark.parametrize("fact", facts("check_digit_bad"))
def test_a_wrong_number_is_refused_or_reported(fact):
    full = fact["full"]
    if full.isascii() and full.isdigit() and len(full) == 18:
        assert any("check digit" in one for one in read_scan(f"]C100{full}").problems)
        return
    with pytest.raises(Refused, match="check digit" if "correct" in fact else "not a GTIN"):
        gtin14(full)
    assert read_scan(full).gtin == ""


@pytest.mark.parametrize("fact", facts("gtin14"))
def test_trade_item_numbers_come_to_fourteen_digits(fact):
    assert read_scan(fact["input"]).gtin == fact["gtin14"]


@pytest.mark.parametrize("fact", facts("gs1_scan"))
def test_a_scan_with_its_prefix_gives_the_elements(fact):
    scan = read_scan(fact["scan"], today=TODAY)
    assert [{"ai": one.ai, "value": one.value} for one in scan.elements] == fact["elements"]
    assert scan.problems == ()
    if "symbology" in fact:
        assert scan.symbology == fact["symbology"]


@pytest.mark.parametrize("fact", facts("gs1_scan_bad"))
def test_a_bad_scan_says_what_is_wrong(fact):
    scan = read_scan(fact["scan"])
    words = {"bad check digit": "check digit", "empty GS1 data": "there is none", "long": "too long"}
    wanted = words.get(fact["expect"], "not a kind of symbol" if fact["scan"] else "empty")
    assert any(wanted in problem for problem in scan.problems)
    assert scan.kind in {"unknown", "nothing"}


@pytest.mark.parametrize("fact", facts("ean_scan"))
def test_a_retail_symbol_gives_its_trade_item_number(fact):
    assert read_scan(fact["scan"]).gtin == fact["gtin"].zfill(14)


@pytest.mark.parametrize("fact", facts("plain_scan"))
def test_a_plain_symbol_gives_its_text(fact):
    scan = read_scan(fact["scan"])
    assert scan.text == fact["text"]
    assert scan.elements == ()


@pytest.mark.parametrize("fact", facts("aim_gate"))
def test_a_plain_symbol_is_not_read_as_elements(fact):
    scan = read_scan(fact["scan"])
    assert scan.elements == ()
    assert scan.text == "0109521234543213"


@pytest.mark.parametrize("fact", facts("gs1_hri"))
def test_elements_written_out_as_under_a_symbol(fact):
    scan = read_scan("]C1" + fact["data"], separator=fact.get("separator", GS), today=TODAY)
    assert scan.written_out == fact["hri"]
    assert read_scan(fact["hri"], today=TODAY).elements == scan.elements


@pytest.mark.parametrize("fact", facts("hri_to_data"))
def test_written_out_elements_are_those_of_the_data(fact):
    assert read_written_out(fact["hri"], TODAY)[0] == read_elements(fact["data"], TODAY)[0]


@pytest.mark.parametrize("fact", facts("hri_bad"))
def test_text_that_is_not_written_out_elements(fact):
    assert read_written_out(fact["hri"], TODAY) is None
    assert read_scan(fact["hri"]).elements == ()


@pytest.mark.parametrize("fact", facts("gs1_valid"))
def test_data_that_keeps_the_format_and_data_that_does_not(fact):
    _, problems, _ = read_elements(fact["data"], TODAY)
    assert (not problems) == fact["valid"]


@pytest.mark.parametrize("fact", facts("gs1_assoc"))
def test_elements_that_need_or_exclude_each_other(fact):
    _, problems, notes = read_written_out(fact["hri"], TODAY)
    assert (not problems and not notes) == fact["valid"]


@pytest.mark.parametrize("fact", facts("yymmd0"))
def test_dates_of_six_digits(fact):
    assert (day_of(fact["data"], TODAY) is not None) == fact["valid"]


def test_day_00_is_the_last_of_its_month():
    """GS1 General Specifications 3.4: DD=00 means the last day of the month, leap years noted."""
    assert day_of("240200", TODAY) == date(2024, 2, 29)
    assert day_of("261100", TODAY) == date(2026, 11, 30)


@pytest.mark.parametrize(("year", "century"), [("00", 2000), ("26", 2000), ("76", 2000), ("77", 1900), ("99", 1900)])
def test_the_sliding_century_seen_from_2026(year, century):
    """GS1 General Specifications 7.12: difference 51..99 is the last century, -50 or less the next, else this one."""
    assert day_of(f"{year}0606", TODAY) == date(century + int(year), 6, 6)


def test_the_sliding_century_reaches_the_next_one():
    assert day_of("010101", date(2060, 1, 1)) == date(2101, 1, 1)


@pytest.mark.parametrize("fact", facts("ai_table"))
def test_the_length_and_title_of_an_identifier(fact):
    """A fixed-length element ends by itself; a variable one runs to the separator, and past its length is wrong."""
    ai, form = fact["ai"], fact["format"]
    digits = int(form.lstrip("NX."))
    value = "260606" if digits == 6 else "1" * (digits - 1)
    if len(value) < digits:
        value += str(check_digit(value)) if form == f"N{digits}" else "1"
    (first, *rest), _, _ = read_elements(f"{ai}{value}9912", TODAY)
    if fact["fnc1_needed"]:
        assert rest == []
        assert not first.sound
        (first, *rest), _, _ = read_elements(f"{ai}{value}{GS}9912", TODAY)
    assert (first.ai, first.value, first.sound) == (ai, value, True)
    assert [(one.ai, one.value) for one in rest] == [("99", "12")]
    assert fact["title"].split()[0] in first.title


@pytest.mark.parametrize("fact", facts("layout_slip"))
def test_a_bin_typed_through_a_foreign_keyboard(fact):
    scan = read_scan(fact["typed"])
    assert (scan.kind, scan.place) == ("bin", fact["meant"])
    assert scan.notes


@pytest.mark.parametrize(
    ("payload", "check"),
    [
        (
            "A12425GABC1234002",
            "M",
        ),  # IFPI Global Release Identifier standard, its example A1-2425G-ABC1234002-M; from memory
        ("00000000D07A0090", "Q"),  # ISO 15706 ISAN 0000-0000-D07A-0090-Q, an open-encyclopedia example; from memory
    ],
)
def test_check_characters_of_iso_7064_mod_37_36(payload, check):
    assert check_character(payload) == check
