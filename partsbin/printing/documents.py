"""What every printed document shares: page frame, running head, page numbers, safe text, long tables."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.graphics.barcode.code128 import Code128
from reportlab.lib.colors import black, white
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import LongTable, Paragraph, SimpleDocTemplate, Spacer, TableStyle

from partsbin.printing.output import write_whole
from partsbin.printing.text import printable, runs

PAPERS = {"letter": letter, "a4": A4}
MARGIN = 14 * mm
BODY = ParagraphStyle("body", fontName="Helvetica", fontSize=9, leading=11)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=7.5, leading=9)
RIGHT = ParagraphStyle("right", parent=BODY, alignment=TA_RIGHT)
LARGE = ParagraphStyle("large", parent=BODY, fontName="Helvetica-Bold", fontSize=11, leading=13)
HEAD = ParagraphStyle("head", parent=BODY, fontName="Helvetica-Bold", fontSize=12, leading=15, spaceBefore=8)
COLUMN = ParagraphStyle("column", parent=SMALL, fontName="Helvetica-Bold")
_MOST_LETTERS = 600


def markup(text: str, *, bold: bool = False) -> str:
    """Return text as a paragraph takes it: nothing in it is read as markup, and every letter has a font that has it."""
    safe = printable(text[:_MOST_LETTERS] + ("…" if len(text) > _MOST_LETTERS else "")).text
    return "".join(f'<font name="{font}">{escape(piece)}</font>' for font, piece in _in_fonts(safe, bold=bold))


def _in_fonts(text: str, *, bold: bool) -> list[tuple[str, str]]:
    return [(first, second) for first, second in runs(text, bold)] if text else []


def words(text: str, style: ParagraphStyle = BODY, *, bold: bool = False) -> Paragraph:
    """Return text as a paragraph that wraps."""
    return Paragraph(markup(text, bold=bold or style.fontName.endswith("Bold")), style)


def table(header: Sequence[str], rows: Sequence[Sequence[Any]], widths: Sequence[float]) -> LongTable:
    """Return a table whose heading repeats on every page; cells are texts or flowables, ``widths`` in mm."""
    cells = [[words(cell, COLUMN) for cell in header]]
    cells += [[words(cell) if isinstance(cell, str) else cell for cell in row] for row in rows]
    made = LongTable(cells, colWidths=[width * mm for width in widths], repeatRows=1)
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
                ("LINEBELOW", (0, 1), (-1, -1), 0.25, black),
                ("LEFTPADDING", (0, 0), (-1, -1), 2),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
                ("BACKGROUND", (0, 0), (-1, -1), white),
            ]
        )
    )
    return made


def scan_bars(code: str) -> Code128:
    """Return bars that give ``code`` back to a scanner: 3 dots of a 203 dpi head wide, quiet zones kept."""
    return Code128(code, barWidth=0.375 * mm, barHeight=9 * mm, quiet=True, humanReadable=False)


def write_document(path: Path, title: str, aside: str, story: list[Any], paper: str = "letter") -> None:
    """Write a document as PDF: title and aside at the head of each page, “page 1 of 3” at its foot.

    The same content gives the same bytes. Refuses a file that cannot be written.
    """
    sheet = io.BytesIO()
    size = PAPERS.get(paper.lower(), letter)
    document = SimpleDocTemplate(
        sheet,
        pagesize=size,
        title=printable(title).text,
        invariant=1,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN + 9 * mm,
        bottomMargin=MARGIN,
    )

    class Numbered(_Numbered):
        head, side = printable(title).text, printable(aside).text

    document.build([*story, Spacer(1, 1)], canvasmaker=Numbered)
    write_whole(path, sheet.getvalue())


class _Numbered(Canvas):  # type: ignore[misc]  # reportlab publishes no types
    """A canvas that knows how many pages there are when it writes the first."""

    head = side = ""

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
        top = high - MARGIN
        self.setFont("Helvetica-Bold", 14)
        self.drawString(MARGIN, top - 4, self.head)
        self.setFont("Helvetica", 9)
        self.drawRightString(wide - MARGIN, top - 4, self.side)
        self.line(MARGIN, top - 10, wide - MARGIN, top - 10)
        self.setFont("Helvetica", 8)
        self.drawRightString(wide - MARGIN, MARGIN - 10, f"page {number} of {of}")
