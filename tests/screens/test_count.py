"""Count at 80x24: blind sheets, scans and figures, large gaps again, reasons, one slip a place, walks, restarts."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pypdfium2
import pytest

from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_head, slip_lines, slips
from partsbin.depot.ledger import Short
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place, find_place
from partsbin.depot.stock import on_hand
from partsbin.desk.posting import Keyed, receive, transfer
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from partsbin.screens.app import PartsbinApp
from tests.screens.driving import asked, column, entered, front, message, pressed, quiet, rows, scanned, until

ITEMS = """part_number,description,kind,pack_size,tracking,gtin,cost,supplier,home_bin
MTR-24-L,"Vend motor 24 V, left",part,1,quantity,,32.50,Northgate,A-01-01-1
SHM-3,"Shim 3 mm",part,50,quantity,,0.40,Northgate,A-01-01-1
SHM-6,"Shim 6 mm",part,50,quantity,,,,A-01-02-1
DRK-COLA,"Cola 330 ml, case of 24",product case,24,lot,09521234543213,0.50,Pell,B-01-01-1
"""
FAR = date.today() + timedelta(days=400)


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The depot as it is before every test, made once."""
    tmp_path = tmp_path_factory.mktemp("depot")
    (tmp_path / "items.csv").write_text(ITEMS)
    with Depot.create(tmp_path / "c.depot") as depot:
        operator = the_operator(depot)
        import_file(Import(depot, operator), "items", tmp_path / "items.csv")
        add_place(depot, "VAN1", "van")
        add_place(depot, "VAN1-D1", "drawer", parent="VAN1")
        stock = [
            Keyed("MTR-24-L", "5"),
            Keyed("SHM-3", "200"),
            Keyed("SHM-6", "30"),
            Keyed("DRK-COLA", "2 case", lot="L7", best_before=str(FAR)),
            Keyed("DRK-COLA", "1 case", lot="L8", best_before=str(FAR)),
        ]
        receive(depot, operator, stock)
    return tmp_path / "c.depot"


@pytest.fixture
def path(template: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(template, tmp_path))


@pytest.fixture
async def pilot(path: Path):
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pressed(pilot, "f5")
        yield pilot


def screen_text(pilot) -> str:
    words = [str(one.render()) for one in front(pilot).query("Static")]
    return "\n".join([*words, front(pilot).entry().placeholder, *(" ".join(row) for row in rows(pilot, "#count"))])


async def test_a_bin_is_counted_blind_and_agrees(pilot, path):
    assert [row[:2] for row in rows(pilot, "#choose")] == [
        ["A-01-01-1", "never counted"],
        ["A-01-02-1", "never counted"],
        ["B-01-01-1", "never counted"],
    ]
    await scanned(pilot, "A010101")
    assert [row[1] for row in rows(pilot, "#count")] == ["MTR-24-L", "SHM-3"]
    assert "200" not in screen_text(pilot)
    for _ in range(5):
        await scanned(pilot, "MTR-24-L")
    await pressed(pilot, "down")
    await entered(pilot, "4 case")
    assert "all counted" in front(pilot).entry().placeholder
    await entered(pilot, "")
    assert "A-01-01-1 agrees" in message(pilot)
    assert [row[0] for row in rows(pilot, "#choose")] == ["A-01-02-1", "B-01-01-1", "A-01-01-1"]
    with Depot.open(path) as depot:
        kept = depot.one("SELECT slip_id, lines, hits FROM counts")
        assert tuple(kept) == (None, 2, 2)
        assert len(slips(depot)) == 1


async def test_a_large_gap_is_counted_once_more_then_reasoned_and_posted(pilot, path):
    await entered(pilot, "a-01-01-1")
    await entered(pilot, "4")
    await entered(pilot, "150")
    await entered(pilot, "")
    assert "Count once more: SHM-3" in message(pilot)
    assert column(pilot, "#count", "Counted") == ["4", ""]
    assert "200" not in screen_text(pilot)
    await entered(pilot, "150")
    await entered(pilot, "")
    assert rows(pilot, "#review") == [
        ["MTR-24-L", "5", "4", "-1", "-32.50 USD", "why?"],
        ["SHM-3", "200", "150", "-50", "-20.00 USD", "why?"],
    ]
    await pressed(pilot, "r")
    assert "differ by -1" in asked(pilot)
    await pressed(pilot, "2")
    await pressed(pilot, "p")
    assert "difference on 1 line" in asked(pilot)
    await pressed(pilot, "6")
    assert "2 differences at A-01-01-1" in message(pilot)
    with Depot.open(path) as depot:
        head = slips(depot)[0]
        assert (head.kind, head.reference) == ("count", "count of A-01-01-1")
        assert head.reason == "damaged (MTR-24-L); unit error: case for each (SHM-3)"
        assert on_hand(depot, the_item(depot, "SHM-3").id) == 150
        assert tuple(depot.one("SELECT slip_id, lines, hits FROM counts")) == (head.id, 2, 0)


