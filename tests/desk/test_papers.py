"""The pick slip and the Monday report on paper: what must stand on them, read back out of the PDF."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.desk.monday import monday_report
from partsbin.desk.papers import paper_path, write_monday, write_pick_slip
from partsbin.desk.restock import check_out, propose
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

FILES = {
    "cautions": "code,word,text,severity,basis\nMAINS,DANGER,Mains voltage: unplug first.,1,local code\n",
    "suppliers": "supplier,lead_time_days,minimum_order,order_days\nNorthgate,7,100.00,mon\n",
    "places": "place,kind\nVAN1,van\nVAN2,van\nA-01-01-1,bin\nB-01-01-1,bin\n",
    "items": """part_number,description,supplier,supplier_part_number,cost,cautions,substitutes,hand,home_bin
MTR-L,Motor left,Northgate,NG-1,10.00,MAINS,,LH,A-01-01-1
MTR-R,Motor right,Northgate,NG-2,10.00,MAINS,MTR-L,RH,A-01-01-1
COLA,Cola can,,,0.50,,,,B-01-01-1
""",
    "stock": """part_number,place,lot,quantity,best_before
MTR-L,A-01-01-1,,5,
COLA,B-01-01-1,L77,30,2099-02-01
MTR-R,VAN2,,1,
""",
    "setpoints": """part_number,place,reorder_point,order_up_to
MTR-L,VAN1,1,2
MTR-R,VAN1,1,2
COLA,VAN1,5,6
MTR-R,SHELF,1,4
""",
}


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.create(tmp_path / "p.depot") as made:
        job = Import(made, the_operator(made))
        for kind, text in FILES.items():
            (tmp_path / f"{kind}.csv").write_text(text)
            import_file(job, kind, tmp_path / f"{kind}.csv")
        yield made


def read(path: Path) -> str:
    """The words of a PDF, blanks made plain."""
    document = pypdfium2.PdfDocument(path)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def test_the_pick_slip_says_where_how_many_which_lot_and_what_is_dangerous(depot: Depot):
    van = the_place(depot, "VAN1")
    proposal = propose(depot, van, "2026-11-25")
    slip = check_out(depot, the_operator(depot), van, proposal.picks, proposal.missing)
    path = paper_path(depot, f"pick-slip-{slip}.pdf")
    write_pick_slip(depot, proposal, slip, path, "DESK")
    words = read(path)
    for needed in ("A-01-01-1", "MTR-L", "L77", "2099-02-01", "DANGER", "Mains voltage: unplug first.", "LEFT"):
        assert needed in words, needed
    assert "VAN2 has 1" in words and "MTR-L" in words  # where the short part is, what goes instead
    assert f"slip {slip}" in words and "restock VAN1" in words
    assert path.parent == depot.path.parent / "papers"


def test_a_proposal_on_paper_says_that_it_is_not_posted(depot: Depot):
    path = paper_path(depot, "list.pdf")
    write_pick_slip(depot, propose(depot, the_place(depot, "VAN1"), ""), None, path, "DESK")
    assert "not posted" in read(path)


def test_the_monday_report_shows_sums_terms_and_cautions(depot: Depot):
    path = paper_path(depot, "monday.pdf")
    write_monday(depot, monday_report(depot, date(2026, 11, 25)), path)
    words = read(path)
    for needed in ("2026-W48", "Northgate", "MTR-R", "NG-2", "0 + 0 − 0 = 0", "40.00", "Mains voltage: unplug first."):
        assert needed in words, needed
    assert "60.00 below the minimum of 100.00" in words and "takes orders on Monday 23 November" in words


def test_the_same_report_gives_the_same_bytes(depot: Depot):
    report = monday_report(depot, date(2026, 11, 25))
    first, second = paper_path(depot, "1.pdf"), paper_path(depot, "2.pdf")
    write_monday(depot, report, first)
    write_monday(depot, report, second)
    assert first.read_bytes() == second.read_bytes()


def test_where_no_folder_can_be_made_it_is_said(depot: Depot):
    (depot.path.parent / "papers").write_text("a file in the way")
    with pytest.raises(Refused, match="papers"):
        write_pick_slip(depot, propose(depot, the_place(depot, "VAN1"), ""), None, paper_path(depot, "x.pdf"), "DESK")
