"""The command contract: exit codes, one JSON document on stdout, narration on stderr."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import Run


def stock(run: Run, folder: Path) -> dict[tuple[str, str, str], int]:
    run("export", str(folder / "out"))
    lines = (folder / "out" / "stock.csv").read_text().splitlines()
    assert lines[0].startswith("part_number,place,lot,quantity")
    rows = [line.split(",") for line in lines[1:]]
    return {(row[0], row[1], row[2]): int(row[3]) for row in rows}


def test_init_makes_a_depot_once_and_check_proves_it(run: Run) -> None:
    assert run("init", "--json").json["depot"].endswith("c.depot")
    again = run("init")
    assert (again.code, again.out) == (1, "")
    assert "already there" in again.err
    assert run("--json", "check").json == {"ok": True, "differences": []}


def test_without_a_depot_every_command_says_how_to_make_one(run: Run) -> None:
    for command in (["check"], ["find", "motor"], ["monday"], ["restock", "VAN1"], ["export", "x"]):
        ran = run(*command)
        assert ran.code == 1
        assert "There is no depot" in ran.err
        assert "Traceback" not in ran.err


def test_wrong_usage_exits_two(run: Run) -> None:
    assert run("frobnicate").code == 2
    assert run("reverse", "1").code == 2


def test_wrong_usage_is_a_json_document_where_one_is_asked_for(run: Run) -> None:
    ran = run("--json", "frobnicate")
    assert ran.code == 2
    assert "frobnicate" in ran.json["refused"]
    assert run("monday", "--date", "--json").json["refused"]


def test_a_day_from_receipt_to_job_and_back(stocked: Run, tmp_path: Path) -> None:
    run = stocked
    assert run("move", "MTR24L", "4", "--to", "VAN1").code == 0
    assert run("issue", "MTR-24-L", "1", "--from", "VAN1", "--job", "J1").code == 0
    assert run("return", "MTR-24-L", "1", "--from", "VAN1", "--to", "A-01-01-1").code == 0
    assert run("scrap", "MTR-24-L", "1").code == 1
    assert run("scrap", "MTR-24-L", "1", "--reason", "cracked").code == 0
    assert stock(run, tmp_path) == {("MTR-24-L", "A-01-01-1", ""): 6, ("MTR-24-L", "VAN1", ""): 2}
    back = run("reverse", "2", "--reason", "wrong van", "--json")
    assert back.code == 1
    assert "VAN1 holds 2" in back.json["refused"]
    assert run("check").code == 0


def test_a_case_and_a_dozen_are_conversions(stocked: Run, tmp_path: Path) -> None:
    assert (
        stocked(
            "receive", "COLA-24", "2 cs + 6", "--to", "B-01-01-1", "--lot", "L1", "--best-before", "2027-03-01"
        ).code
        == 0
    )
    assert stock(stocked, tmp_path)["COLA-24", "B-01-01-1", "L1"] == 54


def test_the_older_lot_goes_first_and_another_needs_a_reason(stocked: Run, tmp_path: Path) -> None:
    run = stocked
    for lot, day in (("NEW", "2027-06-01"), ("OLD", "2027-02-01")):
        run("receive", "COLA-24", "24", "--to", "B-01-01-1", "--lot", lot, "--best-before", day)
    refused = run("move", "COLA-24", "5", "--to", "VAN1", "--lot", "NEW")
    assert refused.code == 1
    assert "Lot OLD" in refused.err
    assert run("move", "COLA-24", "30", "--to", "VAN1").code == 0
    held = stock(run, tmp_path)
    assert (held["COLA-24", "VAN1", "OLD"], held["COLA-24", "VAN1", "NEW"]) == (24, 6)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["receive", "MTR-42-L", "1"], "There is no part “MTR-42-L”. Nearest: MTR-24-L"),
        (["receive", "MTR-24-L", "1", "--to", "A-01-01-9"], "Nearest: A-01-01-1"),
        (["move", "MTR-24-L", "1", "--to", "VAN9"], "There is no place “VAN9”. Nearest: VAN"),
        (["receive", "MTR-24-L", "1.5"], "not a whole number"),
        (["receive", "MTR-24-L", "--", "-3"], "above zero"),
        (["receive", "MTR-24-L", "200000"], "more than 100,000"),
        (["receive", "MTR-24-L", "many"], "many"),
        (["move", "MTR-24-L", "11", "--to", "VAN1"], "A-01-01-1 holds 10 MTR-24-L, 11 were asked for"),
        (["receive", "COLA-24", "1", "--to", "B-01-01-1", "--lot", "L", "--best-before", "1926-01-01"], "1926"),
        (["import", "items", "none.csv"], "There is no file none.csv"),
        (["labels", "bins"], "--pdf FILE"),
        (["labels", "bins", "--pdf", "x.pdf", "--stock", "letter-31"], "letter-30"),
        (["--operator", "ZZ", "receive", "MTR-24-L", "1"], "Nobody here has the initials “ZZ”"),
    ],
)
def test_bad_input_is_refused_in_a_sentence(stocked: Run, tmp_path: Path, arguments: list[str], says: str) -> None:
    before = stock(stocked, tmp_path)
    ran = stocked(*arguments)
    assert ran.code == 1
    assert says in ran.err
    assert "Traceback" not in ran.err
    assert stock(stocked, tmp_path) == before


def test_import_reports_every_bad_row_as_json(stocked: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_text("part_number,place,quantity\nMTR-24-L,A-01-01-1,x\nNONE,A-01-01-1,1\n")
    ran = stocked("--json", "import", "stock", "bad.csv")
    assert ran.code == 1
    assert [problem["line"] for problem in ran.json["problems"]] == [2, 3]


def test_a_count_sets_what_a_bin_holds(stocked: Run, tmp_path: Path) -> None:
    ran = stocked("--json", "count", "A-01-01-1", "MTR-24-L=8", "MTR-24-R=2", "--reason", "found two")
    assert {row["part_number"]: (row["expected"], row["counted"]) for row in ran.json["differences"]} == {
        "MTR-24-L": (10, 8),
        "MTR-24-R": (0, 2),
    }
    assert stock(stocked, tmp_path)["MTR-24-R", "A-01-01-1", ""] == 2


def test_restock_proposes_then_posts_and_promises_what_is_short(stocked: Run, tmp_path: Path) -> None:
    run = stocked
    (tmp_path / "points.csv").write_text(
        "part_number,place,reorder_point,order_up_to\nMTR-24-L,VAN1,1,3\nSPC-6-L,VAN1,1,4\nMTR-24-L,SHELF,8,20\n"
    )
    run("import", "setpoints", "points.csv")
    proposed = run("--json", "restock", "VAN1").json
    assert [(line["from"], line["part_number"], line["quantity"]) for line in proposed["lines"]] == [
        ("A-01-01-1", "MTR-24-L", 3)
    ]
    assert proposed["lines"][0]["cautions"] == ["UNPLUG"]
    assert [(line["part_number"], line["quantity"]) for line in proposed["short"]] == [("SPC-6-L", 4)]
    assert stock(run, tmp_path)["MTR-24-L", "A-01-01-1", ""] == 10
    assert run("--json", "restock", "VAN1", "--post", "--pdf", "pick.pdf").json["slip"] == 2
    assert (tmp_path / "pick.pdf").read_bytes().startswith(b"%PDF")
    report = run("--json", "monday", "--pdf", "m.pdf", "--csv", "m.csv").json
    lines = {line["part_number"]: line for group in report["suppliers"] for line in group["lines"]}
    assert (lines["MTR-24-L"]["position"], lines["MTR-24-L"]["quantity"]) == (7, 14)
    assert (lines["SPC-6-L"]["promised"], lines["SPC-6-L"]["quantity"]) == (4, 10)
    assert [row["part_number"] for row in report["short_requests"]] == ["SPC-6-L"]
    assert (tmp_path / "m.csv").read_text().startswith("week,supplier,part_number")


def test_the_same_week_gives_the_same_report(stocked: Run, tmp_path: Path) -> None:
    (tmp_path / "points.csv").write_text("part_number,place,reorder_point,order_up_to\nMTR-24-L,,12,20\n")
    stocked("import", "setpoints", "points.csv")
    made = []
    for day in ("2026-11-23", "2026-11-29"):
        stocked("monday", "--date", day, "--pdf", "m.pdf", "--csv", "m.csv")
        made.append(((tmp_path / "m.pdf").read_bytes(), (tmp_path / "m.csv").read_bytes()))
    assert made[0] == made[1]


def test_an_order_from_the_report_is_received_against(stocked: Run, tmp_path: Path) -> None:
    run = stocked
    (tmp_path / "points.csv").write_text("part_number,place,reorder_point,order_up_to\nMTR-24-L,,12,21\n")
    run("import", "setpoints", "points.csv")
    order = run("--json", "monday", "--order", "Acme Spares").json["order"]
    assert run("--json", "monday").json["suppliers"] == []
    run("receive", "MTR-24-L", "8", "--order", order)
    run("export", "o")
    assert run("check").code == 0
    assert run("receive", "MTR-24-L", "1", "--order", "PO-1").code == 1


def test_find_and_request_answer_in_the_stated_shape(stocked: Run, tmp_path: Path) -> None:
    document = stocked("--json", "find", "two left 24 volt motors").json
    line = document["lines"][0]
    assert line["quantity"] == 2
    assert line["status"] in {"sure", "ask", "none"}
    assert line["candidates"][0]["part_number"] == "MTR-24-L"
    assert line["candidates"][0]["stock"] == [{"place": "A-01-01-1", "quantity": 10}]
    assert {"description", "score", "why"} <= set(line["candidates"][0])
    (tmp_path / "q.txt").write_text("MTR-24-R\n6mm spacer left x4\n")
    lines = [json.loads(text) for text in stocked("find", "--lines", "q.txt").out.splitlines()]
    assert [line["lines"][0]["candidates"][0]["part_number"] for line in lines] == ["MTR-24-R", "SPC-6-L"]
    assert "stock" not in lines[0]["lines"][0]["candidates"][0]
    (tmp_path / "m.txt").write_text("Hi, van 2 here. two left 24v motors and 4 off 6 mm left spacers please. thanks")
    message = stocked("--json", "request", "m.txt").json
    assert [line["quantity"] for line in message["lines"]] == [2, 4]


def test_backup_and_restore_bring_back_what_was(stocked: Run, tmp_path: Path) -> None:
    run = stocked
    assert run("backup", "b.depot").code == 0
    run("move", "MTR-24-L", "9", "--to", "VAN1")
    assert run("--json", "restore", "b.depot").json["kept"]
    assert stock(run, tmp_path) == {("MTR-24-L", "A-01-01-1", ""): 10}
    (tmp_path / "bad.depot").write_bytes((tmp_path / "b.depot").read_bytes()[:5000])
    assert run("restore", "bad.depot").code == 1
    assert run("check").code == 0
    assert run("backup", "b.depot").code == 1


def test_labels_of_bins_vans_and_items(stocked: Run, tmp_path: Path) -> None:
    for what, count in (("bins", 3), ("vans", 2), ("items", 4), ("A-01-01-1..A-01-09-9", 2), ("MTR-24-L", 1)):
        ran = stocked("--json", "labels", what, "--pdf", "l.pdf")
        assert ran.json["labels"] == count
        assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")


def test_a_label_job_that_failed_is_listed_printed_later_and_struck_off(stocked: Run, tmp_path: Path) -> None:
    nobody = "ipp://127.0.0.1:9/ipp/print"
    for address in ("lp0", "ipp://", "ipp://[x/p", "ipp://host:99999/p"):
        ran = stocked("labels", "bins", "--printer", address)
        assert ran.code == 1 and "is no printer address" in ran.err
    assert stocked("--json", "labels", "--jobs").json == {"jobs": []}
    for what in ("bins", "vans"):
        ran = stocked("labels", what, "--printer", nobody)
        assert ran.code == 1 and "kept" in ran.err
    first, second = stocked("--json", "labels", "--jobs").json["jobs"]
    assert (first["what"], first["labels"], first["state"], second["what"]) == ("bins", 3, "kept", "vans")
    assert stocked("labels", "--job", str(first["job"]), "--pdf", "l.pdf").code == 0
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")
    assert stocked("labels", "--strike", str(second["job"])).code == 0
    assert "Every label job came out" in stocked("labels", "--jobs").out
    ran = stocked("labels", "--job", str(first["job"]), "--pdf", "l.pdf")
    assert ran.code == 1 and "not kept any more" in ran.err


def test_a_printers_nudge_is_kept_for_its_stock(stocked: Run) -> None:
    ran = stocked("--json", "labels", "--stock", "a4-24", "--nudge", "0.5 -1")
    assert (ran.json["stock"], ran.json["x_mm"], ran.json["y_mm"]) == ("a4-24", 0.5, -1)
    assert stocked("labels", "--stock", "a4-24", "--nudge", "nan 0").code == 1


def test_without_a_terminal_the_screens_say_so_instead_of_waiting(stocked: Run) -> None:
    ran = stocked("--json")
    assert ran.code == 1
    assert "need a terminal" in ran.json["refused"]


def test_a_report_that_cannot_be_written_names_the_file_asked_for(stocked: Run, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    ran = stocked("monday", "--csv", str(tmp_path / "folder"))
    assert ran.code == 1
    assert "Is a directory" in ran.err
    assert ".partial" not in ran.err