async def test_a_key_typed_into_the_line_is_no_reason(pilot):
    await entered(pilot, "a-01-01-1")
    await entered(pilot, "4")
    await entered(pilot, "200")
    await entered(pilot, "")
    assert " counted again" not in screen_text(pilot)
    await entered(pilot, "p")
    assert "“p” is no reason" in message(pilot)
    await entered(pilot, "dropped one")
    assert column(pilot, "#review", "Reason") == ["dropped one"]
    await entered(pilot, "once more")
    assert "Every line has its reason" in message(pilot)


async def test_lots_are_counted_apart_and_a_new_one_is_added(pilot, path):
    await scanned(pilot, "B010101")
    case = f"]C1010952123454321315{FAR:%y%m%d}10"
    for lot in ("L7", "L7", "L9"):
        await scanned(pilot, case + lot)
    await scanned(pilot, "09521234543213")
    assert "Which lot of DRK-COLA" in asked(pilot)
    await pressed(pilot, "2")
    assert [[row[0], row[3], row[5]] for row in rows(pilot, "#count")] == [
        ["✓", "L7", "48"],
        ["✓", "L8", "24"],
        ["+", "L9", "24"],
    ]
    await scanned(pilot, "B010101")
    assert "Count once more" in message(pilot)
    await entered(pilot, "1 case")
    await entered(pilot, "")
    await entered(pilot, "found behind the pallet")
    await pressed(pilot, "escape", "p")
    with Depot.open(path) as depot:
        line = slip_lines(depot, 2)[0]
        assert (line.lot, line.quantity, line.source) == ("L9", 24, "COUNT-DIFFERENCE")
        assert slip_head(depot, 2).reason == "found behind the pallet"
        assert depot.value("SELECT best_before FROM lots WHERE code = 'L9'") == str(FAR)


async def test_a_walk_goes_bin_after_bin_and_an_uncounted_line_is_asked_about(pilot, path):
    await entered(pilot, "A")
    assert "A-01-01-1 · 0 of 2 lines counted · then A-01-02-1" in screen_text(pilot)
    await scanned(pilot, "A010101")
    assert "A-01-01-1 it is" in message(pilot)
    await entered(pilot, "5")
    await scanned(pilot, "A010109")
    assert "no bin A-01-01-9" in asked(pilot)
    await pressed(pilot, "n")
    await scanned(pilot, "A010201")
    assert "1 line without a count" in asked(pilot)
    assert "SHM-3" in asked(pilot)
    await pressed(pilot, "n")
    await entered(pilot, "200")
    await scanned(pilot, "A010101")
    assert "A-01-01-1 agrees with the file. Now A-01-02-1" in message(pilot)


async def test_another_bins_label_finishes_and_comes_next(pilot):
    await entered(pilot, "A")
    await entered(pilot, "5")
    await entered(pilot, "200")
    await scanned(pilot, "B010101")
    assert "A-01-01-1 agrees with the file. Now B-01-01-1" in message(pilot)
    await pressed(pilot, "escape")
    await pressed(pilot, "k")
    assert "A-01-02-1" in screen_text(pilot)
    await pressed(pilot, "escape")
    await pressed(pilot, "n")
    await pressed(pilot, "y")
    assert front(pilot).phase == "choose"


async def test_what_is_not_counted_is_none_only_when_said(pilot, path):
    await entered(pilot, "A-01-02-1")
    await pressed(pilot, "escape")
    await pressed(pilot, "p")
    assert "SHM-6" in asked(pilot)
    await pressed(pilot, "n")
    assert column(pilot, "#count", "Counted")[0] == ""
    await pressed(pilot, "p")
    await pressed(pilot, "y")
    await entered(pilot, "0")
    await entered(pilot, "")
    assert rows(pilot, "#review") == [["SHM-6", "30", "0", "-30", "–", "why?"]]
    await pressed(pilot, "c")
    await entered(pilot, "30")
    await entered(pilot, "")
    assert "agrees" in message(pilot)


