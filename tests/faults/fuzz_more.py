"""Noise in whole commands, histories, settings, audit files and label stocks: words, and a depot that still checks."""

from __future__ import annotations

import contextlib
import io
import os
import sqlite3
from collections.abc import Callable
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from partsbin.cli import main
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.rights import DEEDS
from partsbin.errors import Refused
from partsbin.exchange.audit import read_audit
from partsbin.printing.stock import load_stock
from tests.faults.fuzz import cells, try_import
from tests.faults.tally import Tally
from tests.faults.yard import BINS, PARTS, VANS, build

REPO = Path(__file__).parents[2]
_AUDITS = [path.read_bytes() for path in sorted((REPO / "tests/data/audit").glob("*.dex"))]
_STOCKS = [path.read_text() for path in sorted((REPO / "labels").glob("*.toml"))]

_COMMANDS = (
    *("init", "import", "export", "find", "request", "receive", "move", "issue", "return", "scrap", "count", "reverse"),
    *("restock", "plan", "monday", "labels", "lane", "people", "backup", "restore", "check", "audit", "machines"),
)
_OPTIONS = (
    *("--json", "--post", "--apply", "--dry-run", "--create-places", "--help", "--limit", "--lines", "--date", "--to"),
    *("--from", "--reason", "--lot", "--best-before", "--serial", "--order", "--reference", "--stock", "--start"),
    *(
        "--preview",
        "--jobs",
        "--job",
        "--strike",
        "--van",
        "--class-targets",
        "--what-if",
        "--role",
        "--badge",
        "--csv",
    ),
    *("--clear", "--operator", "-x", "--", "add", "role", "pin", "items", "moves", "all", "bins", "letter-30", "DESK"),
)
_KEYS = (
    *("depot_name", "time_zone", "currency", "paper", "daily_backup", "sign_on", "label_stock", "label_printer"),
    *("adjust_limit_value", "adjust_limit_quantity", *(f"may:{deed}" for deed in DEEDS)),
)

words = st.one_of(st.sampled_from((*_OPTIONS, *PARTS[:2], *BINS[:2], *VANS[:2], "1", "3")), cells).map(
    lambda text: text.replace("\0", "")  # which no shell can pass on
)
arguments = st.tuples(st.sampled_from(_COMMANDS), st.lists(words, max_size=5)).map(lambda drawn: [drawn[0], *drawn[1]])

_DATES = (
    "2026-01-05",
    "2026-01-05T10:00",
    "2027-01-01",
    "2020-12-31T23:59:59Z",
    "2026-03-29T02:30",
    "2026-10-25T02:30",
)
_SOUND: dict[str, tuple[str, ...]] = {
    "date": _DATES,
    "type": ("receipt", "checkout", "issue", "return", "move", "scrap", "count", "correction"),
    "part_number": PARTS[:3],
    "from_location": ("", "SUPPLIER", *BINS[:2], *VANS[:1], "JOB", "NEW"),
    "to_location": ("", "JOB", "SCRAP", *BINS[:2], *VANS[:1], "COUNT-DIFFERENCE", "NEW"),
    "quantity": ("0", "1", "2", "50", "100000"),
    "reference": ("", "N1", "N2"),
    "lot": ("", "", "L1"),
    "best_before": ("", "", "2027-01-31"),
    "serial": ("", "", "S1"),
    "slip": ("", "1", "2", "3"),
    "reverses": ("", "", "1", "2"),
    "order": ("", "", "PO-1#1", "#"),
    "operator": ("", "", "DESK", "XX"),
}


def _cell(column: str) -> st.SearchStrategy[str]:
    sound = st.sampled_from(_SOUND[column])
    return st.integers(0, 11).flatmap(lambda n: cells.map(_quoted) if n == 0 else sound)


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


histories = st.lists(st.tuples(*map(_cell, _SOUND)).map(",".join), min_size=1, max_size=6).map(
    lambda rows: "\n".join([",".join(_SOUND), *rows]).encode("utf-8", "surrogatepass")
)


@st.composite
def audits(draw: st.DrawFn) -> bytes:
    """Draw an audit file with a few fields, lines or bytes spoiled."""
    lines = draw(st.sampled_from(_AUDITS)).split(b"\r\n")
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        fields = lines[at].split(b"*")
        noise = draw(st.one_of(cells.map(lambda text: text.encode("utf-8", "surrogatepass")), st.binary(max_size=9)))
        fields[draw(st.integers(0, len(fields) - 1))] = noise
        spoil = draw(st.sampled_from((b"*".join(fields), b"", lines[at] + b"\r\n" + lines[at], noise)))
        lines[at] = spoil
    return b"\r\n".join(lines)


