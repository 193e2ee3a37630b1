"""Bringing a van to par: what is proposed, what is short and promised, what another terminal does meanwhile."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsbin.depot.asks import Asked, keep_request, owed
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.history import slip_head, slip_lines
from partsbin.depot.operators import Operator, the_operator
from partsbin.depot.places import Place, the_place
from partsbin.depot.refusals import BIN_SHORT
from partsbin.depot.stock import on_hand
from partsbin.desk.count_plan import count_plan
from partsbin.desk.posting import Keyed, receive, transfer
from partsbin.desk.restock import Proposal, check_out, propose, van_needs
from partsbin.desk.restock_posting import passed_over, post_sheet, promise_only, serials_at
from partsbin.desk.restock_sheet import Sheet
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

TODAY = "2026-11-25"
FILES = {
    "cautions": """code,word,text,severity,basis
MAINS,DANGER,Mains voltage: unplug first.,1,local code
""",
    "places": """place,kind,name,parent
VAN1,van,North,
VAN2,van,South,
VAN1-D1,drawer,,VAN1
A-02-01-1,bin,,
B-01-01-1,bin,,
""",
    "items": """part_number,description,tracking,home_bin,cautions,superseded_by,substitutes,shelf_life_days
MTR-L,Motor left,quantity,A-01-01-1,MAINS,,,
MTR-R,Motor right,quantity,A-02-01-1,,,MTR-L,
OLD-1,Old board,quantity,A-01-02-1,,NEW-1,,
NEW-1,New board,quantity,A-01-02-1,,,,
COLA,"Cola, case",lot,B-01-01-1,,,,180
RDR,Card reader,serial,A-01-03-1,,,,
""",
    "stock": """part_number,place,lot,quantity,best_before
MTR-L,A-01-01-1,,5,
MTR-L,A-02-01-1,,4,
COLA,B-01-01-1,L0,9,2026-11-20
COLA,B-01-01-1,L1,6,2026-12-20
COLA,B-01-01-1,L2,24,2027-02-01
NEW-1,A-01-02-1,,3,
MTR-R,VAN2,,2,
""",
    "setpoints": """part_number,place,reorder_point,order_up_to
