"""Ratios for start, posting, import and the Monday report, against what they are measured by, in one run.

    python tests/benchmarks/spine.py            100,000 items, 1,000,000 moves (a few minutes)
    python tests/benchmarks/spine.py --small    a hundredth of it, to see that it runs

Every ratio is ours over the yardstick measured in the same run, so a slow or busy machine slows both.
"""

from __future__ import annotations

import csv
import os
import pty
import select
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median

from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, post
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place, outside
from partsbin.desk.monday import monday_report
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import import_file

EMPTY_APP = """
from textual.app import App
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import DataTable, Footer, Input, Static
class Empty(App):
    BINDINGS = [Binding("f1", "help", "Help")]
    def compose(self):
        yield Static("heading")
        yield Static("ways")
        yield Input(placeholder="what do they need?")
        with Horizontal():
            with Vertical():
                yield DataTable()
                with VerticalScroll():
                    yield Static("words")
            with VerticalScroll():
                yield Static("today")
        yield Static("message")
        yield Footer(show_command_palette=False, compact=True)
    def on_mount(self):
        self.query_one(DataTable).add_columns("Qty", "", "Part", "What", "Where")
        self.query_one(Input).focus()
Empty().run()
"""
ROWS: list[tuple[str, str, str, str]] = []


def row(what: str, ours: str, yardstick: str, ratio: str) -> None:
    ROWS.append((what, ours, yardstick, ratio))
    print(f"{what:42} {ours:>14} {yardstick:>30} {ratio:>22}", flush=True)


def timed(job: Callable[[], object]) -> float:
    started = time.perf_counter()
    job()
    return time.perf_counter() - started


def catalogue_csv(path: Path, items: int) -> None:
    kinds = ("Vend gear motor", "Helical coil", "Lane spacer", "Control board", "Door gasket", "Fan motor", "Relay")
    header = (
        "part_number,description,category,kind,unit,pack_size,fits,supplier,supplier_part_number,cost,lead_time_days"
    )
    with path.open("w", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow([*header.split(","), "aliases", "gtin", "superseded_by"])
        for n in range(items):
            words = f"{kinds[n % 7]} {n % 230 + 5} V {('LH', 'RH')[n % 2]} size {n % 97}"
            fixed = (f"Q{n:06d}-{n % 9}", words, "delivery", "part", "each", n % 10 + 1, "Drift 9|Cascade 54")
            bought = (f"Supplier {n % 40}", f"X{n * 7}", f"{n % 90}.50", n % 30)
            writer.writerow([*fixed, *bought, "mtr|gear motor", "", ""])


def prompt_time(command: list[str], sign: bytes) -> float:
    """Seconds from starting a program in a pseudo-terminal until ``sign`` typed into it comes back on the screen."""
    pid, handle = pty.fork()
    if pid == 0:
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program has its bytecode, ours too
        os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24", TEXTUAL_ANIMATIONS="none")
        os.execv(command[0], command)
    started, seen, typed = time.perf_counter(), b"", False
    while time.perf_counter() - started < 60:
        if select.select([handle], [], [], 0.01)[0]:
            seen += os.read(handle, 65536)
        if not typed and b"need?" in seen:
            os.write(handle, sign)
            typed, seen = True, b""
        elif typed and sign in seen:
            break
    spent = time.perf_counter() - started
    os.kill(pid, 9)
    os.waitpid(pid, 0)
    os.close(handle)
    return spent


def bench_start(path: Path, folder: Path) -> None:
    """Turn and turn about, so that a busy moment of the machine meets both."""
    empty = folder / "empty.py"
    empty.write_text(EMPTY_APP)
    commands = [sys.executable, str(empty)], [sys.executable, "-m", "partsbin", "--depot", str(path)]
    times = [[prompt_time(command, b"z") for command in commands] for _ in range(9)]
    yardstick, ours = (median(column) for column in zip(*times, strict=True))
    row("first usable prompt", f"{ours:.2f} s", f"empty app {yardstick:.2f} s", f"{ours / yardstick:.2f} (reach 1.5)")


def raw_postings(folder: Path, count: int) -> float:
    raw = sqlite3.connect(folder / "raw.db", isolation_level=None)
    raw.executescript("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;")
    raw.execute("CREATE TABLE slips (id INTEGER PRIMARY KEY, kind, at, op, ref, reason, rev, previous, hash)")
    raw.execute("CREATE TABLE moves (id INTEGER PRIMARY KEY, slip, line, item, lot, serial, a, b, q, entered, ol, rl)")
    raw.execute("CREATE TABLE stock (item, place, lot, q, PRIMARY KEY (item, place, lot)) WITHOUT ROWID")
    upsert = "INSERT INTO stock VALUES (?,?,0,?) ON CONFLICT DO UPDATE SET q = q + excluded.q"

    def one(n: int) -> None:
        raw.execute("BEGIN IMMEDIATE")
        raw.execute("INSERT INTO slips VALUES (?,?,?,?,?,?,?,?,?)", (n, "k", "t", 1, "r", "", None, "p" * 64, "h" * 64))
        for line in range(3):
            move = (n, line, line + 1, None, None, 1, 2, 1, "", None, None)
            raw.execute("INSERT INTO moves VALUES (NULL,?,?,?,?,?,?,?,?,?,?,?)", move)
            raw.execute(upsert, (line + 1, 1, -1))
            raw.execute(upsert, (line + 1, 2, 1))
        raw.execute("COMMIT")

    spent = timed(lambda: [one(n) for n in range(1, count + 1)])
    raw.close()
    return spent


def our_postings(depot: Depot, count: int) -> float:
    operator, source = the_operator(depot), outside(depot, "supplier").id
    target = depot.value("SELECT id FROM places WHERE kind = 'bin' LIMIT 1")
    lines = [Line(item, source, target, 1) for item in (1, 2, 3)]
    return timed(lambda: [post(depot, "receipt", lines, operator=operator) for _ in range(count)])


def fill(depot: Depot, items: int, moves: int, done: int = 0) -> None:
    """Post receipts and issues until ``moves`` are in the file, ``done`` of them from an earlier call."""
    operator, source, job = the_operator(depot), outside(depot, "supplier").id, outside(depot, "job").id
    bins = [row["id"] for row in depot.all("SELECT id FROM places WHERE kind = 'bin'")]
    posted = done
    while posted < moves:
        with depot.write():
            for _ in range(100):
                lines = []
                for n in range(posted, posted + 50):
                    item, place = n % items + 1, bins[n % len(bins)]
                    lines += [Line(item, source, place, 20), Line(item, place, job, 1 + n % 15)]
                month = 1 + posted * 11 // moves
                post(depot, "receipt", lines, operator=operator, at=f"2026-{month:02d}-15T08:00:00Z")
                posted += 100


def set_points(depot: Depot, items: int) -> None:
    shelf = outside(depot, "shelf").id
    with depot.write():
        depot.connection.executemany(
            "INSERT INTO set_points (item_id, place_id, reorder_point, order_up_to) VALUES (?,?,?,?)",
            [(item, shelf, item % 60, item % 60 + 40) for item in range(1, items + 1)],
        )


def peak_mb(path: Path) -> float:
    code = (
        "import sys, datetime, pathlib\n"
        "from partsbin.depot.file import Depot\nfrom partsbin.desk.monday import monday_report\n"
        "monday_report(Depot.open(pathlib.Path(sys.argv[1])), datetime.date(2026, 11, 25))\n"
        # not ru_maxrss: that starts with what the parent held when it forked
        "print(next(x.split()[1] for x in open('/proc/self/status') if x.startswith('VmHWM')))"
    )
    said = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True).stdout
    return int(said) / 1024


