"""Two hundred scans into the program itself: a delivery of a hundred parts, each followed by the bin it goes to."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from partsbin.codes import encode_bin
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from tests.terminal.harness import F, Terminal
from tests.terminal.test_scanning import wait_for_a_quiet_computer

PAIRS = 100


def delivery(pairs: int = PAIRS) -> list[tuple[str, str]]:
    return [(f"PART-{n:04d}", f"{'AB'[n % 2]}-{n // 10 + 1:02d}-{n % 10 + 1:02d}-2") for n in range(pairs)]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    items = "".join(f"{part},Spacer {part}\n" for part, _ in delivery())
    (tmp_path / "items.csv").write_text("part_number,description\n" + items)
    with Depot.create(tmp_path / "scanned.depot") as depot:
        import_file(Import(depot, the_operator(depot)), "items", tmp_path / "items.csv")
        for _, place in delivery():
            add_place(depot, place, "bin")
    return tmp_path / "scanned.depot"


@pytest.fixture
def program(path: Path) -> Iterator[Terminal]:
    wait_for_a_quiet_computer()
    with Terminal([sys.executable, "-m", "partsbin", "--depot", str(path)], columns=80, rows=24) as terminal:
        terminal.wait_for("what do they need")
        terminal.send(F[3])
        terminal.wait_for("Receive ·")
        yield terminal


def taken(path: Path) -> list[tuple[str, str, str]]:
    """(part, quantity, bin) of the lines in the delivery as the program keeps it."""
    with Depot.open(path) as depot:
        body = depot.value("SELECT body FROM drafts WHERE key LIKE 'receive:%'")
    lines = json.loads(body)["lines"] if body else []
    return [(line["part"], str(line["quantity"]), line["bin"]) for line in lines]


def scans(pairs: int) -> list[str]:
    return [text for part, place in delivery(pairs) for text in (f"]C0{part}", encode_bin(place))]


def expect(program: Terminal, path: Path, pairs: int) -> None:
    program.wait_for(f"{pairs} lines, {pairs} checked", 60.0)
    program.wait_for(delivery(pairs)[-1][1])  # the last scan: where the last part goes
    wanted = [(part, "1", place) for part, place in delivery(pairs)]
    program.wait_until(lambda: taken(path) == wanted, 10.0, "the delivery as scanned")


@pytest.mark.parametrize(
    ("pairs", "gap_ms"),
    [
        (PAIRS, 0),
        (PAIRS, 1),
        (20, 5),
        (6, 20),
        pytest.param(PAIRS, 5, marks=pytest.mark.slow),
        pytest.param(PAIRS, 20, marks=pytest.mark.slow),
    ],
)
def test_two_hundred_scans_fill_a_delivery(program, path, pairs, gap_ms):
    for code in scans(pairs):
        program.type(code + "\r", gap_ms / 1000)
    expect(program, path, pairs)


def test_two_hundred_scans_in_one_write_fill_a_delivery(program, path):
    program.send("".join(code + "\r\n" for code in scans(PAIRS)))
    expect(program, path, PAIRS)
