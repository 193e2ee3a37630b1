"""Honesty: sure, ask and none; the one question; successors; learning; the index following edits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsbin.errors import Refused
from partsbin.requests import CatalogueItem, Index, TradeWord, Words, answer, answer_message, answer_text, read_message

ITEMS = [
    CatalogueItem(1, "KX-1001", "MOTOR VEND 24VDC LH", supplier_numbers=("S 77.120",), gtins=("00012345678905",)),
    CatalogueItem(2, "KX-1002", "MOTOR VEND 24VDC RH"),
    CatalogueItem(3, "KX-1003", "MOTOR VEND 115VAC LH"),
    CatalogueItem(4, "KX-2001", "BRD MAIN REV A", superseded_by=5),
    CatalogueItem(5, "KX-2002", "BRD MAIN REV B", superseded_by=6),
    CatalogueItem(6, "KX-2003", "BRD MAIN REV C"),
    CatalogueItem(7, "KX-3001", "GSKT DOOR", fits=("Glacia 500",)),
    CatalogueItem(8, "KX-3002", "GSKT DOOR", fits=("Frosta 12",)),
    CatalogueItem(9, "KX-4001", "COLA 355ML CAN CS24", pack_size=24),
    CatalogueItem(10, "KX-5001", "SENSOR DROP", unit="pair"),
    CatalogueItem(11, "KX-6001", "HOSE DRAIN 12MM"),
]


@pytest.fixture
def index() -> Index:
    return Index(ITEMS)


def first(index: Index, text: str) -> str:
    return answer_text(index, text)[0].candidates[0].part_number


def test_two_that_fit_alike_ask_what_tells_them_apart(index: Index) -> None:
    (one,) = answer_text(index, "vend motor 24v")
    assert (one.status, one.question) == ("ask", "left or right?")
    (one,) = answer_text(index, "lh vend motor")
    assert (one.status, one.question) == ("ask", "24 V or 115 V?")


def test_a_contradiction_is_named_and_never_sure(index: Index) -> None:
    (one,) = answer_text(index, "vend motor 12v lh")
    assert one.status != "sure"
    assert all(candidate.contradictions for candidate in one.candidates)
    assert "12 V" in one.candidates[0].contradictions[0]


def test_an_old_number_leads_along_the_chain_and_says_so(index: Index) -> None:
    (one,) = answer_text(index, "kx2001 x2")
    assert (one.status, one.quantity, one.candidates[0].part_number) == ("sure", 2, "KX-2003")
    assert "KX-2001 then KX-2002 is superseded by KX-2003" in one.candidates[0].why


@pytest.mark.parametrize(
    "said", ["KX-1001", "kx 1001", "KX1OO1", "kx.1001", "KX-I00I", "S77120", "s 77 120", "012345678905"]
)
def test_a_number_is_found_through_noise(index: Index, said: str) -> None:
    assert first(index, said) == "KX-1001"


def test_one_wrong_character_is_offered_and_asked(index: Index) -> None:
    (one,) = answer_text(index, "KX-6007")
    assert one.status != "sure"


@pytest.mark.parametrize("said", ["coffee grinder burr", "ice auger", "fan guard", "spacer 25mm left", "ZZ-99999"])
def test_what_is_not_stocked_is_never_sure(index: Index, said: str) -> None:
    assert all(one.status != "sure" for one in answer_text(index, said))


def test_units_are_brought_to_the_items_own(index: Index) -> None:
    assert answer_text(index, "2 cases of cola")[0].quantity == 48
    assert answer_text(index, "half case cola")[0].quantity in (1, 12)
    assert answer_text(index, "a pair of drop sensors")[0].quantity == 1
    assert answer_text(index, "a pair of drain hoses")[0].quantity == 2


def test_a_vague_quantity_asks(index: Index) -> None:
    (one,) = answer_text(index, "a handful of drain hoses")
    assert (one.status, one.quantity, one.question) == ("ask", None, "how many?")


def test_a_machine_named_once_holds_until_another_is(index: Index) -> None:
    _, answers = answer_message(index, "on the Glacia 500: door gasket, drain hose\nFrosta 12: door gasket")
    assert [one.candidates[0].part_number for one in answers] == ["KX-3001", "KX-6001", "KX-3002"]


def test_learned_words_raise_an_item_but_never_a_contradiction(index: Index) -> None:
    assert answer_text(index, "wobbly pipe thing")[0].status == "none"
    index.update(replace(ITEMS[10], learned=(("wobbly pipe", 3),)))
    assert first(index, "wobbly pipe thing") == "KX-6001"
    index.update(replace(ITEMS[0], learned=(("right vend motor", 9),)))
    assert first(index, "right vend motor 24v") == "KX-1002"


def test_one_pick_does_not_answer_what_was_never_said(index: Index) -> None:
    index.update(replace(ITEMS[2], learned=(("lh vend motor", 1),)))
    (one,) = answer_text(index, "lh vend motor")
    assert (one.status, one.question) == ("ask", "115 V or 24 V?")
    assert one.candidates[0].part_number == "KX-1003"
    (one,) = answer_text(index, "lh vend motor 24v")
    assert (one.status, one.candidates[0].part_number) == ("sure", "KX-1001")


def test_the_index_follows_edits(index: Index) -> None:
    index.update(CatalogueItem(12, "KX-7001", "HEATER DEFROST 80W"))
    assert first(index, "defrost heater") == "KX-7001"
    index.remove(12)
    assert all(
        candidate.part_number != "KX-7001"
        for one in answer_text(index, "defrost heater")
        for candidate in one.candidates
    )
    assert 12 not in index and len(index) == len(ITEMS)
    index.remove(999)


def test_an_editable_word_changes_the_reading() -> None:
    rows = [*Words.shipped().rows, TradeWord("wotsit", "gasket", "synonym")]
    index = Index(ITEMS[6:7], Words.load(rows))
    assert first(index, "door wotsit") == "KX-3001"


def test_an_unknown_kind_of_word_is_refused() -> None:
    with pytest.raises(Refused, match="use one of"):
        Words.load([{"word": "x", "means": "y", "kind": "slang"}])


def test_a_line_can_be_answered_alone(index: Index) -> None:
    message = read_message("2 drain hoses", index.words, index)
    assert answer(index, message.lines[0]).quantity == 2


def test_one_of_two_alike_things_taken_back_is_asked_about() -> None:
    index = Index([CatalogueItem(1, "R-1", "RELAY 24V 1 POLE"), CatalogueItem(2, "R-2", "RELAY SOLID STATE 25A")])
    message, answers = answer_message(index, "a 1 pole relay and 2 solid state relays 25A. Cancel the relay")
    assert message.unread == ["cancel the relay"]
    assert [(one.status, one.question, one.quantity) for one in answers] == [
        ("ask", "still wanted?", 1),
        ("ask", "still wanted?", 2),
    ]
