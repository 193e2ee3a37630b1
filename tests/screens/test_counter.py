"""The Counter at 80x24: words, scans, choosing, handing over, learning."""

from __future__ import annotations

import asyncio
import shutil
from datetime import date
from pathlib import Path

import pytest

from partsbin.codes import encode_case
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk.demo import furnish
from partsbin.desk.posting import Keyed, receive, transfer
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file
from partsbin.screens.app import PartsbinApp
from partsbin.screens.base import Lines
from tests.commands.conftest import ITEMS, PLACES


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The depot as it is before every test, made once."""
    tmp_path = tmp_path_factory.mktemp("depot")
    (tmp_path / "items.csv").write_text(ITEMS)
    (tmp_path / "places.csv").write_text(PLACES)
    with Depot.create(tmp_path / "s.depot") as depot:
        furnish(depot)
        job = Import(depot, the_operator(depot))
        import_file(job, "items", tmp_path / "items.csv")
        import_file(job, "places", tmp_path / "places.csv")
        lines = [Keyed("MTR-24-L", "5", target="A-01-01-1"), Keyed("SPC-6-L", "30", target="A-01-02-1")]
        receive(depot, job.operator, lines)
    return tmp_path / "s.depot"


@pytest.fixture
def path(template: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(template, tmp_path))


async def settled(pilot) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def entered(pilot, text: str) -> None:
    pilot.app.front.entry().value = text
    pilot.app.front.entry().focus()
    await pilot.press("enter")
    await settled(pilot)


def message(app: PartsbinApp) -> str:
    return str(app.front.query_one("#message").render())


async def test_words_sent_in_a_burst_are_read_as_words(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.scan("MTR-24-L x4")
        await pilot.pause()
        await settled(pilot)
        assert [(line.item_id, line.quantity) for line in app.front.slate.lines] == [(1, 4)]


async def test_the_scan_of_a_van_answers_which_van(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "MTR-24-L x2")
        await pilot.press("c")
        await pilot.pause()
        app.scan("MTR-24-L")
        await pilot.pause()
        assert "none of these" in str(app.screen.query_one(".hint").render())
        app.scan("VAN1")
        await pilot.pause()
        await settled(pilot)
        assert "1 line to VAN1" in message(app)


async def test_a_request_becomes_lines_and_a_checkout(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "van 1: MTR-24-L x2, SPC-6-L x4")
        counter = app.front
        assert [(line.item_id, line.quantity) for line in counter.slate.lines] == [(1, 2), (3, 4)]
        assert counter.slate.van.code == "VAN1"
        await pilot.press("c")
        await settled(pilot)
        assert "2 lines to VAN1" in message(app)
        assert counter.slate.lines == []
    with Depot.open(path) as depot:
        held = depot.all(
            "SELECT item_id, quantity FROM stock WHERE place_id = (SELECT id FROM places WHERE code='VAN1')"
        )
        assert {tuple(row) for row in held} == {(1, 2), (3, 4)}
        assert depot.value("SELECT count(*) FROM request_lines WHERE status = 'supplied'") == 2


async def test_what_is_not_there_stays_promised(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "van 2: MTR-24-L x7")
        await pilot.press("c")
        await settled(pilot)
        assert "Promised for later: 2 MTR-24-L" in message(app)


async def test_a_line_that_is_not_sure_is_not_handed_over_until_the_desk_chooses(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "a 24 volt motor")
        counter = app.front
        assert counter.slate.lines[0].answer.status == "ask"
        assert counter.slate.settled() == []
        for key in ("c", "j", "p"):  # told at once, not after a van or a job was asked for
            await pilot.press(key)
            await settled(pilot)
            assert app.front is counter
            assert "settle the lines first" in message(app)
        second = counter.slate.lines[0].answer.candidates[1].item_id
        await pilot.press("2")
        assert [wanted.item_id for wanted in counter.slate.settled()] == [second]
        assert "settle the lines first" not in message(app)
        await pilot.press("p")
        await settled(pilot)
        assert "1 line promised" in message(app)
    with Depot.open(path) as depot:
        assert depot.value("SELECT item_id FROM item_words WHERE source = 'learned'") == second


async def test_scanning_bin_item_item_van_hands_over_without_a_key(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for code in ("A010101", "MTR-24-L", "MTR-24-L", "VAN1"):
            app.scan(code)
            await pilot.pause()
            await settled(pilot)
        await settled(pilot)
        assert "1 line to VAN1" in message(app)
    with Depot.open(path) as depot:
        sql = "SELECT quantity FROM stock WHERE place_id = (SELECT id FROM places WHERE code = 'VAN1')"
        assert depot.value(sql) == 2


async def test_what_is_entered_while_the_catalogue_is_read_is_not_lost_nor_the_typing_interrupted(path: Path) -> None:
    app, gate, reading = PartsbinApp(path), asyncio.Event(), PartsbinApp.the_finder

    async def slow():
        await gate.wait()
        return await reading(app)

    app.the_finder = slow
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for text in ("MTR-24-L x2", "SPC-6-L x4"):
            app.front.entry().value = text
            await pilot.press("enter")
        await pilot.press(*"nx")
        gate.set()
        await settled(pilot)
        assert [(line.item_id, line.quantity) for line in app.front.slate.lines] == [(1, 2), (3, 4)]
        assert app.focused is app.front.entry()
        assert app.front.entry().value == "nx"


async def test_a_scanned_case_is_as_many_as_it_holds(path: Path) -> None:
    with Depot.open(path) as depot, depot.write():
        item = depot.value("SELECT id FROM items WHERE part_number = 'COLA-24'")
        depot.run("INSERT INTO item_gtins (item_id, gtin, quantity) VALUES (?, '09521234543213', 24)", (item,))
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for code in ("9521234543213", encode_case("COLA-24", "L1", date(2030, 1, 31), 24)):
            app.scan(code)
            await pilot.pause()
            await settled(pilot)
        assert [line.quantity for line in app.front.slate.lines] == [48]


async def test_hostile_words_are_shown_as_they_are(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "[/x] two [red]left motors[/red] ‮ '; DROP TABLE items;--")
        assert app.is_running
        await entered(pilot, "\x1b[31mboard\x07")
        assert app.is_running


async def test_half_entered_work_is_offered_again(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "MTR-24-L x2")
        await entered(pilot, "SPC-6-L x4")
    again = PartsbinApp(path)
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "“MTR-24-L x2” and what came after it stood here" in message(again)
        await entered(pilot, "")
        assert [(line.item_id, line.quantity) for line in again.front.slate.lines] == [(1, 2), (3, 4)]


async def test_what_was_settled_about_half_entered_work_comes_back_with_it(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "van 1: MTR-24-L x2, SPC-6-L x4, a 24 volt motor")
        second = app.front.slate.lines[2].answer.candidates[1].item_id
        await pilot.press("x", "down", "2")
        assert [(line.item_id, line.quantity) for line in app.front.slate.lines] == [(3, 4), (second, 1)]
    again = PartsbinApp(path)
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "")
        slate = again.front.slate
        assert [(line.item_id, line.quantity, line.chosen) for line in slate.lines] == [
            (3, 4, False),
            (second, 1, True),
        ]
        assert slate.van.code == "VAN1"
        assert len(slate.settled()) == 2


async def test_what_is_typed_and_not_yet_entered_stands_in_the_line_again(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.front.entry().focus()
        await pilot.press(*"two left")
        await pilot.pause(0.6)
        with Depot.open(path) as depot:
            assert depot.value("SELECT body FROM drafts") == '"two left"'
    again = PartsbinApp(path)
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert again.front.entry().value == "two left"
        await pilot.press("enter")
        await pilot.pause(0.6)
        with Depot.open(path) as depot:
            assert not depot.value("SELECT count(*) FROM drafts WHERE key LIKE 'counter line:%'")


async def test_what_is_entered_is_kept_while_the_catalogue_is_still_read(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "MTR-24-L x2")
        hold, finder = asyncio.Event(), app.finder

        async def reading() -> object:
            await hold.wait()
            return finder

        app.the_finder = reading
        app.front.entry().value = "SPC-6-L x4"
        app.front.entry().focus()
        await pilot.press("enter")
        await pilot.pause()
        with Depot.open(path) as depot:
            assert '"unread": ["SPC-6-L x4"]' in depot.value("SELECT body FROM drafts")
        hold.set()
        await settled(pilot)
        with Depot.open(path) as depot:
            assert "unread" not in depot.value("SELECT body FROM drafts")


async def test_what_is_posted_is_not_offered_again_though_the_program_ends_at_that_moment(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "van 1: SPC-6-L x2, a 24 volt motor")
        app.front._finished = lambda _words: asyncio.sleep(0)  # as if killed with the slip posted, nothing told yet
        await pilot.press("c")
        await settled(pilot)
    again = PartsbinApp(path)
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "")
        assert [line.text for line in again.front.slate.lines] == ["a 24 volt motor"]


async def test_another_terminals_posting_shows_within_two_seconds(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "MTR-24-L x2")
        with Depot.open(path) as other:
            receive(other, the_operator(other), [Keyed("MTR-24-L", "4")])
        app.look()
        await pilot.pause()
        assert str(app.front.query_one("#asked", Lines).get_row_at(0)[4]) == "A-01-01-1:9"


async def test_what_another_terminal_took_is_told_before_anything_is_posted(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "van 1: MTR-24-L x4")
        with Depot.open(path) as other:
            transfer(other, the_operator(other), "checkout", [Keyed("MTR-24-L", "3", "A-01-01-1", "VAN2")])
            slips = other.value("SELECT max(id) FROM slips")
            await pilot.press("c")
            await settled(pilot)
            assert "MTR-24-L: 2 left of 5, another terminal took the rest. Nothing was posted" in message(app)
            assert other.value("SELECT max(id) FROM slips") == slips
        app.look()
        await pilot.pause()
        await pilot.press("c")
        await settled(pilot)
        assert "1 line to VAN1. Promised for later: 2 MTR-24-L" in message(app)


async def test_every_screen_opens_on_an_empty_depot_and_explains_itself(tmp_path: Path) -> None:
    Depot.create(tmp_path / "e.depot").close()
    app = PartsbinApp(tmp_path / "e.depot")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for key in ("f3", "f4", "f5", "f6", "f8", "f9", "f2"):
            await pilot.press(key)
            await settled(pilot)
            assert len(app.front.HELP) > 100
            await pilot.press("f1")
            await pilot.press("escape")


async def test_history_takes_a_slip_back(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("f8")
        await settled(pilot)
        await entered(pilot, "receipt")
        await pilot.press("r")
        await pilot.pause()
        await pilot.press(*"wrong", "enter")
        await settled(pilot)
        assert "Slip 1 was taken back by slip 2" in message(app)


async def test_history_begins_at_what_was_posted_since_it_was_left(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("f8", "f2")
        await settled(pilot)
        with Depot.open(path) as other:
            transfer(other, the_operator(other), "checkout", [Keyed("MTR-24-L", "1", target="VAN1")])
        await pilot.press("f8")
        await settled(pilot)
        assert app.front.query_one("#slips", Lines).key_here == "2"


async def test_items_edits_a_field_and_refuses_a_wrong_one(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("f9")
        await settled(pilot)
        await entered(pilot, "SPC-6-L")
        await pilot.press("s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press(*"4 9", "enter")
        await settled(pilot)
        assert "reorder at 4, up to 9" in message(app)
    with Depot.open(path) as depot:
        assert depot.value("SELECT order_up_to FROM set_points") == 9


async def test_what_a_bin_holds_stays_on_screen_and_follows_what_others_post(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "A-01-02-1")
        words = app.front.query_one("#words")
        assert "30  SPC-6-L" in str(words.render())
        with Depot.open(path) as other:
            receive(other, the_operator(other), [Keyed("SPC-6-L", "7", target="A-01-02-1")])
        app.look()
        await settled(pilot)
        assert "37  SPC-6-L" in str(words.render())
        await entered(pilot, "MTR-24-L x2")
        assert "holds" not in str(words.render())


async def test_what_was_left_and_what_was_half_typed_behind_it_are_read_together(path: Path) -> None:
    app = PartsbinApp(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await entered(pilot, "MTR-24-L x2")
        await pilot.press("escape", *"SPC", "f10")
    again = PartsbinApp(path)
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert "Enter reads it and what was half typed" in message(again)
        assert again.front.entry().value == "SPC"
        await pilot.press(*"-6-L x4", "enter")
        await settled(pilot)
        assert [(line.item_id, line.quantity) for line in again.front.slate.lines] == [(1, 2), (3, 4)]
