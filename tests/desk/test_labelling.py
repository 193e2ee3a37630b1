"""What the words on the Labels screen and the command line mean, and what a label carries."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from partsbin.codes import encode_case
from partsbin.depot.file import Depot
from partsbin.depot.ledger import reverse
from partsbin.depot.operators import the_operator
from partsbin.desk.labelling import choose, choose_scanned
from partsbin.desk.posting import Keyed, receive, transfer
from partsbin.errors import Refused
from partsbin.printing.label_kinds import BadgeLabel, CaseLabel, ItemLabel, code_of, title_of
from tests.desk.label_depot import label_depot


@pytest.fixture
def depot(tmp_path: Path) -> Iterator[Depot]:
    with Depot.open(label_depot(tmp_path)) as found:
        yield found


def titles(depot: Depot, *what: str) -> list[str]:
    return [title_of(label) for label in choose(depot, what)]


@pytest.mark.parametrize(
    ("what", "meant"),
    [
        ("bins", ["A-01-01-1", "A-02-01-1", "A-10-01-1", "B-01-01-1"]),
        ("A-02..", ["A-02-01-1"]),
        ("A-02-01-1..A-10-01-1", ["A-02-01-1", "A-10-01-1"]),
        ("zone:Cool", ["A-01-01-1", "B-01-01-1"]),
        ("drawers", ["VAN1 D2"]),
        ("vans", ["VAN1"]),
        ("ends", ["shelf end A", "shelf end B"]),
        ("items", ["BRD", "COLA", "MTR-L"]),
        ("mtr-l", ["MTR-L"]),
        ("badge:rh", ["RH"]),
    ],
)
def test_words_a_clerk_would_use_mean_labels(depot: Depot, what: str, meant: list[str]) -> None:
    assert titles(depot, what) == meant


@pytest.mark.parametrize(
    ("what", "why"),
    [
        ("  ", "Say what to label"),
        ("A-77-01-1", "There is no bin “A-77-01-1”"),
        ("B-01..A-01", "runs backwards"),
        ("zone:attic", "Zones: cool, dry"),
        ("badge:TK", "TK wears no badge yet"),
        ("badge:ZZ", "Nobody here has the initials"),
        ("case:COLA", "should be case:PART LOT BEST-BEFORE"),
        ("case:COLA L7 2027-02-30", "2027-02-30"),
        ("case:COLA L7 2027-03-31 half", "half"),
        ("MTR-X", "MTR-L"),
        ("received", "nothing to label"),
        ("nowhere.csv", "cannot be read"),
    ],
)
def test_words_that_mean_nothing_are_refused_with_what_would(depot: Depot, what: str, why: str) -> None:
    with pytest.raises(Refused) as refused:
        choose(depot, [what])
    assert why in str(refused.value)


def test_every_caution_of_the_depot_has_a_tag(depot: Depot) -> None:
    tags = choose(depot, ["cautions"])
    assert len(tags) == depot.value("SELECT count(*) FROM cautions")
    assert any(getattr(tag, "text", "") == "Mains voltage: unplug first." for tag in tags)


def test_an_item_label_has_its_hand_its_viewpoint_and_its_caution(depot: Depot) -> None:
    (label,) = choose(depot, ["MTR-L"])
    assert isinstance(label, ItemLabel)
    assert (label.hand, label.viewpoint) == ("LH", "seen from the door")
    assert [(c.word, c.text) for c in label.cautions] == [("DANGER", "Mains voltage: unplug first.")]


def test_a_case_label_has_the_lots_own_case_size_and_its_number(depot: Depot) -> None:
    rena = the_operator(depot)
    receive(depot, rena, [Keyed("COLA", "2 case", "", "A-01-01-1", "L7", "2027-03-31")])
    (label,) = choose(depot, ["received"])
    assert isinstance(label, CaseLabel)
    assert (label.lot, str(label.best_before), label.quantity, label.gtin) == ("L7", "2027-03-31", 24, "05901234123457")
    (again,) = choose_scanned(depot, code_of(label))
    assert again == label
    (keyed,) = choose(depot, ["case:COLA L7 2027-03-31 12"])
    assert isinstance(keyed, CaseLabel) and (keyed.quantity, keyed.gtin) == (12, "")
    assert code_of(keyed) == encode_case("COLA", "L7", keyed.best_before, 12)


def test_what_moved_today_is_labelled_once_and_what_was_taken_back_is_not(depot: Depot) -> None:
    rena = the_operator(depot)
    receive(
        depot, rena, [Keyed("MTR-L", "9", "", "A-01-01-1"), Keyed("COLA", "24", "", "A-02-01-1", "L7", "2027-03-31")]
    )
    for target in ("B-01-01-1", "A-10-01-1"):
        transfer(depot, rena, "put-away", [Keyed("MTR-L", "1", "A-01-01-1", target)])
    transfer(depot, rena, "checkout", [Keyed("MTR-L", "1", "A-01-01-1", "VAN1")])
    assert titles(depot, "moved") == ["MTR-L"]
    slip = transfer(depot, rena, "put-away", [Keyed("COLA", "24", "A-02-01-1", "B-01-01-1")])
    assert titles(depot, "moved") == ["MTR-L", "COLA"]
    reverse(depot, slip, operator=rena, reason="wrong bin")
    assert titles(depot, "moved") == ["MTR-L"]


def test_a_list_names_every_wrong_line_or_labels_them_all(depot: Depot, tmp_path: Path) -> None:
    listed = tmp_path / "todo.csv"
    listed.write_text("code,copies\nA-01-01-1,2\nMTR-L,1\n")
    assert titles(depot, str(listed)) == ["A-01-01-1", "A-01-01-1", "MTR-L"]
    listed.write_text("A-01-01-1\nMTR-L\n")
    assert titles(depot, "todo.csv") == ["A-01-01-1", "MTR-L"]  # beside the depot, and without a header
    listed.write_text("code,copies\nA-01-01-1,2\nA-77-01-1,1\nNONE-SUCH,1\n")
    with pytest.raises(Refused, match=r"nothing was chosen.*A-77-01-1.*NONE-SUCH"):
        choose(depot, [str(listed)])
    listed.write_bytes(b"code\n\xff\xfe\n")
    with pytest.raises(Refused, match="not UTF-8"):
        choose(depot, [str(listed)])


def test_a_scan_gives_the_same_label_again(depot: Depot) -> None:
    for word in ("A-02-01-1", "VAN1", "MTR-L", "VAN1-D2"):
        (label,) = choose(depot, [word])
        assert choose_scanned(depot, code_of(label)) == [label]
    with pytest.raises(Refused, match="scan it under Receive"):
        choose_scanned(depot, "4006381333931")
    assert choose_scanned(depot, "A-01..") == choose(depot, ["A-01.."])
    with pytest.raises(Refused, match="There is no part “NOPE-1”"):
        choose_scanned(depot, "]C0NOPE-1")
    (badge,) = choose(depot, ["badge:RH"])
    assert isinstance(badge, BadgeLabel) and badge.badge == "70001"
