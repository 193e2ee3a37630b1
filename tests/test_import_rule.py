"""Imports point downward only, and nothing below the screens knows Textual."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "partsbin"
SHARED = {"errors", "resources", "codes", "lengths", "wanted", "__init__"}
MAY = {
    "depot": set(),
    "requests": set(),
    "planning": set(),
    "lanes": set(),
    "printing": {"depot"},
    "exchange": {"depot"},
    "desk": {"depot", "requests", "planning", "lanes", "printing", "exchange"},
    "commands": {"depot", "requests", "planning", "lanes", "printing", "exchange", "desk", "screens"},
    "screens": {"depot", "requests", "planning", "lanes", "printing", "exchange", "desk"},
}


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: relative import"
            names.add(node.module)
            if node.module == "partsbin":
                names |= {f"partsbin.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("room", MAY)
def test_a_room_imports_only_what_lies_below_it(room: str) -> None:
    wrong = []
    for path in (PACKAGE / room).rglob("*.py"):
        for name in imported(path):
            parts = name.split(".")
            if parts[0] == "textual" and room != "screens":
                wrong.append(f"{path.name} imports textual")
            if parts[0] == "partsbin" and len(parts) > 1 and parts[1] not in MAY[room] | SHARED | {room}:
                wrong.append(f"{path.name} imports {name}")
    assert wrong == []


def test_every_room_is_under_the_rule() -> None:
    rooms = {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name[0] not in "._"}
    assert rooms == set(MAY)


def test_the_rule_sees_an_import_inside_a_function(tmp_path: Path) -> None:
    module = tmp_path / "m.py"
    module.write_text("def f():\n    from textual.app import App\n")
    assert imported(module) == {"textual.app"}
