"""How labels of places and people are laid out: bin, shelf end, van drawer, badge; and the symbols' share of any label.

A face splits its box, gives the symbols what they need and the words the rest, as large as they go.
"""

from __future__ import annotations

import re

from partsbin.errors import Refused
from partsbin.printing.label_kinds import BadgeLabel, BinLabel, DrawerLabel, ShelfEndLabel, code_of
from partsbin.printing.pen import Box, Pen
from partsbin.printing.symbols import Arrangement, alone, arrange, code128, qr
from partsbin.printing.zones import draw_zone, zone_of

_LEAST_HEAD_MM = 3.2  # words above the symbols
_GAP_MM = 1.0


def place_symbols(pen: Pen, code: str, box: Box, shares: tuple[float, ...] = (0.5, 0.62, 0.8)) -> Arrangement:
    """Fit bars and QR for ``code`` into the smallest of these shares of the box's height that takes both.

    With room for one only, that one is used and noted. Raises Refused when not even one fits.
    """
    bars, matrix = code128(code), qr(code)
    most = box.h - pen.mm(_LEAST_HEAD_MM + _GAP_MM)
    for share in shares:
        both = arrange(bars, matrix, box.w, min(most, round(box.h * share)), pen.grid)
        if both is not None:
            return both
    for symbol, lost in ((bars, matrix), (matrix, bars)):
        one = alone(symbol, box.w, most, pen.grid)
        if one is not None:
            pen.notes.append(f"{code}: no room for the {lost.kind} symbol, {symbol.kind} only")
            return one
    raise no_room(pen, code, box)


def no_room(pen: Pen, code: str, box: Box) -> Refused:
    """The sentence for a code whose symbols cannot be printed coarsely enough to scan."""
    module = pen.grid.least / pen.grid.dots_per_mm
    dots = pen.grid.dots_per_mm
    return Refused(
        f"{code} does not fit: its bars need {code128(code).wide * module:.1f} mm across and its QR symbol"
        f" {qr(code).wide * module:.1f} mm square at {pen.grid.least} printer dots a module, the least that scans;"
        f" the label has {box.w / dots:.1f} x {box.h / dots:.1f} mm for words and symbols. Use larger stock or a shorter code."
    )


def draw_bin(pen: Pen, label: BinLabel, box: Box) -> None:
    """A bin: zone mark, code, its name if it has one, symbols."""
    like = re.sub("[A-Z]", "M", re.sub("[0-9]", "0", label.code.upper()))  # all bins of a run in one size
    like = like if len(like) > len(label.code.rstrip()) - 1 and "W" not in label.code.upper() else label.code
    _draw_place(pen, box, code_of(label), label.code, label.name, label.zone or zone_of(label.code), like)


def draw_shelf_end(pen: Pen, label: ShelfEndLabel, box: Box) -> None:
    """An aisle's end: mark and letter for the far end of the room, bays below."""
    bays = f"bays {label.bays}" if label.bays else ""
    _draw_place(pen, box, code_of(label), label.aisle, bays, label.zone or zone_of(label.aisle), "")


def draw_drawer(pen: Pen, label: DrawerLabel, box: Box) -> None:
    """A van's drawer: its number large, the van and what is kept there below."""
    under = " ".join(part for part in (label.van if label.drawer else "", label.name) if part)
    _draw_place(pen, box, code_of(label), label.drawer or label.van, under, "", "")


def draw_badge(pen: Pen, label: BadgeLabel, box: Box) -> None:
    """An operator's badge: initials large, name and role below."""
    under = ", ".join(part for part in (label.name, label.role) if part)
    _draw_place(pen, box, code_of(label), label.initials, under, "", "")


def _draw_place(pen: Pen, box: Box, code: str, title: str, under: str, zone: str, like: str) -> None:
    arrangement = place_symbols(pen, code, box)
    head, foot = box.split_top(box.h - arrangement.used - pen.mm(_GAP_MM), pen.mm(_GAP_MM))
    pen.symbols(arrangement, foot.x, foot.y)
    if zone:
        head = _draw_mark(pen, head, zone)
    if under:
        head, below = head.split_top(head.h * 0.70, head.h * 0.04)
        pen.write_in(below, under, bold=False, tallest=below.h * 0.62)
    pen.write_in(head, title, align="left", like=like, tallest=head.h * 0.86)


def _draw_mark(pen: Pen, head: Box, zone: str) -> Box:
    """Draw the zone mark beside the words, above them where the label is tall; returns the room left."""
    if head.h > head.w * 0.5:
        mark, rest = head.split_top(head.h * 0.52, pen.mm(_GAP_MM))
    else:
        side = min(head.h, round(head.w * 0.24))
        mark, rest = head.split_left(side, max(pen.mm(1.2), side * 0.12))
    draw_zone(pen, mark, zone)
    return rest
