"""CSV read so that every fault is named by line and column, and written so that no spreadsheet runs it."""

from __future__ import annotations

import codecs
import csv
import os
import re
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path
from typing import NamedTuple, TextIO

from partsbin.depot.faults import sentence
from partsbin.depot.plain_text import counted, plain
from partsbin.errors import Refused

MOST_NAMED = 100
"""Bad rows named before reading stops: a file this wrong is the wrong file."""

MOST_ROWS = 2_000_000
MOST_BYTES = 256 * 1024 * 1024
"""The largest file taken in one piece: a depot's whole history fits many times; what is larger is the wrong file."""

_LONGEST_CELL = 100_000
_LONGEST_ROW = 1_000_000
_MOST_COLUMNS = 1_000
"""In characters and cells. Whatever a file holds, no more of it than one row is in memory while it is read."""

_TWINS = {
    "qty": "quantity", "on_hand": "quantity", "count": "quantity", "units": "quantity",
    "timestamp": "date", "datetime": "date", "time": "date", "moved_at": "date",
    "part": "part_number", "part_no": "part_number", "partnumber": "part_number", "item": "part_number",
    "item_number": "part_number", "number": "part_number",
    "desc": "description", "name_of_part": "description",
    "location": "place", "bin": "place", "place_code": "place", "code": "place",
    "from": "from_location", "from_place": "from_location", "to": "to_location", "to_place": "to_location",
    "ref": "reference", "document": "reference", "move_type": "type", "movement": "type",
    "min": "reorder_point", "reorder": "reorder_point", "max": "order_up_to", "par": "order_up_to",
    "order_up_to_level": "order_up_to", "unit_cost": "cost", "price": "cost", "lead_time": "lead_time_days",
    "pack": "pack_size", "alias": "aliases", "gtins": "gtin", "replaced_by": "superseded_by",
    "name": "supplier", "best_before_date": "best_before", "expiry": "best_before", "received": "received_before",
    "supplier_number": "supplier_part_number",
}  # fmt: skip
_RUN = r"(?:\s*[=+\-@＝＋－＠]|[\t\r\n])"  # full-width signs begin a formula too
_FORMULA = re.compile(f"'*{_RUN}")
_GUARDED = re.compile(f"'+{_RUN}")


class Problem(NamedTuple):
    """One thing wrong in a file."""

    line: int
    column: str
    reason: str

    def __str__(self) -> str:
        return f"line {self.line}, {self.column}: {self.reason}" if self.column else f"line {self.line}: {self.reason}"


class BadRows(Refused):
    """A file with wrong rows: nothing was imported; every problem is in ``problems``."""

    def __init__(self, path: Path, problems: Sequence[Problem]) -> None:
        self.problems = list(problems)
        count = counted(len(problems), "problem")
        listed = "\n".join(f"  {problem}" for problem in problems)
        super().__init__(f"{path.name}: nothing was imported; {count}:\n{listed}")


class Problems:
    """Collects what is wrong, so that one reading names it all."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.found: list[Problem] = []

    def add(self, line: int, column: str, reason: str) -> None:
        """Note a problem; stops the reading when there are too many to be worth naming."""
        self.found.append(Problem(line, column, reason))
        if len(self.found) >= MOST_NAMED:
            self.found.append(Problem(line, "", f"stopped after {MOST_NAMED} problems"))
            raise BadRows(self.path, self.found)

    def settle(self) -> None:
        """Refuse the file if anything was wrong."""
        if self.found:
            self.found.sort(key=lambda problem: problem.line)
            raise BadRows(self.path, self.found)


class _Lines:
    """Feeds a CSV reader; stops it where a row grows longer than any true one: a quote left open, no line ends."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.begin_row()

    def begin_row(self) -> None:
        """Allow for a whole row anew."""
        self._left = _LONGEST_ROW

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = self._stream.readline(self._left + 1)
        self._left -= len(line)
        if self._left < 0:
            message = f"longer than {_LONGEST_ROW:,} characters"
            raise csv.Error(message)
        if not line:
            raise StopIteration
        return line