def bench_import(depot: Depot, folder: Path, items: int) -> None:
    source = folder / "items.csv"
    catalogue_csv(source, items)
    ours = timed(lambda: import_file(Import(depot, the_operator(depot)), "items", source))
    insert = [sys.executable, "-m", "sqlite_utils", "insert", str(folder / "y.db"), "items", str(source), "--csv"]
    other = timed(lambda: subprocess.run(insert, check=True, capture_output=True))
    row(f"import of {items:,} items", f"{ours:.2f} s", f"sqlite-utils insert {other:.2f} s", f"{ours / other:.2f} (3)")


def bench_postings(depot: Depot, folder: Path, items: int, moves: int, posts: int) -> None:
    """The growth is against a depot a few weeks old: in a file with nothing in it every index is a single page."""
    for aisle in "AB":
        for bay in range(1, 21):
            add_place(depot, f"{aisle}-{bay:02d}-01-1", "bin")
    raw, early = raw_postings(folder, posts), our_postings(depot, posts)
    row("postings a second", f"{posts / early:,.0f}", f"raw sqlite3 {posts / raw:,.0f}", f"{raw / early:.2f} (≥ 0.5)")
    young = moves // 100
    fill(depot, items, young)
    before = our_postings(depot, posts)
    fill(depot, items, moves, done=young)
    late = our_postings(depot, posts)
    ours, other = f"{late / posts * 1000:.2f} ms", f"with {young:,} {before / posts * 1000:.2f} ms"
    row(f"one posting, {moves:,} moves behind it", ours, other, f"{late / before:.2f} (1)")
    set_points(depot, items)


def main() -> None:
    small = "--small" in sys.argv
    items, moves, posts = (1_000, 10_000, 200) if small else (100_000, 1_000_000, 1_000)
    with tempfile.TemporaryDirectory() as name:
        folder, path = Path(name), Path(name) / "big.depot"
        with Depot.create(path) as depot:
            bench_import(depot, folder, items)
            bench_postings(depot, folder, items, moves, posts)
            spent = timed(lambda: monday_report(depot, date(2026, 11, 25)))
            row("Monday report", f"{spent:.2f} s", "limit 3 s", f"{spent / 3:.2f} (1)")
        memory = peak_mb(path)
        row("Monday report, peak memory", f"{memory:.0f} MB", "limit 400 MB", f"{memory / 400:.2f} (1)")
        bench_start(path, folder)


if __name__ == "__main__":
    main()
