"""The daily backup: once a day, proved, old ones let go, never in the way."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from partsbin.depot import backup_plan
from partsbin.depot.check import differences
from partsbin.depot.copying import copy_to
from partsbin.depot.file import Depot
from partsbin.errors import Refused
from partsbin.exchange.backups import restore


def test_the_first_opening_of_a_day_makes_one_that_opens_whole(depot: Depot) -> None:
    made = backup_plan.back_up_today(depot)
    assert made is not None and made.parent == depot.path.parent / "backups"
    with Depot.open(made) as copy:
        assert differences(copy) == []
    assert backup_plan.back_up_today(depot) is None


def test_an_empty_depot_and_one_told_not_to_make_none(tmp_path: Path, depot: Depot) -> None:
    with Depot.create(tmp_path / "empty.depot") as empty:
        assert backup_plan.back_up_today(empty) is None
    depot.set_setting("daily_backup", "no")
    assert backup_plan.back_up_today(depot) is None


def test_seven_days_and_four_weeks_before_them_are_kept() -> None:
    newest = date(2027, 1, 6)  # the weeks before hold an ISO week 53
    every = [(newest - timedelta(days=n), Path(str(newest - timedelta(days=n)))) for n in range(60)]
    gone = backup_plan.outdated(every)
    kept = [str(path) for _, path in every if path not in gone]
    assert kept[:7] == [str(newest - timedelta(days=n)) for n in range(7)]
    assert kept[7:] == ["2026-12-30", "2026-12-27", "2026-12-20", "2026-12-13"]


def test_other_files_of_the_folder_stay(depot: Depot) -> None:
    folder = backup_plan.backup_folder(depot.path)
    folder.mkdir()
    mine = [
        folder / "small-before-audit.backup",
        folder / "other-2020-01-01.backup",
        folder / "small-2020-99-01.backup",
    ]
    old = [folder / f"small-2020-01-{n:02d}.backup" for n in range(1, 29)]
    for path in (*mine, *old):
        path.touch()
    backup_plan.back_up_today(depot)
    assert all(path.exists() for path in mine)
    assert sum(path.exists() for path in old) == 6 + 4


def test_a_restore_is_refused_while_another_terminal_has_the_depot_open(depot: Depot, tmp_path: Path) -> None:
    made = backup_plan.back_up_today(depot)
    assert made is not None
    depot.set_setting("depot_name", "after")
    with pytest.raises(Refused, match="open in another terminal"):
        restore(made, depot.path)
    assert depot.setting("depot_name") == "after"
    depot.close()
    kept = restore(made, depot.path)
    with Depot.open(depot.path) as back, Depot.open(kept) as before:
        assert (back.setting("depot_name"), before.setting("depot_name")) == ("Depot", "after")


def test_a_damaged_depot_is_restored_and_what_was_there_is_kept(depot: Depot) -> None:
    made = backup_plan.back_up_today(depot)
    depot.close()
    depot.path.write_bytes(depot.path.read_bytes()[:9000])
    kept = restore(made, depot.path)
    assert kept is not None and kept.stat().st_size == 9000
    with Depot.open(depot.path) as back:
        assert differences(back) == []


def test_who_posts_into_a_depot_that_was_replaced_meanwhile_is_told(depot: Depot) -> None:
    depot.path.rename(depot.path.with_name("elsewhere.depot"))
    with pytest.raises(Refused, match="no longer the file that was opened"):
        depot.set_setting("depot_name", "x")


def test_a_backup_ends_however_much_other_terminals_post_and_holds_what_was_there_when_it_began(depot: Depot) -> None:
    target, steps = depot.path.with_name("b.backup"), []
    with depot.write():
        depot.run("CREATE TABLE filler AS SELECT zeroblob(17000000) AS bytes")

    def post(left: int, _of: int) -> None:
        steps.append(left)
        assert len(steps) < 50
        with Depot.open(depot.path) as other:
            other.set_setting("depot_name", f"step {len(steps)}")

    copy_to(depot.connection, target, post)
    assert len(steps) > 2
    with Depot.open(target) as copy:
        assert not copy.setting("depot_name").startswith("step")


def test_a_backup_is_stopped_while_it_is_proved_too(depot: Depot) -> None:
    target = depot.path.with_name("b.backup")
    with depot.write():
        depot.run(
            "CREATE TABLE filler AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n LIMIT 99999) "
            "SELECT x FROM n"
        )

    def stop(left: int, of: int) -> None:
        if (left, of) == (0, 1):
            message = "no more of it"
            raise Refused(message)

    with pytest.raises(Refused, match="no more of it"):
        copy_to(depot.connection, target, stop)
    assert list(target.parent.glob("b.backup*")) == []
