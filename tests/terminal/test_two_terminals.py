"""Two programs in one depot: what one writes, the other must not lose when it opens and closes the file."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from partsbin.depot.file import Depot

LOOK = """
import sys
from pathlib import Path
from partsbin.depot.file import Depot
with Depot.open(Path(sys.argv[1])) as depot:
    print(depot.value("SELECT group_concat(key) FROM settings"))
"""


def another_program_looks(path: Path) -> str:
    done = subprocess.run([sys.executable, "-c", LOOK, str(path)], capture_output=True, text=True, check=True)
    return done.stdout


def test_what_is_written_stays_although_another_program_came_and_went(tmp_path: Path) -> None:
    """SQLite, How To Corrupt, 2.2: opening the file past SQLite and closing it drops a process's locks on it."""
    path = tmp_path / "shared.depot"
    with Depot.create(path) as desk:
        with Depot.open(desk.path) as worker:
            worker.all("SELECT 1")
        another_program_looks(path)
        with desk.write():
            desk.run("INSERT INTO settings VALUES ('written_later', '1')")
        assert "written_later" in another_program_looks(path)
