"""Reading what a scanner sent: what it is, and what is wrong with it."""

from __future__ import annotations

import subprocess
import sys
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsbin.codes import encode_badge, encode_bin, encode_case, encode_slip
from partsbin.exchange import read_scan

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize("suffix", ["", "\r", "\n", "\t", "\r\n"])
@pytest.mark.parametrize("prefix", ["", "]C0", "]d1", "]Q1"])
@pytest.mark.parametrize("code", ["A-03-07-2", "A030702", "a030702", "A03072"])
def test_a_bin_label_in_every_form(prefix, code, suffix):
    scan = read_scan(prefix + code + suffix)
    assert (scan.kind, scan.place) == ("bin", "A-03-07-2")


def test_a_position_of_two_digits_is_kept():
    assert read_scan(encode_bin("AB-12-03-14")).place == "AB-12-03-14"


@pytest.mark.parametrize(
    ("text", "kind", "place"),
    [
        ("VAN1", "van", "VAN1"),
        ("van12", "van", "VAN12"),
        ("VAN1D3", "drawer", "VAN1-D3"),
        ("VAN1-D3", "drawer", "VAN1-D3"),
    ],
)
def test_vans_and_their_drawers(text, kind, place):
    scan = read_scan(text)
    assert (scan.kind, scan.place) == (kind, place)


def test_a_badge_and_a_slip_are_told_from_part_numbers_by_their_check_character():
    assert read_scan(encode_badge("B-4711")).badge == "B-4711"
    assert read_scan(encode_slip(1042)).slip == "1042"
    for lookalike in ("OP4711", "SL1042", "CS-100", "OPTIC-7"):
        assert read_scan(lookalike).kind == "item"


def test_a_case_of_our_own():
    scan = read_scan("]C0" + encode_case("DRK-0012", "L7/b", date(2026, 11, 30), 24))
    assert (scan.kind, scan.part_number, scan.lot) == ("case", "DRK-0012", "L7/b")
    assert (scan.best_before, scan.quantity, scan.counts) == (date(2026, 11, 30), 24, "pieces")


def test_a_case_with_its_maker_s_code():
    scan = read_scan("]C10109521234543213" + "15261100" + "10L7\x1d" + "3024\r\n", today=TODAY)
    assert (scan.kind, scan.gtin, scan.lot) == ("case", "09521234543213", "L7")
    assert (scan.best_before, scan.quantity, scan.counts) == (date(2026, 11, 30), 24, "pieces")
    assert scan.problems == scan.notes == ()


def test_the_earlier_of_best_before_and_expiry_counts():
    assert read_scan("]C101095212345432131527010117261231", today=TODAY).best_before == date(2026, 12, 31)


def test_a_pallet_counts_packs_of_what_is_on_it():
    scan = read_scan("]C100123456789012345675" + "0209521234543213" + "3740")
    assert (scan.gtin, scan.quantity, scan.counts) == ("09521234543213", 40, "packs")
    assert scan.problems == scan.notes == ()


def test_a_separator_inside_makes_it_gs1_without_a_prefix():
    scan = read_scan("010952123454321310L7\x1d3012")
    assert (scan.lot, scan.quantity) == ("L7", 12)


def test_separators_at_both_ends_and_doubled_are_tolerated():
    scan = read_scan("\x1d0109521234543213\x1d\x1d10L7\x1d")
    assert (scan.gtin, scan.lot, scan.problems) == ("09521234543213", "L7", ())


@pytest.mark.parametrize("digits", ["3712", "96", "0109521234543213", "12345678901234567890"])
def test_bare_digits_are_no_element_strings(digits):
    scan = read_scan(digits)
    assert (scan.kind, scan.elements, scan.part_number) == ("item", (), digits)


