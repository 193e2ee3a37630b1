"""Restock at 80x24: pick a van, tick by key and scan, change, add, another lot, short lines, post, two terminals."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from textual.pilot import Pilot

from partsbin.codes import encode_case
from partsbin.depot.asks import owed
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_head, slip_lines, slips
from partsbin.depot.ledger import lot
from partsbin.depot.operators import the_operator
from partsbin.depot.places import the_place
from partsbin.depot.stock import on_hand
from partsbin.desk.posting import Keyed, transfer
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from partsbin.screens.app import PartsbinApp
from partsbin.screens.restock import Restock
from tests.screens.driving import asked, entered, front, message, pressed, quiet, rows, scanned, until

FILES = {
    "cautions": "code,word,text,severity,basis\nMAINS,DANGER,Mains voltage: unplug first.,1,local code\n",
    "places": "place,kind,name\nVAN1,van,North\nVAN2,van,South\nA-02-01-1,bin,\nA-01-04-1,bin,\nB-01-01-1,bin,\n",
    "operators": "initials,name,role,badge,van\nOP,Owen Pascarel,technician,5311,VAN2\nMC,Maren Corvidale,lead,5101,\n",
    "items": """part_number,description,pack_size,tracking,home_bin,cautions,substitutes,gtin
MTR-L,"Vend motor 24 V, left",1,quantity,A-01-01-1,MAINS,,
MTR-R,"Vend motor 24 V, right",1,quantity,A-02-01-1,,MTR-L,
FUSE,Fuse 5 A slow,10,quantity,A-01-03-1,,,
COLA,"Cola 330 ml, case of 24",24,lot,B-01-01-1,,,09521234543213
SHIM,Shim 3 mm [x] thin,5,quantity,A-01-04-1,,,
""",
    "stock": """part_number,place,lot,quantity,best_before
MTR-L,A-01-01-1,,5,
MTR-L,A-02-01-1,,4,
FUSE,A-01-03-1,,40,
SHIM,A-01-04-1,,7,
COLA,B-01-01-1,L1,6,2099-01-20
COLA,B-01-01-1,L2,24,2099-03-01
""",
    "setpoints": """part_number,place,reorder_point,order_up_to
MTR-L,VAN2,1,2
MTR-R,VAN2,1,2
FUSE,VAN2,5,10
COLA,VAN2,5,6
""",
}


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The depot as it is before every test, made once."""
    tmp_path = tmp_path_factory.mktemp("depot")
    with Depot.create(tmp_path / "van.depot") as depot:
        job = Import(depot, the_operator(depot))
        for kind, text in FILES.items():
            (tmp_path / f"{kind}.csv").write_text(text)
            import_file(job, kind, tmp_path / f"{kind}.csv")
    return tmp_path / "van.depot"


@pytest.fixture
def path(template: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(template, tmp_path))


@pytest.fixture
async def pilot(path: Path):
    app = PartsbinApp(path, "OP")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pressed(pilot, "f4")
        await until(pilot, lambda: isinstance(front(pilot), Restock) and rows(pilot, "#vans"))
        yield pilot


def screen(pilot: Pilot[None]) -> Restock:
    found = front(pilot)
    assert isinstance(found, Restock)
    return found


async def opened(pilot: Pilot[None], *keys: str) -> None:
    """Take one's own van, then press keys one after the other."""
    await pressed(pilot, "enter")
    await until(pilot, lambda: screen(pilot).sheet is not None and screen(pilot).picks.has_focus)
    for key in keys:
        await pressed(pilot, key)


def words(pilot: Pilot[None], where: str) -> str:
    return str(front(pilot).query_one(where).render())


def lines(pilot: Pilot[None]) -> list[tuple[str, str, str]]:
    """Mark, quantity, part of every line shown."""
    return [(row[0], row[2], row[3]) for row in rows(pilot, "#picks")]


