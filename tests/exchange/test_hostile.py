"""Text and files that mean harm: kept as plain text, shown without steering anything, refused in words."""

from __future__ import annotations

import contextlib
import json
import signal
import subprocess
import sys
import time
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from partsbin.cli import main
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import the_operator
from partsbin.depot.places import outside, the_place
from partsbin.depot.plain_text import plain, shown, shown_json
from partsbin.desk.asking import keep
from partsbin.desk.finding import Finder
from partsbin.errors import Refused
from partsbin.exchange import sheet
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import export_folder, import_file
from tests.faults.fuzz import NASTY, files, headers_of, texts, try_import, try_message, try_scan
from tests.faults.tally import Tally
from tests.faults.yard import BINS, build

STEERING = "\x1b[2J\x1b]0;owned\x07\x9b31m\x00\x7f\u202egnp"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return build(tmp_path / "h.depot", each=50)


@pytest.fixture
def depot(path: Path):
    with Depot.open(path) as opened:
        yield opened


def said(path: Path, capfd: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    try:
        code = main(["--depot", str(path), *arguments])
    except SystemExit as left:
        code = int(left.code or 0)
    caught = capfd.readouterr()
    assert "Traceback" not in caught.err
    return code, caught.out + caught.err


def test_texts_keep_their_words_and_lose_what_steers_a_terminal() -> None:
    assert plain("Spacer 6 mm — für „links“\t½\n") == "Spacer 6 mm — für „links“\t½\n"
    assert plain(f"a{STEERING}b") == "a[2J]0;owned31mgnpb"
    assert shown("a\x1b[2J\x9b1m") == "a\\x1b[2J\\x9b1m"
    document = json.dumps({"x": "\x9b\u202e\ud800"}, ensure_ascii=False)
    assert shown_json(document).isascii()
    assert json.loads(shown_json(document)) == {"x": "\x9b\u202e\ud800"}


def test_every_text_of_a_slip_is_kept_plain_and_the_chain_holds(depot: Depot) -> None:
    desk = the_operator(depot)
    line = Line(1, outside(depot, "supplier").id, the_place(depot, BINS[0]).id, 1, entered=f"1 {STEERING}")
    slip = post(depot, "receipt", [line], operator=desk, reference=f"r{STEERING}", reason=f"w{STEERING}")
    row = depot.one("SELECT reference, reason FROM slips WHERE id = ?", (slip,))
    assert row is not None and all("\x1b" not in text and "\x9b" not in text for text in row)
    assert differences(depot) == []


def test_cells_with_control_characters_are_taken_without_them_and_a_note_says_so(depot: Depot, tmp_path: Path) -> None:
    file = tmp_path / "items.csv"
    file.write_text(f"part_number,description\nX-1,Motor{STEERING}\n", encoding="utf-8")
    report = import_file(Import(depot, the_operator(depot)), "items", file)
    assert "control characters" in report.warnings[0]
    assert depot.value("SELECT description FROM items WHERE part_number = 'X-1'") == "Motor[2J]0;owned31mgnp"


def test_no_command_sends_an_escape_to_the_terminal(path: Path, capfd, tmp_path: Path) -> None:
    with Depot.open(path) as depot:  # as an older file, or another hand, might have left it
        depot.connection.execute("UPDATE items SET description = ? WHERE id = 1", (f"Motor {STEERING}",))
        depot.connection.execute("UPDATE operators SET name = ?", (STEERING,))
    for arguments in (
        ("find", "motor"),
        ("find", f"motor {STEERING.replace(chr(0), '')}"),
        ("--json", "find", "motor \x9b31m"),
        ("people",),
        ("monday",),
        ("restock", "VAN1"),
        ("receive", "\x1b[31mNO-SUCH", "1"),
        ("import", "items", str(tmp_path / "\x1b[2J.csv")),
        ("--json", "move", "P-001", "\x1b7", "--to", "VAN1"),
    ):
        _, output = said(path, capfd, *arguments)
        assert not any(sign in output for sign in "\x1b\x9b\x00\x07\u202e"), arguments


def test_sql_and_markup_are_words_like_any_other(depot: Depot) -> None:
    desk, finder = the_operator(depot), Finder(depot)
    for text in NASTY:
        line = Line(1, outside(depot, "supplier").id, the_place(depot, BINS[0]).id, 1)
        post(depot, "receipt", [line], operator=desk, reference=text, reason=text)
        message, answers = finder.read(text)
        keep(depot, desk, text, message, answers)
    assert depot.value("SELECT count(*) FROM slips") == len(NASTY) + 1
    assert differences(depot) == []


def test_formulas_are_guarded_on_the_way_out_and_restored_on_the_way_in(depot: Depot, tmp_path: Path) -> None:
    formulas = ["=1+1", "+1", "-1", "@x", "'=1", "''=1", "'plain", "plain"]
    file = tmp_path / "items.csv"
    sheet.write_sheet(file, ("part_number", "description"), [(f"F-{n}", text) for n, text in enumerate(formulas)])
    for line in file.read_text().splitlines()[1:5]:
        assert line.split(",", 1)[1].startswith("'")
    import_file(Import(depot, the_operator(depot)), "items", file)
    kept = depot.all("SELECT description FROM items WHERE part_number LIKE 'F-%' ORDER BY part_number")
    assert [row[0] for row in kept] == formulas
    export_folder(depot, tmp_path / "out")
    import_file(Import(depot, the_operator(depot)), "items", tmp_path / "out" / "items.csv")
    kept = depot.all("SELECT description FROM items WHERE part_number LIKE 'F-%' ORDER BY part_number")
    assert [row[0] for row in kept] == formulas


@pytest.mark.parametrize("file", ["/dev/null", "/dev/zero", "/", "missing.csv", "missing/folder/file.csv", "."])
def test_a_file_argument_that_is_no_file_is_said(path: Path, capfd, file: str) -> None:
    for arguments in (("import", "items", file), ("restore", file), ("count", BINS[0], "--csv", file)):
        code, output = said(path, capfd, *arguments)
        assert code == 1 and file in output, arguments
    for arguments in (("backup", file), ("--depot", file, "check")):
        if not file.startswith("missing."):
            code, output = said(path, capfd, *arguments)
            assert code == 1 and output.strip(), arguments


def test_a_file_beyond_all_measure_is_refused_before_it_is_read(depot: Depot, tmp_path: Path) -> None:
    huge = tmp_path / "huge.csv"
    with huge.open("wb") as stream:
        stream.write(b"part_number,description\n")
        stream.truncate(sheet.MOST_BYTES + 1)  # takes no room on the disk
    with pytest.raises(Refused, match="more than 256 MB; split it"):
        import_file(Import(depot, the_operator(depot)), "items", huge)


def test_more_rows_than_a_history_can_have_are_refused(depot: Depot, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr(sheet, "MOST_ROWS", 10)
    file = tmp_path / "items.csv"
    file.write_text("part_number,description\n" + "".join(f"X-{n},x\n" for n in range(11)))
    with pytest.raises(Refused, match="line 12: more than 10 rows; split the file"):
        import_file(Import(depot, the_operator(depot)), "items", file)
    assert depot.value("SELECT count(*) FROM items WHERE part_number LIKE 'X-%'") == 0


@pytest.mark.parametrize(
    "content", ['part_number,description\nX,"' + "a" * 200_000, 'part_number,description\n"' * 50_000]
)
def test_a_cell_without_end_is_said_with_its_line(depot: Depot, tmp_path: Path, content: str) -> None:
    file = tmp_path / "items.csv"
    file.write_text(content)
    with pytest.raises(Refused, match="line "):
        import_file(Import(depot, the_operator(depot)), "items", file)


@pytest.mark.parametrize(
    ("content", "said_"),
    [
        ("part_number,description\n" + "a" * 8_000_000, "line 2: this line is not CSV"),
        ("part_number,description\nA,B" + "," * 8_000_000, "line 2: this line is not CSV .longer than 1,000,000"),
        ("part_number,description\nA" + ',"\n"' * 1_500_000, "line 2: this line is not CSV .longer than 1,000,000"),
        ("part_number,description" + "," * 8_000_000, "line 1 is not a header row .longer than 1,000,000"),
        ("part_number,description" + ",x" * 100_000, "line 1 has 100,002 columns; a table has at most 1,000"),
    ],
)
def test_a_row_beyond_all_measure_is_refused_without_being_held(
    depot: Depot, tmp_path: Path, content: str, said_: str
) -> None:
    file = tmp_path / "items.csv"
    file.write_text(content)
    del content
    tracemalloc.start()
    try:
        with pytest.raises(Refused, match=said_):
            import_file(Import(depot, the_operator(depot)), "items", file)
        assert tracemalloc.get_traced_memory()[1] < 16_000_000  # the rows themselves would take a multiple
    finally:
        tracemalloc.stop()


def test_ctrl_c_in_the_middle_of_an_import_leaves_nothing_half_done(path: Path, tmp_path: Path) -> None:
    file = tmp_path / "items.csv"
    with file.open("w") as stream:
        stream.write("part_number,description\n")
        stream.writelines(f"BIG-{n},part number {n}\n" for n in range(400_000))
    command = [sys.executable, "-m", "partsbin", "--depot", str(path), "import", "items", str(file)]
    ran = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a shell's “&” would have it ignored
    )
    while not any(name.endswith("items.csv") for name in open_files(ran.pid)):
        assert ran.poll() is None
        time.sleep(0.01)
    ran.send_signal(signal.SIGINT)
    output, errors = ran.communicate(timeout=60)
    assert ran.returncode == 130 and "was not posted" in errors and "Traceback" not in errors, (output, errors)
    with Depot.open(path) as depot:
        assert depot.value("SELECT count(*) FROM items WHERE part_number LIKE 'BIG-%'") == 0
        assert differences(depot) == []


def open_files(process: int) -> list[str]:
    """Return what a process has open; a file closed while we look is left out."""
    names = []
    for link in Path(f"/proc/{process}/fd").glob("*"):
        with contextlib.suppress(FileNotFoundError):
            names.append(str(link.readlink()))
    return names


NOISE = settings(
    max_examples=200,
    deadline=None,
    database=None,
    derandomize=True,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def test_a_row_with_more_cells_than_headers_is_named_instead_of_being_cut(depot: Depot, tmp_path: Path) -> None:
    file = tmp_path / "m.csv"
    head = "date,type,part_number,from_location,to_location,quantity,reference"
    file.write_text(
        f"{head}\n2026-01-05,receipt,P,SUPPLIER,A-01,1,000,R-1\n2026-01-05,receipt,P,SUPPLIER,A-01,1,R-2,,\n"
    )
    with pytest.raises(sheet.BadRows) as refused:
        import_file(Import(depot, the_operator(depot)), "moves", file)
    first = refused.value.problems[0]
    assert (first.line, first.reason[:23]) == (2, "8 cells under 7 headers")
    assert "holds a comma" in first.reason


def test_utf_16_is_known_without_its_mark_too(depot: Depot, tmp_path: Path) -> None:
    file = tmp_path / "i.csv"
    file.write_bytes("part_number,description\nA,B\n".encode("utf-16-le"))
    with pytest.raises(Refused, match="UTF-16"):
        import_file(Import(depot, the_operator(depot)), "items", file)


@pytest.mark.parametrize("text", ["=1+1", " =1+1", "＝1+1", "－1", "'=1", "'' @x", "\t=1", "\n=1"])
def test_whatever_a_spreadsheet_would_run_is_guarded_and_comes_back(text: str) -> None:
    assert sheet.guard(text) == f"'{text}"
    assert sheet.unguard(sheet.guard(text)) == text


def test_noise_of_every_kind_is_answered_in_words(depot: Depot, tmp_path: Path) -> None:
    tally, finder, headers = Tally("noise"), Finder(depot), headers_of(depot, tmp_path / "out")

    @NOISE
    @given(files(headers), texts)
    def noise(drawn: tuple[str, bytes], text: str) -> None:
        try_import(depot, tmp_path, *drawn, tally.told)
        try_scan(depot, text, tally.told)
        try_message(finder, text, tally.told)
        assert not tally.wrong, (drawn, text, tally.details)

    noise()
    assert differences(depot) == []
