"""People on the command line: who may, the PIN from its variable, what was refused, the list of backups."""

from __future__ import annotations

import pytest

from tests.commands.conftest import Run


def test_people_are_added_given_roles_and_listed(stocked: Run) -> None:
    assert stocked("people", "add", "km", "Kim", "--badge", "B-7").code == 0
    assert stocked("people", "role", "KM", "technician").code == 0
    listed = stocked("people", "--json").json
    assert {"initials": "KM", "name": "Kim", "role": "technician", "badge": "B-7", "van": "", "pin": False} in listed
    assert "only lead" in stocked("people", "retire", "DESK").err


def test_a_clerk_may_not_import_and_the_refusal_is_on_the_list(stocked: Run) -> None:
    stocked("people", "add", "KM")
    ran = stocked("import", "items", "items.csv", "--operator", "KM")
    assert ran.code == 1 and "KM is a clerk here and may not import files" in ran.err
    assert stocked("people", "refusals", "--json").json[0]["what"] == "may not import"


def test_a_pin_is_asked_of_who_has_one(stocked: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    stocked("people", "add", "KM")
    monkeypatch.setenv("PARTSBIN_NEW_PIN", "2580")
    assert stocked("people", "pin", "KM").code == 0
    move = ("move", "MTR-24-L", "1", "--from", "A-01-01-1", "--to", "VAN1", "--operator", "KM")
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    assert "PARTSBIN_PIN" in stocked(*move).err
    monkeypatch.setenv("PARTSBIN_PIN", "1111")
    assert "not the PIN of KM" in stocked(*move).err
    monkeypatch.setenv("PARTSBIN_PIN", "2580")
    assert stocked(*move).code == 0


def test_restore_without_a_file_lists_the_daily_backups_and_the_newest_comes_back(stocked: Run) -> None:
    listed = stocked("restore", "--json").json
    assert len(listed) == 1
    ran = stocked("restore", listed[0]["file"])
    assert ran.code == 0 and "Restored" in ran.out
    assert stocked("check").code == 0
