"""The codes on our own labels: what is printed comes back, and only letters and digits are used."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsbin import codes
from partsbin.errors import Refused

words = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20).map(str.strip).filter(bool)
days = st.none() | st.dates(date(2000, 1, 1), date(2099, 12, 31))


@given(words, words | st.just(""), days, st.none() | st.integers(1, 10**6))
def test_a_case_comes_back_as_printed(part_number, lot, best_before, quantity):
    code = codes.encode_case(part_number, lot, best_before, quantity)
    assert re.fullmatch("[0-9A-Z]+", code)
    number = "".join(letter.upper() if letter.isascii() else letter for letter in part_number)
    assert codes.read_case(code) == codes.CaseCode(number, lot, best_before, quantity)


@given(words)
def test_a_badge_and_a_slip_come_back(text):
    assert codes.read_badge(codes.encode_badge(text)) == text
    assert codes.read_slip(codes.encode_slip(text)) == text


@given(words)
def test_caps_lock_does_no_harm(text):
    assert codes.read_badge(codes.encode_badge(text).lower()) == text


LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@given(st.text(LETTERS, min_size=2, max_size=20), st.data())
def test_one_wrong_letter_is_noticed(text, data):
    sealed = text + codes.check_character(text)
    at, other = data.draw(st.integers(0, len(sealed) - 2)), data.draw(st.sampled_from(LETTERS))
    changed = sealed[:at] + other + sealed[at + 1 :]
    assert changed == sealed or codes.check_character(changed[:-1]) != changed[-1]


def test_nearly_all_swapped_neighbours_are_noticed():
    """A hybrid system of ISO/IEC 7064 finds every single substitution and nearly all swaps of neighbours."""
    pairs = [(a, b) for a in LETTERS for b in LETTERS if a != b]
    missed = sum(codes.check_character(f"Q{a}{b}7") == codes.check_character(f"Q{b}{a}7") for a, b in pairs)
    assert missed / len(pairs) < 0.03


@pytest.mark.parametrize(
    ("code", "encoded"),
    [("A-03-07-2", "A030702"), ("a-03-07-12", "A030712"), ("VAN1-D3", "VAN1D3"), ("van2", "VAN2"), ("YARD/7", "YARD7")],
)
def test_places_lose_their_signs(code, encoded):
    assert codes.encode_bin(code) == encoded


@pytest.mark.parametrize(
    "attempt",
    [
        lambda: codes.encode_bin("--"),
        lambda: codes.encode_badge(" "),
        lambda: codes.encode_case("", "L7"),
        lambda: codes.encode_case("P1", quantity=0),
        lambda: codes.encode_case("P1", best_before=date(1999, 12, 31)),
    ],
)
def test_what_cannot_be_encoded_is_refused(attempt):
    with pytest.raises(Refused):
        attempt()


@pytest.mark.parametrize("text", ["CS", "CSZD261399L", "CSZQ1", "CSP1ZXFFA", "CSP1ZNAB", "", "CSP1ZD2611"])
def test_what_only_looks_like_a_case_is_none(text):
    sealed = text + codes.check_character(text) if text else text
    assert codes.read_case(sealed) is None
