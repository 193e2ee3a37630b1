"""Set points from the ledger: proposed with their sums, accepted with who and when, honest on poor history."""

from __future__ import annotations

from datetime import date, timedelta
from math import isnan
from pathlib import Path

import pytest

from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place, outside, the_place
from partsbin.depot.setpoints import SetPoint, set_point, set_points_of
from partsbin.desk.count_plan import accuracy, count_plan, value_classes
from partsbin.desk.plan import accept, propose, what_if
from partsbin.desk.plan_history import history_of
from partsbin.desk.plan_paper import write_plan
from partsbin.desk.van_plan import accept_kit, propose_kit
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

TODAY = date(2026, 11, 25)
ITEMS = """part_number,description,supplier,cost,lead_time_days,pack_size,disposition,shelf_life_days,superseded_by
STEADY,Vend motor,Acme,20,7,1,consumable,,
LUMPY,Board,Acme,100,14,1,core,,
DEAD,Old relay,Acme,5,7,10,consumable,,
NEW,New relay,Acme,5,7,10,consumable,,
OLD-STEADY,Vend motor old,Acme,18,7,1,consumable,,STEADY
NOBODY,No supplier,,,,1,consumable,,
KEY,Lock cylinder,Acme,9,7,1,controlled,,
"""


@pytest.fixture
def depot(tmp_path: Path):
    """Forty weeks: STEADY two a week (the first ten under its old number), LUMPY twelve at once, DEAD long ago."""
    (tmp_path / "i.csv").write_text(ITEMS)
    with Depot.create(tmp_path / "p.depot") as made:
        job = Import(made, the_operator(made))
        import_file(job, "items", tmp_path / "i.csv")
        for code, kind in (("A-01-01-1", "bin"), ("VAN1", "van")):
            add_place(made, code, kind)
        fill(made)
        yield made


def fill(depot: Depot) -> None:
    ids = {row["part_number"]: row["id"] for row in depot.all("SELECT id, part_number FROM items")}
    bin_, van = the_place(depot, "A-01-01-1").id, the_place(depot, "VAN1").id
    supplier, job, operator = outside(depot, "supplier").id, outside(depot, "job").id, the_operator(depot)
    start = TODAY - timedelta(days=TODAY.weekday(), weeks=40)

    def book(day: date, kind: str, part: str, source: int, target: int, quantity: int, reference: str = "") -> None:
        line = Line(ids[part], source, target, quantity)
        post(depot, kind, [line], operator=operator, at=f"{day}T10:00:00Z", reference=reference)

    with depot.write():
        for part in ("STEADY", "OLD-STEADY", "LUMPY", "DEAD", "KEY", "NOBODY"):
            book(start, "receipt", part, supplier, bin_, 150)
            book(start, "checkout", part, bin_, van, 120)
        for week in range(40):
            day = start + timedelta(weeks=week, days=2)
            book(day, "issue", "OLD-STEADY" if week < 10 else "STEADY", van, job, 2, f"J{week}")
            if week in (5, 25):
                book(day, "issue", "LUMPY", van, job, 12, f"J{week}")
            if week < 2:
                book(day, "issue", "DEAD", van, job, 3, f"J{week}")
            if week % 8 == 0:
                book(day, "issue", "KEY", van, job, 1, f"J{week}")
                book(day, "issue", "NOBODY", van, job, 1, f"J{week}")


def by_part(planned):
    return {one.part_number: one.proposal for one in planned}


def test_history_carries_the_old_number_and_knows_what_it_does_not_know(depot: Depot) -> None:
    rows = depot.all("SELECT id FROM items WHERE superseded_by IS NULL ORDER BY part_number")
    names = [
        row["part_number"]
        for row in depot.all("SELECT part_number FROM items WHERE superseded_by IS NULL ORDER BY part_number")
    ]
    history = history_of(depot, rows, TODAY)
    assert history.shape == (6, 40)
    assert history[names.index("STEADY")].tolist() == [2.0] * 40
    assert all(isnan(value) for value in history[names.index("NEW")])


