"""A history written out and read back gives the same stock, to the piece, in an empty depot: the demo's, and noise."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post, reverse
from partsbin.depot.operators import the_operator
from partsbin.depot.places import outside, the_place
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import export_folder, import_folder
from partsbin.resources import shipped
from tests.faults.yard import BINS, VANS, build

_STOCK = """
SELECT i.part_number, p.code, ifnull(l.code, ''), s.quantity FROM stock s JOIN items i ON i.id = s.item_id
JOIN places p ON p.id = s.place_id LEFT JOIN lots l ON l.id = s.lot_id WHERE s.quantity <> 0 ORDER BY 1, 2, 3
"""
_SLIPS = "SELECT kind, posted_at, reference, reason, reverses IS NOT NULL FROM slips ORDER BY posted_at, id"


def replayed(depot: Depot, folder: Path) -> None:
    """Write everything out, read it into an empty depot, and hold the two against each other."""
    export_folder(depot, folder / "out")
    with Depot.create(folder / "again.depot") as again:
        import_folder(Import(again, the_operator(again)), folder / "out")
        assert [tuple(row) for row in again.all(_STOCK)] == [tuple(row) for row in depot.all(_STOCK)]
        assert sorted(map(tuple, again.all(_SLIPS))) == sorted(map(tuple, depot.all(_SLIPS)))
        assert differences(again) == []
        export_folder(again, folder / "out again")
    for name in ("moves.csv", "stock.csv"):
        assert (folder / "out again" / name).read_bytes() == (folder / "out" / name).read_bytes()
    (folder / "again.depot").unlink()


def test_the_demo_history_replayed_gives_the_same_stock(tmp_path: Path) -> None:
    with Depot.create(tmp_path / "demo.depot") as depot:
        import_folder(Import(depot, the_operator(depot)), shipped("seed"))
        assert depot.value("SELECT count(*) FROM slips") > 1000
        replayed(depot, tmp_path)


steps = st.tuples(
    st.sampled_from(["receipt", "checkout", "issue", "return", "count", "reverse"]),
    st.integers(0, 2),
    st.integers(1, 9),
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(steps, max_size=25))
def test_any_history_replayed_gives_the_same_stock(tmp_path_factory, doings: list[tuple[str, int, int]]) -> None:
    folder = tmp_path_factory.mktemp("replay")
    with Depot.open(build(folder / "r.depot", each=20)) as depot:
        desk = the_operator(depot)
        outside_ = {kind: outside(depot, kind).id for kind in ("supplier", "job", "count-difference")}
        for kind, n, quantity in doings:
            shelf, van = the_place(depot, BINS[n]).id, the_place(depot, VANS[n]).id
            ways = {
                "receipt": (outside_["supplier"], shelf),
                "checkout": (shelf, van),
                "issue": (van, outside_["job"]),
                "return": (van, shelf),
                "count": (outside_["count-difference"], shelf),
            }
            try:
                if kind == "reverse":
                    reverse(depot, depot.value("SELECT max(id) FROM slips"), operator=desk, reason="wrong")
                else:
                    post(depot, kind, [Line(n + 1, *ways[kind], quantity)], operator=desk, reference=f"{kind} {n}")
            except Refused:
                continue
        replayed(depot, folder)
