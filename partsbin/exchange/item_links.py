"""What hangs on an item in the catalogue file: suppliers, words, fits, numbers, cautions, kits, successors."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from itertools import dropwhile
from typing import Any

from partsbin.depot.places import add_place
from partsbin.errors import Refused
from partsbin.exchange.gtin import gtin14
from partsbin.exchange.importing import Import
from partsbin.exchange.sheet import Problems, Sheet, listed
from partsbin.exchange.values import money, whole

Rows = list[tuple[int, dict[str, str]]]
_SUPPLY = ("supplier", "supplier_part_number", "cost", "lead_time_days", "minimum", "price_breaks")


def write_links(
    job: Import, sheet: Sheet, batches: Iterable[Rows], before: dict[str, int], lines: dict[str, int]
) -> None:
    """Replace, for the items of a file, what its columns say; runs inside the import's transaction.

    ``before`` are the items from before the import, ``lines`` is {part number in upper case: its line}.
    """
    ids = job.ids("items", "part_number")
    for rows in batches:
        _write_batch(job, sheet, rows, before, ids)
    if "superseded_by" in sheet.columns:
        _refuse_circles(job, sheet.problems, lines)


def _write_batch(job: Import, sheet: Sheet, rows: Rows, before: dict[str, int], ids: dict[str, int]) -> None:
    mine = [(line, values, ids[values["part_number"].upper()]) for line, values in rows]
    has = set(sheet.columns)
    existing = [item_id for _, values, item_id in mine if values["part_number"].upper() in before]
    writer = _Links(job, sheet.problems, ids, existing)
    for column in ("fits", "aliases", "cautions", "kit", "substitutes", "gtin"):
        if column in has:
            writer.replace(column, mine)
    if has.intersection(_SUPPLY):
        _write_suppliers(job, mine, sheet.problems)
    for column in ("superseded_by", "opposite_hand"):
        if column in has:
            writer.point(column, mine)
    if "home_bin" in has:
        writer.home(mine)


class _BadGtin(Refused):
    """A trade item number that cannot be right."""


class _Links:
    def __init__(self, job: Import, problems: Problems, ids: dict[str, int], existing: list[int]) -> None:
        self.job, self.problems, self.ids, self.existing = job, problems, ids, existing
        self.cautions = {row[0].upper(): row[0] for row in job.depot.all("SELECT code FROM cautions")}

    def replace(self, column: str, mine: Iterable[tuple[int, dict[str, str], int]]) -> None:
        table, sql, read = {
            "fits": ("item_fits", "INSERT OR IGNORE INTO item_fits VALUES (?, ?)", self._plain),
            "aliases": (
                "item_words",
                "INSERT OR IGNORE INTO item_words (item_id, words, source) VALUES (?, ?, 'catalogue')",
                self._plain,
            ),
            "cautions": ("item_cautions", "INSERT OR IGNORE INTO item_cautions VALUES (?, ?)", self._caution),
            "kit": ("item_parts", "INSERT INTO item_parts VALUES (?, ?, ?)", self._component),
            "substitutes": ("item_substitutes", "INSERT OR IGNORE INTO item_substitutes VALUES (?, ?)", self._other),
            "gtin": (
                "item_gtins",
                "INSERT INTO item_gtins (item_id, gtin, quantity) VALUES (?, ?, ?) "
                "ON CONFLICT DO UPDATE SET item_id = excluded.item_id, quantity = excluded.quantity",
                self._gtin,
            ),
        }[column]
        key = "kit_id" if column == "kit" else "item_id"
        only = " AND source = 'catalogue'" if column == "aliases" else ""
        run = self.job.depot.connection
        run.executemany(f"DELETE FROM {table} WHERE {key} = ?{only}", [(item_id,) for item_id in self.existing])
        links: list[tuple[Any, ...]] = []
        for line, values, item_id in mine:
            for text in listed(values[column]) if values[column] else ():
                try:
                    links.append((item_id, *read(text)))
                except _BadGtin as bad:  # the code on a carton may be wrong: no reason to do without the item
                    self.job.warnings.append(f"line {line}, gtin: {bad}; left out of {values['part_number']}")
                except Refused as refused:
                    self.problems.add(line, column, str(refused))
        if not self.problems.found:
            run.executemany(sql, links)

    def _plain(self, text: str) -> tuple[str]:
        return (text,)

    def _caution(self, text: str) -> tuple[str]:
        if text.upper() not in self.cautions:
            message = (
                f"“{text}” is not a caution of this depot; import cautions first. Known: {', '.join(self.cautions)}"
            )
            raise Refused(message)
        return (self.cautions[text.upper()],)

    def _other(self, text: str) -> tuple[int]:
        if text.upper() not in self.ids:
            message = f"“{text}” is not a part number of this file or depot"
            raise Refused(message)
        return (self.ids[text.upper()],)

    def _component(self, text: str) -> tuple[int, int]:
        number, _, quantity = text.rpartition("*") if re.search(r"\*\d+$", text) else (text, "", "1")
        return (self._other(number.strip())[0], whole(quantity, least=1, most=100_000))

    def _gtin(self, text: str) -> tuple[str, int | None]:
        digits, _, quantity = text.partition("*")
        try:
            return (gtin14(digits), whole(quantity, least=1) if quantity else None)
        except Refused as refused:
            raise _BadGtin(str(refused)) from refused

    def point(self, column: str, mine: Iterable[tuple[int, dict[str, str], int]]) -> None:
        """Set a column of items that names another item."""
        pairs: list[tuple[int | None, int]] = []
        for line, values, item_id in mine:
            try:
                pairs.append((self._other(values[column])[0] if values[column] else None, item_id))
            except Refused as refused:
                self.problems.add(line, column, str(refused))
            else:
                if pairs[-1][0] == item_id:
                    self.problems.add(line, column, "an item cannot name itself")
        if not self.problems.found:
            sql = f"UPDATE items SET {column} = ? WHERE id = ? AND {column} IS NOT ?"
            self.job.depot.connection.executemany(sql, [(other, item_id, other) for other, item_id in pairs])

    def home(self, mine: Iterable[tuple[int, dict[str, str], int]]) -> None:
        """Set each item's own bin; a bin the depot lacks is made, since the catalogue says it is there."""
        places: dict[str, int] = {}
        pairs = []
        for line, values, item_id in mine:
            code = values["home_bin"]
            try:
                if code and code not in places:
                    places[code] = add_place(self.job.depot, code, "bin").id
            except Refused as refused:
                self.problems.add(line, "home_bin", str(refused))
                continue
            pairs.append((places.get(code), item_id))
        self.job.depot.connection.executemany("UPDATE items SET home_bin = ? WHERE id = ?", pairs)