def test_quiet_weeks_of_an_old_number_are_known_to_its_successor(depot: Depot) -> None:
    ids = {row["part_number"]: row["id"] for row in depot.all("SELECT id, part_number FROM items")}
    depot.run("UPDATE items SET superseded_by = ? WHERE id = ?", (ids["NEW"], ids["LUMPY"]))
    line = Line(ids["NEW"], outside(depot, "supplier").id, the_place(depot, "A-01-01-1").id, 5)
    post(depot, "receipt", [line], operator=the_operator(depot), at="2026-11-20T10:00:00Z")
    (history,) = history_of(depot, depot.all("SELECT id FROM items WHERE part_number = 'NEW'"), TODAY)
    assert history.tolist() == [12.0 if week in (5, 25) else 0.0 for week in range(40)]


def test_a_week_without_any_stock_is_unknown_not_zero(depot: Depot) -> None:
    item = depot.value("SELECT id FROM items WHERE part_number = 'LUMPY'")
    line = [
        Line(item, the_place(depot, "VAN1").id, outside(depot, "scrap").id, 96),
        Line(item, the_place(depot, "A-01-01-1").id, outside(depot, "scrap").id, 30),
    ]
    post(depot, "correction", line, operator=the_operator(depot), reason="x", at="2026-10-12T10:00:00Z")
    rows = depot.all("SELECT id FROM items WHERE part_number = 'LUMPY'")
    history = history_of(depot, rows, TODAY)
    assert [isnan(value) for value in history[0, -5:]] == [True] * 5
    assert not isnan(history[0, -8])


def test_every_item_gets_an_answer_or_a_question(depot: Depot) -> None:
    planned = by_part(propose(depot, TODAY))
    assert planned["STEADY"].weekly_demand == pytest.approx(2, rel=0.15)
    assert planned["STEADY"].protection_weeks == pytest.approx(2)
    assert planned["LUMPY"].demand_class in ("lumpy", "intermittent")
    assert planned["DEAD"].reorder_point <= 1
    assert any("lasts over a year" in question for question in planned["DEAD"].questions)
    assert planned["NOBODY"].questions
    assert "OLD-STEADY" not in planned
    assert all(one.words for one in propose(depot, TODAY))


def test_a_price_break_too_far_off_leaves_the_plain_cost(depot: Depot) -> None:
    depot.run(
        "UPDATE item_suppliers SET price_breaks = '60:19.90|5000:1' "
        "WHERE item_id = (SELECT id FROM items WHERE part_number = 'STEADY')"
    )
    steady = by_part(propose(depot, TODAY))["STEADY"]
    assert steady.unit_cost == 2000
    assert steady.order_quantity < 30
    depot.run("UPDATE item_suppliers SET price_breaks = '60:10|5000:1' WHERE price_breaks <> ''")
    cheaper = by_part(propose(depot, TODAY))["STEADY"]
    assert (cheaper.unit_cost, cheaper.order_quantity) == (1000, 60)


def test_accepting_some_keeps_who_when_why_and_what_was_before(depot: Depot) -> None:
    desk = the_operator(depot)
    item = depot.value("SELECT id FROM items WHERE part_number = 'STEADY'")
    set_point(depot, SetPoint(item, outside(depot, "shelf").id, 1, 2), desk)
    set_point(depot, SetPoint(item, the_place(depot, "A-01-01-1").id, 7, 9), desk)
    chosen = [one for one in propose(depot, TODAY) if one.part_number == "STEADY"]
    assert accept(depot, desk, chosen) == 1
    (point,) = set_points_of(depot, item)
    assert (point.source, point.reorder_point) == ("planned", chosen[0].proposal.reorder_point)
    assert "a week" in point.explanation
    assert tuple(depot.one("SELECT reorder_point, order_up_to FROM set_point_history")) == (1, 2)
    assert accept(depot, desk, [one for one in propose(depot, TODAY) if one.part_number == "STEADY"]) == 0


