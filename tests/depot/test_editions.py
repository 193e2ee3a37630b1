"""Depots as earlier editions wrote them open, are brought forward and check; what fails leaves them as they were."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path

import pytest

from partsbin.depot import migrations
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import the_operator
from partsbin.depot.places import outside, the_place
from partsbin.errors import Refused
from partsbin.exchange.backups import restore
from tests.faults.editions import kept_editions, unpack

EDITIONS = kept_editions()


def edition(path: Path) -> int:
    with sqlite3.connect(path) as connection:
        found = int(connection.execute("PRAGMA user_version").fetchone()[0])
    connection.close()
    return found


def figures(path: Path) -> str:
    """A fingerprint of every slip, move and stock figure."""
    connection = sqlite3.connect(path)
    digest = hashlib.sha256()
    for columns, table in (
        ("id, kind, posted_at, operator, reference, reason, reverses, previous, hash", "slips"),
        ("id, slip_id, line, item_id, lot_id, serial_id, from_place, to_place, quantity, entered", "moves"),
        ("item_id, place_id, lot_id, quantity", "stock"),
    ):
        for row in connection.execute(f"SELECT {columns} FROM {table}"):
            digest.update(repr(row).encode())
    connection.close()
    return digest.hexdigest()


def test_a_depot_of_every_earlier_edition_is_kept() -> None:
    numbers = [int(path.name[8:12]) for path in EDITIONS]
    assert numbers == list(range(1, len(migrations.known()) + 1))


@pytest.mark.parametrize("packed", EDITIONS, ids=lambda path: path.name[:12])
def test_it_opens_is_brought_forward_and_checks_with_every_figure_as_it_was(packed: Path, tmp_path: Path) -> None:
    path = unpack(packed, tmp_path / "old.depot")
    number, before = edition(path), figures(path)
    assert number == int(packed.name[8:12])
    with Depot.open(path) as depot:
        assert differences(depot) == []
        assert depot.value("SELECT count(*) FROM slips") > 300
        desk = the_operator(depot)
        line = Line(1, outside(depot, "supplier").id, the_place(depot, "A-01-01-1").id, 1)
        assert figures(path) == before
        post(depot, "receipt", [line], operator=desk)
        assert differences(depot) == []
    assert edition(path) == len(migrations.known())
    kept = list(tmp_path.glob("old-edition*.backup"))
    assert len(kept) == (number < len(migrations.known()))
    for backup in kept:
        assert (edition(backup), figures(backup)) == (number, before)


@pytest.mark.parametrize("packed", EDITIONS, ids=lambda path: path.name[:12])
def test_a_change_that_fails_leaves_the_file_as_it_was(packed: Path, tmp_path: Path, monkeypatch) -> None:
    path = unpack(packed, tmp_path / "old.depot")
    before, number, every = figures(path), edition(path), migrations.known()
    bad = tmp_path / "9999_bad.sql"
    bad.write_text(
        "CREATE TABLE half (x INTEGER) STRICT;\nUPDATE places SET name = 'half';\nINSERT INTO nowhere VALUES (1);"
    )
    monkeypatch.setattr(migrations, "known", lambda: [*every, bad])
    with pytest.raises(sqlite3.OperationalError):
        Depot.open(path)
    assert (edition(path), figures(path)) == (number, before)
    monkeypatch.undo()
    with Depot.open(path) as depot:
        assert depot.value("SELECT count(*) FROM places WHERE name = 'half'") == 0
        assert differences(depot) == []


def test_a_backup_of_an_earlier_edition_is_brought_forward_when_it_is_restored(tmp_path: Path) -> None:
    backup, path = unpack(EDITIONS[0], tmp_path / "old.backup"), tmp_path / "now.depot"
    content = backup.read_bytes()
    assert restore(backup, path) is None
    assert backup.read_bytes() == content
    assert sorted(file.name for file in tmp_path.iterdir()) == ["now.depot", "old.backup"]
    with Depot.open(path) as depot:
        assert differences(depot) == []


def test_a_restore_from_something_else_changes_nothing(tmp_path: Path) -> None:
    path, other = unpack(EDITIONS[-1], tmp_path / "d.depot"), tmp_path / "other.backup"
    other.write_bytes(b"SQLite format 3\0" + b"x" * 5000)
    before = path.read_bytes()
    with pytest.raises(Refused, match=r"other\.backup"):
        restore(other, path)
    assert path.read_bytes() == before
