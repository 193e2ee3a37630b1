"""What every printed document shares: page frame, running head, page numbers, safe text, long tables."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.graphics.barcode.code128 import Code128
from reportlab.lib.colors import Color, black
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Spacer

from partsbin.printing import text
from partsbin.printing.documents_rows import Rows
from partsbin.printing.output import write_whole
from partsbin.printing.text import printable, runs, shorten, width

PAPERS = {"letter": letter, "a4": A4}
MARGIN = 14 * mm
HEAD_ROOM = 11 * mm
FOOT_ROOM = 7 * mm
GREY = Color(0.42, 0.42, 0.42)
PALE = Color(0.925, 0.925, 0.925)
HAIR = Color(0.72, 0.72, 0.72)
BODY = ParagraphStyle("body", fontName="Helvetica", fontSize=9, leading=11.2, splitLongWords=1)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=7.6, leading=9.4)
QUIET = ParagraphStyle("quiet", parent=SMALL, textColor=GREY)
RIGHT = ParagraphStyle("right", parent=BODY, alignment=TA_RIGHT)
LARGE = ParagraphStyle("large", parent=BODY, fontName="Helvetica-Bold", fontSize=12, leading=14)
LARGE_RIGHT = ParagraphStyle("large right", parent=LARGE, alignment=TA_RIGHT)
HEAD = ParagraphStyle("head", parent=BODY, fontName="Helvetica-Bold", fontSize=12, leading=15, spaceBefore=11,
                      spaceAfter=3, keepWithNext=1)  # fmt: skip
COLUMN = ParagraphStyle("column", parent=QUIET, fontName="Helvetica-Bold")
COLUMN_RIGHT = ParagraphStyle("column right", parent=COLUMN, alignment=TA_RIGHT)
PADDING = 2.5  # points left and right of a cell, save at the edges of the page
_MOST_LETTERS = 600
_NUMBER = re.compile(r"[-+−]?[\d.,   ]+%?")


def markup(plain: str, *, bold: bool = False) -> str:
    """Return text as a paragraph takes it: nothing in it is read as markup, and every letter has a font that has it."""
    safe = printable(plain[:_MOST_LETTERS] + ("…" if len(plain) > _MOST_LETTERS else "")).text
    pieces = runs(safe, bold) if safe else ()
    return "".join(f'<font name="{font}">{escape(piece)}</font>' for font, piece in pieces)


class Words(Flowable):  # type: ignore[misc]  # reportlab publishes no types
    """Text in one style that wraps at blanks and, where a word is wider than the column, inside it.

    Ten times quicker than a paragraph with markup, which matters in a report of two thousand lines.
    """

    def __init__(self, plain: str, style: ParagraphStyle, *, bold: bool) -> None:
        super().__init__()
        self.style, self.bold = style, bold
        cut = plain[:_MOST_LETTERS] + ("…" if len(plain) > _MOST_LETTERS else "")
        self.plain = printable(cut).text
        self._lines: tuple[str, ...] = ()

    def wrap(self, wide: float, _high: float) -> tuple[float, float]:
        """Break into lines of ``wide`` points."""
        self._lines = broken(self.plain, wide, self.style.fontSize, self.bold)
        self.width, self.height = wide, len(self._lines) * self.style.leading
        return self.width, self.height

    def draw(self) -> None:
        """Write the lines."""
        style = self.style
        self.canv.setFillColor(style.textColor)
        right = style.alignment == TA_RIGHT
        for number, line in enumerate(self._lines, 1):
            base = self.height - number * style.leading + (style.leading - style.fontSize) / 2 + 0.21 * style.fontSize
            text.draw(
                self.canv,
                self.width if right else 0,
                base,
                line,
                style.fontSize,
                self.bold,
                "right" if right else "left",
            )


@lru_cache(maxsize=2048)
def broken(plain: str, room: float, size: float, bold: bool) -> tuple[str, ...]:
    """Break ``plain`` into lines no wider than ``room``, at blanks if that can be."""
    lines: list[str] = []
    line, used, blank = "", 0.0, width(" ", size, bold)
    for word in plain.split():
        wide = width(word, size, bold)
        if line and used + blank + wide <= room:
            line, used = f"{line} {word}", used + blank + wide
            continue
        lines += [line] if line else []
        while wide > room and len(word) > 1:
            fits = next((n for n in range(len(word) - 1, 1, -1) if width(word[:n], size, bold) <= room), 1)
            lines.append(word[:fits])
            word = word[fits:]
            wide = width(word, size, bold)
        line, used = word, wide
    return (*lines, line) if line else tuple(lines)


def words(plain: str, style: ParagraphStyle = BODY, *, bold: bool = False) -> Words:
    """Return text as something that wraps in a column or on the page; nothing in it is read as markup."""
    return Words(plain, style, bold=bold or style.fontName.endswith("Bold"))


def white_on_black(plain: str) -> str:
    """Return markup for a word that must not be missed: white in a black block."""
    return f'<font backColor="black" color="white">&nbsp;{markup(plain, bold=True)}&nbsp;</font>'


def page_width(paper: str) -> float:
    """Width between the margins of a paper, in points."""
    return float(PAPERS.get(paper.lower(), letter)[0] - 2 * MARGIN)


def table(
    header: Sequence[str],
    rows: Sequence[Sequence[Any]],
    widths: Sequence[float],
    *,
    right: Sequence[int] = (),
    style: Sequence[tuple[Any, ...]] = (),
    band: Sequence[Any] = (),
    ruled: bool = True,
) -> Rows:
    """Return a table as wide as the page whose heading repeats on every page.

    Cells are texts or flowables; ``widths`` are shares of the page's width, in any unit. ``right`` are the columns of
    figures; ``style`` are further reportlab commands, row 0 being the heading. ``band`` is a row above the heading that
    repeats with it; it then is row 0. ``ruled`` draws a hairline under every row.
    """
    heads = [words(cell, COLUMN_RIGHT if at in right else COLUMN) for at, cell in enumerate(header)]
    cells: list[Sequence[Any]] = [band, heads] if band else [heads]
    cells += [[_cell(value, figure=at in right) for at, value in enumerate(row)] for row in rows]
    figures = [("ALIGN", (at, 0), (at, -1), "RIGHT") for at in right]
    commands = [*_PLAIN, *figures, *(_RULED if ruled else ()), *_heading(1 if band else 0), *style]
    return Rows(cells, 2 if band else 1, [f"{100 * width / sum(widths):.4f}%" for width in widths], commands)


def _cell(value: Any, *, figure: bool) -> Any:  # noqa: ANN401 - text, figure or flowable
    """Text as something that wraps; figures as the table draws them itself, on one line."""
    if not isinstance(value, str) or (figure and value.isascii()) or not value:
        return value
    return words(value, RIGHT if figure else BODY)


def _heading(at: int) -> list[tuple[Any, ...]]:
    return [
        ("VALIGN", (0, at), (-1, at), "BOTTOM"),
        ("BOTTOMPADDING", (0, at), (-1, at), 2),
        ("LINEBELOW", (0, at), (-1, at), 0.8, black),
    ]


_RULED = [("LINEBELOW", (0, 1), (-1, -1), 0.4, HAIR)]
_PLAIN = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("FONT", (0, 0), (-1, -1), BODY.fontName, BODY.fontSize, BODY.leading),
    ("LEFTPADDING", (0, 0), (-1, -1), PADDING),
    ("RIGHTPADDING", (0, 0), (-1, -1), PADDING),
    ("LEFTPADDING", (0, 0), (0, -1), 0),
    ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 3),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
]


def text_table(header: Sequence[str], rows: Sequence[Sequence[str]], paper: str) -> Rows:
    """Return a table of plain texts: columns as wide as what is in them, figures to the right."""
    columns = list(zip(header, *rows, strict=True))
    right = [at for at, column in enumerate(columns) if all(_NUMBER.fullmatch(cell) for cell in column[1:] if cell)]
    wanted = [max(_natural(column[0], COLUMN), *(_natural(cell, BODY) for cell in column[1:])) for column in columns]
    least = [_natural(max(column[0].split(), key=len, default=""), COLUMN) for column in columns]
    return table(header, rows, share_out(wanted, least, page_width(paper)), right=right)


def share_out(wanted: Sequence[float], least: Sequence[float], room: float) -> list[float]:
    """Column widths in ``room``: what each wants, the widest giving way first, what is left to the widest."""
    widths = list(wanted)
    while sum(widths) > room:
        ceiling = max(widths)
        widest = [at for at, width in enumerate(widths) if width >= ceiling - 1e-6]
        below = max([width for width in widths if width < ceiling - 1e-6], default=0.0)
        cut = min((sum(widths) - room) / len(widest), ceiling - below)
        if ceiling - cut < max(least, default=0.0):
            break
        for at in widest:
            widths[at] -= cut
    if sum(widths) < room:
        widths[widths.index(max(widths))] += room - sum(widths)
    return widths


def _natural(plain: str, style: ParagraphStyle) -> float:
    bold = style.fontName.endswith("Bold")
    return text.width(plain[:_MOST_LETTERS], style.fontSize, bold) + 2 * PADDING + 0.5


def scan_bars(code: str) -> Code128:
    """Return bars that give ``code`` back to a scanner: 3 dots of a 203 dpi head wide, quiet zones kept."""
    return Code128(code, barWidth=0.375 * mm, barHeight=9 * mm, quiet=True, humanReadable=False)


def write_document(path: Path, title: str, aside: str, story: list[Any], paper: str = "letter", foot: str = "") -> None:
    """Write a document as PDF: title and aside at the head of each page, ``foot`` and “page 1 of 3” at its foot.

    The same content gives the same bytes. Refuses a file that cannot be written.
    """
    sheet = io.BytesIO()
    wide, high = PAPERS.get(paper.lower(), letter)
    document = BaseDocTemplate(sheet, pagesize=(wide, high), title=printable(title).text, invariant=1)
    room = high - 2 * MARGIN - HEAD_ROOM - FOOT_ROOM
    frame = Frame(MARGIN, MARGIN + FOOT_ROOM, wide - 2 * MARGIN, room, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate(frames=[frame]))

    class Numbered(_Numbered):
        head, side, low = printable(title).text, printable(aside).text, printable(foot).text

    document.build([*story, Spacer(1, 1)], canvasmaker=Numbered)
    write_whole(path, sheet.getvalue())


class _Numbered(Canvas):  # type: ignore[misc]  # reportlab publishes no types
    """A canvas that knows how many pages there are when it writes the first."""

    head = side = low = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401 - reportlab's own arguments
        super().__init__(*args, **kwargs)
        self._kept: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        """Keep the page until the number of pages is known."""
        self._kept.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Write heads and feet, then the file."""
        for number, state in enumerate(self._kept, 1):
            self.__dict__.update(state)
            self._frame(number, len(self._kept))
            super().showPage()
        super().save()

    def _frame(self, number: int, of: int) -> None:
        wide, high = self._pagesize
        right, top, low = wide - MARGIN, high - MARGIN, MARGIN + 4
        aside = shorten(self.side, (right - MARGIN) * 0.55, 9)
        text.draw(self, right, top - 12, aside, 9, align="right")
        room = right - MARGIN - width(aside, 9) - 10
        text.draw(self, MARGIN, top - 12, shorten(self.head, room, 16, bold=True), 16, bold=True)
        self.setLineWidth(1.5)
        self.line(MARGIN, top - 19, right, top - 19)
        self.setFillColor(GREY)
        page = f"page {number} of {of}"
        text.draw(self, right, low - 8, page, 7.6, align="right")
        text.draw(self, MARGIN, low - 8, shorten(self.low, right - MARGIN - width(page, 7.6) - 10, 7.6), 7.6)
