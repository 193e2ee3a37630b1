"""The wheel carries all that the program reads: seed, labels, stylesheet, migrations."""

from __future__ import annotations

import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

REPO = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=REPO,
        check=True,
        capture_output=True,
    )
    wheel = next(folder.glob("*.whl"))
    zipfile.ZipFile(wheel).extractall(folder / "site")
    return folder / "site"


def test_an_installed_wheel_finds_its_seed_labels_and_stylesheet(unpacked: Path) -> None:
    code = (
        "from partsbin.resources import shipped\n"
        "from partsbin.depot.migrations import known\n"
        "import partsbin, pathlib\n"
        "home = pathlib.Path(partsbin.__file__).parent\n"
        "print(home, shipped('seed') / 'items.csv', shipped('labels') / 'letter-30.toml', len(known()))\n"
        "assert (shipped('seed') / 'items.csv').is_file() and (shipped('labels') / 'letter-30.toml').is_file()\n"
        "assert (home / 'screens' / 'partsbin.tcss').is_file() and known()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=unpacked, env={"PYTHONPATH": str(unpacked)}, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(str(unpacked))


def test_the_project_states_its_licence_and_console_script() -> None:
    project = tomllib.loads((REPO / "pyproject.toml").read_text())["project"]
    assert project["license"] == "Apache-2.0"
    assert project["scripts"] == {"partsbin": "partsbin.start:main"}


def test_the_top_level_holds_what_it_should_and_no_more() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=REPO, capture_output=True, text=True)
    if listed.returncode:
        pytest.skip("not a git checkout")
    top = {name.split("/")[0] for name in listed.stdout.splitlines()}
    visible = {name for name in top if not name.startswith(".")}
    assert visible == {"README.md", "DEVELOPERS.md", "pyproject.toml", "partsbin", "tests", "seed", "labels"}
