"""Opening and making a depot: what is no depot, too new or not writable is said in a sentence."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from partsbin.depot import migrations
from partsbin.depot.check import differences
from partsbin.depot.copying import copy_to
from partsbin.depot.file import Depot
from partsbin.errors import Refused


def test_a_new_depot_is_one_strict_file_that_checks(depot: Depot) -> None:
    assert differences(depot) == []
    for row in depot.all("SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE '%sqlite_%'"):
        assert "STRICT" in row["sql"], row["name"]
    assert depot.value("PRAGMA foreign_keys") == 1
    assert depot.value("PRAGMA journal_mode") == "wal"
    assert depot.value("PRAGMA synchronous") == 2


def test_a_missing_depot_says_how_to_make_one(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="There is no depot at .*init"):
        Depot.open(tmp_path / "none.depot")


def test_making_one_over_another_is_refused(depot: Depot) -> None:
    with pytest.raises(Refused, match="already there"):
        Depot.create(depot.path)


@pytest.mark.parametrize("content", [b"", b"part_number,description\n", b"SQLite format 2\0 and then noise" * 99])
def test_a_file_that_is_no_depot_is_left_alone(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "other.txt"
    path.write_bytes(content)
    with pytest.raises(Refused, match="is not a depot file"):
        Depot.open(path)
    assert path.read_bytes() == content


def test_another_programs_database_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE t (x)")
    other.close()
    with pytest.raises(Refused, match="not a depot"):
        Depot.open(path)


def test_a_newer_depot_is_refused_and_left_as_it_is(depot: Depot) -> None:
    depot.run("PRAGMA user_version = 999")
    depot.close()
    before = depot.path.read_bytes()
    with pytest.raises(Refused, match="newer partsbin.*edition 999"):
        Depot.open(depot.path)
    assert depot.path.read_bytes() == before


def test_an_older_depot_is_brought_forward_after_a_backup(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    every = migrations.known()
    monkeypatch.setattr(migrations, "known", lambda: every[:1])
    path = tmp_path / "old.depot"
    Depot.create(path).close()
    change = tmp_path / "9999_more.sql"
    change.write_text("CREATE TABLE more (x INTEGER) STRICT;")
    monkeypatch.setattr(migrations, "known", lambda: [*every[:1], change])
    with Depot.open(path) as depot:
        assert depot.value("SELECT count(*) FROM more") == 0
    kept = list(tmp_path.glob("old-edition1-*.backup"))
    assert len(kept) == 1
    monkeypatch.setattr(migrations, "known", lambda: every[:1])
    with Depot.open(kept[0]) as backup:
        assert differences(backup) == []


def test_a_change_that_fails_leaves_the_old_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    every = migrations.known()
    path = tmp_path / "old.depot"
    Depot.create(path).close()
    bad = tmp_path / "9999_bad.sql"
    bad.write_text("CREATE TABLE half (x INTEGER) STRICT;\nINSERT INTO nowhere VALUES (1);")
    monkeypatch.setattr(migrations, "known", lambda: [*every, bad])
    with pytest.raises(sqlite3.OperationalError):
        Depot.open(path)
    monkeypatch.setattr(migrations, "known", lambda: every)
    with Depot.open(path) as depot:
        assert depot.one("SELECT 1 FROM sqlite_master WHERE name = 'half'") is None
        assert differences(depot) == []


def test_writing_waits_for_another_terminal_and_says_so(depot: Depot) -> None:
    said: list[str] = []

    def let_go(word: str) -> None:
        said.append(word)
        holder.execute("COMMIT")

    holder = sqlite3.connect(depot.path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    depot.waiting = let_go
    depot.set_setting("depot_name", "Mine")
    holder.close()
    assert said == ["waiting for another terminal …"]
    assert depot.setting("depot_name") == "Mine"


def test_a_copy_of_a_live_depot_is_whole(depot: Depot, tmp_path: Path) -> None:
    copy_to(depot.connection, tmp_path / "copy.depot")
    with Depot.open(tmp_path / "copy.depot") as copy:
        assert differences(copy) == []
    assert sorted(p.name for p in tmp_path.glob("copy*")) == ["copy.depot"]


def test_changes_are_numbered_without_gaps() -> None:
    assert [int(path.name[:4]) for path in migrations.known()] == list(range(1, len(migrations.known()) + 1))


def test_a_change_cut_off_in_a_rollback_journal_is_rolled_back_when_the_depot_is_opened(tmp_path: Path) -> None:
    path, cut = tmp_path / "whole.depot", tmp_path / "cut.depot"
    with Depot.create(path) as depot:
        depot.run("PRAGMA journal_mode = DELETE")
    raw = sqlite3.connect(path, isolation_level=None)
    raw.execute("PRAGMA cache_size = 1")  # so that pages reach the file before the change is done
    raw.execute("BEGIN IMMEDIATE")
    raw.executemany("INSERT INTO settings VALUES (?, ?)", [(f"k{n}", "x" * 3000) for n in range(200)])
    for end in ("", "-journal"):
        shutil.copyfile(f"{path}{end}", f"{cut}{end}")
    raw.execute("ROLLBACK")
    raw.close()
    assert cut.stat().st_size > path.stat().st_size  # half a change stands in it
    with Depot.open(cut) as depot:
        assert depot.value("SELECT count(*) FROM settings WHERE key LIKE 'k%'") == 0
        assert differences(depot) == []


def test_a_link_to_nothing_is_not_made_a_depot(tmp_path: Path) -> None:
    link = tmp_path / "link.depot"
    link.symlink_to(tmp_path / "nowhere")
    with pytest.raises(Refused, match="is a link to nothing; give another name"):
        Depot.create(link)
    assert [file.name for file in tmp_path.iterdir()] == ["link.depot"]
