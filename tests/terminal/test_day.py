"""A whole day in the real program at 80x24, from an empty folder, without a mouse."""

from __future__ import annotations

import sys
from pathlib import Path

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from tests.terminal.harness import ENTER, ESCAPE, F, Terminal


def asked(terminal: Terminal, key: str, *answers: tuple[str, str]) -> None:
    """Press a key and answer the questions it asks, each as (part of the question, answer)."""
    terminal.type(key)
    for question, answer in answers:
        terminal.wait_for(question)
        terminal.type(answer + ENTER)


def test_from_an_empty_folder_to_labels(tmp_path: Path) -> None:
    path = tmp_path / "new" / "day.depot"
    command = [sys.executable, "-m", "partsbin", "--depot", str(path)]
    with Terminal(command, columns=80, rows=24) as terminal:
        terminal.wait_for("what do they need")
        terminal.type(F[9])
        terminal.wait_for("catalogue is empty")
        terminal.type(ESCAPE)
        terminal.wait_for("Add item")
        asked(terminal, "a", ("Part number", "MTR-24-L"), ("What is MTR-24-L", "Vend gear motor 24 V DC LH"))
        terminal.wait_for("is in the catalogue")
        for place in ("A-01-01-1", "VAN1 Ann"):
            asked(terminal, "b", ("New bin, van or drawer", place))
            terminal.wait_for(f"{place.split()[0]} is a")
        asked(terminal, "s", ("which place", ""), ("point and up-to", "8 20"))
        terminal.wait_for("reorder at 8")
        terminal.type("s")
        terminal.wait_for("which place")
        terminal.type("\x15VAN1" + ENTER)
        terminal.wait_for("at VAN1: point")
        terminal.type("3" + ENTER)
        terminal.wait_for("at VAN1: reorder")

        terminal.type(F[3])
        terminal.wait_for("F3▸Receive")
        terminal.type("MTR-24-L" + ENTER)
        terminal.wait_for("Vend gear motor")
        day(terminal)
    with Depot.open(path) as depot:
        assert differences(depot) == []
        kinds = [row["kind"] for row in depot.all("SELECT kind FROM slips ORDER BY id")]
        assert kinds == ["receipt", "checkout"]
    assert list((path.parent / "papers").glob("labels-*.pdf"))


def day(terminal: Terminal) -> None:
    raise NotImplementedError
