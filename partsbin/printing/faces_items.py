"""How labels of things are laid out: item, product case, core return tag, caution tag."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from partsbin.printing.faces import no_room, place_symbols
from partsbin.printing.label_kinds import CaseLabel, Caution, CautionTag, CoreTag, ItemLabel, code_of
from partsbin.printing.pen import BLACK, WHITE, Box, Pen
from partsbin.printing.pictograms import draw_pictogram, pictogram_for
from partsbin.printing.symbols import alone, arrange, code128, qr

_HANDS = {"LH": "LEFT", "RH": "RIGHT"}
_GAP_MM = 0.9
_LEAST_WORDS_MM = 9.0  # height the words of an item need
_LEAST_COLUMN_MM = 16.0  # width the words need beside a symbol
_LEAST_TEXT_MM = 2.0  # font size: below this nobody reads a part in a gloomy van
_MOST_TEXT_MM = 6.0
_MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")


def draw_item(pen: Pen, label: ItemLabel, box: Box) -> None:
    """A part: number, hand in words, description, the first caution with its sign, symbols."""
    room = _symbols_aside(pen, code_of(label), box)
    line = _line_height(pen, room)
    head, room = room.split_top(line * 1.35, pen.mm(0.3))
    pen.write_in(head, label.part_number, tallest=head.h * 0.72)
    if label.hand:
        strip, room = room.split_top(line * 1.1, pen.mm(0.4))
        _draw_hand(pen, strip, label.hand, label.viewpoint)
    if label.cautions:
        words, strip = room.split_top(room.h - line * 1.25, 0)
        draw_cautions(pen, strip, label.cautions)
        room = words
    _describe(pen, room, label.part_number, label.description, line)


def _line_height(pen: Pen, room: Box) -> float:
    return max(pen.mm(_LEAST_TEXT_MM), min(pen.mm(_MOST_TEXT_MM), room.h / 4.6))


def _describe(pen: Pen, room: Box, part_number: str, description: str, line: float) -> None:
    size = line * 0.86
    before = pen.cap_mm
    if room.h >= size:
        pen.write_lines(room, description, size)
    elif description:
        pen.notes.append(f"{part_number}: no room for the description")
    pen.cap_mm = before


def _symbols_aside(pen: Pen, code: str, box: Box) -> Box:
    """Draw the symbols at the foot, or the QR alone at the right where bars do not fit; returns the room for words."""
    gap = pen.mm(_GAP_MM)
    most = box.h - pen.mm(_LEAST_WORDS_MM)
    both = arrange(code128(code), qr(code), box.w, min(most, round(box.h * 0.5)), pen.grid)
    if both is not None:
        words, foot = box.split_top(box.h - both.used - gap, gap)
        pen.symbols(both, foot.x, foot.y)
        return words
    one = alone(qr(code), min(box.h, box.w - pen.mm(_LEAST_COLUMN_MM)), box.h, pen.grid)
    if one is None:
        raise no_room(pen, code, box)
    pen.notes.append(f"{code}: no room for the Code 128 symbol, QR only")
    side = one.used
    pen.symbols(alone(qr(code), side, side, pen.grid) or one, box.x + box.w - side, box.y + (box.h - side) // 2)
    return box._replace(w=box.w - side - gap)


def _draw_hand(pen: Pen, strip: Box, hand: str, viewpoint: str) -> None:
    """Draw the hand in a black block with an arrow on its side, and from where it is seen."""
    word = _HANDS.get(hand.upper(), hand.upper())
    block, rest = strip.split_left(min(strip.w * 0.6, strip.h * 3.6), strip.h * 0.3)
    pen.block(block)
    tip, middle, half = strip.h * 0.28, block.y + block.h / 2, block.h * 0.28
    inner = block.shrink(block.h * 0.14)
    if word == "LEFT":
        pen.polygon([(inner.x + tip, middle - half), (inner.x + tip, middle + half), (inner.x, middle)], WHITE)
    elif word == "RIGHT":
        end = inner.x + inner.w
        pen.polygon([(end - tip, middle - half), (end - tip, middle + half), (end, middle)], WHITE)
    pen.write_in(inner, word, align="centre", ink=WHITE, tallest=block.h * 0.6)
    if viewpoint:
        pen.write_in(rest, f"seen from {viewpoint.removeprefix('seen from ').strip()}", bold=False, tallest=strip.h * 0.52)


def draw_cautions(pen: Pen, strip: Box, cautions: Sequence[Caution]) -> None:
    """Draw the first caution's sign and word, and the other words as far as they fit, most severe first as given."""
    sign, rest = strip.split_left(strip.h, strip.h * 0.2)
    first = cautions[0]
    draw_pictogram(pen, sign, first.pictogram or pictogram_for(f"{first.word} {first.text}"))
    words = " · ".join(caution.word.upper() for caution in cautions)
    pen.write_lines(rest._replace(y=rest.y + round(rest.h * 0.16)), words, strip.h * 0.72, bold=True)


