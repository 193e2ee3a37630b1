"""How the whole run is spread over the machine: nothing here changes what a test checks."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

_LONG = ("terminal", "faults")
_TESTS = Path(__file__).parent


def pytest_xdist_auto_num_workers() -> int:
    """One worker more than cores: those that drive a real terminal or wait out a fault mostly wait."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes longest, so that no worker is left alone with it at the end."""
    items.sort(key=lambda item: item.path.relative_to(_TESTS).parts[0] not in _LONG)
