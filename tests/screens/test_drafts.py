"""Whose half-entered work is whose: each running program has its own, and takes over what an ended one left."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.screens import drafts as module
from partsbin.screens.drafts import Drafts


@pytest.fixture
def depot(tmp_path: Path) -> Iterator[Depot]:
    with Depot.create(tmp_path / "d.depot") as made:
        made.run("INSERT INTO operators (initials, name, role) VALUES ('AB', 'Ann', 'clerk')")
        yield made


def ended() -> int:
    """The number of a process that runs no longer."""
    child = subprocess.Popen([sys.executable, "-c", ""])
    child.wait()
    return child.pid


def keep(depot: Depot, process: int, draft: str, monkeypatch: pytest.MonkeyPatch, host: str = "here") -> None:
    """Keep a draft as another program does."""
    with monkeypatch.context() as there:
        there.setattr(os, "getpid", lambda: process)
        there.setattr(module.socket, "gethostname", lambda: host)
        Drafts(depot).keep(the_operator(depot), {"counter": draft})


@pytest.fixture(autouse=True)
def host(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module.socket, "gethostname", lambda: "here")


def test_what_a_running_program_has_in_hand_is_its_own(depot: Depot, monkeypatch: pytest.MonkeyPatch) -> None:
    keep(depot, os.getppid(), "theirs", monkeypatch)
    mine = Drafts(depot)
    assert mine.left(the_operator(depot), "counter") is None
    mine.keep(the_operator(depot), {"counter": "mine"})
    mine.keep(the_operator(depot), {"counter": None})
    assert [row["body"] for row in depot.all("SELECT body FROM drafts")] == ['"theirs"']


def test_what_ended_programs_left_is_taken_over_once_each(depot: Depot, monkeypatch: pytest.MonkeyPatch) -> None:
    operator = the_operator(depot)
    keep(depot, ended(), "one", monkeypatch)
    keep(depot, ended(), "another", monkeypatch)
    here = Drafts(depot)
    first = here.left(operator, "counter")
    assert here.left(operator, "counter") == first
    monkeypatch.setattr(os, "getpid", os.getppid)
    second = Drafts(depot).left(operator, "counter")
    assert {first, second} == {"one", "another"}


def test_another_machines_is_taken_over_when_it_is_old(depot: Depot, monkeypatch: pytest.MonkeyPatch) -> None:
    keep(depot, 1, "elsewhere", monkeypatch, host="there")
    assert Drafts(depot).left(the_operator(depot), "counter") is None
    depot.run("UPDATE drafts SET saved_at = '2026-01-05T08:00:00Z'")
    assert Drafts(depot).left(the_operator(depot), "counter") == "elsewhere"


def test_what_an_earlier_edition_kept_by_operator_is_offered(depot: Depot) -> None:
    depot.run("INSERT INTO drafts VALUES ('counter:AB', 1, '2026-01-05T08:00:00Z', '\"old\"')")
    assert Drafts(depot).left(the_operator(depot), "counter") == "old"