@st.composite
def stocks(draw: st.DrawFn) -> str:
    """Draw a label stock with a few figures spoiled."""
    lines = draw(st.sampled_from(_STOCKS)).splitlines()
    values = st.one_of(
        st.sampled_from(("[]", "[1]", "[0, 0]", "-1", "0", "1e400", "nan", "inf", '"x"', "true", "[" * 3000, "{a=1}")),
        st.integers().map(str),
        st.floats().map(str),
        cells,
    )
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(lines) - 1))
        key = (
            lines[at].partition("=")[0].strip() if draw(st.booleans()) else draw(st.sampled_from(("gap", "page", "x")))
        )
        lines[at] = f"{key} = {draw(values)}"
    return "\n".join(lines)


def try_command(path: Path, drawn: list[str], told: Callable[[str], None]) -> None:
    """Run one command as a shell would; what it says must be words, and it ends with 0, 1 or 2."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code: object = main(["--depot", str(path), *drawn])
        except SystemExit as left:
            code = left.code
        except Exception as error:
            code = f"Traceback {type(error).__name__}: {error}"
    if code not in (0, 1, 2) or "Traceback" in err.getvalue():
        told(f"Traceback? {code} of {drawn!r}: {err.getvalue()[-200:]}")


def _each(tally: Tally, tries: int, strategy: st.SearchStrategy[object], tried: Callable[[object], None]) -> None:
    @settings(
        max_examples=tries,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def run(drawn: object) -> None:
        tally.tried += 1
        before = tally.unclear
        tried(drawn)
        if tally.unclear > before:
            tally.details.append(f"after {drawn!r}"[:600])

    run()


def _in_words(job: Callable[[], object], told: Callable[[str], None]) -> None:
    try:
        job()
    except Refused as refused:
        told(str(refused))
    except Exception as error:
        told(f"Traceback {type(error).__name__}: {error}")


def commands(folder: Path, *, short: bool) -> Tally:
    """Give every command noise for arguments, on a depot whose settings are noise too."""
    tally = Tally("noise: command lines, settings")
    within = folder / "a" / "b" / "c"  # “../../” leads nowhere else
    path = build(within / "c.depot", each=50)
    (within / "items").write_text("a file in the way")
    before = Path.cwd()
    os.chdir(within)
    try:
        _each(tally, 25 if short else 2000, arguments, lambda drawn: try_command(path, drawn, tally.told))  # type: ignore[arg-type]

        def with_setting(drawn: object) -> None:
            key, value, command = drawn  # type: ignore[misc]
            with sqlite3.connect(path) as raw:  # by hand: an import would refuse some of it
                raw.execute(
                    "INSERT OR REPLACE INTO settings VALUES (?, ?)", (key, value.encode("utf-8", "ignore").decode())
                )
            raw.close()
            try_command(path, command, tally.told)

        usual = st.sampled_from((["monday"], ["labels", "bins"], ["scrap", PARTS[0], "1", "--reason", "x"], ["check"]))
        _each(tally, 8 if short else 500, st.tuples(st.sampled_from(_KEYS), cells, usual), with_setting)
    finally:
        os.chdir(before)
    with Depot.open(path) as depot:
        for fault in differences(depot):
            tally.harmed(fault)
    return tally


def foreign_files(folder: Path, *, short: bool) -> Tally:
    """Spoil histories that are nearly sound, audit files and label stocks."""
    tally = Tally("noise: histories, audits, stocks")
    tries = 15 if short else 1500
    with Depot.open(build(folder / "f.depot", each=50)) as depot:
        _each(tally, tries, histories, lambda drawn: try_import(depot, folder, "moves", drawn, tally.told))  # type: ignore[arg-type]
        for fault in differences(depot):
            tally.harmed(fault)
    _each(
        tally,
        tries,
        audits(),
        lambda drawn: _in_words(lambda: read_audit(drawn, "a.dex", accept_bad_check=True), tally.told),  # type: ignore[arg-type]
    )

    def stock(drawn: object) -> None:
        (folder / "mine.toml").write_text(str(drawn), errors="ignore")
        _in_words(lambda: load_stock("mine", folder), tally.told)

    _each(tally, tries, stocks(), stock)
    return tally


FAULTS = (commands, foreign_files)
