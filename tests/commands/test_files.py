"""Files named to export, backup and restore: what cannot be right is said, and no file is lost by it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from partsbin.depot.file import Depot
from partsbin.exchange.tables import ORDER, export_folder
from tests.commands.conftest import Run


@pytest.mark.parametrize("where", ["note.txt", "note.txt/out", "c.depot"])
def test_an_export_onto_a_file_says_that_a_folder_is_wanted(stocked: Run, tmp_path: Path, where: str) -> None:
    (tmp_path / "note.txt").write_text("mine")
    ran = stocked("export", where)
    assert ran.code == 1 and "is a file; name a folder for the export" in ran.err
    assert (tmp_path / "note.txt").read_text() == "mine" and stocked("check").code == 0


def test_exports_into_one_folder_at_once_do_not_disturb_each_other(stocked: Run, tmp_path: Path) -> None:
    def one(_: int) -> int:
        with Depot.open(tmp_path / "c.depot") as depot:
            return len(export_folder(depot, tmp_path / "out"))

    with ThreadPoolExecutor(6) as several:
        assert list(several.map(one, range(12))) == [len(ORDER)] * 12
    assert [path.name for path in (tmp_path / "out").iterdir() if path.suffix != ".csv"] == []


@pytest.mark.parametrize("end", ["", "-wal", "-shm", "-journal"])
def test_a_backup_never_takes_a_name_the_depot_itself_uses(stocked: Run, end: str) -> None:
    ran = stocked("backup", f"c.depot{end}")
    assert ran.code == 1 and "give the backup another" in ran.err
    assert stocked("check").code == 0


def test_a_depot_is_no_backup_of_itself(stocked: Run, tmp_path: Path) -> None:
    (tmp_path / "link.depot").symlink_to("c.depot")
    for name in ("c.depot", "link.depot"):
        assert "is the depot itself" in stocked("restore", name).err
    assert "is a folder" in stocked("restore", ".").err


def test_a_restore_through_a_link_puts_back_the_file_behind_it(stocked: Run, tmp_path: Path) -> None:
    stocked("backup", "b.backup")
    stocked("receive", "MTR-24-L", "5", "--to", "A-01-01-1")
    (tmp_path / "link.depot").symlink_to("c.depot")
    ran = stocked("--depot", "link.depot", "restore", "b.backup")
    assert ran.code == 0 and "c-before-restore-" in ran.out
    assert (tmp_path / "link.depot").is_symlink()
    with Depot.open(tmp_path / "c.depot") as depot:
        assert depot.value("SELECT sum(quantity) FROM stock s JOIN places p ON p.id = place_id AND p.physical") == 10