async def test_ones_own_van_is_chosen_and_its_lines_come_in_walking_order(pilot: Pilot[None]):
    assert [row[:3] for row in rows(pilot, "#vans")] == [["VAN1", "North", "0"], ["VAN2", "Owen Pascarel", "4"]]
    await opened(pilot)
    assert lines(pilot) == [("·", "2", "MTR-L"), ("·", "10", "FUSE"), ("·", "6", "COLA"), ("?", "2", "MTR-R")]
    assert rows(pilot, "#picks")[0][-1] == "!!"
    assert "DANGER: Mains voltage: unplug first." in words(pilot, "#restock-words")
    assert "3 lines, 18 pieces · 0 ticked · 1 short" in words(pilot, "#restock-head")


@pytest.mark.parametrize("code", ["van1", "VAN1", "1"])
async def test_a_van_is_typed(pilot: Pilot[None], code: str):
    await entered(pilot, code)
    assert screen(pilot).sheet.van.code == "VAN1"
    assert "at par" in words(pilot, "#restock-words")


async def test_what_is_no_van_is_refused_with_the_vans(pilot: Pilot[None]):
    await entered(pilot, "VAN9")
    assert "“VAN9” is not a van. Vans: VAN1, VAN2." in message(pilot)


async def test_bin_then_item_scanned_ticks_and_goes_on(pilot: Pilot[None]):
    await scanned(pilot, "VAN2")
    await scanned(pilot, "A010301")
    assert screen(pilot).here.pick.item.part_number == "FUSE"
    assert "take 10 FUSE" in message(pilot)
    await scanned(pilot, "FUSE")
    assert lines(pilot)[1][0] == "✓"
    assert screen(pilot).here.pick.item.part_number == "COLA"
    await scanned(pilot, "B010101")  # the bin of the line under the cursor, once more: that ticks it
    assert lines(pilot)[2][0] == "✓"
    assert "1 to go" in message(pilot)


async def test_a_case_is_ticked_by_its_own_code(pilot: Pilot[None]):
    await scanned(pilot, "VAN2")
    await scanned(pilot, "]C1010952123454321310L1")
    assert lines(pilot)[2][0] == "✓"


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("]C1010952123454321315260101" + "10L1", "COLA: best before 2026-01-01 has passed. Set it aside"),
        ("]C1010952123454321310old", "COLA: best before 2020-01-20 has passed. Set it aside"),
        (encode_case("COLA", "OLD"), "COLA: best before 2020-01-20 has passed. Set it aside"),
        ("]C1010952123454321310L2", "That is lot L2 of COLA; L1 goes first. L takes another lot, with a reason."),
    ],
)
async def test_a_case_past_its_date_or_of_another_lot_is_told_and_not_ticked(
    pilot: Pilot[None], path: Path, code: str, words: str
):
    with Depot.open(path) as depot, depot.write():
        lot(depot, the_item(depot, "COLA").id, "OLD", "2020-01-20")
    await scanned(pilot, "VAN2")
    await scanned(pilot, code)
    assert words in message(pilot)
    assert lines(pilot)[2] == ("·", "6", "COLA")


async def test_a_bin_with_nothing_to_pick_says_so(pilot: Pilot[None]):
    await scanned(pilot, "VAN2")
    await scanned(pilot, "A-01-04-1")
    assert "Nothing on this list comes from A-01-04-1" in message(pilot)


async def test_digits_on_the_lines_are_a_quantity(pilot: Pilot[None]):
    await opened(pilot)
    await pressed(pilot, "4", "enter")
    assert lines(pilot)[0] == ("✓", "4*", "MTR-L")
    assert screen(pilot).picks.has_focus


async def test_more_than_the_bin_has_is_refused_in_words(pilot: Pilot[None]):
    await opened(pilot)
    await entered(pilot, "9")
    assert "A-01-01-1 has 5 of MTR-L to take, not 9. Elsewhere: A-02-01-1 has 4" in message(pilot)
    await entered(pilot, "100001")
    assert "more than 100,000" in message(pilot)


async def test_fewer_than_proposed_asks_why_and_finds_the_rest(pilot: Pilot[None]):
    await opened(pilot)
    await entered(pilot, "0")
    assert "Why 0 and not 2?" in asked(pilot)
    await pressed(pilot, "1")
    assert ("·", "2*", "MTR-L") in lines(pilot)
    assert "A-01-01-1 will be counted. The rest: 2 from A-02-01-1" in message(pilot)