@dataclass
class Sheet:
    """An opened CSV: its columns by our names, warnings about its header, and its rows on demand."""

    path: Path
    columns: list[str]
    warnings: list[str]
    problems: Problems
    written: dict[str, str] = field(default_factory=dict)
    """The header of each column as it stands in the file."""

    _delimiter: str = ","
    _width: int = 0
    _kept: list[int] = field(default_factory=list)

    def rows(self, progress: Callable[[int], None] | None = None) -> Iterator[tuple[int, dict[str, str]]]:
        """Yield (line number, {column: text}) for each row that is not empty; ``progress`` hears every 1,000th."""
        with self.path.open(encoding="utf-8-sig", errors="surrogateescape", newline="") as stream:
            lines = _Lines(stream)
            reader = csv.reader(lines, delimiter=self._delimiter, strict=True)
            next(reader)  # as the header was read: a quote never closed in it was refused then
            began = reader.line_num + 1
            width = max(self._kept, default=-1) + 1
            try:
                for count, cells in enumerate(reader, 1):
                    began = reader.line_num + 1
                    lines.begin_row()
                    if progress is not None and count % 1000 == 0:
                        progress(count)
                    if not any(cells):
                        continue
                    if len(cells) < width:
                        cells += [""] * (width - len(cells))
                    elif any(map(str.strip, cells[self._width :])):
                        self.problems.add(reader.line_num, "", self._too_many(len(cells)))
                        continue
                    if count > MOST_ROWS:
                        self.problems.add(reader.line_num, "", f"more than {MOST_ROWS:,} rows; split the file")
                        break
                    values = [cells[i].strip() for i in self._kept]
                    if not all(map(str.isprintable, values)):
                        values = self._plain(values)
                    yield (
                        reader.line_num,
                        dict(zip(self.columns, [unguard(v) if v[:1] == "'" else v for v in values], strict=True)),
                    )
            except csv.Error as error:
                self.problems.add(began, "", f"this line is not CSV ({error}); check its quotes")

    def _too_many(self, cells: int) -> str:
        between = {",": "comma", ";": "semicolon"}.get(self._delimiter, "tab")
        return f"{cells} cells under {self._width} headers; put quotes around a cell that holds a {between}"

    def _plain(self, values: list[str]) -> list[str]:
        """Leave out what would steer a terminal, and say so once."""
        kept = [plain(value) for value in values]
        note = f"{self.path.name}: control characters inside cells were left out"
        if kept != values and note not in self.warnings:
            self.warnings.append(note)
        return kept


def open_sheet(
    path: Path,
    *,
    required: Sequence[str],
    optional: Sequence[str],
    lenient: bool = False,
    column_of: Callable[[str], str] | None = None,
) -> Sheet:
    """Open a CSV with a header row: commas, semicolons or tabs; with or without a BOM; any line ends.

    Columns may come in any order; obvious twins of our names are understood; unknown ones are named in a warning.
    Refuses a missing file, text that is not UTF-8 (by line and column), and missing required columns.
    ``lenient`` keeps a header's own name where it is also one of ours. ``column_of`` knows more twins of a header.
    """
    delimiter, header = _header(path)
    known = [*required, *optional]
    names = [_our_name(cell, known, column_of) for cell in header]
    sheet = Sheet(path, [], [], Problems(path), _delimiter=delimiter, _width=len(header))
    for index, (name, written) in enumerate(zip(names, header, strict=True)):
        if name in known and name not in sheet.columns:
            sheet.columns.append(name)
            sheet.written[name] = written
            sheet._kept.append(index)
        elif written.strip() and not lenient:
            sheet.warnings.append(f"{path.name}: column “{written.strip()}” is not used")
    missing = [name for name in required if name not in sheet.columns]
    if missing:
        message = (
            f"{path.name}: line 1, column {', '.join(missing)} is missing; the file has: "
            f"{', '.join(cell.strip() for cell in header) or 'nothing'}."
        )
        raise Refused(message)
    return sheet


