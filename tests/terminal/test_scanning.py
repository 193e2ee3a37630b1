"""A scanner typing into a real terminal: every scan whole, in order, where it belongs, and nothing else happens."""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path

import pytest

from tests.terminal.harness import F, Terminal

HOST = Path(__file__).parent / "host.py"
SCANS = 200


@pytest.fixture
def log(tmp_path):
    return tmp_path / "log"


@pytest.fixture
def host(log):
    wait_for_a_quiet_computer()
    with Terminal([sys.executable, str(HOST), str(log)], cwd=HOST.parents[2]) as terminal:
        terminal.wait_for("ready")
        yield terminal


def wait_for_a_quiet_computer(limit: float = 4.0) -> None:
    """A starved computer stalls longer between two characters than hands do; nothing can be told from typing there."""
    end = time.monotonic() + limit
    while running() > (os.cpu_count() or 1) + 1 and time.monotonic() < end:
        time.sleep(0.25)


def running() -> int:
    """How many processes want a processor now (Linux; elsewhere 0)."""
    load = Path("/proc/loadavg")
    return int(load.read_text().split()[3].split("/")[0]) if load.exists() else 0


def told(log: Path) -> list[tuple[str, str]]:
    return [tuple(json.loads(line)) for line in log.read_text().splitlines()] if log.exists() else []


def codes(count: int = SCANS) -> list[str]:
    """Bins, badges, part numbers, cases with group separators: what a desk scans."""
    kinds = (
        "A{0:02d}{1:02d}02",
        "]C0MTR-24V-{1:03d}",
        "OP{1}X",
        "]C10109521234543213{0:02d}10L{1}\x1d3024",
        "DRK-{1:04d}",
    )
    return [kinds[number % 5].format(11, number) for number in range(count)]


def expect_texts(terminal: Terminal, log: Path, sent: list[str]) -> None:
    """Every text whole, in order, in the entry line. Whether a starved computer told it from typing is not asked."""
    terminal.wait_until(lambda: len(told(log)) >= len(sent), 60.0, f"{len(sent)} entries")
    assert [text for _, text in told(log)] == sent
    assert {kind for kind, _ in told(log)} <= {"scan", "typed"}


def expect(terminal: Terminal, log: Path, wanted: list[tuple[str, str]], limit: float = 60.0) -> None:
    terminal.wait_until(lambda: len(told(log)) >= len(wanted), limit, f"{len(wanted)} entries")
    assert told(log) == wanted


@pytest.mark.parametrize(
    ("count", "gap_ms"),
    [
        (SCANS, 0),
        (SCANS, 1),
        (40, 5),
        (15, 20),
    ],
)
def test_scans_arrive_whole_and_in_order(host, log, count, gap_ms):
    sent = codes(count)
    for code in sent:
        host.type(code + "\r", gap_ms / 1000)
    expect_texts(host, log, sent)


@pytest.mark.parametrize("suffix", ["\r", "\n", "\t", "\r\n"])
def test_two_hundred_scans_in_one_write(host, log, suffix):
    sent = codes()
    host.send("".join(code + suffix for code in sent))
    expect_texts(host, log, sent)


@pytest.mark.parametrize("where", [2, 3])
def test_a_scan_finds_the_entry_line_when_the_focus_is_elsewhere(host, log, where):
    host.send(F[where])
    sent = codes(20)
    for code in sent:
        host.type(code + "\r", 0.002)
    host.send(F[2])
    host.type("x")
    expect(host, log, [("scan", code) for code in sent] + [("key", "x")])


@pytest.mark.parametrize("where", ["", F[2], F[3]])
def test_control_characters_in_a_code_do_nothing(host, log, where):
    """0x11 is the quit key of a stock program, 0x10 its palette, 0x15 clears a line."""
    host.send(where)
    host.type("AB\x11C\x10D\x15\x03\x1a4\r", 0.002)
    host.type("\x11\x10WXYZ5\r", 0.002)
    host.type("M\x115\r", 0.002)
    host.type("DONE-1\r", 0.002)
    host.wait_until(lambda: ("scan", "DONE-1") in told(log), what="the last scan")
    assert [entry for entry in told(log) if entry[0] == "scan"] == [
        ("scan", "ABCD4"),
        ("scan", "WXYZ5"),
        ("scan", "DONE-1"),
    ]
    assert host.process.poll() is None
    assert ("key", "x") not in told(log)


def test_typing_is_typing_at_any_human_speed(host, log):
    host.type("2 left shims\r", 0.09)
    host.type("xx motor\r", 0.06)
    host.type("M5\r", 0.0)
    host.type("aaaaaa\r", 0.033)
    expect(host, log, [("typed", "2 left shims"), ("typed", "xx motor"), ("typed", "M5"), ("typed", "aaaaaa")])


def test_words_that_come_in_one_lump_are_typing(host, log):
    host.send("two left shims\rone motor 24V\r")
    expect(host, log, [("typed", "two left shims"), ("typed", "one motor 24V")])


def test_a_scan_leaves_half_typed_words_alone(host, log):
    host.type("2 left", 0.09)
    host.wait_for("2 left")
    time.sleep(0.4)  # a hand moves to the scanner
    host.type("A030702\r", 0.001)
    host.type(" shims\r", 0.09)
    expect(host, log, [("scan", "A030702"), ("typed", "2 left shims")])


def test_a_group_separator_survives_typing_and_pasting(host, log):
    host.type("01x\x1d10L7\r", 0.09)
    host.paste("0109521234543213\x1d10L7\r\n")
    host.wait_for("0109521234543213")
    host.type("\r")
    expect(host, log, [("typed", "01x\x1d10L7"), ("typed", "0109521234543213\x1d10L7")])


def test_several_pasted_lines_stay_together(host, log):
    host.paste("2 left shims\r\n1 motor 24V\r\n")
    expect(host, log, [("pasted", "2 left shims\n1 motor 24V")])


def test_a_code_without_an_end_waits_in_the_line(host, log):
    """A scanner set to send no Enter: the code is shown, not pressed as keys."""
    host.send(F[2])
    host.type("xA030702", 0.002)
    host.wait_for("xA030702")
    host.type("\r")
    expect(host, log, [("typed", "xA030702")])


def test_keys_and_shortcuts_still_work(host, log):
    host.send(F[2])
    host.type("x", 0.2)
    host.wait_until(lambda: told(log) == [("key", "x")], what="the key")
    host.send("\x1b[21~")
    assert host.wait_for_end() == 0
