"""How the whole run is spread over the machine: nothing here changes what a test checks."""

from __future__ import annotations

import fcntl
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


@pytest.fixture(scope="session")
def demo_built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo depot, built once for all workers of a run; what changes it works on a copy."""
    from partsbin.desk.demo import build_demo

    base = tmp_path_factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    with (shared / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        return build_demo(shared / "demo")
