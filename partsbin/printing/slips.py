"""Slips on paper: what to pick in walking order, with the cautions that go with it, and what is short.

The same page serves every slip that moves stock: ``SlipPaper.headings`` and ``signatures`` say what it is about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, KeepTogether, Paragraph, Spacer, Table, TableStyle

from partsbin import codes
from partsbin.printing.documents import (
    BODY,
    COLUMN,
    HEAD,
    LARGE,
    LARGE_RIGHT,
    PALE,
    QUIET,
    SMALL,
    markup,
    page_width,
    scan_bars,
    table,
    white_on_black,
    words,
    write_document,
)
from partsbin.printing.pictograms import pictogram_for
from partsbin.printing.slips_marks import Sign, TickBox, WritingLines

HANDS = {"LH": ("◀ ", "LEFT", ""), "RH": ("", "RIGHT", " ▶")}
PICK = ("From", "Take", "To")
RECEIPT = ("From", "Received", "Put away")
BACK = ("From", "Back", "Put away")
"""Column headings of slips: where from, how many, where to."""
_DEFERS = (
    "Cautions remind; they do not replace local codes, the maker's instructions or the licensed work they ask for."
)
_WORST = 1
_BARE = TableStyle(
    [
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ]
)


@dataclass(frozen=True, slots=True)
class SlipCaution:
    """A caution as it stands on a slip: signal word, sentence, severity (1 is the worst)."""

    code: str
    word: str
    text: str
    severity: int


@dataclass(frozen=True, slots=True)
class SlipRow:
    """One line to pick or put: from and to, part, quantity, lot and date where there are any."""

    source: str
    target: str
    part_number: str
    description: str
    quantity: int
    hand: str = ""
    lot: str = ""
    best_before: str = ""
    note: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShortRow:
    """What could not be had: how many, where else it is, what goes instead."""

    part_number: str
    description: str
    quantity: int
    elsewhere: str


@dataclass(frozen=True, slots=True)
class SlipPaper:
    """A slip as printed, its rows in the order given. ``number`` None is a proposal, not posted.

    ``steps`` is the order of work, if any. ``headings`` name from, quantity and to; ``signatures`` who signs.
    """

    title: str
    depot: str
    number: int | None
    about: tuple[tuple[str, str], ...]
    rows: tuple[SlipRow, ...]
    cautions: tuple[SlipCaution, ...] = ()
    short: tuple[ShortRow, ...] = ()
    steps: tuple[str, ...] = ()
    paper: str = "letter"
    headings: tuple[str, str, str] = PICK
    signatures: tuple[str, ...] = ("Picked by", "Taken by", "Date and time")


def write_slip(slip: SlipPaper, path: Path) -> None:
    """Write a slip as PDF; the same slip gives the same bytes."""
    aside = f"slip {slip.number}" if slip.number else "proposal, not posted"
    story: list[Any] = [Spacer(1, 2 * mm), _head(slip), Spacer(1, 3 * mm)]
    if slip.cautions:
        story += [_cautions(slip.cautions), Spacer(1, 4 * mm)]
    story.append(_rows(slip) if slip.rows else words("Nothing to move.", LARGE))
    if slip.short:
        story += [CondPageBreak(30 * mm), words("Short", HEAD), _short(slip.short)]
    if slip.steps:
        story += [CondPageBreak(30 * mm), words("Order of work", HEAD), _steps(slip.steps)]
    story += [KeepTogether([Spacer(1, 6 * mm), WritingLines(slip.signatures)])]
    foot = _DEFERS if slip.cautions else ""
    write_document(path, slip.title, f"{slip.depot} · {aside}", story, slip.paper, foot)


def _head(slip: SlipPaper) -> Table:
    """Who, when and for what on the left; the slip's number as bars on the right."""
    known = [(name, value) for name, value in (*slip.about, _only_target(slip)) if value]
    about = Table(
        [[words(name, QUIET), words(value, BODY, bold=True)] for name, value in known] or [[words(""), words("")]],
        [22 * mm, 84 * mm],
        hAlign="LEFT",
    )
    about.setStyle(_BARE)
    bars: list[Any] = []
    if slip.number:
        code = codes.encode_slip(slip.number)
        bars = [scan_bars(code), Spacer(1, 1 * mm), Paragraph(f'<para align="right">{markup(code)}</para>', QUIET)]
    made = Table([[about, bars]], [110 * mm, page_width(slip.paper) - 110 * mm])
    made.setStyle(TableStyle([("ALIGN", (1, 0), (1, 0), "RIGHT")], parent=_BARE))
    return made


def _only_target(slip: SlipPaper) -> tuple[str, str]:
    """The one place everything goes to, said once at the head instead of on every line."""
    targets = {row.target for row in slip.rows}
    return ("All to", targets.pop()) if len(targets) == 1 and len(slip.rows) > 1 else ("", "")