def _header(path: Path) -> tuple[str, list[str]]:
    """Return the delimiter and the cells of the first row."""
    csv.field_size_limit(_LONGEST_CELL)
    _require_text(path)
    with path.open(encoding="utf-8-sig", newline="") as stream:
        lines = _Lines(stream)
        try:
            first = next(lines, "")
            delimiter = max(",;\t", key=first.count)
            header = next(csv.reader(chain([first], lines), delimiter=delimiter, strict=True), [])
        except csv.Error as error:
            message = f"{path.name}: line 1 is not a header row ({error}); check its quotes"
            raise Refused(message) from error
    if len(header) > _MOST_COLUMNS:
        message = f"{path.name}: line 1 has {len(header):,} columns; a table has at most {_MOST_COLUMNS:,}."
        raise Refused(message)
    return delimiter, header


def _our_name(written: str, known: Sequence[str], column_of: Callable[[str], str] | None) -> str:
    name = re.sub(r"[^0-9a-z]+", "_", written.strip().lower()).strip("_")
    if name in known:
        return name
    twin = column_of(written) if column_of else name
    return twin if twin in known else _TWINS.get(name, name)


def _require_text(path: Path) -> None:
    """Refuse a file that is missing or not UTF-8, naming the first wrong byte."""
    if not path.is_file():
        message = f"There is no file {path}." if not path.exists() else f"{path} is not a file; name a CSV file."
        raise Refused(message)
    if path.stat().st_size > MOST_BYTES:
        message = f"{path.name} has more than {MOST_BYTES // 1024**2} MB; split it and take it in piece by piece."
        raise Refused(message)
    decoder = codecs.getincrementaldecoder("utf-8")()
    with path.open("rb") as stream:
        first = stream.read(2)
        if first in (b"\xff\xfe", b"\xfe\xff") or (b"\x00" in first and first != b"\x00\x00"):
            message = f"{path.name} is UTF-16; save it as CSV UTF-8."
            raise Refused(message)
        stream.seek(0)
        line = 1
        chunk = b" "
        while chunk:
            chunk = stream.read(1 << 20)
            try:
                decoder.decode(chunk, final=not chunk)
            except UnicodeDecodeError as error:
                line += error.object[: error.start].count(b"\n")
                column = _column_at(path, line)
                wrong = f"byte 0x{error.object[error.start]:02X} is not UTF-8"
                message = f"{path.name}: line {line}, {column}: {wrong}; save the file as CSV UTF-8."
                raise Refused(message) from error
            line += chunk.count(b"\n")


def _column_at(path: Path, line: int) -> str:
    """Return which column the first wrong byte of a line lies in."""
    with path.open("rb") as stream:
        head = last = next(stream, b"")
        for row in islice(stream, line - 1):
            last = row
    delimiter = max((b",", b";", b"\t"), key=head.count).decode()
    sound = re.split("[\udc80-\udcff]", last.decode("utf-8", "surrogateescape"), maxsplit=1)[0]
    header = head.decode("utf-8-sig", "replace").strip().split(delimiter)
    index = sound.count(delimiter)
    return f"column {header[index].strip()}" if index < len(header) else f"column {index + 1}"


def unguard(text: str) -> str:
    """Take off the mark that kept a cell from running as a formula."""
    return text[1:] if _GUARDED.match(text) else text


def guard(text: str) -> str:
    """Mark a cell that a spreadsheet would run as a formula."""
    return f"'{text}" if _FORMULA.match(text) else text


def write_sheet(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write a CSV: UTF-8, LF, header first, formulas guarded; the file appears whole or not at all."""
    partial = path.with_name(f"{path.name}.partial-{os.getpid()}-{time.time_ns()}")  # two exports, two files
    try:
        with partial.open("w", encoding="utf-8", newline="") as stream:
            writer = csv.writer(stream, lineterminator="\n")
            writer.writerow(columns)
            writer.writerows([guard(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
        partial.replace(path)
    except OSError as error:
        named = OSError(error.errno, error.strerror, str(path))  # the reader knows no “.partial”
        raise Refused(sentence(named, path) or f"{path} cannot be written.") from error
    finally:
        partial.unlink(missing_ok=True)


def listed(text: str) -> list[str]:
    """Read a list inside a cell, separated by ``|`` or ``;``, without empties or repeats."""
    return list(dict.fromkeys(part for raw in re.split(r"[|;]", text) if (part := raw.strip())))
