"""How labels of places and people are laid out: bin, shelf end, van drawer, badge.

A face gives the symbols what they need and the words the rest, as large as they go.
"""

from __future__ import annotations

import re

from partsbin.printing import text as words
from partsbin.printing.label_kinds import BadgeLabel, BinLabel, DrawerLabel, ShelfEndLabel, code_of
from partsbin.printing.pen import LEAST_CAP_MM, Box, Pen
from partsbin.printing.zones import draw_zone, mark_of

_ZONE_NAME_FROM_MM = 27.0  # height of a label on which the zone's name costs the code no size worth having
_LEAST_HEAD_MM = 6.0  # words above the symbols
_UNDER_SHARE = 0.62  # of the room below the title, for the capitals of a name on one line


def draw_bin(pen: Pen, label: BinLabel, box: Box) -> None:
    """A bin: zone mark, code, its name if it has one, symbols."""
    alike = re.sub("[0-9]", "0", re.sub("[A-LN-VX-Z]", "M", label.code.upper()))  # all bins of a run in one size
    mark = mark_of(label.zone, label.code)
    room_for_zone = box.h >= pen.mm(_ZONE_NAME_FROM_MM) and label.zone != mark
    _draw_place(pen, box, code_of(label), label.code, label.name or (label.zone if room_for_zone else ""), mark, alike)


def draw_shelf_end(pen: Pen, label: ShelfEndLabel, box: Box) -> None:
    """An aisle's end: mark and letter for the far end of the room, bays below."""
    bays = f"bays {label.bays}" if label.bays else ""
    _draw_place(pen, box, code_of(label), label.aisle, bays, mark_of(label.zone, label.aisle))


def draw_drawer(pen: Pen, label: DrawerLabel, box: Box) -> None:
    """A van's drawer: its number large, the van and what is kept there below."""
    under = " · ".join(part for part in (label.van if label.drawer else "", label.name) if part)
    _draw_place(pen, box, code_of(label), label.drawer or label.van, under)


def draw_badge(pen: Pen, label: BadgeLabel, box: Box) -> None:
    """An operator's badge: initials large, name and role below."""
    under = ", ".join(part for part in (label.name, label.role) if part)
    _draw_place(pen, box, code_of(label), label.initials, under)


def _draw_place(pen: Pen, box: Box, code: str, title: str, under: str, zone: str = "", alike: str = "") -> None:
    head = pen.symbols_and_words(code, title, box, _LEAST_HEAD_MM)
    tall = head.h > head.w * 0.5
    if zone:
        head = _draw_mark(pen, head, zone, tall)
    if under:
        head, below = head.split_top(head.h * 0.70, head.h * 0.04)
        _write_under(pen, below, under, title, "centre" if tall else "left")
    pen.write_title(head, title, align="centre" if tall else "left", like=alike, tallest=head.h * 0.86)


def _write_under(pen: Pen, box: Box, text: str, title: str, align: str) -> None:
    """Write a name below its title, in the middle of the box's height, on as many lines as it takes."""
    most = box.h * _UNDER_SHARE / words.CAP_HEIGHT
    least = min(most, LEAST_CAP_MM * pen.grid.dots_per_mm / words.CAP_HEIGHT)
    size = words.size_that_holds(text, box.w, box.h, most, least)
    lines = words.wrap(text, box.w, size, lines=max(1, words.lines_in(box.h, size)))
    spare = round(box.h - len(lines) * size * words.LEADING)
    if not pen.write_lines(box.split_top(0, max(0, spare // 2))[1], text, size, align=align):
        pen.note(title, "name shortened")


def _draw_mark(pen: Pen, head: Box, zone: str, tall: bool) -> Box:
    """Draw the zone mark beside the words, above them where the label is tall; returns the room left."""
    if tall:
        mark, rest = head.split_top(head.h * 0.52, pen.mm(1.5))
    else:
        side = min(head.h, round(head.w * 0.24))
        mark, rest = head.split_left(side, max(pen.mm(1.2), side * 0.12))
    draw_zone(pen, mark, zone)
    return rest
