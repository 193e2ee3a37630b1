"""Sheets pasted into a message: columns of quantities, and counts on a line of their own."""

from __future__ import annotations

import csv
import re
from itertools import pairwise

from partsbin.requests.packs import PACKED
from partsbin.requests.wordlists import listed

_COUNTS = listed("qty quantity qnty count no. nos pcs amount required reqd needed wanted order")
_NAMES = listed(
    """
    part item pn p/n number description desc details code article product partno partnumber sku material line name
    unit uom bin
    """
)
_IN_PACKS = frozenset(name for name, kind in PACKED.items() if name.endswith("s") and kind in ("case", "box", "pack"))
_GAP = re.compile(r"\s{2,}")
_BARS = re.compile(r"(?<=\S) *[\t|]+ *(?=\S)")
_QUOTED_CELLS = re.compile(r'\s*"[^"]*"\s*(?:[,;]\s*(?:"[^"]*"|\d+)\s*)+')
_LABEL = r"(?:q(?:ty|uantity|nty)|amount|count|required|reqd)"
_LONE_COUNT = re.compile(rf"\W*(?:{_LABEL}\W*)?x?\s?(\d{{1,4}})\s?(?:x|off|ea|each|pcs|no)?\W*", re.IGNORECASE)

_NAMED = re.compile(
    r"^\W*(?:part|item|product|article|material|description|desc|action|p/?n)(?: ?(?:no|number|code|#))?\.? ?[:=]\s*",
    re.IGNORECASE,
)
_THANKS = re.compile(r"\s*(?:many |kind |best )?(?:thanks|thank|thx|cheers|regards|ta|br)\b", re.IGNORECASE)


def untabled(text: str) -> str:
    """The text with the rows of a sheet rewritten, each with its quantity said as one; bars and tabs become commas."""
    out: list[str] = []
    column, mark, unit = -1, "", ""
    lines = re.split(r"\r\n?|\n", text)
    for place, line in enumerate(lines):
        if line.lstrip().startswith(">"):
            out.append(line)  # a quoted row stays quoted
            continue
        mark_here, cells = _cells(line)
        if (named := _quantity_column(mark_here, cells, lines[place + 1 : place + 2])) >= 0:
            column, mark = named, mark_here
            unit = next((word for word in _words(cells[named]) if word in _IN_PACKS), "")
            continue
        if column >= 0 and mark_here == mark and column < len(cells) and cells[column].isdigit():
            out.append(_row(cells, column, unit))
        elif _QUOTED_CELLS.fullmatch(line) and sum(map(str.isdigit, cells)) == 1:
            out.append(_row(cells, next(at for at, cell in enumerate(cells) if cell.isdigit()), ""))
        elif not _ruled(line):
            bare = line.strip().strip("|") if line.count("|") > 1 else line
            out.append(_BARS.sub(", ", bare))
    return "\n".join(_with_lone_counts(out))


def _row(cells: list[str], column: int, unit: str) -> str:
    rest = [cell for place, cell in enumerate(cells) if place != column and cell]
    return f"qty {cells[column]} {unit} " + ", ".join(rest)


def _cells(line: str) -> tuple[str, list[str]]:
    """What parts the cells of a line, and the cells."""
    bare = line.strip()
    for mark in ("|", "\t", ";"):
        if mark in bare:
            return mark, [cell.strip(' "') for cell in bare.strip("|").split(mark)]
    if _GAP.search(bare):
        return " ", _GAP.split(bare)
    return ",", [cell.strip() for cell in next(csv.reader([bare], skipinitialspace=True), [])]


def _words(cell: str) -> list[str]:
    return re.findall(r"[a-z/]+\.?", cell.lower())


def _quantity_column(mark: str, cells: list[str], below: list[str]) -> int:
    """Where a header has its quantities, by its words and the row below; -1 when the cells are no header."""
    words = [_words(cell) for cell in cells]
    counts = [place for place, said in enumerate(words) if said and (said[0] in _COUNTS or said[0] in _IN_PACKS)]
    if len(cells) < _TWO or not counts or len(counts) == len(cells) or any(cell[-1:].isdigit() for cell in cells):
        return -1
    if all(said and (said[0] in _COUNTS or said[0] in _NAMES) for said in words):
        return counts[0]
    mark_below, row = _cells(below[0]) if below else ("", [])
    counted = mark != "," and mark_below == mark and counts[0] < len(row) and row[counts[0]].isdigit()
    return counts[0] if counted else -1


_TWO = 2


def _with_lone_counts(lines: list[str]) -> list[str]:
    """Lines in which counts on lines of their own stand with their thing: above it where the first of them does."""
    filled = [line for line in lines if line.strip()]
    counts = [_LONE_COUNT.fullmatch(line) for line in filled]
    places = [place for place, count in enumerate(counts) if count]
    labelled = any(re.search(_LABEL, filled[place], re.IGNORECASE) for place in places)
    turns = all(later - place == _TWO for place, later in pairwise(places))
    if not places or not turns or (len(places) < _TWO and not labelled):
        return lines
    behind = filled[places[-1] + 1 :]
    step = 1 if behind and not _THANKS.match(behind[0]) else -1
    for place in places:
        thing, count = place + step, counts[place]
        if count and 0 <= thing < len(filled) and counts[thing] is None:
            filled[thing] = f"qty {count[1]} {_NAMED.sub('', filled[thing])}"
            filled[place] = ""
    return [line for line in filled if line]


def _ruled(line: str) -> bool:
    """Whether a line only rules off the header of a sheet."""
    return len(line.strip()) > 2 and not line.strip("-|+=: \t")
