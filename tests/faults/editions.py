"""Depot files as earlier editions wrote them, kept small and packed in tests/data/editions."""

from __future__ import annotations

import gzip
from pathlib import Path

KEPT = Path(__file__).parents[1] / "data" / "editions"


def kept_editions() -> list[Path]:
    """Return the kept files, oldest first."""
    return sorted(KEPT.glob("edition-*.depot.gz"))


def unpack(packed: Path, target: Path) -> Path:
    """Write a kept depot to ``target`` as it was."""
    target.write_bytes(gzip.decompress(packed.read_bytes()))
    return target


def first_edition(target: Path) -> Path:
    """Write the depot of the first edition to ``target``."""
    return unpack(kept_editions()[0], target)
