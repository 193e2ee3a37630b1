"""Whatever is pasted comes back read or kept: in bounded work, without a traceback, nothing ordered twice."""

from __future__ import annotations

import pytest
from demo_items import demo_items
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partsbin.requests import CatalogueItem, Index, answer_message, answer_text, read_message

FRAGMENTS = ("2 x", "motor", "lh", "24v", "not", "no wait", "make it three", "of each", "110-5035-L", "[/b]", "[red]", "\u202e", "\u200b", "\x00", "\x1d", "½", "3/8\"", "🔧", "> quoted", "\n", ",", "and", "for van 7", "lane 14", "half a dozen", "cancel that", "1-2", "5x20", "rev", "(", ")", "1/0 in", "0", "999999999999999999999", "٣", "İ", "ß", "…", "a" * 300)  # fmt: skip


@pytest.fixture(scope="module")
def index() -> Index:
    return Index(demo_items())


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.one_of(st.text(max_size=120), st.lists(st.sampled_from(FRAGMENTS), max_size=25).map(" ".join)))
def test_any_text_is_read_without_a_traceback(index: Index, text: str) -> None:
    message, answers = answer_message(index, text)
    assert len(message.lines) == len(answers)
    for one in answers:
        assert one.status in ("sure", "ask", "none")
        assert one.quantity is None or one.quantity >= 0
        assert not (one.status == "sure" and one.candidates[0].contradictions)
        assert all(0.0 <= candidate.score <= 1.0 for candidate in one.candidates)


@pytest.mark.parametrize("unit", ["motor 24v lh, ", "2 ", "x", "no wait make it ", "\n> "])
def test_a_megabyte_is_bounded_and_the_rest_is_kept(index: Index, unit: str) -> None:
    text = (unit * (1_000_000 // len(unit) + 1))[:1_000_000]
    message, answers = answer_message(index, text)
    assert len(answers) <= 1000
    assert sum(map(len, message.unread)) >= 900_000


def test_controls_and_direction_marks_do_not_hide_a_part_number(index: Index) -> None:
    for text in ("110-\u200b5035-L", "\u202e110-5035-L\u202c", "110-5035-L\x00", "\ufeff110-5035-L"):
        assert answer_text(index, text)[0].candidates[0].part_number == "110-5035-L"


def test_only_figures_order_nothing_surely(index: Index) -> None:
    for text in ("12", "3 4 5", "007", "2 2 2 2 2", "1234567890123"):
        assert not any(one.status == "sure" for one in answer_text(index, text))


def test_markup_is_only_text(index: Index) -> None:
    (one,) = answer_text(index, "[bold]drain hose[/bold]")
    assert one.candidates[0].part_number == "820-5312"


def test_a_quoted_reply_is_not_ordered_again(index: Index) -> None:
    text = "Hi, 2 drain hoses please\n\nOn Mon, 2 Feb 2026 at 10:02, Jo wrote:\n> 1 x kick plate borealis\n> 4 x drain hose\n>> 1 x compressor\n"
    message, answers = answer_message(index, text)
    assert [(one.candidates[0].part_number, one.quantity) for one in answers] == [("820-5312", 2)]
    assert any("kick plate" in line for line in message.quoted)


def test_a_bare_forward_is_read(index: Index) -> None:
    text = "Fwd: parts\n\n---------- Forwarded message ----------\nFrom: Jo <jo@example.org>\nSubject: parts\n\n2 x drain hose\n"
    assert [one.quantity for one in answer_message(index, text)[1]] == [2]


def test_a_circle_of_successors_does_not_hang() -> None:
    index = Index(
        [
            CatalogueItem(1, "AA-100", "Drain hose", superseded_by=2),
            CatalogueItem(2, "AA-200", "Drain hose", superseded_by=1),
        ]
    )
    (one,) = answer_text(index, "AA-100")
    assert one.status != "sure"
    assert "circle" in one.candidates[0].contradictions[0]


def test_an_empty_catalogue_answers_none() -> None:
    assert [one.status for one in answer_text(Index([]), "2 vend motors")] == ["none"]


@pytest.mark.parametrize("unit", ["TR-9 ", "x2 ", "[b]", "110-5035-L "])
def test_a_flood_in_one_sentence_is_cut_and_the_rest_is_kept(index: Index, unit: str) -> None:
    message = read_message(unit * 5000, index=index)
    assert len(message.lines) <= 600
    assert sum(map(len, message.unread)) > len(unit) * 4000


def test_the_same_thing_said_twice_in_one_sentence_is_two_lines(index: Index) -> None:
    said = "2 drain hoses and a kick plate borealis, send 2 drain hoses and a kick plate borealis"
    assert [one.quantity for one in answer_text(index, said)] == [2, 1, 2, 1]


def test_an_answer_written_below_the_quote_is_read_and_the_quote_is_not(index: Index) -> None:
    text = "On Mon, 2 Feb 2026 at 10:02, Jo wrote:\n> 1 x kick plate borealis\n\nadd 2 drain hoses to that\nSam\n"
    _, answers = answer_message(index, text)
    assert [(one.candidates[0].part_number, one.quantity) for one in answers] == [("820-5312", 2)]


def test_tags_addresses_and_terminal_colours_say_nothing(index: Index) -> None:
    for text in ("<p><b>2</b> drain hoses<br/></p>", "2 drain hoses <jo@example.org>", "2 \x1b[31mdrain\x1b[0m hoses"):
        (one,) = answer_text(index, text)
        assert (one.candidates[0].part_number, one.quantity, one.status) == ("820-5312", 2, "sure")


def test_a_long_message_is_cut_between_words_and_says_how_much_is_left(index: Index) -> None:
    message, _ = answer_message(index, "lorem " * 5_000)
    assert message.left_out > 9_000
    assert message.unread[0].startswith("lorem")


@pytest.mark.parametrize("text", ["any motors? :)", "(any motors?)", "motor ? -", "G?(", "motor ? ; --"])
def test_a_question_may_be_followed_by_signs_only(index: Index, text: str) -> None:
    answer_message(index, text)


def test_a_thing_taken_back_that_no_line_asked_for_is_kept(index: Index) -> None:
    message, answers = answer_message(index, "2 drain hoses. skip the compressor")
    assert len(answers) == 1
    assert message.unread == ["skip the compressor"]
