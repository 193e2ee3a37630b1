"""Labels onto stock: what will print, and the PDF itself."""

from __future__ import annotations

import io
import re
import zlib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFName, PDFStream
from reportlab.pdfgen.canvas import Canvas

from partsbin.depot.plain_text import counted
from partsbin.errors import Refused
from partsbin.printing import faces, faces_items, faces_tags
from partsbin.printing.label_kinds import (
    BadgeLabel,
    BinLabel,
    CaseLabel,
    CautionTag,
    CoreTag,
    DrawerLabel,
    ItemLabel,
    Label,
    ShelfEndLabel,
    title_of,
)
from partsbin.printing.label_run import LabelRun
from partsbin.printing.output import write_whole
from partsbin.printing.pen import Box, Pen
from partsbin.printing.sheets import Nudge, Slot, slots
from partsbin.printing.stock import LabelStock
from partsbin.printing.text import clipped, printable

_POINTS_PER_MM = 72 / 25.4
_MOST_SUBJECTS = 6
_MOST_REFUSALS = 4

# kind: what it is called, the face that draws it, the length in mm it takes on a continuous roll
_FACES: dict[type, tuple[str, Callable[[Pen, Any, Box], None], float]] = {
    BinLabel: ("bin", faces.draw_bin, 29.0),
    ShelfEndLabel: ("shelf-end", faces.draw_shelf_end, 58.0),
    DrawerLabel: ("van or drawer", faces.draw_drawer, 29.0),
    ItemLabel: ("item", faces_items.draw_item, 38.0),
    CaseLabel: ("case", faces_items.draw_case, 46.0),
    CoreTag: ("core return", faces_tags.draw_core, 52.0),
    CautionTag: ("caution", faces_tags.draw_caution, 32.0),
    BadgeLabel: ("badge", faces.draw_badge, 40.0),
}


@dataclass
class _Tally:
    kinds: Counter[str] = field(default_factory=Counter)
    cap_mm: float = 0.0
    notes: dict[str, list[str]] = field(default_factory=dict)
    last: Slot | None = None
    first: Slot | None = None

    def add(self, kind: str, pen: Pen, where: Slot) -> None:
        self.kinds[kind] += 1
        if pen.cap_mm:
            self.cap_mm = min(self.cap_mm or pen.cap_mm, pen.cap_mm)
        for subject, remark in pen.notes:
            self.notes.setdefault(remark, []).append(subject)
        self.first, self.last = self.first or where, where

    def run(self, stock: LabelStock) -> LabelRun:
        """The finished run. Raises Refused when there was no label."""
        if self.first is None or self.last is None:
            raise Refused("There is nothing to print: no label was chosen.")
        start, last = self.first.number(stock), self.last.number(stock)
        notes = tuple(_said(remark, subjects) for remark, subjects in self.notes.items())
        count = sum(self.kinds.values())
        return LabelRun(
            stock,
            count,
            self.last.page + 1,
            start,
            last,
            last % stock.per_page + 1,
            dict(self.kinds),
            self.cap_mm,
            notes,
        )


