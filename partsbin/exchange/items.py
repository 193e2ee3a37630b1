"""The catalogue as CSV: items with their words, fits, numbers, suppliers, cautions and kits."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from partsbin.depot.catalogue import part_key
from partsbin.depot.file import Depot
from partsbin.depot.plain_text import plain
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.item_links import Rows, supply_row, write_links
from partsbin.exchange.sheet import BadRows, Problems, Sheet, open_sheet
from partsbin.exchange.values import major_sql, one_of, whole, yes

REQUIRED = ("part_number", "description")
OPTIONAL = (
    *("category", "kind", "unit", "pack_size", "fits", "supplier", "supplier_part_number", "cost", "lead_time_days"),
    *("aliases", "gtin", "superseded_by", "family", "hand", "viewpoint", "tracking", "disposition", "shelf_life_days"),
    *("weight_g", "cautions", "opposite_hand", "kit", "substitutes", "service", "minimum", "container", "home_bin"),
    *("price_breaks", "retired"),
)
COLUMNS = (*REQUIRED, *OPTIONAL)
_AT_ONCE = 100_000
"""Rows in memory at once, however many the file has: a depot's whole catalogue, so that it is read once."""

Reader = Callable[[str], Any]


def _text(text: str) -> str:
    return text


def _or(default: Any, read: Reader) -> Reader:  # noqa: ANN401 - a column's own type
    return lambda text: read(text) if text else default


_HANDS = {"LEFT": "LH", "RIGHT": "RH", "L": "LH", "R": "RH"}
_PLAIN: dict[str, Reader] = {
    "description": _text,
    "category": _text,
    "kind": _or("part", _text),
    "unit": _or("each", str.lower),
    "pack_size": _or(1, lambda text: whole(text, least=1, most=1_000_000)),
    "family": str.upper,
    "hand": lambda text: _HANDS.get(text.upper()) or one_of(text, ("LH", "RH")),
    "viewpoint": _text,
    "tracking": lambda text: one_of(text, ("quantity", "lot", "serial", "bulk"), "quantity"),
    "disposition": lambda text: one_of(
        text, ("consumable", "reusable", "core", "controlled", "regulated"), "consumable"
    ),
    "shelf_life_days": _or(None, lambda text: whole(text, least=1, most=36_500)),
    "weight_g": _or(None, lambda text: whole(text, most=10_000_000)),
    "service": lambda text: one_of(text, ("fast", "medium", "slow")),
    "container": _text,
    "retired": yes,
}


def import_items(job: Import, path: Path) -> Report:
    """Add items, or bring those with the same part number up to date in the columns the file has."""
    sheet = open_sheet(path, required=REQUIRED, optional=OPTIONAL)
    return _take_items(job, sheet, lambda: _batches(sheet.rows(job.progress)))


def save_item(job: Import, values: dict[str, str]) -> None:
    """Write one item from texts as a file would hold them, under the same rules; refuses a wrong cell in words."""
    values = {column: plain(text) for column, text in values.items()}
    sheet = Sheet(Path("this item"), list(values), [], Problems(Path("this item")))
    try:
        _take_items(job, sheet, lambda: [[(1, values)]])
    except BadRows as bad:
        first = bad.problems[0]
        raise Refused(f"{first.column} {first.reason}" if first.column else first.reason) from bad


def _batches(rows: Iterator[tuple[int, dict[str, str]]]) -> Iterator[Rows]:
    while batch := list(islice(rows, _AT_ONCE)):
        yield batch


def _take_items(job: Import, sheet: Sheet, read: Callable[[], Iterable[Rows]]) -> Report:
    """Take in what ``read`` gives, all or nothing: first the items, then, read once more, what names other items."""
    seen: dict[str, int] = {}
    batch: Rows = []
    batches = 0
    with job.depot.write():
        before = job.ids("items", "part_number")
        for batch in read():
            batches += 1
            _take_plain(job, sheet, batch, seen)
        sheet.problems.settle()
        again = [batch] if batches <= 1 else read()  # what is in memory as a whole need not be read twice
        write_links(job, sheet, again, before, seen)
        sheet.problems.settle()
    added = sum(1 for number in seen if number not in before)
    return Report("items", len(seen), added, (*sheet.warnings, *job.warnings))


