"""How Restock shows its vans, its lines and the line under the cursor."""

from __future__ import annotations

from collections.abc import Iterable

from rich.text import Text

from partsbin.depot.catalogue import Caution
from partsbin.depot.plain_text import counted
from partsbin.desk.restock import Missing, VanNeed
from partsbin.desk.restock_sheet import Sheet, SheetLine

VAN_HEADINGS = ("Van", "Who", "Lines", "Pieces", "Promised")
_MARKS = {"open": "·", "picked": "✓", "skipped": "–"}
GIVING = 4
"""The column that gives way on a narrow terminal: the description."""


def van_row(need: VanNeed) -> tuple[str, ...]:
    """Return a van as a row."""
    return need.van.code, need.drivers or need.van.name, str(need.lines), str(need.pieces), str(need.promised or "")


def headings(sheet: Sheet) -> tuple[str, ...]:
    """Return the columns this sheet needs: drawers only where the van has some, dates only where lines are dated."""
    dated = ("Best before",) if any(x.pick.best_before or x.pick.lot for x in sheet.lines) else ()
    into = ("Into",) if any(x.pick.target.id != sheet.van.id for x in sheet.lines) else ()
    return ("", "Bin", "Take", "Part", "What", *dated, *into, "Van", "!")


def rows(sheet: Sheet) -> list[list[Text]]:
    """Return the sheet's lines and then its short ones as rows."""
    titles = headings(sheet)
    cells = [_line_row(line, titles, sheet) for line in sheet.lines]
    return cells + [_short_row(m, titles, promised=m.key not in sheet.not_promised) for m in sheet.missing]


def keys(sheet: Sheet) -> list[str]:
    """Return the names of the rows, in the order of ``rows``."""
    return [*(line.key for line in sheet.lines), *(found.key for found in sheet.missing)]


def _line_row(line: SheetLine, titles: tuple[str, ...], sheet: Sheet) -> list[Text]:
    pick = line.pick
    own = pick.target.code.removeprefix(sheet.van.code).lstrip("-")
    changed = "*" if line.take != pick.quantity or line.swapped or line.added else ""
    row = [_MARKS[line.mark], pick.source.code, f"{line.take}{changed}", pick.item.part_number, pick.item.description]
    if "Best before" in titles:
        row.append(pick.best_before or pick.lot)
    if "Into" in titles:
        row.append(own or "van")
    row += [f"{pick.aboard}/{pick.par}" if pick.par else str(pick.aboard), caution_mark(pick.cautions)]
    style = {"skipped": "dim strike", "picked": "dim", "open": ""}[line.mark]
    return [Text(cell, style) for cell in row]


def _short_row(found: Missing, titles: tuple[str, ...], *, promised: bool) -> list[Text]:
    where = [f"{code} has {n}" for code, n in found.elsewhere[:2]]
    instead = [f"or {part}" for part, _ in found.instead[:2]]
    what = " · ".join([*where, *instead, found.item.description])
    blanks = [""] * (len(titles) - 5)
    mark = "?" if promised else "–"
    row = [mark, "short", str(found.quantity), found.item.part_number, what, *blanks]
    return [Text(cell, "italic" if promised else "dim italic strike") for cell in row]


def caution_mark(cautions: Iterable[Caution]) -> str:
    """Return the mark of the most severe caution: ``!!`` for danger, ``!`` for less."""
    worst = min((caution.severity for caution in cautions), default=9)
    return "!!" if worst == 1 else "!" if worst < 9 else ""


def caution_words(cautions: Iterable[Caution]) -> list[str]:
    """Return cautions in full, the most severe first."""
    return [f"{caution.word}: {caution.text}" for caution in cautions]


def line_words(line: SheetLine, sheet: Sheet) -> str:
    """Return all there is to say about a line."""
    pick = line.pick
    item = pick.item
    unit = "" if item.unit == "each" else f" {item.unit}"
    took = f"Take {line.take}{unit} from {pick.source.code}, which has {pick.there}"
    if line.take != pick.quantity and not line.added:
        took += f"; {pick.quantity} were proposed"
    aboard = f"{pick.target.code} has {pick.aboard}" + (f", its par is {pick.par}" if pick.par else "")
    why = _why(line)
    dated = f"Lot {pick.lot}" + (f", best before {pick.best_before}" if pick.best_before else "") if pick.lot else ""
    said = [
        f"{item.part_number}  {item.description}",
        f"{took}. {aboard}.{why}",
        dated + (f" · {line.reason}" if line.reason else ""),
        f"The bin held less than the file says: it will be counted. {pick.source.code}" if line.bin_short else "",
        *caution_words(pick.cautions),
    ]
    return "\n".join(text for text in said if text)


def _why(line: SheetLine) -> str:
    pick = line.pick
    if line.added:
        return " Added by hand."
    if pick.job:
        return f" Promised for job {pick.job}."
    return " Promised to the van." if pick.request_line else ""


def short_words(found: Missing, sheet: Sheet) -> str:
    """Return all there is to say about a short line."""
    where = ", ".join(f"{code} has {n}" for code, n in found.elsewhere)
    instead = ", ".join(f"{part} ({n} on the shelf)" for part, n in found.instead)
    if found.request_line:
        later = "It stays promised."
    elif found.key in sheet.not_promised:
        later = "It will not be promised."
    else:
        later = "Posting promises it to the van, and Monday's report counts it; S leaves it out."
    said = [
        f"{found.item.part_number}  {found.item.description}",
        f"{found.quantity} short. " + (f"Elsewhere: {where}." if where else "There is none elsewhere in the depot."),
        f"Goes instead: {instead}. Enter takes it." if instead else "",
        later,
    ]
    return "\n".join(text for text in said if text)


def sheet_words(sheet: Sheet) -> str:
    """Return the heading over the lines: what goes, how far it is ticked, what is short."""
    going = [line for line in sheet.lines if line.goes]
    pieces = sum(line.take for line in going)
    name = f"{sheet.van.code} {sheet.van.name}".strip()
    short = sum(1 for found in sheet.missing if found.key not in sheet.not_promised)
    skipped = sum(1 for line in sheet.lines if line.mark == "skipped")
    parts = [name, f"{counted(len(going), 'line')}, {counted(pieces, 'piece')}", f"{sheet.ticked} ticked"]
    parts += [f"{skipped} skipped"] if skipped else []
    parts += [f"{short} short"] if short else []
    return " · ".join(parts)
