"""The scan-safe entry line and the router, key by key on a clock of our own, and inside a small program."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from textual import events, on
from textual.app import ComposeResult
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from partsbin.screens.entry import ScanEntry
from partsbin.screens.entry_burst import GS, Stroke, looks_scanned, text_of, typed_strokes
from partsbin.screens.scan_router import ScanRouter

FACTS = json.loads((Path(__file__).parents[1] / "published" / "scan_facts.json").read_text())
KEYS = {"\r": "enter", "\n": "ctrl+j", "\t": "tab", GS: "ctrl+right_square_bracket", "\x11": "ctrl+q", "\x10": "ctrl+p"}


def strokes(text: str, gap: float, start: float = 0.0) -> list[Stroke]:
    return [Stroke(KEYS.get(letter, letter), letter, start + number * gap) for number, letter in enumerate(text)]


@pytest.mark.parametrize("fact", [fact for fact in FACTS if fact["kind"] == "scan_or_typed"], ids=str)
def test_scans_and_typing_of_the_published_cases(fact):
    keys = strokes(fact["keys"].rstrip("\n"), fact["gap_ms"] / 1000)
    assert looks_scanned(keys) == (fact["expect"] == "scan")


@pytest.mark.parametrize("fact", [fact for fact in FACTS if fact["kind"] == "terminal_key"], ids=str)
def test_the_group_separator_is_known_under_all_its_names(fact):
    stroke = Stroke(fact["textual_key"], fact["character"], 0)
    is_separator = fact["bytes_hex"] in {"1d", "1b5b39333b353b323975", "1b5b35333b3575"}
    assert (stroke.data == GS) == is_separator


@pytest.mark.parametrize("gap", [0, 0.001, 0.005, 0.02])
@pytest.mark.parametrize("end", ["\r", "\n", "\t"])
def test_codes_at_scanner_speed(gap, end):
    for code in ("A030702", "VAN1", "]C0M5", "9521234543213", "01095212345432131" + GS + "10L7", "OP1X"):
        keys = strokes(code + end, gap)
        assert looks_scanned(keys)
        assert text_of(keys) == code


def test_a_code_of_few_different_signs_is_told_from_a_held_key_by_its_speed():
    assert looks_scanned(strokes("P000\r", 0.005))
    assert not looks_scanned(strokes("P000\r", 0.033))


@pytest.mark.parametrize("gap", [0.06, 0.09, 0.2])
def test_fingers_are_no_scanner(gap):
    assert not looks_scanned(strokes("A030702\r", gap))


def test_a_stall_inside_a_scan_is_forgiven_once():
    keys = strokes("A03", 0.001) + strokes("0702\r", 0.001, start=0.4)
    assert looks_scanned(keys)
    assert not looks_scanned(strokes("A03", 0.001) + strokes("0702\r", 0.06, start=0.4))


def test_words_in_one_lump_are_words_only_where_words_are_typed():
    keys = strokes("two left shims\r", 0)
    assert not looks_scanned(keys)
    assert looks_scanned(keys, words_are_typed=False)


def test_a_control_key_between_others_is_no_hand_s():
    keys = strokes("M\x115\r", 0.002)
    assert [keys[number].key for number in typed_strokes(keys)] == ["M", "5", "enter"]
    alone = strokes("\x11", 0)
    assert [alone[number].key for number in typed_strokes(alone)] == ["ctrl+q"]


class Question(ModalScreen[None]):
    def compose(self) -> ComposeResult:
        yield Static("sure?")


class Small(ScanRouter):
    scans_in_tests = True

    def __init__(self) -> None:
        super().__init__()
        self.told: list[tuple[str, str]] = []

    def compose(self) -> ComposeResult:
        yield Input(id="other")
        yield ScanEntry(id="entry")

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        self.told.append(("scan", message.text))

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        self.told.append(("typed", message.text))

    @on(ScanEntry.Pasted)
    def pasted(self, message: ScanEntry.Pasted) -> None:
        self.told.append(("pasted", message.text))


class Typing(Small):
    scans_in_tests = False


async def test_a_scan_goes_to_the_entry_line_past_the_focused_field():
    app = Small()
    async with app.run_test() as pilot:
        app.query_one("#other").focus()
        await pilot.pause()
        for stroke in strokes("A030702\r", 0):  # all at once: Pilot.press waits between keys, as fingers do
            app.post_message(events.Key(stroke.key, stroke.character))
        await pilot.pause()
        await pilot.pause()
        assert app.told == [("scan", "A030702")]
        assert app.query_one("#other", Input).value == ""


async def test_words_go_to_the_field_that_has_the_focus():
    app = Small()
    async with app.run_test() as pilot:
        field = app.query_one("#other", Input)
        field.focus()
        await pilot.press(*"no box left", "enter")
        await pilot.pause()
        assert app.told == []
        assert field.value == "no box left"


async def test_without_a_clock_tests_type_plainly():
    app = Typing()
    async with app.run_test() as pilot:
        app.query_one("#entry").focus()
        await pilot.press(*"A030702", "enter")
        assert app.told == [("typed", "A030702")]
        app.scan("A030703")
        await pilot.pause()
        assert app.told[-1] == ("scan", "A030703")


async def test_what_is_entered_is_gone_from_the_line_at_once_and_can_be_recalled():
    app = Typing()
    async with app.run_test() as pilot:
        entry = app.query_one("#entry", ScanEntry)
        entry.focus()
        await pilot.press(*"one", "enter", *"two", "enter")
        assert app.told == [("typed", "one"), ("typed", "two")]
        assert entry.value == ""
        await pilot.press("alt+up", "alt+up")
        assert entry.text == "one"
        await pilot.press("alt+down", "alt+down")
        assert entry.text == ""


async def test_a_group_separator_is_shown_and_sent():
    app = Typing()
    async with app.run_test() as pilot:
        entry = app.query_one("#entry", ScanEntry)
        entry.focus()
        await pilot.press("1", "ctrl+right_square_bracket", "2")
        assert (entry.value, entry.text) == ("1␝2", f"1{GS}2")
        await pilot.press("enter")
        assert app.told == [("typed", f"1{GS}2")]


async def test_put_replaces_what_is_selected():
    app = Typing()
    async with app.run_test():
        entry = app.query_one("#entry", ScanEntry)
        entry.put("abc")
        entry.select_all()
        entry.put("d")
        assert entry.value == "d"


class Plain(ScanRouter):
    """No screen of it handles a scan."""

    def compose(self) -> ComposeResult:
        yield ScanEntry()


async def test_a_scan_nobody_wants_is_reported_not_lost_in_silence():
    app = Plain()
    async with app.run_test(notifications=True) as pilot:
        await app.push_screen(Question())
        app.scan("[/A030702")
        await pilot.pause()
        assert any("[/A030702 was scanned" in note.message for note in app._notifications)