def _take_plain(job: Import, sheet: Sheet, rows: Rows, seen: dict[str, int]) -> None:
    """Write the columns that are the items' own, unless a problem was found: then the rest is only read."""
    _read_part_numbers(rows, sheet.problems, seen)
    plain = [name for name in sheet.columns if name in _PLAIN]
    tuples = [_plain_row(line, values, plain, sheet.problems) for line, values in rows]
    for line, values in rows:
        supply_row(line, values, sheet.problems)
    if not sheet.problems.found:
        _upsert(job.depot, plain, tuples)


def _read_part_numbers(rows: Rows, problems: Problems, seen: dict[str, int]) -> None:
    for line, values in rows:
        number = values["part_number"].upper()
        if not number:
            problems.add(line, "part_number", "is empty")
        elif len(number) > 80 or not number.isprintable():
            problems.add(line, "part_number", "is longer than 80 characters or holds control characters")
        elif number in seen:
            problems.add(line, "part_number", f"{values['part_number']} is already on line {seen[number]}")
        elif not values["description"]:
            problems.add(line, "description", "is empty")
        seen.setdefault(number, line)


def _plain_row(line: int, values: dict[str, str], plain: list[str], problems: Problems) -> tuple[Any, ...]:
    number = values["part_number"]
    row: list[Any] = [number, part_key(number)]
    for name in plain:
        try:
            row.append(_PLAIN[name](values[name]))
        except Refused as refused:
            problems.add(line, name, str(refused))
            row.append(None)
    return tuple(row)


def _upsert(depot: Depot, plain: list[str], rows: list[tuple[Any, ...]]) -> None:
    columns = ["part_number", "part_key", *plain]
    changed = int(depot.value("SELECT ifnull(max(changed), 0) + 1 FROM items"))
    depot.connection.executemany(
        f"INSERT INTO items ({', '.join(columns)}, changed) VALUES ({', '.join('?' * len(columns))}, {changed}) "
        "ON CONFLICT (part_number) DO UPDATE SET "
        f"{''.join(f'{c} = excluded.{c}, ' for c in plain)}changed = excluded.changed",
        rows,
    )


def export_items(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield the catalogue in the columns of ``COLUMNS``, by part number."""
    return (tuple(row) for row in depot.all(_EXPORT.format(where="")))


def item_texts(depot: Depot, item_id: int) -> dict[str, str]:
    """Return one item as the file would hold it: {column: text}."""
    row = depot.one(_EXPORT.format(where="WHERE i.id = ?"), (item_id,))
    return dict(zip(COLUMNS, map(str, row), strict=True)) if row else {}


def _joined(table: str, value: str, where: str = "item_id = i.id", order: str = "1") -> str:
    """SQL for a list in a cell, in a stated order so that the same catalogue gives the same file."""
    rows = f"SELECT {value} AS v FROM {table} WHERE {where} ORDER BY {order}"
    return f"ifnull((SELECT group_concat(v, '|') FROM ({rows})), '')"


_PART = "(SELECT part_number FROM items WHERE id = {})"
_EXPORT = f"""
SELECT i.part_number, i.description, i.category, i.kind, i.unit, i.pack_size,
  {_joined("item_fits", "machine")},
  ifnull((SELECT name FROM suppliers WHERE id = x.supplier_id), ''), ifnull(x.their_number, ''), {major_sql("x.cost")},
  ifnull(x.lead_time_days, ''),
  {_joined("item_words", "words", "item_id = i.id AND source = 'catalogue'")},
  {_joined("item_gtins", "gtin || iif(quantity IS NULL, '', '*' || quantity)")},
  ifnull({_PART.format("i.superseded_by")}, ''), i.family, i.hand, i.viewpoint, i.tracking, i.disposition,
  ifnull(i.shelf_life_days, ''), ifnull(i.weight_g, ''),
  {_joined("item_cautions", "code")},
  ifnull({_PART.format("i.opposite_hand")}, ''),
  {_joined("item_parts p JOIN items k ON k.id = p.item_id", "k.part_number || '*' || p.quantity", "p.kit_id = i.id")},
  {_joined("item_substitutes t JOIN items k ON k.id = t.instead", "k.part_number", "t.item_id = i.id")},
  i.service, iif(ifnull(x.minimum, 0) = 0, '', x.minimum), i.container,
  ifnull((SELECT code FROM places WHERE id = i.home_bin), ''), ifnull(x.price_breaks, ''), iif(i.retired, 'yes', '')
FROM items i LEFT JOIN item_suppliers x ON x.item_id = i.id AND x.preferred = 1
{{where}}
ORDER BY i.part_number
"""