def write_labels(
    labels: Iterable[Label],
    stock: LabelStock,
    out: BinaryIO | Path,
    *,
    start: int = 1,
    skip: Iterable[int] = (),
    nudge: Nudge = Nudge(),  # noqa: B008 - frozen
    progress: Callable[[int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LabelRun:
    """Write ``labels`` as a PDF at 100 % scale, a sheet or a roll label a page; the same labels give the same bytes.

    ``start`` is the first free position of the first sheet and ``skip`` its other used ones, both counted from 1.
    ``progress`` is told the number of labels done after each page; when ``cancelled`` returns true the run stops.
    Raises Refused, leaving ``out`` as it was, when a label does not fit, nothing was chosen or the run was stopped.
    """
    paper = io.BytesIO()
    canvas = Canvas(paper, invariant=1, pageCompression=1)
    canvas.setTitle(f"Labels on {stock.name}")
    canvas.setViewerPreference("PrintScaling", "None")
    run = _lay_out(canvas, labels, stock, slots(stock, start, frozenset(skip), nudge), progress, cancelled)
    canvas.save()
    if isinstance(out, Path):
        write_whole(out, paper.getvalue())
    else:
        out.write(paper.getbuffer())
    return run


def _said(remark: str, subjects: list[str]) -> str:
    """A remark with those it is about, the first few by name."""
    different = list(dict.fromkeys(subjects))
    more = len(different) - _MOST_SUBJECTS
    return f"{', '.join(different[:_MOST_SUBJECTS])}{f' and {more} more' if more > 0 else ''}: {remark}"


def _bracketed(text: str) -> str:
    """The stand-ins in ``text``."""
    return " ".join(dict.fromkeys(re.findall(r"\[[^\]]*\]", text)))


def _lay_out(
    canvas: Any,  # noqa: ANN401 - reportlab publishes no types
    labels: Iterable[Label],
    stock: LabelStock,
    places: Iterator[Slot],
    progress: Callable[[int], None] | None,
    cancelled: Callable[[], bool] | None,
) -> LabelRun:
    tally, page, refusals = _Tally(), -1, list[str]()
    for done, (label, where) in enumerate(zip(labels, places, strict=False)):
        if where.page != page:
            if page >= 0:
                _turn_page(canvas)
            page = where.page
            if progress:
                progress(done)
        if cancelled and cancelled():
            raise Refused(f"Stopped after {done} labels; nothing was printed.")
        try:
            _draw(canvas, label, stock, where, tally)
        except Refused as refusal:
            refusals.append(f"Label {clipped(title_of(label))} on {stock.name}: {refusal}")
    _refuse(refusals)
    run = tally.run(stock)
    _turn_page(canvas)
    if progress:
        progress(run.count)
    return run


def _refuse(refusals: list[str]) -> None:
    """Refuse the run for the labels that could not be drawn: the first few with the reason, then how many more."""
    more = len(set(refusals)) - _MOST_REFUSALS
    if refusals:
        said = " ".join(list(dict.fromkeys(refusals))[:_MOST_REFUSALS])
        raise Refused(f"{said} And {counted(more, 'more label')} like these." if more > 0 else said)


def _turn_page(canvas: Any) -> None:  # noqa: ANN401 - reportlab publishes no types
    """Close the page and compress it at once: reportlab would keep every page's plain text until the file is saved.

    The page just closed is reached through ``_doc``; reportlab offers no public way to it.
    """
    canvas.showPage()
    page = canvas._doc.Pages.pages[-1]
    packed = zlib.compress(page.stream.encode("latin-1"))
    page.Contents = PDFStream(PDFDictionary({"Filter": PDFName("FlateDecode")}), packed, filters=[])
    page.stream = ""


def _draw(canvas: Any, label: Label, stock: LabelStock, where: Slot, tally: _Tally) -> None:  # noqa: ANN401
    """Draw one label at its place, its origin on a whole dot of the page."""
    kind, face, length = _FACES[type(label)]
    dots, (wide, high) = stock.grid.dots, stock.label
    if stock.continuous:
        high = length
    page_mm = length if stock.continuous else stock.page[1]
    canvas.setPageSize((stock.page[0] * _POINTS_PER_MM, page_mm * _POINTS_PER_MM))
    inset_x, inset_y = (dots(side) for side in stock.inset)
    box = Box(
        inset_x, inset_y, int(wide * stock.dots_per_mm) - 2 * inset_x, int(high * stock.dots_per_mm) - 2 * inset_y
    )
    pen = Pen(canvas, stock.grid, box.h + 2 * inset_y, stock.colour)
    point = _POINTS_PER_MM / stock.dots_per_mm
    canvas.saveState()
    canvas.transform(
        point, 0, 0, point, dots(where.x_mm) * point, page_mm * _POINTS_PER_MM - (dots(where.y_mm) + pen.high) * point
    )
    face(pen, label, box)
    canvas.restoreState()
    pen.notes.extend(_stand_ins(label))
    tally.add(kind, pen, where)


def _stand_ins(label: Label) -> Iterator[tuple[str, str]]:
    """A note for each text of ``label`` in which letters had to be replaced."""
    for value in vars(label).values():
        if isinstance(value, str) and not value.isascii():
            shown = printable(value)
            if shown.replaced:
                yield title_of(label), f"letters no font here has, printed as {_bracketed(shown.text)}"


def preview(
    labels: Iterable[Label],
    stock: LabelStock,
    *,
    start: int = 1,
    skip: Iterable[int] = (),
    nudge: Nudge = Nudge(),  # noqa: B008 - frozen
    progress: Callable[[int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LabelRun:
    """What ``write_labels`` would do with the same arguments, and refuse; writes nothing."""
    canvas = Canvas(io.BytesIO(), invariant=1)
    return _lay_out(canvas, labels, stock, slots(stock, start, frozenset(skip), nudge), progress, cancelled)
