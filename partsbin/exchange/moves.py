"""The ledger as CSV: a history in, the whole ledger out."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from zoneinfo import ZoneInfo

from partsbin.depot import clock
from partsbin.depot.catalogue import the_item
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, lot, post, serial, whole_quantity
from partsbin.depot.operators import Operator, the_operator
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.move_places import Places
from partsbin.exchange.sheet import BadRows, Problems, open_sheet
from partsbin.exchange.standing import Figures, figures_now, make_room, refuse_again, stock_slips
from partsbin.exchange.values import one_of, whole

REQUIRED = ("date", "type", "part_number", "quantity")
OPTIONAL = (
    *("from_location", "to_location", "reference", "lot", "best_before", "serial", "slip", "reason", "operator"),
    *("reverses", "entered", "order", "request"),
)
COLUMNS = ("date", "type", "part_number", "from_location", "to_location", "quantity", "reference", *OPTIONAL[3:])
_READ = ("date", "type", "quantity")
_REPEATED = ("part_number", "from_location", "to_location", "lot", "best_before", "reason", "operator")
_SLIP_OF = {
    **{kind: kind for kind in ("receipt", "checkout", "issue", "return", "count", "put-away", "correction")},
    "move": "put-away",
    "scrap": "correction",
}


@dataclass(slots=True)
class Row:
    """One row of history, read as far as it can be before places and figures are known."""

    line: int
    at: str
    type: str
    values: dict[str, str]
    item_id: int
    quantity: int
    source: int = 0
    target: int = 0

    @property
    def group(self) -> tuple[str, ...]:
        """Rows that stand on one slip."""
        if slip := self.values.get("slip"):
            return (slip,)
        one = str(self.line) if self.type == "count" else ""
        return (self.at, self.type, self.values.get("reference", ""), one)


def import_moves(job: Import, path: Path) -> Report:
    """Replay a history in order of time onto the ledger.

    Rows of one moment go in file order, but one that would run short waits for the others of that moment: a day's
    rows without times may stand in any order.
    A count sets the figure at ``to_location``; between a place and COUNT-DIFFERENCE it is the difference itself.
    Stock set by hand before, which the history leads to by itself, is not counted double (``standing``).
    Refuses unknown parts, unknown places (unless they may be made), rows that stand on the ledger already, and what
    would go below zero, row by row.
    """
    sheet = open_sheet(path, required=REQUIRED, optional=OPTIONAL)
    with job.depot.write():
        rows = list(_read(job, sheet.rows(job.progress), sheet.problems))
        Places(job, sheet.problems).settle(rows)
        sheet.problems.settle()
        rows.sort(key=lambda row: row.at)
        refuse_again(job.depot, rows, _SLIP_OF, sheet.problems)
        sheet.problems.settle()
        if slips := stock_slips(job.depot):
            alone = _replay(_Poster(job, Problems(path), {}, dry=True), rows)
            outcome = None if alone.problems.found else alone.figures
            note = make_room(job, slips, outcome, whole_ledger="slip" in sheet.columns, name=path.name)
            sheet.warnings.append(note)
        poster = _replay(_Poster(job, sheet.problems, figures_now(job.depot)), rows)
        sheet.problems.settle()
    return Report("moves", len(rows), poster.slips, tuple(sheet.warnings))


def _read(job: Import, rows: Iterator[tuple[int, dict[str, str]]], problems: Problems) -> Iterator[Row]:
    items, zone = job.ids("items", "part_number"), job.depot.zone
    for line, values in rows:
        column = ""
        try:
            column = "date"
            at = _moment(values["date"], zone)
            column = "type"
            kind = one_of(values["type"], _SLIP_OF)
            if not kind:
                message = "is empty"
                raise Refused(message)
            column = "part_number"
            item = items.get(values["part_number"].upper()) or the_item(job.depot, values["part_number"]).id
            column = "quantity"
            counted = kind == "count"
            quantity = whole(values["quantity"], most=10**7) if counted else whole_quantity(values["quantity"])
        except Refused as refused:
            problems.add(line, column, str(refused))
        else:
            yield Row(line, at, kind, _kept(values), item, quantity)


def _kept(values: dict[str, str]) -> dict[str, str]:
    """Return what of a row is needed once it is read, each repeated text once: a history is sorted in memory."""
    return {
        column: sys.intern(text) if column in _REPEATED else text
        for column, text in values.items()
        if text and column not in _READ
    }


def _moment(text: str, zone: ZoneInfo) -> str:
    if len(text) == 20 and text[-1] == "Z" and text[10] == "T":  # as we export: no need to read and write it
        clock.local_time(text, zone)
        return text
    return clock.stamp(text, zone)


def _replay(poster: _Poster, rows: list[Row]) -> _Poster:
    with suppress(BadRows):  # too many problems to go on: whoever settles them raises them
        for _, moment in groupby(rows, key=lambda row: row.at):
            poster.moment([list(group) for _, group in groupby(moment, key=lambda row: row.group)])
    return poster


class _Poster:
    """Posts history slip by slip, keeping the figures so that a shortage names its row; ``dry``: figures only."""

    def __init__(self, job: Import, problems: Problems, figures: Figures, *, dry: bool = False) -> None:
        self.job, self.problems, self.figures, self.dry = job, problems, figures, dry
        self.slips = 0
        self.operators: dict[str, Operator] = {"": job.operator}
        depot = job.depot
        self.physical = {row[0]: row[1] for row in depot.all("SELECT id, code FROM places WHERE physical = 1")}
        self.difference = depot.value("SELECT id FROM places WHERE kind = 'count-difference'")
        self.numbers: dict[str, int] = {}
        self.undo: list[tuple[tuple[int, int, int], int]] = []

    def moment(self, slips: list[list[Row]]) -> None:
        """Post the slips of one moment; what runs short waits for the rest, and is a problem if that does not help."""
        while slips:
            faults = [(rows, fault) for rows in slips if (fault := self._slip(rows))]
            waiting = [rows for rows, _ in faults]
            if len(waiting) == len(slips):
                for _, (line, reason) in faults:
                    self.problems.add(line, "", reason)
                return
            slips = waiting

    def _slip(self, rows: list[Row]) -> tuple[int, str] | None:
        """Post one slip; or say which line cannot be, having changed nothing."""
        lines: list[Line] = []
        self.undo.clear()
        row = rows[0]
        try:
            for row in rows:
                lines += self._lines(row)
            if lines and not self.dry and not self.problems.found:
                self._post(rows[0], lines)
        except Refused as refused:
            for key, figure in reversed(self.undo):
                self.figures[key] = figure
            return (row.line, str(refused))
        return None

    def _post(self, first: Row, lines: list[Line]) -> None:
        written = first.values.get("reverses", "")
        number = post(
            self.job.depot,
            _SLIP_OF[first.type],
            lines,
            operator=self._operator(first.values.get("operator", "")),
            reference=first.values.get("reference", ""),
            reason=first.values.get("reason", ""),
            at=first.at,
            reverses=self.numbers.get(written) if written else None,
        )
        if first.values.get("slip"):
            self.numbers[first.values["slip"]] = number
        self.slips += 1

    def _operator(self, initials: str) -> Operator:
        if initials not in self.operators:
            self.operators[initials] = the_operator(self.job.depot, initials)
        return self.operators[initials]

    def _lines(self, row: Row) -> Iterator[Line]:
        depot, values = self.job.depot, row.values
        lot_id = lot(depot, row.item_id, values["lot"], values.get("best_before", "")) if values.get("lot") else None
        serial_id = serial(depot, row.item_id, values["serial"]) if values.get("serial") else None
        source, target, quantity = row.source, row.target, row.quantity
        if row.type == "count" and self.difference not in (source, target):
            gap = quantity - self.figures.get((row.item_id, target, lot_id or 0), 0)
            if gap == 0:
                return
            source, target = (self.difference, target) if gap > 0 else (target, self.difference)
            quantity = abs(gap)
        elif quantity == 0:
            message = "0 is not a quantity: give a whole number above zero"
            raise Refused(message)
        self._shift(row.item_id, source, lot_id or 0, -quantity, values["part_number"])
        self._shift(row.item_id, target, lot_id or 0, quantity, "")
        yield Line(
            *(row.item_id, source, target, quantity, lot_id, serial_id),
            entered=values.get("entered", ""),
            order_line=self._link("order", values),
            request_line=self._link("request", values),
        )

    def _shift(self, item: int, place: int, lot_id: int, by: int, part_number: str) -> None:
        key = (item, place, lot_id)
        there = self.figures.get(key, 0)
        if place in self.physical and there + by < 0:
            message = f"{self.physical[place]} holds {there} {part_number} at that time, {-by} cannot leave it"
            raise Refused(message)
        self.undo.append((key, there))
        self.figures[key] = there + by

    def _link(self, kind: str, values: dict[str, str]) -> int | None:
        written = values.get(kind, "")
        if not written:
            return None
        head, _, line = written.rpartition("#")
        sql = {
            "order": "SELECT l.id FROM order_lines l JOIN orders o ON o.id = l.order_id "
            "WHERE o.number = ? AND l.line = ?",
            "request": "SELECT id FROM request_lines WHERE request_id = ? AND line = ?",
        }[kind]
        found = self.job.depot.value(sql, (head, line))
        if found is None:
            message = f"{kind} “{written}” is not in this depot; import {kind}s first"
            raise Refused(message)
        return int(found)


def export_moves(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield the whole ledger in posting order, in the columns of ``COLUMNS``."""
    return (tuple(row) for row in depot.connection.execute(_EXPORT))


_EXPORT = """
SELECT s.posted_at,
  CASE WHEN s.kind = 'put-away' THEN 'move'
       WHEN s.kind = 'correction' AND t.kind = 'scrap' THEN 'scrap' ELSE s.kind END,
  i.part_number, f.code, t.code, m.quantity, s.reference, ifnull(l.code, ''), ifnull(l.best_before, ''),
  ifnull(x.serial, ''), s.id, s.reason, o.initials, ifnull(s.reverses, ''), m.entered,
  ifnull((SELECT p.number || '#' || q.line FROM order_lines q JOIN orders p ON p.id = q.order_id
          WHERE q.id = m.order_line), ''),
  ifnull((SELECT r.request_id || '#' || r.line FROM request_lines r WHERE r.id = m.request_line), '')
FROM moves m JOIN slips s ON s.id = m.slip_id JOIN items i ON i.id = m.item_id
JOIN places f ON f.id = m.from_place JOIN places t ON t.id = m.to_place JOIN operators o ON o.id = s.operator
LEFT JOIN lots l ON l.id = m.lot_id LEFT JOIN serials x ON x.id = m.serial_id
ORDER BY m.slip_id, m.line
"""