def draw_case(pen: Pen, label: CaseLabel, box: Box) -> None:
    """A case: best-before and lot large for first-expired rotation, number and description, symbols."""
    arrangement = place_symbols(pen, code_of(label), box, (0.42, 0.5, 0.62))
    words, foot = box.split_top(box.h - arrangement.used - pen.mm(_GAP_MM), pen.mm(_GAP_MM))
    pen.symbols(arrangement, foot.x, foot.y)
    name, words = words.split_top(words.h * 0.24, pen.mm(0.3))
    pack = f" · {label.quantity} a case" if label.quantity else ""
    pen.write_lines(name, f"{label.part_number} · {label.description}{pack}", name.h * 0.85, bold=True)
    dated, lot = words.split_left(words.w * (0.6 if label.lot else 1.0), pen.mm(2))
    _captioned(pen, dated, "BEST BEFORE", day_in_words(label.best_before))
    if label.lot:
        _captioned(pen, lot, "LOT", label.lot)


def day_in_words(day: date | None) -> str:
    """A date no reader mistakes: ``25 NOV 2026``."""
    return f"{day.day:02d} {_MONTHS[day.month - 1]} {day.year}" if day else "NO DATE"


def _captioned(pen: Pen, box: Box, caption: str, text: str) -> None:
    top, rest = box.split_top(box.h * 0.26)
    pen.write_in(top, caption, bold=False, tallest=top.h * 0.62)
    pen.write_in(rest, text, tallest=rest.h * 0.86)


def draw_core(pen: Pen, label: CoreTag, box: Box) -> None:
    """A core on its way back: what it is, where from, and lines to write fault, date and name on."""
    title, room = box.split_top(min(box.h * 0.16, pen.mm(9)), pen.mm(_GAP_MM))
    pen.block(title)
    pen.write_in(title.shrink(title.h * 0.18), "CORE – RETURN TO REBUILD", align="centre", ink=WHITE)
    room = _symbols_aside(pen, code_of(label), room)
    line = _line_height(pen, room)
    head, room = room.split_top(line * 1.3, pen.mm(0.3))
    serial = f"   serial {label.serial}" if label.serial else ""
    pen.write_in(head, label.part_number + serial, tallest=head.h * 0.72)
    lines, room = room.split_top(line * 1.05, 0)
    origin = f" · from {label.origin}" if label.origin else ""
    pen.write_lines(lines, label.description + origin, line * 0.86)
    _write_on_lines(pen, room, ("Fault", "Date / by"), line)


def _write_on_lines(pen: Pen, room: Box, captions: Sequence[str], line: float) -> None:
    each = room.h / len(captions)
    size = min(line * 0.7, each * 0.7)
    for number, caption in enumerate(captions):
        base = room.y + each * (number + 1) - size * 0.3
        pen.write(room.x, base, caption, size)
        start = room.x + size * 5
        pen.rule(start, base, max(0, room.x + room.w - start), max(1, pen.mm(0.15)))


def draw_caution(pen: Pen, label: CautionTag, box: Box) -> None:
    """A caution by itself: sign, word, sentence; black edge all round."""
    edge = max(2, pen.mm(0.5))
    pen.polygon([(box.x, box.y), (box.x + box.w, box.y), (box.x + box.w, box.y + box.h), (box.x, box.y + box.h)], None, BLACK, edge)
    inner = box.shrink(edge * 2 + pen.mm(0.6))
    sign, words = inner.split_left(min(inner.h, inner.w * 0.38), pen.mm(1.5))
    draw_pictogram(pen, sign, label.pictogram or pictogram_for(f"{label.word} {label.text}"))
    head, rest = words.split_top(words.h * 0.34, pen.mm(0.6))
    pen.write_in(head, label.word.upper(), tallest=head.h * 0.86)
    size = max(pen.mm(_LEAST_TEXT_MM), min(pen.mm(_MOST_TEXT_MM), rest.h / 4))
    pen.write_lines(rest, label.text, size)