def test_a_higher_target_costs_more_stock_and_fewer_shortages(depot: Depot) -> None:
    points = what_if(depot, (0.8, 0.95, 0.99), TODAY)
    assert [p.stock_money for p in points] == sorted(p.stock_money for p in points)
    assert [p.short_a_year for p in points] == sorted((p.short_a_year for p in points), reverse=True)


def test_the_plan_on_paper_says_its_sums(depot: Depot, tmp_path: Path) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    write_plan(depot, propose(depot, TODAY), what_if(depot, (0.9, 0.95), TODAY), tmp_path / "p.pdf")
    text = "".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(tmp_path / "p.pdf"))
    assert "STEADY" in text
    assert "95%" in text


@pytest.mark.parametrize("weeks", [0, 1, 2])
def test_a_ledger_of_days_is_planned_without_a_crash(tmp_path: Path, weeks: int) -> None:
    (tmp_path / "i.csv").write_text(ITEMS)
    with Depot.create(tmp_path / "n.depot") as made:
        import_file(Import(made, the_operator(made)), "items", tmp_path / "i.csv")
        add_place(made, "A-01-01-1", "bin")
        if weeks:
            line = Line(1, outside(made, "supplier").id, the_place(made, "A-01-01-1").id, 5)
            when = TODAY - timedelta(weeks=weeks)
            post(made, "receipt", [line], operator=the_operator(made), at=f"{when}T10:00:00Z")
        planned = propose(made, TODAY)
        assert len(planned) == 6
        assert all(one.proposal.flags or one.proposal.questions for one in planned)


def test_a_van_kit_follows_its_jobs_for_the_money(depot: Depot) -> None:
    van = the_place(depot, "VAN1")
    with pytest.raises(Refused, match="has no par yet"):
        propose_kit(depot, van, day=TODAY)
    kit = propose_kit(depot, van, budget=30_000, day=TODAY)
    assert kit.money <= 30_000
    assert kit.share >= kit.usage_share
    assert "KEY" in kit.left_out
    depot.run("UPDATE items SET weight_g = 900")
    light = propose_kit(depot, van, budget=kit.budget, load=2.0, day=TODAY)
    assert light.weight == 900 * sum(line.new for line in light.lines) <= 2000
    assert light.share < kit.share
    assert accept_kit(depot, the_operator(depot), kit) == len([x for x in kit.lines if x.old != x.new])
    again = propose_kit(depot, van, day=TODAY)
    assert again.old_share == pytest.approx(again.share)


def test_a_van_without_jobs_says_so(depot: Depot) -> None:
    with pytest.raises(Refused, match="did no job"):
        propose_kit(depot, add_place(depot, "VAN9", "van"), budget=100, day=TODAY)


def test_the_count_plan_puts_what_was_caught_out_first(depot: Depot) -> None:
    assert value_classes(depot, TODAY)["LUMPY"] == "A"
    item = depot.value("SELECT id FROM items WHERE part_number = 'DEAD'")
    bin_, van = the_place(depot, "A-01-01-1").id, the_place(depot, "VAN1").id
    with pytest.raises(Refused):
        post(depot, "checkout", [Line(item, bin_, van, 999)], operator=the_operator(depot))
    first = count_plan(depot, TODAY).lines[0]
    assert (first.part_number, first.place) == ("DEAD", "A-01-01-1")
    assert "refused" in first.why
    assert accuracy(depot, TODAY).counted == 0
    held = [value_classes(depot, TODAY)[part] for part in ("STEADY", "OLD-STEADY", "LUMPY", "DEAD", "KEY", "NOBODY")]
    a_year = {"A": 12, "B": 4, "C": 1}
    assert count_plan(depot, TODAY).a_day == pytest.approx(2 * sum(a_year[name] for name in held) / 250)  # bin and van
