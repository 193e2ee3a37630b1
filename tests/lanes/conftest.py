from __future__ import annotations

import csv
from pathlib import Path

import pytest

from partsbin.lanes.containers import Container
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.tables import read_cases, read_containers, read_lane_types

SEED = Path(__file__).parents[2] / "seed"


def _rows(name: str) -> list[dict[str, str]]:
    with (SEED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def containers() -> dict[str, Container]:
    cases = read_cases(_rows("case_forms.csv"))
    return {c.code: c for c in read_containers(_rows("containers.csv"), cases)}


@pytest.fixture(scope="session")
def lane_types() -> dict[str, LaneType]:
    return {t.code: t for t in read_lane_types(_rows("lane_types.csv"))}
