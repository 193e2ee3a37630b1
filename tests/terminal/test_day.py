"""A whole day in the real program at 80x24, from an empty folder, without a mouse."""

from __future__ import annotations

import sys
from pathlib import Path

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from tests.terminal.harness import ENTER, ESCAPE, F, Terminal


def told(terminal: Terminal, *steps: tuple[str, str]) -> None:
    """Type each text, then wait for what the screen says to it; words and function keys come in one lump."""
    for text, answer in steps:
        if " " in text.strip() or text.startswith(ESCAPE):
            terminal.send(text)
        else:
            terminal.type(text)
        terminal.wait_for(answer)


RECEIVE = (
    (F[3], "▸Receive"),
    ("MTR-24-L" + ENTER, "There is no part"),
    ("2", "Part number of the new item"),
    (ENTER, "What is MTR-24-L"),
    ("Vend gear motor 24 V DC LH" + ENTER, "how many MTR-24-L"),
    ("10" + ENTER, "which bin for MTR-24-L"),
    ("A-01-01-1" + ENTER, "Add it?"),
    ("y", "bin A-01-01-1"),
    (ESCAPE, "Post"),
    ("p", "Delivery note number"),
    (ENTER, "Slip 1 is posted"),
    (ESCAPE, "1 line received"),
)
SET_POINTS = (
    (F[9], "▸Items"),
    (ESCAPE, "Add place"),
    ("b", "New bin, van or drawer"),
    ("VAN1 Ann" + ENTER, "VAN1 is a van now"),
    ("s", "which place"),
    (ENTER, "at SHELF: reorder point"),
    ("8 20" + ENTER, "up to 20"),
    ("s", "which place"),
    ("\x15VAN1" + ENTER, "at VAN1: par"),
    ("3" + ENTER, "at VAN1: reorder"),
)
FIND = (
    (F[2], "▸Counter"),
    ("two left 24v motors" + ENTER, "Check out"),
)
RESTOCK = (
    (F[4], "Which van is restocked"),
    ("VAN1" + ENTER, "0/3"),
    (" ", "All lines are done"),
    ("p", "Post 1 line onto VAN1"),
    (ENTER, "Slip 2 posted"),
)
MONDAY = ((F[6], "To order 1"), ("w", "beside it"))
LABELS = ((F[7], "Nothing chosen yet"), ("bins" + ENTER, "1 bin label on letter-30"), ("p", "Print at 100 %"))


def test_from_an_empty_folder_through_receipt_request_restock_and_report_to_labels(tmp_path: Path) -> None:
    path = tmp_path / "new" / "day.depot"
    with Terminal([sys.executable, "-m", "partsbin", "--depot", str(path)], columns=80, rows=24) as terminal:
        terminal.wait_for("what do they need")
        told(terminal, *RECEIVE)
        terminal.wait_until(lambda: "Enter or its digit" not in terminal.text(), what="the question's end")
        told(terminal, *SET_POINTS, *FIND, *RESTOCK, *MONDAY, *LABELS)
    with Depot.open(path) as depot:
        assert differences(depot) == []
        assert [row["kind"] for row in depot.all("SELECT kind FROM slips ORDER BY id")] == ["receipt", "checkout"]
    papers = {paper.name for paper in (path.parent / "papers").iterdir()}
    assert {"pick-slip-2.pdf", "labels-0001.pdf"} <= papers
    assert any(name.startswith("monday") and name.endswith(".pdf") for name in papers)