async def test_a_case_is_a_quantity_too(pilot: Pilot[None]):
    await opened(pilot)
    await scanned(pilot, "A010301")
    await entered(pilot, "2 cs")
    assert lines(pilot)[1][1] == "20*"


async def test_space_takes_the_tick_off_and_s_skips(pilot: Pilot[None]):
    await opened(pilot)
    await pressed(pilot, "space")
    assert lines(pilot)[0][0] == "✓"
    await pressed(pilot, "up", "space")
    assert lines(pilot)[0][0] == "·"
    await pressed(pilot, "s")
    assert lines(pilot)[0][0] == "–"


async def test_a_part_that_was_not_proposed_is_added_by_number(pilot: Pilot[None]):
    await opened(pilot, "escape")
    await entered(pilot, "SHIM")
    assert "How many SHIM Shim 3 mm [x] thin? The shelf has 7." in asked(pilot)
    await entered(pilot, "3")
    assert ("·", "3*", "SHIM") in lines(pilot)
    assert screen(pilot).here.pick.item.part_number == "SHIM"


async def test_a_part_is_added_by_words(pilot: Pilot[None]):
    await opened(pilot, "a")
    await entered(pilot, "3 shims 3 mm")
    if asked(pilot):
        await (
            pressed(pilot, "1") if "SHIM" in asked(pilot) and "How many" not in asked(pilot) else entered(pilot, "3")
        )
    if "How many" in asked(pilot):
        await entered(pilot, "3")
    assert ("·", "3*", "SHIM") in lines(pilot)


async def test_more_than_the_shelf_has_becomes_short(pilot: Pilot[None]):
    await opened(pilot, "escape")
    await entered(pilot, "SHIM")
    await entered(pilot, "9")
    assert ("·", "7*", "SHIM") in lines(pilot) and ("?", "2", "SHIM") in lines(pilot)


async def test_what_goes_instead_is_taken_from_the_short_line(pilot: Pilot[None]):
    await opened(pilot, "down", "down", "down")
    assert "Goes instead: MTR-L (9 on the shelf)" in words(pilot, "#restock-words")
    await pressed(pilot, "enter")
    await pressed(pilot, "1")
    assert lines(pilot)[0] == ("·", "4*", "MTR-L")
    assert lines(pilot)[-1] == ("–", "2", "MTR-R")


async def test_another_lot_asks_for_a_reason(pilot: Pilot[None], path: Path):
    await opened(pilot, "down", "down", "l")
    assert "B-01-01-1 lot L2: 24, best before 2099-03-01" in asked(pilot)
    await pressed(pilot, "1")
    assert "must go first" in asked(pilot)
    await entered(pilot, "")
    assert "must go first" in asked(pilot), "an empty reason is none"
    await entered(pilot, "case is torn")
    await pressed(pilot, "p")
    await pressed(pilot, "y")
    await until(pilot, lambda: "posted" in message(pilot))
    with Depot.open(path) as depot:
        slip = slips(depot, limit=1)[0]
        assert slip.reason == "case is torn"
        assert ("COLA", "L2") in {(x.part_number, x.lot) for x in slip_lines(depot, slip.id)}


async def test_one_key_posts_one_checkout_promises_and_writes_the_slip(pilot: Pilot[None], path: Path):
    await opened(pilot, "p")
    assert "Post 3 lines onto VAN2?" in asked(pilot)
    await pressed(pilot, "y")
    await until(pilot, lambda: "posted" in message(pilot))
    with Depot.open(path) as depot:
        slip = slips(depot, limit=1)[0]
        assert (slip.kind, slip.lines, slip.operator) == ("checkout", 3, "OP")
        van = the_place(depot, "VAN2")
        assert on_hand(depot, the_item(depot, "FUSE").id, van) == 10
        assert [(x.part_number, x.due) for x in owed(depot, van=van.id)] == [("MTR-R", 2)]
    assert "1 short, now promised" in message(pilot)
    assert (path.parent / "papers" / f"pick-slip-{slip.id}.pdf").read_bytes()[:5] == b"%PDF-"
    assert screen(pilot).sheet is None and screen(pilot).left_draft() is None


