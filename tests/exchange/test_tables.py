"""CSV in and out: faults by line and column, all or nothing, and the same bytes after a round trip."""

from __future__ import annotations

import filecmp
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.sheet import BadRows, guard, unguard
from partsbin.exchange.tables import KINDS, export_folder, file_name, import_file, import_folder


@pytest.fixture
def job(tmp_path: Path):
    with Depot.create(tmp_path / "t.depot") as depot:
        yield Import(depot, the_operator(depot))


def written(folder: Path, text: str | bytes, name: str = "f.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def take(job: Import, kind: str, folder: Path, text: str | bytes):
    return import_file(job, kind, written(folder, text), dry_run=False)


ITEMS = "part_number,description,cost,pack_size\nA-1,Motor,12.50,2\nA-2,Board,99,1\n"
PLACES = "place,kind\nA-01-01-1,bin\nVAN1,van\n"


@pytest.mark.parametrize(
    "text",
    [
        ITEMS,
        "\ufeff" + ITEMS,
        ITEMS.replace("\n", "\r\n"),
        ITEMS.replace(",", ";"),
        ITEMS.replace(",", "\t"),
        "Part Number,Description,COST,Pack-Size\nA-1,Motor,$12.50,2\nA-2,Board,99,1\n",
        ITEMS + "\n,,,\n\n",
    ],
)
def test_every_common_form_of_csv_is_read(job: Import, tmp_path: Path, text: str) -> None:
    assert take(job, "items", tmp_path, text).rows == 2
    assert job.depot.value("SELECT cost FROM item_suppliers ORDER BY item_id") == 1250


def test_ten_bad_rows_are_all_named_by_line_and_column_and_nothing_is_imported(job: Import, tmp_path: Path) -> None:
    rows = [f"B-{line},Part,{'1.0' if line % 2 else 'x'},{0 if line % 2 else 1}" for line in range(2, 12)]
    with pytest.raises(BadRows) as bad:
        take(job, "items", tmp_path, "part_number,description,cost,pack_size\n" + "\n".join(rows))
    named = [(problem.line, problem.column) for problem in bad.value.problems]
    assert named == [(line, "pack_size" if line % 2 else "cost") for line in range(2, 12)]
    assert job.depot.value("SELECT count(*) FROM items") == 0


def test_bad_utf8_is_named_by_line_and_column(job: Import, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="line 3, column description: byte 0xE9 is not UTF-8"):
        take(job, "items", tmp_path, b"part_number,description\nA,ok\nB,caf\xe9\n")


def test_a_missing_column_and_an_unknown_one_are_named(job: Import, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="line 1, column description is missing; the file has: part_number, colour"):
        take(job, "items", tmp_path, "part_number,colour\nA,red\n")
    report = take(job, "items", tmp_path, "part_number,description,colour\nA,Motor,red\n")
    assert report.warnings == ("f.csv: column “colour” is not used",)


def test_a_part_number_twice_in_a_file_is_refused(job: Import, tmp_path: Path) -> None:
    with pytest.raises(BadRows, match="line 3, part_number: a-1 is already on line 2"):
        take(job, "items", tmp_path, "part_number,description\nA-1,x\na-1,y\n")


def test_supersession_in_a_circle_is_refused_and_named(job: Import, tmp_path: Path) -> None:
    text = "part_number,description,superseded_by\nA,x,B\nB,y,C\nC,z,A\n"
    with pytest.raises(BadRows, match="superseded_by: runs in a circle: A → B → C → A"):
        take(job, "items", tmp_path, text)
    assert job.depot.value("SELECT count(*) FROM items") == 0


def test_items_again_change_only_the_columns_the_file_has(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, "part_number,description,category,aliases\nA,x,door,flap|trap\n")
    take(job, "items", tmp_path, "part_number,description\nA,better\n")
    row = job.depot.one("SELECT description, category FROM items")
    assert tuple(row) == ("better", "door")
    assert job.depot.value("SELECT count(*) FROM item_words") == 2


HISTORY = """timestamp,type,part,from,to,qty,ref
2026-03-02,Receipt,A-1,SUP,WH,10,D1
2026-03-03T10:00,CHECKOUT,A-1,WH,VAN1,4,
2026-03-04,issue,A-1,VAN1,JOB,1,J7
2026-03-04,return,A-1,VAN1,WH,1,
2026-03-05,count,A-1,,WH,5,
2026-03-05,scrap,A-1,WH,,2,
2026-03-06,move,A-1,WH,WH2,1,
"""


def test_a_history_with_header_twins_gives_the_stock_its_moves_add_up_to(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    with pytest.raises(BadRows, match=r"line 2, to_location: “WH” is not a place of this depot \(6 rows name it\)"):
        take(job, "moves", tmp_path, HISTORY)
    job.create_places = True
    assert take(job, "moves", tmp_path, HISTORY).rows == 7
    rows = job.depot.all(
        "SELECT p.code, p.kind, s.quantity FROM stock s JOIN places p ON p.id = s.place_id WHERE p.physical = 1"
    )
    assert {tuple(row) for row in rows} == {("WH", "bin", 2), ("VAN1", "van", 2), ("WH2", "bin", 1)}
    assert differences(job.depot) == []


def test_a_history_without_slip_numbers_reverses_nothing(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    job.create_places = True
    take(job, "moves", tmp_path, HISTORY)
    assert job.depot.value("SELECT count(*) FROM slips WHERE reverses IS NOT NULL") == 0


def test_a_history_that_reverses_a_slip_twice_is_refused_by_line(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    job.create_places = True
    history = (
        "date,type,part_number,from_location,to_location,quantity,slip,reverses\n2026-03-02,receipt,A-1,,WH,3,7,\n"
        "2026-03-03,correction,A-1,WH,SUPPLIER,1,8,7\n2026-03-04,correction,A-1,WH,SUPPLIER,1,9,7\n"
    )
    with pytest.raises(BadRows, match="line 4: Slip 1 was already reversed by slip 2"):
        take(job, "moves", tmp_path, history)
    assert job.depot.value("SELECT count(*) FROM slips") == 0


def test_a_catalogue_of_several_batches_is_taken_in_as_one(job: Import, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setattr("partsbin.exchange.items._AT_ONCE", 2)
    rows = "part_number,description,superseded_by,kit,cost\nN-1,one,N-5,,\nN-2,two,,N-5*2|N-1,3.50\n"
    rows += "N-3,three,,,\nN-4,four,,,x\nN-5,five,,,\n"
    with pytest.raises(BadRows, match="line 5, cost"):
        take(job, "items", tmp_path, rows)
    with pytest.raises(BadRows, match="line 2, superseded_by: runs in a circle: N-1 → N-5 → N-1"):
        take(job, "items", tmp_path, rows.replace("four,,,x", "four,,,").replace("five,", "five,N-1"))
    assert job.depot.value("SELECT count(*) FROM items") == 0
    assert take(job, "items", tmp_path, rows.replace("four,,,x", "four,,,")).rows == 5
    assert job.depot.value("SELECT count(*) FROM item_parts") == 2
    assert job.depot.value("SELECT superseded_by FROM items WHERE part_number = 'N-1'") == 5


def test_a_history_that_goes_below_zero_is_refused_by_line(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    job.create_places = True
    with pytest.raises(BadRows, match="line 3: WH holds 10 A-1 at that time, 40 cannot leave it"):
        take(job, "moves", tmp_path, HISTORY.replace("VAN1,4", "VAN1,40"))
    assert job.depot.value("SELECT count(*) FROM slips") == 0
    assert job.depot.value("SELECT count(*) FROM places WHERE code = 'WH'") == 0


def test_rows_of_one_day_may_stand_in_any_order(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    job.create_places = True
    text = "date,type,part_number,from_location,to_location,quantity\n2026-03-02,checkout,A-1,WH,VAN1,4\n"
    assert take(job, "moves", tmp_path, text + "2026-03-02,receipt,A-1,SUP,WH,5\n").rows == 2


def test_stock_sets_the_figures_by_one_slip(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    take(job, "places", tmp_path, PLACES)
    text = "part_number,place,lot,quantity\nA-1,A010101,,7\nA-2,VAN1,L1,250000\n"
    take(job, "stock", tmp_path, text)
    take(job, "stock", tmp_path, text.replace(",7", ",3"))
    assert job.depot.value("SELECT count(*) FROM slips") == 2
    assert job.depot.value("SELECT max(quantity) FROM stock") == 250_000


@pytest.mark.parametrize(("quantity", "says"), [("-1", "below 0"), ("1.5", "not a whole"), ("99999999", "check")])
def test_a_stock_figure_that_cannot_be_is_refused(job: Import, tmp_path: Path, quantity: str, says: str) -> None:
    take(job, "items", tmp_path, ITEMS)
    take(job, "places", tmp_path, PLACES)
    with pytest.raises(BadRows, match=says):
        take(job, "stock", tmp_path, f"part_number,location,on_hand\nA-1,VAN1,{quantity}\n")


def test_set_points_take_a_bin_a_van_or_the_shelf(job: Import, tmp_path: Path) -> None:
    take(job, "items", tmp_path, ITEMS)
    take(job, "places", tmp_path, PLACES)
    take(job, "setpoints", tmp_path, "part_number,place,min,max\nA-1,,2,8\nA-1,VAN1,0,2\nA-2,A-01-01-1,1,1\n")
    with pytest.raises(BadRows, match="line 2: the order-up-to level 1 is below the reorder point 3"):
        take(job, "setpoints", tmp_path, "part_number,place,min,max\nA-1,,3,1\n")


def test_a_dry_run_changes_nothing(job: Import, tmp_path: Path) -> None:
    report = import_file(job, "items", written(tmp_path, ITEMS), dry_run=True)
    assert report.rows == 2
    assert job.depot.value("SELECT count(*) FROM items") == 0


def test_an_unknown_kind_names_the_known_ones(job: Import, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="kinds are settings, suppliers"):
        import_file(job, "sprockets", tmp_path / "x.csv")


def test_export_import_export_gives_the_same_bytes(job: Import, tmp_path: Path) -> None:
    items = (
        "part_number,description,fits,supplier,cost,aliases,gtin,superseded_by,hand,kit,"
        "substitutes,opposite_hand,home_bin\n"
        "A-1,=1+1,Drift 9|Cascade 54,Sup,1.25,flap;trap,00012345678905,,LH,,A-2,A-2,A-01-01-1\n"
        "A-2,-2 mm [/x],,,,,,,RH,A-1*3,,A-1,\nA-3,old,,,,,,A-1,,,,,\n"
    )
    take(job, "items", tmp_path, items)
    job.create_places = True
    take(job, "moves", tmp_path, HISTORY)
    take(job, "setpoints", tmp_path, "part_number,place,min,max\nA-1,,2,8\n")
    take(job, "operators", tmp_path, "initials,name,role,badge,van\nKT,Kim,technician,77,VAN1\n")
    take(
        job,
        "orders",
        tmp_path,
        "order,supplier,ordered_at,part_number,quantity,received\nPO-9,Sup,2026-03-01,A-1,5,1\n",
    )
    take(job, "counts", tmp_path, "counted_at,place,part_number,expected,counted\n2026-03-09,VAN1,A-1,2,2\n")
    take(job, "requests", tmp_path, "text,van,line,words,part_number,quantity,status\nhi,VAN1,1,motor,A-1,2,promised\n")
    first, second = tmp_path / "one", tmp_path / "two"
    export_folder(job.depot, first)
    with Depot.create(tmp_path / "again.depot") as again:
        import_folder(Import(again, the_operator(again)), first)
        assert differences(again) == []
        export_folder(again, second)
    names = [file_name(kind) for kind in KINDS if kind != "all"]
    assert filecmp.cmpfiles(first, second, names, shallow=False) == (names, [], [])
    assert "'=1+1" in (first / "items.csv").read_text()


@given(st.text(max_size=30) | st.text("'=+-@\t\r\n a1", max_size=6))
def test_a_guarded_cell_comes_back_as_it_was_and_never_runs(text: str) -> None:
    assert unguard(guard(text)) == text
    assert guard(text)[:1] not in ("=", "+", "-", "@")


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300))
def test_noise_is_refused_in_words(tmp_path_factory: pytest.TempPathFactory, noise: bytes) -> None:
    folder = tmp_path_factory.mktemp("noise")
    with Depot.create(folder / "n.depot") as depot:
        for kind in ("items", "moves", "setpoints"):
            try:
                import_file(Import(depot, the_operator(depot)), kind, written(folder, noise))
            except Refused as refused:
                assert str(refused)


def test_a_quote_that_is_never_closed_swallows_no_rows(tmp_path: Path) -> None:
    path = tmp_path / "items.csv"
    path.write_text('part_number,description\nA-1,motor\nA-2,"belt\nA-3,fuse\nA-4,lamp\n')
    with Depot.create(tmp_path / "d.depot") as depot:
        with pytest.raises(Refused, match="line 3: this line is not CSV"):
            import_file(Import(depot, the_operator(depot)), "items", path)
        assert depot.value("SELECT count(*) FROM items") == 0


@pytest.mark.parametrize("kind", ["places", "items", "moves"])
def test_a_quote_never_closed_in_the_header_is_told_not_thrown(kind: str, job: Import, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="line 1 is not a header row .*; check its quotes"):
        take(job, kind, tmp_path, '"place","parent","zone","name","\nA-01-01-1,,,,\n')


@pytest.mark.parametrize("date", ["soon", "1926-11-01", "2026-02-30"])
@pytest.mark.parametrize(
    ("kind", "row"),
    [
        ("stock", "part_number,place,quantity,lot,best_before\nA-1,A-01-01-1,2,L9,{}\n"),
        (
            "moves",
            "date,type,part_number,to_location,quantity,lot,best_before\n2026-03-01,receipt,A-1,A-01-01-1,2,L9,{}\n",
        ),
    ],
)
def test_a_best_before_that_cannot_be_is_refused_in_its_line(
    job: Import, tmp_path: Path, kind: str, row: str, date: str
) -> None:
    take(job, "items", tmp_path, "part_number,description\nA-1,Cola\n")
    take(job, "places", tmp_path, "place,kind\nA-01-01-1,bin\n")
    job.create_places = True
    with pytest.raises(Refused, match=f"line 2.*{date}"):
        take(job, kind, tmp_path, row.format(date))
