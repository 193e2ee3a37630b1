"""Names that say nothing of the trade, machines nobody here has, fronts of numbers, and doubts that are named."""

from __future__ import annotations

import pytest

from partsbin.requests import Answer, CatalogueItem, Index, answer_text

ITEMS = [
    CatalogueItem(1, "KX-1001", "MOTOR VEND 24VDC LH", aliases=("old faithful",)),
    CatalogueItem(2, "KX-1002", "MOTOR VEND 24VDC RH", aliases=("THE BIG ONE", "box")),
    CatalogueItem(3, "70.132.455", "DOOR GASKET", fits=("Glacia 500",)),
    CatalogueItem(4, "70.132.456", "DOOR GASKET", fits=("Frosta 12",)),
    CatalogueItem(5, "70.140.456", "SPACER 12.5MM"),
    CatalogueItem(6, "70.150.1", "MAIN BOARD REV B"),
    CatalogueItem(7, "70.150.9", "FAN EVAP", fits=("TR-7",)),
    CatalogueItem(8, "70.160.2", "COLA 250ML SLIM CAN CS24", pack_size=24),
    CatalogueItem(9, "70.170.2", "SWITCH DOOR N/O"),
    CatalogueItem(10, "70.170.4", "SWITCH HOME N/C"),
]


@pytest.fixture(scope="module")
def index() -> Index:
    return Index(ITEMS)


def only(index: Index, text: str) -> Answer:
    (answer,) = answer_text(index, text)
    return answer


@pytest.mark.parametrize(
    ("said", "number", "count"),
    [
        ("old faithful", "KX-1001", 1), ("2 old faithful for van 7", "KX-1001", 2), ("THE BIG ONE", "KX-1002", 1), ("need 3 of the big one pls", "KX-1002", 3), ("the big one x2", "KX-1002", 2),
    ],
)  # fmt: skip
def test_an_items_own_name_is_taken_whole(index: Index, said: str, number: str, count: int) -> None:
    answer = only(index, said)
    assert (answer.status, answer.candidates[0].part_number, answer.quantity) == ("sure", number, count)


def test_a_name_beside_another_thing_is_a_line_of_its_own(index: Index) -> None:
    answers = answer_text(index, "old faithful and a door gasket for the frosta 12")
    assert [answer.candidates[0].part_number for answer in answers] == ["KX-1001", "70.132.456"]


def test_a_short_word_that_is_also_an_alias_stays_a_word(index: Index) -> None:
    assert only(index, "2 boxes of 12.5 mm spacers").candidates[0].part_number == "70.140.456"


@pytest.mark.parametrize("said", ["evap fan for the TR-9", "evap fan TR-9", "evap fan F/ TR-9", "TR-9 evap fan"])
def test_a_machine_nobody_here_has_is_no_quantity_and_never_sure(index: Index, said: str) -> None:
    answer = only(index, said)
    assert (answer.status, answer.quantity) == ("ask", 1)
    assert "no machine here is called TR-9" in answer.candidates[0].why


@pytest.mark.parametrize(
    ("said", "count"), [("door gasket glacia 900", 1), ("2 door gaskets for a glacia 900", 2), ("glacia 900 gasket", 1)]
)
def test_a_machine_of_a_known_name_and_another_figure_is_never_sure(index: Index, said: str, count: int) -> None:
    answer = only(index, said)
    assert (answer.status, answer.quantity) == ("ask", count)
    assert "no machine here is called glacia 900" in answer.candidates[0].why
    assert only(index, said.replace("900", "500")).status == "sure"


def test_counts_beside_a_machines_name_stay_counts(index: Index) -> None:
    assert only(index, "glacia 13 door gaskets").quantity == 13
    assert only(index, "glacia 500, 200 door gaskets").quantity == 200


def test_upper_and_lower_clipped_in_the_catalogue_are_upper_and_lower() -> None:
    hinges = Index([CatalogueItem(1, "H-1", "HINGE DOOR UPR LH"), CatalogueItem(2, "H-2", "HINGE DOOR LWR LH")])
    for said, number in (("lower hinge", "H-2"), ("bottom left door hinge", "H-2"), ("top hinge lh", "H-1")):
        answer = only(hinges, said)
        assert (answer.status, answer.candidates[0].part_number) == ("sure", number)


def test_a_machine_that_is_here_is_found_behind_the_short_for(index: Index) -> None:
    assert only(index, "evap fans F/TR-7 (3)").status == "sure"


def test_an_unknown_machine_asks_which(index: Index) -> None:
    assert only(index, "door gasket for mx500").question == "for which machine: Glacia 500 or Frosta 12?"


@pytest.mark.parametrize("said", ["part 70.132", "70.132", "p/n 70.132"])
def test_the_front_of_a_number_asks_between_those_that_start_so(index: Index, said: str) -> None:
    answer = only(index, said)
    assert answer.status == "ask"
    assert {one.part_number for one in answer.candidates} == {"70.132.455", "70.132.456"}


def test_a_hand_the_item_does_not_state_is_asked_about(index: Index) -> None:
    answer = only(index, "spacer 12.5 mm right")
    assert (answer.status, answer.question) == ("ask", "is SPACER 12.5MM meant? it does not say right")


def test_what_contradicts_is_shown_with_the_contradiction_named(index: Index) -> None:
    answer = only(index, "main board rev C")
    assert answer.status == "none"
    assert answer.candidates[0].contradictions == ("asked revision C, this is revision B",)
    assert "asked revision C, this is revision B" in answer.question


def test_a_contents_figure_is_no_quantity(index: Index) -> None:
    answer = only(index, "250 slim")
    assert (answer.candidates[0].part_number, answer.quantity) == ("70.160.2", 1)


@pytest.mark.parametrize("said", ["switches", "micro switch", "switch"])
def test_one_word_asks_between_the_things_it_may_be(index: Index, said: str) -> None:
    answer = only(index, said)
    assert answer.status == "ask"
    assert {one.part_number for one in answer.candidates[:2]} == {"70.170.2", "70.170.4"}


@pytest.mark.parametrize("said", ["0", "12 34 56", "4471", "1/2", "99999999999999999999", "70.132.455 70.132.456 x2"])
def test_texts_of_figures_get_lines(index: Index, said: str) -> None:
    assert answer_text(index, said)


def test_why_names_a_number_once(index: Index) -> None:
    assert only(index, "kx 1001").candidates[0].why == "matches part number"


def test_a_learned_plural_hides_no_other_size():
    sizes = (4, 6, 8)
    index = Index(
        [
            CatalogueItem(n, f"C-{n}0", f"WIDGET {n}MM", learned=(("widgets", 1),) if n == sizes[1] else ())
            for n in sizes
        ]
    )
    (bare,) = answer_text(index, "6 widgets")
    assert (bare.status, bare.candidates[0].part_number) == ("ask", "C-60")
    (sized,) = answer_text(index, "6 widgets 8mm")
    assert (sized.status, sized.candidates[0].part_number, sized.quantity) == ("sure", "C-80", 6)


def test_a_name_with_a_value_the_item_does_not_state_is_asked_about():
    index = Index([CatalogueItem(1, "K-1", "SEAL KIT", learned=(("wobbly bits", 2),)), CatalogueItem(2, "K-2", "PUMP")])
    (plain,) = answer_text(index, "wobbly bits")
    (stated,) = answer_text(index, "wobbly bits 24v")
    assert [plain.status, stated.status] == ["sure", "ask"]