async def test_some_ticked_asks_whether_the_others_go_too(pilot: Pilot[None], path: Path):
    await opened(pilot, "space", "p")
    assert "Only the 1 ticked" in asked(pilot)
    await pressed(pilot, "2")
    await until(pilot, lambda: "posted" in message(pilot))
    with Depot.open(path) as depot:
        assert slips(depot, limit=1)[0].lines == 1


async def test_another_terminal_took_the_last_one(pilot: Pilot[None], path: Path):
    await opened(pilot)
    await entered(pilot, "5")
    await pressed(pilot, "escape", "p")
    with Depot.open(path) as depot:  # between the question and its answer
        transfer(depot, the_operator(depot), "checkout", [Keyed("FUSE", "40", "A-01-03-1", "VAN1")])
        before = slip_head(depot, 2) is not None
    await pressed(pilot, "1")
    await until(pilot, lambda: "Nothing was posted" in message(pilot))
    assert "A-01-03-1 has no FUSE left: another terminal took the last" in message(pilot)
    assert lines(pilot)[0] == ("✓", "5*", "MTR-L"), "what was keyed is kept"
    assert ("?", "10", "FUSE") in lines(pilot)
    with Depot.open(path) as depot:
        assert before and slips(depot, limit=1)[0].lines == 1


async def test_a_change_elsewhere_is_told_as_it_happens(pilot: Pilot[None], path: Path):
    await opened(pilot)
    with Depot.open(path) as depot:
        transfer(depot, the_operator(depot), "checkout", [Keyed("FUSE", "34", "A-01-03-1", "VAN1")])
    pilot.app.look()
    await until(pilot, lambda: "A-01-03-1 has 6 FUSE left of 40" in message(pilot))


async def test_a_restock_left_unfinished_is_offered_again(path: Path):
    app = PartsbinApp(path, "OP")
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, "f4")
        await until(pilot, lambda: isinstance(front(pilot), Restock))
        await opened(pilot)
        await entered(pilot, "4")
    app = PartsbinApp(path, "OP")
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, "f4")
        assert "The restock of VAN2 was begun and not posted" in asked(pilot)
        await pressed(pilot, "y")
        await until(pilot, lambda: screen(pilot).sheet is not None)
        assert lines(pilot)[0] == ("✓", "4*", "MTR-L")
    app = PartsbinApp(path, "OP")
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, "f4")
        await pressed(pilot, "n")
        assert screen(pilot).left_draft() is None


async def test_going_to_another_van_keeps_what_was_done(pilot: Pilot[None]):
    await opened(pilot, "space", "v")
    await entered(pilot, "VAN1")
    await pressed(pilot, "v")
    await entered(pilot, "VAN2")
    assert lines(pilot)[0][0] == "✓"


async def test_the_pick_list_goes_on_paper_before_posting(pilot: Pilot[None], path: Path):
    await opened(pilot, "w")
    await until(pilot, lambda: "not posted yet" in message(pilot))
    assert (path.parent / "papers" / "pick-list-VAN2.pdf").is_file()


async def test_a_depot_without_vans_says_what_to_do(tmp_path: Path):
    Depot.create(tmp_path / "empty.depot").close()
    app = PartsbinApp(tmp_path / "empty.depot")
    async with app.run_test(size=(80, 24)) as pilot:
        await pressed(pilot, "f4")
        assert "no van yet" in words(pilot, "#restock-head")
        await pressed(pilot, "enter")
        await quiet(pilot)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_lines_fit_the_terminal(path: Path, size: tuple[int, int]):
    app = PartsbinApp(path, "OP")
    async with app.run_test(size=size) as pilot:
        await pressed(pilot, "f4")
        await until(pilot, lambda: isinstance(front(pilot), Restock))
        await opened(pilot)
        assert screen(pilot).picks.virtual_size.width <= size[0]
        assert len([b for b in screen(pilot).active_bindings.values() if b.binding.show and b.enabled]) <= 7


async def test_arrow_keys_walk_from_the_entry_line(pilot: Pilot[None]):
    await pressed(pilot, "up")
    assert screen(pilot).query_one("#vans").key_here == "VAN1"
    await pressed(pilot, "down")
    await opened(pilot, "escape", "down")
    assert screen(pilot).here.pick.item.part_number == "FUSE" and screen(pilot).entry().has_focus
