"""Ctrl-C at any moment of any command: words, never a traceback, and nothing half-done."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from tests.faults.killing import history, whole
from tests.faults.tally import Tally
from tests.faults.yard import build

_RUN = """
import os, signal, sys
import partsbin.start

kept = signal.signal

def answered(*what):
    signal.signal = kept
    before = kept(*what)
    os.write(1, b">")
    return before

signal.signal = answered
sys.exit(partsbin.start.main())
"""
"""What the installed command does, saying when it answers Ctrl-C: Python's own start-up before is not ours."""


def ctrl_c(folder: Path, *, short: bool) -> Tally:
    """Press Ctrl-C, once or twice, while commands start, work and end."""
    tally = Tally("stopped with Ctrl-C")
    path = build(folder / "c.depot")
    backup = shutil.copyfile(path, folder / "c.backup")
    for number in range(6 if short else 120):
        commands = (
            ("import", "moves", history(folder / f"{number}.csv", f"c{number}", 3000)),
            ("check",),
            ("export", folder / "out"),
            ("restore", backup),
            ("monday", "--pdf", folder / "m.pdf"),
            ("labels", "bins", "--pdf", folder / "l.pdf"),
            ("plan",),
            ("backup", folder / f"b{number}.backup"),
        )
        _press([sys.executable, "-c", _RUN, "--depot", path, *commands[number % len(commands)]], tally)
        whole(path, None, tally)
        left = [file.name for file in folder.rglob("*.partial*")]
        if left:
            tally.harmed(f"left behind: {left}")
    return tally


def _press(command: list[str | Path], tally: Tally) -> None:
    ran = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a shell's “&” would have it ignored
    )
    assert ran.stdout
    os.read(ran.stdout.fileno(), 1)
    for _ in range(random.choice((1, 1, 2))):
        time.sleep(random.choice((0, 0.1, 1)) * random.random())
        ran.send_signal(signal.SIGINT)
    said = ran.communicate(timeout=120)[1]
    tally.tried += 1
    if ran.returncode not in (0, 130, -signal.SIGINT) or "Traceback" in said or "Exception" in said:
        tally.told(f"Traceback? status {ran.returncode} of {command[4:]}: {said}")


FAULTS = (ctrl_c,)
