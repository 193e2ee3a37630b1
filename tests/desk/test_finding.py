"""The request reader on a depot: following edits and other words, and the kept index that is never stale."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.depot import clock
from partsbin.depot.catalogue import learn, the_item, touch
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk import kept_finder
from partsbin.desk.finding import Finder, catalogue
from partsbin.desk.slang import change_word
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

ITEMS = """part_number,description,fits,aliases,supplier,supplier_part_number
KX-1001,MOTOR VEND 24VDC LH,Glacia 500,old faithful,Northgate,S 77.1
KX-1002,MOTOR VEND 24VDC RH,Glacia 500,,Northgate,S 77.2
KX-2001,GSKT DOOR,Frosta 12,,,
KX-3001,HOSE DRAIN 12MM,,,,
"""


@pytest.fixture
def depot(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(kept_finder, "KEPT_FROM", 1)
    (tmp_path / "items.csv").write_text(ITEMS)
    with Depot.create(tmp_path / "p.depot") as depot:
        import_file(Import(depot, the_operator(depot)), "items", tmp_path / "items.csv")
        yield depot


ASKED = (
    "2 old faithful",
    "vend motor rh 24v",
    "door seal for the frosta 12",
    "s77.1",
    "kx 3O01",
    "drane hose",
    "part kx-10",
    "motor",
)


def said(finder: Finder) -> list[object]:
    return [finder.find(text) for text in ASKED]


def test_a_kept_index_answers_as_a_fresh_one(depot: Depot) -> None:
    fresh = said(Finder(depot))
    assert said(kept_finder.KeptFinder(depot)) == fresh  # made and kept
    assert said(kept_finder.KeptFinder(depot)) == fresh  # read back


def test_it_is_read_back_and_not_made_again(depot: Depot, monkeypatch: pytest.MonkeyPatch) -> None:
    kept_finder.KeptFinder(depot)
    monkeypatch.setattr(Finder, "_make", lambda *_: pytest.fail("made again"))
    assert kept_finder.KeptFinder(depot).find("old faithful")[0].status == "sure"


def test_any_edit_makes_it_anew(depot: Depot) -> None:
    kept_finder.KeptFinder(depot)
    with depot.write():
        depot.run("UPDATE items SET description = 'ROTOR CUFF' WHERE part_number = 'KX-3001'")  # no change number
    assert kept_finder.KeptFinder(depot).find("rotor cuff")[0].candidates[0].part_number == "KX-3001"
    with depot.write():
        depot.run("INSERT INTO trade_words VALUES ('wobbler', 'gasket', 'synonym')")
    assert kept_finder.KeptFinder(depot).find("door wobbler")[0].candidates[0].part_number == "KX-2001"
    learn(depot, the_item(depot, "KX-1002").id, "squeaky thing", None, clock.now())
    assert kept_finder.KeptFinder(depot).find("squeaky thing")[0].candidates[0].part_number == "KX-1002"


@pytest.mark.parametrize("damage", ["", "x", "{}\n", "[1]\n[]\n"])
def test_a_torn_file_is_made_anew(depot: Depot, tmp_path: Path, damage: str) -> None:
    kept_finder.KeptFinder(depot)
    (file,) = (tmp_path / "cache" / "partsbin").iterdir()
    stamp, first = file.read_text().split("\n")[:2]
    for text in (damage, f"{stamp}\n{damage}", f"{stamp}\n{first}\n{damage}"):
        file.write_text(text)
        assert kept_finder.KeptFinder(depot).find("old faithful")[0].status == "sure"


def test_a_place_that_cannot_be_written_is_no_matter(depot: Depot, tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be")
    assert kept_finder.KeptFinder(depot).find("old faithful")[0].status == "sure"


def test_one_item_is_read_as_among_all(depot: Depot) -> None:
    everything = list(catalogue(depot))
    assert [next(catalogue(depot, only=item.item_id)) for item in everything] == everything


def test_an_open_finder_follows_edits_and_other_words(depot: Depot) -> None:
    finder = Finder(depot)
    assert finder.refresh(depot) == 0
    item = the_item(depot, "KX-3001")
    with depot.write():
        depot.run("UPDATE items SET description = 'ROTOR CUFF' WHERE id = ?", (item.id,))
        touch(depot, item.id)
    assert finder.refresh(depot) == 1
    assert finder.find("rotor cuff")[0].candidates[0].part_number == "KX-3001"
    with depot.write():
        depot.run("INSERT INTO trade_words VALUES ('wobbler', 'gasket', 'synonym')")
    finder.refresh(depot)
    assert finder.find("door wobbler")[0].candidates[0].part_number == "KX-2001"


def test_a_word_said_at_the_desk_is_understood_and_forgotten(depot: Depot) -> None:
    finder = Finder(depot)
    assert change_word(depot, "Wobbler = door gasket") == "“wobbler” now means “door gasket”."
    finder.refresh(depot)
    assert finder.find("wobbler for the frosta 12")[0].candidates[0].part_number == "KX-2001"
    change_word(depot, "wobbler =")
    finder.refresh(depot)
    assert finder.find("wobbler for the frosta 12")[0].status != "sure"


@pytest.mark.parametrize("text", ["wobbler", "= gasket", "never said =", "a = a"])
def test_a_word_without_a_meaning_is_refused(depot: Depot, text: str) -> None:
    with pytest.raises(Refused):
        change_word(depot, text)
