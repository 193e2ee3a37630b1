"""Text on paper: nothing lost unseen, nothing wider than its room."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.printing.text import ELLIPSIS, printable, runs, shorten, size_that_holds, width, wrap


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=60))
def test_what_prints_needs_no_further_standing_in(text: str) -> None:
    once = printable(text)
    assert printable(once.text).text == once.text
    assert not printable(once.text).replaced
    assert "".join(piece for _, piece in runs(text)) == once.text


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200), st.floats(20, 200), st.booleans())
def test_nothing_is_wider_than_its_room(text: str, room: float, bold: bool) -> None:
    assert width(shorten(text, room, 8, bold), 8, bold) <= room + 1e-6
    lines = wrap(text, room, 8, bold, lines=3)
    assert len(lines) <= 3
    assert all(width(line, 8, bold) <= room + 1e-6 for line in lines)
    if " ".join(lines).split() != printable(text).text.split():
        assert any(line.endswith(ELLIPSIS) for line in lines)


def test_emoji_and_scripts_are_named() -> None:
    assert printable("🥤🥤").text == "[cup with straw][cup with straw]"
    assert printable("مانع تسرب LEFT").text == "[Arabic text] LEFT"
    assert printable("日本").replaced == ("日", "本")
    assert printable("\ue000").text == "[U+E000]"


def test_what_a_font_has_is_left_alone() -> None:
    assert printable("Größe ½ – 24 V €").replaced == ()
    assert printable("a\x1d\tb").text == "a b"


def test_the_largest_size_that_holds_it_all() -> None:
    assert size_that_holds("short", 100, 100, 20, 2) == 20
    size = size_that_holds("a longer sentence of several words", 60, 40, 20, 2)
    assert 2 < size < 20
    assert size_that_holds("word " * 500, 20, 10, 20, 2) == 2
