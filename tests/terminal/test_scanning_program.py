"""Up to two hundred scans into the program itself: a delivery of parts, each followed by the bin it goes to."""

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


def delivery() -> list[tuple[str, str]]:
    return [(f"PX{n:03d}", f"{'AB'[n % 2]}-{n // 10 + 1:02d}-{n % 10 + 1:02d}-2") for n in range(PAIRS)]


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


def scans(count: int = PAIRS) -> list[str]:
    """Part, bin, part, bin …; half of the parts as a scanner set to send AIM prefixes sends them."""
    pairs = enumerate(delivery()[:count])
    return [text for n, (part, place) in pairs for text in (f"]C0{part}" if n % 2 else part, encode_bin(place))]


def expect(program: Terminal, path: Path, count: int = PAIRS) -> None:
    program.wait_for(f"{count} lines, {count} checked", 60.0)
    program.wait_for(delivery()[count - 1][1])  # the last scan: where the last part goes
    wanted = [(part, "1", place) for part, place in delivery()[:count]]
    program.wait_until(lambda: taken(path) == wanted, 10.0, "the delivery as scanned")


@pytest.mark.parametrize(("count", "gap_ms"), [(PAIRS, 0), (PAIRS, 1), (50, 5), (20, 20)])
def test_scans_at_any_speed_fill_a_delivery(program, path, count, gap_ms):
    for code in scans(count):
        program.type(code + "\r", gap_ms / 1000)
    expect(program, path, count)


def test_two_hundred_scans_in_one_write_fill_a_delivery(program, path):
    program.send("".join(code + "\r\n" for code in scans()))
    expect(program, path)