MTR-L,VAN1,1,2
MTR-R,VAN1,1,2
COLA,VAN1,5,10
OLD-1,VAN1,0,1
""",
}


@pytest.fixture
def depot(tmp_path: Path):
    with Depot.create(tmp_path / "van.depot") as made:
        job = Import(made, the_operator(made))
        for kind, text in FILES.items():
            path = tmp_path / f"{kind}.csv"
            path.write_text(text)
            import_file(job, kind, path)
        receive(made, job.operator, [Keyed("RDR", "1", target="A-01-03-1", serial=serial) for serial in ("S1", "S2")])
        yield made


@pytest.fixture
def desk(depot: Depot) -> Operator:
    return the_operator(depot)


@pytest.fixture
def van(depot: Depot) -> Place:
    return the_place(depot, "VAN1")


def taken(proposal: Proposal) -> list[tuple[str, str, str, int]]:
    return [(p.source.code, p.item.part_number, p.lot, p.quantity) for p in proposal.picks]


def test_lines_come_in_walking_order_dated_lots_oldest_first_and_never_past_their_date(depot: Depot, van: Place):
    proposal = propose(depot, van, TODAY)
    assert taken(proposal) == [
        ("A-01-01-1", "MTR-L", "", 2),
        ("B-01-01-1", "COLA", "L1", 6),
        ("B-01-01-1", "COLA", "L2", 4),
    ]
    assert [c.code for c in proposal.picks[0].cautions] == ["MAINS"]
    assert (proposal.picks[0].par, proposal.picks[0].aboard, proposal.picks[0].there) == (2, 0, 5)


def test_bays_are_walked_up_one_aisle_and_down_the_next(depot: Depot, van: Place, desk: Operator, tmp_path: Path):
    path = tmp_path / "stock.csv"
    path.write_text("part_number,place,quantity\nMTR-R,B-01-01-1,1\nNEW-1,B-05-01-1,1\nMTR-L,A-03-01-1,1\n")
    places = tmp_path / "places.csv"
    places.write_text("place,kind\nB-05-01-1,bin\nA-03-01-1,bin\n")
    job = Import(depot, desk)
    import_file(job, "places", places)
    import_file(job, "stock", path)
    picks = propose(depot, van, TODAY).picks
    walked = [p.source.code for p in picks]
    assert walked == sorted(walked, key=lambda code: (code[0], int(code[2:4]) if code[0] == "A" else -int(code[2:4])))


def test_short_lines_say_where_else_it_is_and_what_goes_instead(depot: Depot, van: Place):
    missing = {m.item.part_number: m for m in propose(depot, van, TODAY).missing}
    assert missing["MTR-R"].quantity == 2
    assert missing["MTR-R"].elsewhere == (("VAN2", 2),)
    assert missing["MTR-R"].instead == (("MTR-L", 9),)
    assert missing["OLD-1"].instead == (("NEW-1", 3),)  # the successor


def test_a_van_at_par_wants_nothing(depot: Depot):
    empty = propose(depot, the_place(depot, "VAN2"), TODAY)
    assert empty.picks == () and empty.missing == ()
    assert [(need.van.code, need.lines) for need in van_needs(depot)] == [("VAN1", 4), ("VAN2", 0)]


def test_posting_brings_the_van_to_par_and_promises_what_was_short(depot: Depot, van: Place, desk: Operator):
    proposal = propose(depot, van, TODAY)
    slip = check_out(depot, desk, van, proposal.picks, proposal.missing)
    assert slip_head(depot, slip).kind == "checkout"
    assert on_hand(depot, the_item(depot, "COLA").id, van) == 10
    assert {line.part_number: line.due for line in owed(depot, van=van.id)} == {"MTR-R": 2, "OLD-1": 1}
    again = propose(depot, van, TODAY)
    assert again.picks == ()
    assert all(m.request_line for m in again.missing), "what is promised already is not promised twice"


def test_a_promise_for_the_van_counts_towards_its_par_and_one_for_a_job_comes_on_top(
    depot: Depot, van: Place, desk: Operator
):
    motor = the_item(depot, "MTR-L").id
    keep_request(depot, "one motor", [Asked("motor", motor, 1, promised=True)], operator=desk, van=van.id)
    keep_request(depot, "for J7", [Asked("motor", motor, 3, promised=True)], operator=desk, van=van.id, job="J7")
    picks = [p for p in propose(depot, van, TODAY).picks if p.item.id == motor]
    assert sum(p.quantity for p in picks if not p.job) == 2, "par 2, of which 1 was promised"
    assert sum(p.quantity for p in picks if p.job == "J7") == 3
    check_out(depot, desk, van, picks)
    assert owed(depot, van=van.id) == []


def test_short_at_one_restock_is_made_good_by_the_next_without_passing_par(
    depot: Depot, van: Place, desk: Operator, tmp_path: Path
):
    first = propose(depot, van, TODAY)
    check_out(depot, desk, van, first.picks, first.missing)
    path = tmp_path / "more.csv"
    path.write_text("part_number,place,quantity\nMTR-R,A-02-01-1,9\n")
    import_file(Import(depot, desk), "stock", path)
    second = propose(depot, van, TODAY)
    check_out(depot, desk, van, second.picks, second.missing)
    assert on_hand(depot, the_item(depot, "MTR-R").id, van) == 2
    assert "MTR-R" not in {line.part_number for line in owed(depot, van=van.id)}


def test_a_drawers_par_is_filled_in_the_drawer(depot: Depot, van: Place, desk: Operator, tmp_path: Path):
    path = tmp_path / "points.csv"
    path.write_text("part_number,place,reorder_point,order_up_to\nNEW-1,VAN1-D1,0,2\n")
    import_file(Import(depot, desk), "setpoints", path)
    pick = next(p for p in propose(depot, van, TODAY).picks if p.item.part_number == "NEW-1")
    assert (pick.target.code, pick.quantity) == ("VAN1-D1", 2)


def sheet_of(depot: Depot, van: Place) -> Sheet:
    return Sheet(propose(depot, van, TODAY), TODAY)


def test_more_than_the_bin_has_is_refused_with_where_else_it_is(depot: Depot, van: Place):
    sheet = sheet_of(depot, van)
    with pytest.raises(Refused, match=r"A-01-01-1 has 5 of MTR-L to take, not 7\. Elsewhere: A-02-01-1 has 4"):
        sheet.set_take(depot, sheet.lines[0], 7)
    assert sheet.lines[0].take == 2
    sheet.set_take(depot, sheet.lines[0], 5)
    assert (sheet.lines[0].take, sheet.lines[0].mark) == (5, "picked")


def test_a_bin_that_holds_less_sends_to_the_next_bin_and_to_the_count_plan(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    line = sheet.lines[0]
    sheet.set_take(depot, line, 0)
    added = sheet.bin_is_short(depot, line)
    assert [(x.pick.source.code, x.take) for x in added] == [("A-02-01-1", 2)]
    post_sheet(depot, desk, sheet)
    found = depot.one("SELECT what, message FROM refusals")
    assert found["what"] == BIN_SHORT and found["message"] == "A-01-01-1: 5 MTR-L in the file, 0 found"
    first = count_plan(depot).lines[0]
    assert (first.part_number, first.place, first.why) == ("MTR-L", "A-01-01-1", "1 pick that found less")


def test_what_no_bin_has_is_promised(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    assert sheet.add(depot, the_item(depot, "NEW-1"), 5)[0].take == 3
    assert [(m.item.part_number, m.quantity) for m in sheet.more_missing] == [("NEW-1", 2)]
    sheet.add(depot, the_item(depot, "NEW-1"), 1)
    assert sheet.more_missing[0].quantity == 3
    post_sheet(depot, desk, sheet)
    assert {x.part_number: x.due for x in owed(depot, van=van.id)}["NEW-1"] == 3


def test_another_lot_needs_a_reason_that_stands_on_the_slip(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    cola = sheet.lines[1]
    younger = next(h for h in _lots(depot) if h.lot == "L2")
    with pytest.raises(Refused, match="Lot L1 .* must go first"):
        sheet.other_lot(depot, cola, younger, "")
    sheet.other_lot(depot, cola, younger, "L1 is damaged")
    assert (cola.pick.lot, cola.take) == ("L2", 6)
    slip = post_sheet(depot, desk, sheet)
    assert slip_head(depot, slip).reason == "L1 is damaged"
    assert {x.lot for x in slip_lines(depot, slip) if x.part_number == "COLA"} == {"L2"}


def _lots(depot: Depot):
    from partsbin.desk.restock import on_shelf

    return on_shelf(depot, the_item(depot, "COLA").id, TODAY)


def test_skipping_the_older_lot_is_noticed(depot: Depot, van: Place):
    sheet = sheet_of(depot, van)
    assert passed_over(depot, sheet) == []
    sheet.lines[1].mark = "skipped"
    assert "6 of COLA lot L1 (2026-12-20) stay in B-01-01-1" in passed_over(depot, sheet)[0]


def test_changes_come_back_after_a_restart(depot: Depot, van: Place):
    sheet = sheet_of(depot, van)
    sheet.set_take(depot, sheet.lines[0], 4)
    sheet.lines[2].mark = "skipped"
    sheet.add(depot, the_item(depot, "NEW-1"), 2)
    sheet.not_promised.add(sheet.missing[0].key)
    back = sheet_of(depot, van)
    assert back.apply(depot, sheet.edits()) == []
    assert [(x.pick.item.part_number, x.take, x.mark) for x in back.lines] == [
        (x.pick.item.part_number, x.take, x.mark) for x in sheet.lines
    ]
    assert back.edits() == sheet.edits() and back.edited


def test_another_terminal_taking_the_last_is_told_before_posting(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    sheet.set_take(depot, sheet.lines[0], 4)
    _hand_over(depot, desk, "MTR-L", "5", "A-01-01-1")
    _hand_over(depot, desk, "MTR-L", "4", "A-02-01-1")
    before = depot.value("SELECT count(*) FROM slips")
    with pytest.raises(Refused, match="A-01-01-1 has no MTR-L left: another terminal took the last"):
        post_sheet(depot, desk, sheet)
    assert depot.value("SELECT count(*) FROM slips") == before
    told = sheet.renew(depot, propose(depot, van, TODAY))
    assert told and sheet.line(sheet.lines[0].key).pick.item.part_number == "COLA"
    assert "MTR-L" in {m.item.part_number for m in sheet.missing}


def test_a_quantity_keyed_shrinks_to_what_is_left(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    sheet.set_take(depot, sheet.lines[0], 5)
    _hand_over(depot, desk, "MTR-L", "2", "A-01-01-1")
    told = sheet.renew(depot, propose(depot, van, TODAY))
    assert told == ["A-01-01-1 now has 3 of MTR-L, you had keyed 5."]
    assert (sheet.lines[0].take, sheet.lines[0].mark) == (3, "picked")


def test_a_van_restocked_meanwhile_is_not_restocked_twice(depot: Depot, van: Place, desk: Operator):
    mine, theirs = sheet_of(depot, van), sheet_of(depot, van)
    post_sheet(depot, desk, theirs)
    with pytest.raises(Refused, match="no longer needs it"):
        post_sheet(depot, desk, mine)


def _hand_over(depot: Depot, desk: Operator, part: str, quantity: str, source: str) -> None:
    transfer(depot, desk, "checkout", [Keyed(part, quantity, source, "VAN2")])


def test_only_the_ticked_lines_go_when_asked(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    sheet.lines[0].mark = "picked"
    slip = post_sheet(depot, desk, sheet, only_ticked=True)
    assert [x.part_number for x in slip_lines(depot, slip)] == ["MTR-L"]


def test_serial_numbers_named_go_with_their_units(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    line = sheet.add(depot, the_item(depot, "RDR"), 2)[0]
    known = {serial: number for number, serial in serials_at(depot, line.pick)}
    assert sorted(known) == ["S1", "S2"]
    line.serials = [known["S2"]]
    slip = post_sheet(depot, desk, sheet)
    assert sorted(x.serial for x in slip_lines(depot, slip) if x.part_number == "RDR") == ["", "S2"]
    assert [serial for _, serial in serials_at(depot, line.pick)] == ["S1"]


def test_nothing_to_pick_still_promises(depot: Depot, van: Place, desk: Operator):
    sheet = sheet_of(depot, van)
    for line in sheet.lines:
        line.mark = "skipped"
    sheet.not_promised.add(next(m.key for m in sheet.missing if m.item.part_number == "OLD-1"))
    promise_only(depot, desk, sheet)
    assert [x.part_number for x in owed(depot, van=van.id)] == ["MTR-R"]
