"""Noise where files, scans and messages are expected: always words, never a traceback, and the depot still checks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.operators import the_operator
from partsbin.desk.finding import Finder
from partsbin.desk.scanned import look_up
from partsbin.errors import Refused
from partsbin.exchange.importing import Import
from partsbin.exchange.tables import ORDER, export_folder, file_name, import_file
from tests.faults.tally import Tally
from tests.faults.yard import BINS, PARTS, VANS, build

NASTY = (
    *("", " ", "0", "-1", "1e9", "99999999999999999999", "2026-02-30", "2026-13-01T25:61", "0000-00-00", "١٢", "½"),
    *("=1+1", "'=1+1", "''", "@x", "+", "-", "\t=x", "'; DROP TABLE moves; --", "%s%n", "{0}", "NULL", "nan", "inf"),
    *("[/x]", "[bold red]", "[@click=app.quit]", "\x1b[2J\x1b]0;x\x07", "\x9b31m", "\x00", "\x1d", "\x7f", "\r", "\n"),
    *(
        "\u202egnp",
        "\ufeff",
        "\U0001f964" * 3,
        "a" * 5000,
        "../../etc/passwd",
        "/dev/null",
        "|;|;",
        '"',
        '""',
        ",",
        ";",
    ),
    *("]C1010952123454321315261231", "]d20109521234543213", "01" + "9" * 14 + "10", "\x1d\x1d10L7\x1d", "-" * 300),
    *(*PARTS[:2], *BINS[:2], *VANS[:1], "SUPPLIER", "receipt", "count", "VAN1 x", "2 cases of P-001 and a P-002"),
)
Told = Callable[[str], None]
cells = st.one_of(st.sampled_from(NASTY), st.text(max_size=12))
texts = st.lists(cells, max_size=6).map(" ".join)


@st.composite
def files(draw: st.DrawFn, headers: dict[str, list[str]]) -> tuple[str, bytes]:
    """Draw a kind of import and a file for it: sometimes sound in form, sometimes noise from the first byte."""
    kind = draw(st.sampled_from(sorted(headers)))
    if draw(st.integers(0, 9)) == 0:
        return kind, draw(st.binary(max_size=200))
    columns = draw(st.permutations(headers[kind]))
    rows = draw(st.lists(st.lists(cells, min_size=1, max_size=len(columns) + 1), max_size=4))
    quote = draw(st.booleans())
    lines = [",".join(f'"{cell}"' if quote else cell for cell in row) for row in [list(columns), *rows]]
    content = draw(st.sampled_from(["\n", "\r\n", "\r"])).join(lines).encode("utf-8", "surrogatepass")
    return kind, content[: draw(st.integers(0, len(content)))] if draw(st.integers(0, 9)) == 0 else content


def headers_of(depot: Depot, folder: Path) -> dict[str, list[str]]:
    """Return every kind of import with the columns its export has."""
    export_folder(depot, folder)
    return {kind: (folder / file_name(kind)).read_text().splitlines()[0].split(",") for kind in ORDER}


def try_import(depot: Depot, folder: Path, kind: str, content: bytes, told: Told) -> None:
    """Import noise; what is refused must be told in words, and nothing may be left half-done."""
    file = folder / "noise.csv"
    file.write_bytes(content)
    _told(
        lambda: import_file(Import(depot, the_operator(depot), create_places=len(content) % 2 == 0), kind, file), told
    )
    if depot.connection.in_transaction:
        told("")


def try_scan(depot: Depot, text: str, told: Told) -> None:
    """Scan noise."""
    for scanned in (True, False):
        known = _told(lambda scanned=scanned: look_up(depot, text, date(2026, 11, 25), scanned=scanned), told)  # type: ignore[misc]
        for sentence in getattr(known, "problems", ()):
            told(sentence)


def try_message(finder: Finder, text: str, told: Told) -> None:
    """Read noise as a request."""
    _told(lambda: finder.read(text), told)


def _told(job: Callable[[], object], told: Told) -> object:
    try:
        return job()
    except Refused as refused:
        told(str(refused))
    except Exception as error:
        told(f"Traceback {type(error).__name__}: {error}")
    return None


def noise(folder: Path, *, short: bool, each: int | None = None) -> Tally:
    """Ten thousand files, scans and messages of noise; the short pass takes a hundred."""
    tally = Tally("noise: imports, scans, messages")
    tries = each or (35 if short else 3400)
    with Depot.open(build(folder / "n.depot", each=50)) as depot:
        headers, finder = headers_of(depot, folder / "out"), Finder(depot)
        plan = settings(
            max_examples=tries,
            database=None,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )

        @plan
        @given(files(headers))
        def imports(drawn: tuple[str, bytes]) -> None:
            tally.tried += 1
            before = tally.unclear
            try_import(depot, folder, *drawn, tally.told)
            if tally.unclear > before:
                tally.details.append(f"after {drawn!r}"[:600])

        @plan
        @given(texts)
        def scans(text: str) -> None:
            tally.tried += 1
            try_scan(depot, text, tally.told)

        @plan
        @given(texts)
        def messages(text: str) -> None:
            tally.tried += 1
            try_message(finder, text, tally.told)

        for run in (imports, scans, messages):
            run()
        for fault in differences(depot):
            tally.harmed(fault)
    return tally


FAULTS = (noise,)