async def test_stock_moved_meanwhile_is_counted_again(pilot, path):
    await entered(pilot, "A-01-02-1")
    await entered(pilot, "20")
    with Depot.open(path) as other:
        lines = [Keyed("SHM-6", "10", source="A-01-02-1", target="VAN1")]
        transfer(other, the_operator(other), "checkout", lines)
    await entered(pilot, "")
    assert "SHM-6 was moved here while you counted" in message(pilot)
    assert column(pilot, "#count", "Counted")[0] == ""
    await entered(pilot, "20")
    await entered(pilot, "")
    assert "agrees" in message(pilot)


async def test_a_refused_posting_puts_its_bin_first(pilot, path):
    with Depot.open(path) as other, pytest.raises(Short):
        transfer(other, the_operator(other), "issue", [Keyed("DRK-COLA", "500", source="B-01-01-1")])
    await pressed(pilot, "f2")
    await pressed(pilot, "f5")
    assert rows(pilot, "#choose")[0][0] == "B-01-01-1"
    assert "refused" in rows(pilot, "#choose")[0][1]


async def test_a_van_is_its_drawers_and_itself(pilot, path):
    await entered(pilot, "van1")
    assert "VAN1-D1 · 0 of 0 lines counted · then VAN1" in screen_text(pilot)
    assert "Nothing belongs in VAN1-D1" in message(pilot)
    await entered(pilot, "SHM-3")
    await entered(pilot, "2")
    assert rows(pilot, "#count")[0][0] == "+"
    await entered(pilot, "")
    await pressed(pilot, "p")
    await pressed(pilot, "3")
    with Depot.open(path) as depot:
        assert on_hand(depot, the_item(depot, "SHM-3").id, find_place(depot, "VAN1-D1")) == 2


async def test_a_count_goes_on_after_a_restart(path):
    for start in (True, False):
        app = PartsbinApp(path)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.app.workers.wait_for_complete()
            await pressed(pilot, "f5")
            if start:
                await entered(pilot, "A")
                await entered(pilot, "7")
                continue
            assert column(pilot, "#count", "Counted") == ["7", ""]
            assert "half counted" in message(pilot)
            assert "then A-01-02-1" in screen_text(pilot)


async def test_bad_input_is_refused_in_words(pilot):
    for place, said in (("A-09-09-9", "There is no place"), ("SCRAP", "not a bin or van or drawer")):
        await entered(pilot, place)
        assert said in message(pilot)
    await entered(pilot, "A-01-02-1")
    for figure, said in (("-3", "above zero"), ("200000", "more than 100,000"), ("1.5", "not a whole number")):
        await entered(pilot, figure)
        assert said in message(pilot)
        assert column(pilot, "#count", "Counted")[0] == ""


async def test_a_figure_keyed_on_the_lines_counts_and_comes_back_there(pilot):
    await entered(pilot, "A")
    await pressed(pilot, "escape")
    await pressed(pilot, "5")
    await pressed(pilot, "enter")
    assert column(pilot, "#count", "Counted") == ["5", ""]
    assert front(pilot).lines_table.has_focus
    await pressed(pilot, "s")
    await until(pilot, lambda: "lies at" in message(pilot))


async def test_a_blind_sheet_on_paper_names_parts_and_no_quantity(pilot, path):
    await pressed(pilot, "escape")
    await pressed(pilot, "s")
    await entered(pilot, "A")
    await until(pilot, lambda: "lies at" in message(pilot))
    paper = pypdfium2.PdfDocument(path.parent / "papers" / "count-A.pdf")
    text = paper[0].get_textpage().get_text_range()
    assert "SHM-3" in text
    assert "MTR-24-L" in text
    assert "200" not in text


async def test_keys_fit_the_footer_in_every_phase(pilot):
    for step in ("choose", "count", "review"):
        if step == "count":
            await entered(pilot, "A")
        if step == "review":
            for figure in ("4", "200", ""):
                await entered(pilot, figure)
        assert front(pilot).phase == step
        front(pilot).lines_table.focus()
        await quiet(pilot)
        shown = [key for key, active in front(pilot).active_bindings.items() if active.binding.show and active.enabled]
        assert len(shown) <= 7
        front(pilot).entry().focus()
