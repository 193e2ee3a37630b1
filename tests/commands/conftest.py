"""Running commands as a person would: arguments in, exit code, stdout and stderr out."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from partsbin.cli import main

ITEMS = """part_number,description,kind,pack_size,supplier,cost,lead_time_days,cautions
MTR-24-L,Vend gear motor 24 V DC LH,part,2,Acme Spares,12.50,7,UNPLUG
MTR-24-R,Vend gear motor 24 V DC RH,part,2,Acme Spares,12.50,7,UNPLUG
SPC-6-L,Lane spacer 6 mm LH,spacer,10,Acme Spares,1.20,7,
COLA-24,Cola 355 ml can,product case,24,Drinks Co,0.40,3,
"""
PLACES = "place,kind,name,parent\nA-01-01-1,bin,,\nA-01-02-1,bin,,\nB-01-01-1,bin,,\nVAN1,van,Ann,\nVAN2,van,Bo,\n"


@dataclass
class Ran:
    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("PARTSBIN_DEPOT", str(tmp_path / "c.depot"))
    monkeypatch.delenv("PARTSBIN_OPERATOR", raising=False)
    monkeypatch.chdir(tmp_path)

    def run_(*arguments: str) -> Ran:
        try:
            code = main(arguments)
        except SystemExit as left:
            code = int(left.code or 0)
        caught = capsys.readouterr()
        return Ran(code, caught.out, caught.err)

    return run_


@pytest.fixture
def stocked(run: Run, tmp_path: Path) -> Run:
    """A depot with four items, three bins and two vans; ten left motors in A-01-01-1."""
    run("init")
    (tmp_path / "items.csv").write_text(ITEMS)
    (tmp_path / "places.csv").write_text(PLACES)
    assert run("import", "items", "items.csv").code == 0
    assert run("import", "places", "places.csv").code == 0
    assert run("receive", "MTR-24-L", "10", "--to", "A-01-01-1").code == 0
    return run