def test_an_unknown_identifier_is_kept_and_shown():
    scan = read_scan("]C101095212345432130511XY\x1d10L7")
    assert (scan.gtin, scan.lot) == ("09521234543213", "L7")
    assert ("05", "11XY", False) in [(one.ai, one.value, one.known) for one in scan.elements]
    assert any("05" in note and "kept" in note for note in scan.notes)
    assert scan.problems == ()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("0109521234543214", "check digit 4, it should be 3"),
        ("0109521234543213" + "17260230", "260230 is not a date"),
        ("0109521234543213" + "17261345", "EXPIRY cannot be “261345”"),
        ("4149521230000001", "location number"),
        ("0109521234543213" + "10A\x1d" + "10B", "comes twice"),
        ("0109521234543213" + "0209521234543213" + "3740", "cannot stand on one label"),
        ("0109521234543213" + "30ABC", "wrong sign"),
        ("0109521234543213" + "30", "is empty; scan again"),
        ("0109521234543213" + "10" + "L" * 21, "too long"),
        ("0109521234543213" + "10L~7", "wrong sign"),
    ],
)
def test_a_wrong_code_says_so_in_a_sentence(data, words):
    scan = read_scan("]C1" + data, today=TODAY)
    assert any(words in problem for problem in scan.problems), scan.problems
    assert all(problem.endswith(".") for problem in scan.problems)


def test_a_wrong_check_digit_gives_no_number_to_book_with():
    assert read_scan("]C10109521234543214").gtin == ""
    assert read_scan("]E09521234543214").gtin == ""


def test_our_part_number_may_stand_in_a_supplier_s_label():
    scan = read_scan("]C1" + "241MTR-24V-007\x1d240X99")
    assert (scan.kind, scan.part_number, scan.supplier_part_number) == ("item", "MTR-24V-007", "X99")


@given(st.text(max_size=60))
def test_no_text_whatever_raises(text):
    scan = read_scan(text)
    assert scan.kind


@given(st.sampled_from(["]C1", "]d2", "]Q3", "]e0", "("]), st.text(alphabet="0123456789AZ()\x1d٣²", max_size=60))
def test_no_gs1_data_whatever_raises(prefix, text):
    scan = read_scan(prefix + text)
    assert scan.problems or scan.elements or prefix == "("


def test_reading_a_bin_does_not_load_the_gs1_library():
    program = "import sys; from partsbin.exchange import read_scan; read_scan('A030702'); print('biip' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


@pytest.mark.parametrize("data", ["010952123454321315261130" + "10L7", "02095212345432133740" + "\x1d"])
def test_a_scanner_that_sends_no_prefix_is_believed_for_a_trade_item_number_and_more(data):
    scan = read_scan(data, today=TODAY)
    assert (scan.kind, scan.gtin) == ("case", "09521234543213")
    assert scan.problems == ()
    wrong = read_scan(data.replace("43213", "43214"), today=TODAY)
    assert wrong.gtin == "" and any("check digit" in one for one in wrong.problems)


def test_a_bare_trade_item_number_with_its_identifier_may_be_a_part_number_too():
    scan = read_scan("0109521234543213")
    assert (scan.kind, scan.gtin, scan.part_number) == ("item", "09521234543213", "0109521234543213")
    assert read_scan("0109521234543214").gtin == ""
    assert read_scan("0109521234543213-X").part_number == "0109521234543213-X"


def test_elements_copied_from_under_a_symbol_may_have_blanks():
    scan = read_scan("(01) 09521234543213 (15) 261130 (10) L7", today=TODAY)
    assert (scan.gtin, scan.best_before, scan.lot, scan.problems) == ("09521234543213", date(2026, 11, 30), "L7", ())


@pytest.mark.parametrize(
    "link",
    [
        "https://example.com/01/09521234543213/10/L7?15=261130",
        "]Q1HTTPS://EXAMPLE.COM/01/09521234543213/10/L7?15=261130&linkType=all",
        "http://example.com/shop/01/9521234543213/22/2A/10/L%37/?15=261130#top",
    ],
)
def test_a_web_address_with_a_trade_item_number_is_read_and_not_asked(link):
    """GS1 Digital Link, URI syntax: primary key and qualifiers in the path, attributes in the query; from memory."""
    scan = read_scan(link, today=TODAY)
    assert (scan.kind, scan.gtin, scan.lot, scan.best_before) == ("case", "09521234543213", "L7", date(2026, 11, 30))
    wrong = read_scan(link.replace("43213", "43214"), today=TODAY)
    assert wrong.gtin == "" and any("check digit" in one for one in wrong.problems)


@pytest.mark.parametrize("link", ["https://example.com/item/7", "http://[", "https://example.com/01/x", "https://"])
def test_any_other_web_address_is_plain_text(link):
    assert read_scan(link).kind == "item"


def test_a_symbol_of_another_kind_gives_its_text():
    assert read_scan("]A0A030702").place == "A-03-07-2"
    assert read_scan("]L2MTR-24V-007").part_number == "MTR-24V-007"
