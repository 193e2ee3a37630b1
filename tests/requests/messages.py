"""The whole messages with the right part numbers and quantities, split in two before anything was tuned on them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

_FOLDER = Path(__file__).parents[1] / "data" / "requests"


@dataclass(frozen=True)
class Wanted:
    text: str
    lines: tuple[tuple[str, int], ...]
    used_for: str


def messages() -> list[Wanted]:
    """Each message ends in a line "> number quantity; …"; every second of the first file is only reported."""
    found = []
    for name in ("messages.txt", "messages_tune.txt"):
        for place, block in enumerate((_FOLDER / name).read_text(encoding="utf-8").split("=====\n")):
            text, _, last = block.rstrip("\n").rpartition("\n> ")
            lines = tuple((part.split()[0], int(part.split()[1])) for part in last.split(";"))
            found.append(Wanted(text, lines, "report" if place % 2 and name == "messages.txt" else "tune"))
    return found
