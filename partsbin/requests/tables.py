"""Sheets pasted into a message: a header that names a column of quantities, and rows below it."""

from __future__ import annotations

import csv
import re

from partsbin.requests.wordlists import listed

_COUNTS = listed("qty quantity qnty count no. nos pcs amount required reqd needed wanted order")
_NAMES = listed(
    """
    part item pn p/n number description desc details code article product partno partnumber sku material line name
    unit uom bin
    """
)
_GAP = re.compile(r"\s{2,}")
_BARS = re.compile(r"(?<=\S) *[\t|]+ *(?=\S)")


def untabled(text: str) -> str:
    """The text with the rows of a sheet rewritten, each with its quantity said as one; bars and tabs become commas."""
    out: list[str] = []
    column, mark = -1, ""
    for line in re.split(r"\r\n?|\n", text):
        if line.lstrip().startswith(">"):
            out.append(line)  # a quoted row stays quoted
            continue
        mark_here, cells = _cells(line)
        if (named := _quantity_column(cells)) >= 0:
            column, mark = named, mark_here
            continue
        if column >= 0 and mark_here == mark and column < len(cells) and cells[column].isdigit():
            rest = [cell for place, cell in enumerate(cells) if place != column and cell]
            out.append(f"qty {cells[column]} " + ", ".join(rest))
        elif not _ruled(line):
            bare = line.strip().strip("|") if line.count("|") > 1 else line
            out.append(_BARS.sub(", ", bare))
    return "\n".join(out)


def _cells(line: str) -> tuple[str, list[str]]:
    """What parts the cells of a line, and the cells."""
    bare = line.strip()
    for mark in ("|", "\t", ";"):
        if mark in bare:
            return mark, [cell.strip(' "') for cell in bare.strip("|").split(mark)]
    if _GAP.search(bare):
        return " ", _GAP.split(bare)
    return ",", [cell.strip() for cell in next(csv.reader([bare], skipinitialspace=True), [])]


def _quantity_column(cells: list[str]) -> int:
    """Where a header has its quantities; -1 when the cells are no header, as where some figure is said."""
    if any(sign.isdigit() for cell in cells for sign in cell):
        return -1
    words = [re.findall(r"[a-z/]+\.?", cell.lower()) for cell in cells]
    counts = [place for place, said in enumerate(words) if said and said[0] in _COUNTS]
    heads = all(said and (said[0] in _COUNTS or said[0] in _NAMES) for said in words)
    return counts[0] if len(cells) > 1 and counts and heads and len(counts) < len(cells) else -1


def _ruled(line: str) -> bool:
    """Whether a line only rules off the header of a sheet."""
    return len(line.strip()) > 2 and not line.strip("-|+=: \t")
