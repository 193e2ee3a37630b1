"""A small depot: three bins, two vans, a few items."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.depot.catalogue import part_key
from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator, the_operator
from partsbin.depot.places import add_place

PARTS = (("MTR-24-L", "Vend motor 24 V left"), ("MTR-24-R", "Vend motor 24 V right"), ("SPC-6-L", "Spacer 6 mm left"))


def add_item(depot: Depot, number: str, description: str = "a part", **more: object) -> int:
    columns = {"part_number": number, "part_key": part_key(number), "description": description, **more}
    names = ", ".join(columns)
    with depot.write():
        cursor = depot.run(
            f"INSERT INTO items ({names}) VALUES ({', '.join('?' * len(columns))})", list(columns.values())
        )
    return int(cursor.lastrowid or 0)


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.create(tmp_path / "small.depot") as made:
        for code in ("A-01-01-1", "A-01-02-1", "B-02-01-3"):
            add_place(made, code, "bin")
        for code in ("VAN1", "VAN2"):
            add_place(made, code, "van")
        for number, words in PARTS:
            add_item(made, number, words)
        yield made


@pytest.fixture
def desk(depot: Depot) -> Operator:
    return the_operator(depot)