def _write_suppliers(job: Import, mine: list[tuple[int, dict[str, str], int]], problems: Problems) -> None:
    known = job.ids("suppliers", "name")
    rows: list[tuple[Any, ...]] = []
    for line, values, item_id in mine:
        name = values.get("supplier", "")
        if not name:
            if values.get("cost"):
                name = "Supplier not stated"
            else:
                continue
        if name.upper() not in known:
            cursor = job.depot.run("INSERT INTO suppliers (name) VALUES (?)", (name,))
            known[name.upper()] = int(cursor.lastrowid or 0)
        rows.append((item_id, known[name.upper()], *supply_row(line, values, problems)))
    run = job.depot.connection
    run.executemany("UPDATE item_suppliers SET preferred = 0 WHERE item_id = ?", [(row[0],) for row in rows])
    run.executemany(
        "INSERT INTO item_suppliers (item_id, supplier_id, their_number, cost, lead_time_days, minimum, price_breaks, "
        "pack_size) VALUES (?,?,?,?,?,?,?,?) ON CONFLICT DO UPDATE SET their_number = excluded.their_number, "
        "cost = excluded.cost, lead_time_days = excluded.lead_time_days, minimum = excluded.minimum, "
        "price_breaks = excluded.price_breaks, pack_size = excluded.pack_size, preferred = 1",
        rows,
    )


def supply_row(line: int, values: dict[str, str], problems: Problems) -> tuple[Any, ...]:
    """Read what a row says about buying: their number, cost, lead time, minimum, price breaks, pack."""
    readers: dict[str, Callable[[str], int]] = {
        "cost": money,
        "lead_time_days": lambda text: whole(text, most=3650),
        "minimum": lambda text: whole(text, most=1_000_000),
    }
    read: dict[str, Any] = {}
    for column, reader in readers.items():
        text = values.get(column, "")
        try:
            read[column] = reader(text) if text else None
        except Refused as refused:
            problems.add(line, column, str(refused))
    pack = values.get("pack_size") or "1"
    return (
        values.get("supplier_part_number", ""),
        read.get("cost"),
        read.get("lead_time_days"),
        read.get("minimum") or 0,
        values.get("price_breaks", ""),
        int(pack) if pack.isdigit() and int(pack) else 1,
    )


def _refuse_circles(job: Import, problems: Problems, lines: dict[str, int]) -> None:
    """Refuse supersessions that run in a circle: an old number must lead to a live one."""
    after = {
        row["id"]: row["superseded_by"]
        for row in job.depot.all("SELECT id, superseded_by FROM items WHERE superseded_by IS NOT NULL")
    }
    settled: set[int] = set()
    for start in after:
        trail: dict[int, None] = {}  # in order, and quick to ask: a chain may be as long as the catalogue
        here: int | None = start
        while here is not None and here not in settled and here not in trail:
            trail[here] = None
            here = after.get(here)
        if here is not None and here in trail:
            numbers = [
                str(job.depot.value("SELECT part_number FROM items WHERE id = ?", (item_id,)))
                for item_id in dropwhile(lambda item_id, here=here: item_id != here, trail)  # type: ignore[misc]
            ]
            first = numbers.index(min(numbers))
            numbers = numbers[first:] + numbers[:first]
            line = next((lines[number.upper()] for number in numbers if number.upper() in lines), 0)
            problems.add(line, "superseded_by", f"runs in a circle: {' → '.join([*numbers, numbers[0]])}")
        settled.update(trail)
