"""Work that takes over a second says so on stderr, once a command, and takes its line away again."""

from __future__ import annotations

import io
import subprocess
import sys
import time
from collections.abc import Callable

import pytest

from partsbin.commands import working as module
from partsbin.commands.working import Working


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def until(true: Callable[[], object]) -> None:
    for _ in range(500):
        if true():
            return
        time.sleep(0.01)
    raise AssertionError("never came")


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_QUIET", 0.01)
    monkeypatch.setattr(module, "_AGAIN", 0.01)


@pytest.mark.usefixtures("at_once")
def test_a_terminal_has_one_line_that_is_written_over_and_wiped(monkeypatch: pytest.MonkeyPatch) -> None:
    out = Terminal()
    monkeypatch.setattr(sys, "stderr", out)
    working = Working()
    working.begin("import")
    working.rows(12_000)
    until(lambda: "import … 12,000 rows · 0 s · Ctrl-C stops" in out.getvalue())
    working.begin("check")  # what is at work goes on: an import opens files of its own
    working.pages(25, 100)
    until(lambda: "import … 75 % copied" in out.getvalue())
    assert "\n" not in out.getvalue() and "check" not in out.getvalue()
    working.end()
    last = out.getvalue().split("\r")
    assert last[-1] == "" and last[-2].strip() == ""
    said = out.getvalue()
    time.sleep(0.05)
    assert out.getvalue() == said


@pytest.mark.usefixtures("at_once")
def test_a_log_has_lines_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.StringIO()
    monkeypatch.setattr(sys, "stderr", out)
    working = Working()
    working.begin("labels")
    until(lambda: out.getvalue())
    working.end()
    assert out.getvalue().startswith("labels … 0 s · Ctrl-C stops\n") and "\r" not in out.getvalue()


def test_what_is_quick_says_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    working = Working()
    working.begin("find")
    working.end()
    assert capsys.readouterr().err == ""


def test_ctrl_c_that_comes_where_nothing_can_be_raised_still_stops_the_command() -> None:
    script = """
import signal, sys, time, weakref
import partsbin.cli, partsbin.start

class Thing:
    pass

def run():
    thing = Thing()
    watched = weakref.ref(thing, lambda _gone: signal.raise_signal(signal.SIGINT))
    del thing
    for _ in range(3000):
        time.sleep(0.01)
    return 0

partsbin.cli.main = run
signal.signal(signal.SIGINT, signal.default_int_handler)
sys.exit(partsbin.start.main())
"""
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (130, "Stopped. What was not finished was not posted.\n")