def _cautions(cautions: Sequence[SlipCaution]) -> Table:
    """The cautions of all lines in a frame, the most severe first, each with the mark that stands on its lines."""
    ordered = sorted(cautions, key=lambda c: (c.severity, c.code))
    rows = []
    for card in ordered:
        word = Paragraph(white_on_black(card.word) if card.severity <= _WORST else markup(card.word, bold=True), LARGE)
        sign = Sign(pictogram_for(card.word, f"{card.code} {card.text}"))
        rows.append([sign, [word, words(card.code, COLUMN)], words(card.text, BODY)])
    made = Table(rows, colWidths=["7%", "18%", "75%"], splitByRow=1)
    made.setStyle(
        TableStyle(
            [
                ("BOX", (0, 0), (-1, -1), 1.5, black),
                ("LINEBELOW", (0, 0), (-1, -2), 0.4, black),
                ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
            ]
        )
    )
    return made


def _rows(slip: SlipPaper) -> Any:  # noqa: ANN401 - reportlab publishes no types
    """The lines; columns nobody needs are left out, and a heavier rule parts the aisles."""
    worst = {card.code: card for card in slip.cautions}
    with_target = not _only_target(slip)[1] and any(row.target for row in slip.rows)
    with_lot = any(row.lot or row.best_before or row.note for row in slip.rows)
    columns = [("", 7.0), (slip.headings[0], 32.0), (slip.headings[1], 16.0), ("Part", 84.0)]
    columns += [("Lot, best before", 31.0)] * with_lot + [(slip.headings[2], 24.0)] * with_target
    cells: list[list[Any]] = []
    style: list[tuple[Any, ...]] = []
    for number, row in enumerate(slip.rows, 1):
        cell = [TickBox(), words(row.source, LARGE), words(f"{row.quantity:,}", LARGE_RIGHT), _what(row, worst)]
        cells.append(cell + [_lot(row)] * with_lot + [words(row.target, BODY, bold=True)] * with_target)
        if number < len(slip.rows) and _aisle(row.source) != _aisle(slip.rows[number].source):
            style.append(("LINEBELOW", (0, number), (-1, number), 1.2, black))
    header, widths = zip(*columns, strict=True)
    style += [("RIGHTPADDING", (2, 0), (2, -1), 8)]
    return table(header, cells, widths, right=(2,), style=style)


def _aisle(place: str) -> str:
    return place.split("-", maxsplit=1)[0]


def _what(row: SlipRow, cards: Mapping[str, SlipCaution]) -> list[Any]:
    before, word, after = HANDS.get(row.hand, ("", "", ""))
    hand = f"&nbsp;&nbsp;{markup(before)}{white_on_black(word)}{markup(after)}" if word else ""
    what: list[Any] = [Paragraph(markup(row.part_number, bold=True) + hand, LARGE), words(row.description, BODY)]
    marked = sorted(row.cautions, key=lambda code: cards[code].severity if code in cards else 9)
    if marked:
        what.append(Paragraph("&nbsp; ".join(_mark(code, cards.get(code)) for code in marked), SMALL))
    return what


def _mark(code: str, card: SlipCaution | None) -> str:
    """The signal word and code of a caution, as they stand in the frame at the head."""
    if card is None:
        return markup(code, bold=True)
    word = white_on_black(card.word) if card.severity <= _WORST else markup(card.word, bold=True)
    return f"{word} {markup(code)}"


def _lot(row: SlipRow) -> list[Any]:
    dated = f"best before {row.best_before}" if row.best_before else ""
    lines = [words(f"lot {row.lot}", BODY, bold=True)] if row.lot else []
    return lines + [words(part, SMALL) for part in (dated, row.note) if part]


def _short(rows: Sequence[ShortRow]) -> Any:  # noqa: ANN401 - reportlab publishes no types
    cells = [
        [words(f"{r.quantity:,}", LARGE_RIGHT), words(r.part_number, BODY, bold=True), r.description, r.elsewhere]
        for r in rows
    ]
    style = [("RIGHTPADDING", (0, 0), (0, -1), 8), ("BACKGROUND", (0, 1), (-1, -1), PALE)]
    return table(("Missing", "Part", "What", "Elsewhere, instead"), cells, (18, 36, 66, 66), right=(0,), style=style)


def _steps(steps: Sequence[str]) -> Table:
    """The order of work, each step with a box to tick."""
    rows = [[TickBox(), words(f"{number}", BODY, bold=True), words(step)] for number, step in enumerate(steps, 1)]
    made = Table(rows, colWidths=["4%", "6%", "90%"])
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("LEFTPADDING", (0, 0), (0, -1), 0),
                ("BACKGROUND", (0, 0), (-1, -1), white),
            ]
        )
    )
    return made
