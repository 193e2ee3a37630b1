"""lane, audit, dated and break-case as commands; containers and lanes in and out as CSV."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.desk.lane_depot import FILES, build

AUDIT = Path(__file__).parents[2] / "seed" / "audit"


@pytest.fixture
def laned(run: Run, tmp_path: Path) -> Run:
    folder = tmp_path / "made"
    folder.mkdir()
    shutil.move(build(folder), tmp_path / "c.depot")
    return run


def test_lane_answers_with_stocked_items(laned: Run) -> None:
    ran = laned("lane", "250 slim", "74", "--json")
    assert ran.code == 0
    (answer,) = ran.json["answers"]
    assert (answer["fits"], answer["capacity"]) == (True, 7)
    assert "measure it" in answer["unconfirmed"]
    (spacer,) = answer["sets"][0]["spacers"]
    assert (spacer["part_number"], spacer["hand"], spacer["thickness_mm"], spacer["quantity"]) == (
        "SP15-L",
        "LH",
        15,
        1,
    )
    assert spacer["stock"] == [{"place": "A-01-01-1", "quantity": 6}]
    assert {line["part_number"] for line in answer["kit"]["lines"]} == {"SP15-L", "CLIP-C-L"}


def test_find_answers_a_lane_question_beside_its_lines(laned: Run) -> None:
    ran = laned("find", "what spacers for the 250 slim in a 74 lane", "--json")
    (answer,) = ran.json["lane"]["answers"]
    assert answer["sets"][0]["spacers"][0]["part_number"] == "SP15-L"
    assert answer == laned("lane", "250 slim", "74", "--json").json["answers"][0]
    assert {"query", "lines"} <= set(ran.json)
    assert "lane" not in laned("find", "two 6 mm left spacers", "--json").json


def test_lane_says_by_how_much_it_does_not_fit(laned: Run) -> None:
    ran = laned("lane", "PET591", "T74", "--json")
    (answer,) = ran.json["answers"]
    assert (ran.code, answer["fits"], answer["too_wide_mm"], answer["kit"]) == (0, False, 5.11, None)
    assert "does not fit: 5.1 mm too wide" in laned("lane", "PET591", "T74").out


@pytest.mark.parametrize(("what", "says"), [(("fizz", "T74"), "Nearest:"), (("CAN355", "Q1"), "Nearest: ")])
def test_lane_offers_the_nearest_three(laned: Run, what: tuple[str, str], says: str) -> None:
    ran = laned("lane", *what)
    assert (ran.code, ran.out) == (1, "")
    assert says in ran.err


@pytest.mark.parametrize(
    ("kind", "text", "says"),
    [
        ("containers", "container,body_mm,height_mm\nX,661,120\n", "line 2, body_mm: 661 mm cannot be right"),
        ("containers", "container,body_mm,height_mm\nX,66,120\nx,66,120\n", "line 3, container: X already stands"),
        ("containers", "container,body_mm,height_mm,can_code\nX,66,120,211x499\n", "line 2, can_code: .* no can size"),
        ("case-forms", "container,quantity\nCAN355,0\nNOPE,24\n", "line 2, quantity: 0 is below 1"),
        ("case-forms", "container,quantity\nNOPE,24\n", "line 2, container: .NOPE. is not a container"),
        ("lane-types", FILES["lane-types"].replace("70,8,L", "70,-8,L"), "line 2, turns: -8 is below 1"),
        ("lane-types", FILES["lane-types"].replace(",L,2,\nT80", ",up,2,\nT80"), "spacer_side: .up. is not one of"),
        ("lanes", FILES["lanes"].replace("7,7,CLIP", "7,9,CLIP", 1), "line 2: 9 of 7 cannot be"),
        ("lanes", FILES["lanes"].replace("M1,11,,1,2", "M1,11,,1,1"), "line 3: lane 10 of M1 already stands"),
        ("lanes", FILES["lanes"].replace("CLIP-C-L*1", "NO-PART*1", 1), "line 2, fitted: .NO-PART. is not a part"),
        ("machines", "asset,family,van\nM9,Teal,VAN9\n", "line 2, van: There is no place .VAN9."),
    ],
)
def test_a_bad_file_is_refused_by_line_and_column(laned: Run, tmp_path: Path, kind: str, text: str, says: str) -> None:
    import re

    (tmp_path / "bad.csv").write_text(text)
    ran = laned("import", kind, "bad.csv")
    assert ran.code == 1
    assert re.search(says, ran.err), ran.err


def test_lane_types_given_as_lanes_are_taken_as_what_they_are(laned: Run, tmp_path: Path) -> None:
    (tmp_path / "types.csv").write_text(FILES["lane-types"].replace("T74", "Z74"))
    assert laned("import", "lanes", "types.csv").code == 0
    assert "Z74" in laned("lane", "CAN355", "Z74").out


def test_what_is_exported_comes_back_byte_for_byte(laned: Run, tmp_path: Path) -> None:
    assert laned("export", "one").code == 0
    assert laned("--depot", "again.depot", "init").code == 0
    assert laned("--depot", "again.depot", "import", "all", "one").code == 0
    assert laned("--depot", "again.depot", "export", "two").code == 0
    for name in ("containers", "case_forms", "lane_types", "machines", "lanes", "event_hints", "cautions"):
        assert (tmp_path / "one" / f"{name}.csv").read_bytes() == (tmp_path / "two" / f"{name}.csv").read_bytes(), name
    assert "SP15-L*1" in (tmp_path / "two" / "lanes.csv").read_text()


def test_audit_of_a_machine_nobody_has_is_refused_and_a_folder_says_which(laned: Run) -> None:
    one = laned("audit", str(AUDIT / "A0417-2026-11-16.dex"))
    assert one.code == 1
    assert "no machine of this depot" in one.err
    whole = laned("audit", str(AUDIT), "--post", "--json")
    assert whole.code == 0
    assert len(whole.json["refused"]) == len(list(AUDIT.glob("*.dex")))
    assert whole.json["posted"] == []


def test_dated_and_break_case(laned: Run) -> None:
    assert laned("dated").out == "Nothing is near its date.\n"
    far = laned("dated", "--weeks", "9000", "--json").json["lots"]
    assert [(x["part_number"], x["lot"], x["quantity"], x["cases"]) for x in far][:2] == [
        ("COLA", "C1", 48, 2),
        ("COLA", "C2", 48, 2),
    ]
    assert laned("dated", "--write-off").code == 1
    opened = laned("break-case", "COLA", "--json").json
    assert (opened["before"], opened["after"]) == (
        {"cases": 2, "loose": 0, "each": 48},
        {"cases": 1, "loose": 24, "each": 48},
    )
    assert "COLA" in laned("break-case").out
    assert laned("break-case", "SP6-L").code == 1


def test_the_chart_of_a_machine_as_lines_json_and_pdf(laned: Run, tmp_path: Path) -> None:
    lanes = laned("chart", "Mill Street", "--json", "--pdf", "door.pdf").json["lanes"]
    assert [(x["lane"], x["container"], x["spacers"]) for x in lanes][:3] == [
        ("10", "CAN355", "no spacer"),
        ("11", "CAN355", "no spacer"),
        ("12", "SLM250", "15 mm LEFT"),
    ]
    assert (tmp_path / "door.pdf").read_bytes().startswith(b"%PDF")
    assert laned("chart", "M7").err.startswith("There is no machine “M7”. Nearest: ")


def test_readings_taken_stay_taken_after_export_and_import(laned: Run, tmp_path: Path) -> None:
    lanes = (
        "asset,lane,shelf,position,lane_type,part_number,container,capacity,count\nA0417,10,1,1,T74,COLA,CAN355,7,7\n"
    )
    (tmp_path / "m.csv").write_text("asset,family,serial,van\nA0417,Teal,NLB40-00100,VAN1\n")
    (tmp_path / "l.csv").write_text(lanes)
    assert laned("import", "machines", "m.csv").code == laned("import", "lanes", "l.csv").code == 0
    laned("receive", "COLA", "240", "--to", "VAN1", "--lot", "C9", "--best-before", "2099-09-09")
    first = laned("audit", str(AUDIT), "--post", "--json").json["posted"]
    laned("export", "one")
    laned("--depot", "again.depot", "init")
    assert laned("--depot", "again.depot", "import", "all", "one").code == 0
    again = laned("--depot", "again.depot", "audit", str(AUDIT), "--post", "--json").json
    assert [x["asset"] for x in first] == [x["asset"] for x in again["posted"]] == ["A0417"]
    assert (again["posted"][0]["slip"], again["machines"][0]["taken_before"]) == (None, True)


def test_slips_and_counts_name_the_lot(laned: Run) -> None:
    ran = laned("issue", "COLA", "50", "--from", "B-01-01-1", "--json")
    assert [(m["lot"], m["quantity"]) for m in ran.json["moves"]] == [("C1", 48), ("C2", 2)]
    assert "6 COLA lot C2: B-01-01-1 → JOB" in laned("issue", "COLA", "6", "--from", "B-01-01-1").out
    laned("receive", "COLA", "24", "--lot", "C3", "--best-before", "2098-01-01", "--to", "B-01-01-1")
    counted = laned("count", "B-01-01-1", "COLA=50", "--reason", "damaged", "--json").json["differences"]
    assert [(d["lot"], d["expected"], d["counted"]) for d in counted] == [("C3", 24, 10)]
    more = laned("count", "B-01-01-1", "COLA=60")
    assert (more.code, "C3 (10), C2 (40). Count each lot" in more.err) == (1, True)
    one = laned("count", "B-01-02-1", "WATER=30", "--reason", "found", "--json").json["differences"]
    assert [(d["lot"], d["expected"], d["counted"]) for d in one] == [("W1", 24, 30)]
    assert laned("count", "B-01-02-1", "SLIM=5").code == 1


def test_lanes_that_came_without_are_given_their_container_and_what_they_hold(laned: Run, tmp_path: Path) -> None:
    path = tmp_path / "theirs.csv"
    path.write_text("Machine,Slot,Tray type,Drink\nM3,11,T74,COLA\nM3,12,T80,BIG\nM3,13,T74,\n", encoding="utf-8")
    assert laned("import", "lanes", str(path)).code == 0
    lanes = laned("chart", "M3", "--json").json["lanes"]
    assert [(x["container"], x["capacity"]) for x in lanes] == [("CAN355", 7), ("PET591", 6), ("", 0)]
