"""How labels of things are laid out: an item, and a case of product."""

from __future__ import annotations

from datetime import date

from partsbin.printing import text as words
from partsbin.printing.faces_cautions import Row, caution_rows
from partsbin.printing.label_kinds import CaseLabel, ItemLabel, code_of, element_string, number_code
from partsbin.printing.pen import LEAST_CAP_MM, LEAST_TEXT_MM, MOST_TEXT_MM, WHITE, Box, Pen
from partsbin.printing.symbols import code128

_TEXT_SHARE = 0.16  # of the label's height, so that the labels of a run look alike
_SENTENCE_FROM_MM = 2.6  # below this size a caution is its sign and word only
_MOST_VIEWPOINT_LINES = 3
_HANDS = {"LH": "LEFT", "RH": "RIGHT", "L": "LEFT", "R": "RIGHT"}
_LEAST_WORDS_MM = 9.0  # height the words of an item need above the bars
_MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")


def draw_item(pen: Pen, label: ItemLabel, box: Box) -> None:
    """A part: number, hand in words, description, cautions, symbols; in the largest size that holds it all."""
    room = pen.symbols_and_words(code_of(label), label.part_number, box, _LEAST_WORDS_MM, 0.36)
    size, sentences = _largest(pen, label, room, min(pen.mm(MOST_TEXT_MM), box.h * _TEXT_SHARE))
    upper, lower = _rows(pen, label, room.w, size, sentences)
    room = stack(room, upper)
    if sum(height for height, _ in lower) > room.h:
        lower = caution_rows(pen, label, room.w, size, 0, room.h)
    foot = sum(height for height, _ in lower)
    _describe(pen, label, room._replace(h=round(room.h - foot)), size)
    stack(room._replace(y=round(room.y + room.h - foot)), lower)


def _largest(pen: Pen, label: ItemLabel, room: Box, most: float) -> tuple[float, int]:
    """Font size, and how many caution sentences: all of them if they can be read, else the first, else none."""
    least, readable = float(pen.mm(LEAST_TEXT_MM)), pen.mm(_SENTENCE_FROM_MM)
    said = [len(label.cautions), 1] if len(label.cautions) > 1 else [len(label.cautions)]
    for sentences, floor in (*((count, readable) for count in said if count), (0, least)):
        size = most
        while size >= floor:
            upper, lower = _rows(pen, label, room.w, size, sentences)
            taken = sum(height for height, _ in (*upper, *lower))
            if room.h - taken >= _height_of(label.description, room.w, size):
                return size, sentences
            size *= 0.92
    return least, 0


def stack(room: Box, rows: list[Row]) -> Box:
    """Draw ``rows`` from the top of ``room`` down; returns what is left below."""
    for height, paint in rows:
        row, room = room.split_top(height)
        paint(row)
    return room


def _height_of(text: str, room: int, size: float) -> float:
    return len(words.wrap(text, room, size, lines=99)) * size * words.LEADING


def _rows(pen: Pen, label: ItemLabel, wide: int, size: float, sentences: int) -> tuple[list[Row], list[Row]]:
    """The rows above and below the description when that is set at ``size``."""
    title = label.part_number
    upper: list[Row] = [(size * 1.6, lambda box: _title(pen, box, title))]
    if label.hand:
        upper += _hand_rows(pen, label, wide, size)
    return upper, caution_rows(pen, label, wide, size, sentences)


def _title(pen: Pen, box: Box, title: str) -> None:
    pen.write_title(box, title, tallest=box.h * 0.68)


def _describe(pen: Pen, label: ItemLabel, room: Box, size: float) -> None:
    if room.h < size * words.LEADING * 0.95:
        pen.note(label.part_number, "no room for the description")
    elif not pen.write_lines(room, label.description, size):
        pen.note(label.part_number, "description shortened")


def _hand_rows(pen: Pen, label: ItemLabel, wide: int, size: float) -> list[Row]:
    """LEFT or RIGHT in a black block with an arrow; from where it is seen, beside it or in lines below."""
    viewpoint, hand = label.viewpoint, label.hand.upper()
    seen = f"seen from {viewpoint}" if viewpoint and "seen" not in viewpoint else viewpoint
    word = _HANDS.get(hand, hand)
    block = size * 1.3 + words.width(word, size, bold=True)
    room = wide - block - size * 0.4
    beside = words.width(seen, size * 0.9) <= room
    rows: list[Row] = [(size * 1.4, lambda box: _hand(pen, box, word, block, seen if beside else "", size))]
    if not beside:
        lines = len(words.wrap(seen, wide, size * 0.9, lines=_MOST_VIEWPOINT_LINES))
        rows.append((lines * size * words.LEADING, lambda box: _viewpoint(pen, box, label.part_number, seen, size)))
    return rows


def _viewpoint(pen: Pen, box: Box, part_number: str, seen: str, size: float) -> None:
    if not pen.write_lines(box, seen, size * 0.9):
        pen.note(part_number, "from where left and right are seen is cut short, use larger stock")


def _hand(pen: Pen, strip: Box, word: str, wide: float, seen: str, size: float) -> None:
    block = Box(strip.x, strip.y, min(strip.w, round(wide)), round(size * 1.25))
    pen.block(block)
    middle, half, tip = block.y + block.h / 2, size * 0.38, size * 0.5
    text = Box(block.x + round(size * 0.3), block.y, block.w - round(size * 0.6), block.h)
    if word == "LEFT":
        x = block.x + size * 0.2
        pen.polygon([(x + tip, middle - half), (x + tip, middle + half), (x, middle)], WHITE)
        text = text.split_left(size * 0.6)[1]
    elif word == "RIGHT":
        x = block.x + block.w - size * 0.2
        pen.polygon([(x - tip, middle - half), (x - tip, middle + half), (x, middle)], WHITE)
        text = text.split_left(text.w - size * 0.6)[0]
    pen.write_in(text, word, align="centre", ink=WHITE, tallest=size * words.CAP_HEIGHT)
    if seen:
        pen.write(block.x + block.w + size * 0.4, middle + size * 0.9 * words.CAP_HEIGHT / 2, seen, size * 0.9)


def draw_case(pen: Pen, label: CaseLabel, box: Box) -> None:
    """A case: best-before and lot large for first-expired rotation, number and description, symbols."""
    in_bars = _bars_of(pen, label, box.w)
    room = pen.symbols_and_words(code_of(label), label.part_number, box, _LEAST_WORDS_MM, 0.45, in_bars)
    size = max(pen.mm(LEAST_TEXT_MM), min(pen.mm(MOST_TEXT_MM), room.h * 0.14))
    head, room = room.split_top(size * 1.5)
    _title(pen, head, label.part_number)
    about = (f"{label.quantity} a case · " if label.quantity else "") + label.description
    lines, room = room.split_top(min(_height_of(about, room.w, size), room.h * 0.4))
    if not pen.write_lines(lines, about, size):
        pen.note(label.part_number, "description shortened")
    pen.cap_mm = 0.0  # what a case is chosen by is its date
    _dates(pen, room, label, size * 0.8)


def _bars_of(pen: Pen, label: CaseLabel, wide: int) -> str:
    """What a case's bars carry: number, date and lot, as GS1 or in our own form, where they fit; else the number."""
    for text in (element_string(label), code_of(label)):
        if text and code128(text).wide * pen.grid.least <= wide:
            return text
    pen.note(label.part_number, "the bars carry the part number only, the QR symbol date and lot too")
    return number_code(label.part_number)


def _dates(pen: Pen, room: Box, label: CaseLabel, caption: float) -> None:
    """Best-before and lot side by side or one above the other, whichever leaves the smaller of them larger."""
    day = day_in_words(label.best_before)
    if not label.lot:
        _captioned(pen, room, "BEST BEFORE", day, caption)
        return
    ways = (room.split_left(room.w * 0.57, room.w * 0.05), room.split_top(room.h * 0.5))
    dated, lot = max(ways, key=lambda way: min(_cap(way[0], day, caption), _cap(way[1], label.lot, caption)))
    cap = _captioned(pen, dated, "BEST BEFORE", day, caption)
    if _captioned(pen, lot, "LOT", label.lot, caption, cap) < pen.mm(LEAST_CAP_MM):
        pen.note(label.part_number, "the lot prints too small to read, use larger stock; the symbols carry it")


def day_in_words(day: date | None) -> str:
    """A date no reader mistakes: ``25 NOV 2026``."""
    return f"{day.day:02d} {_MONTHS[day.month - 1]} {day.year}" if day else "NO DATE"


def _captioned(pen: Pen, box: Box, caption: str, text: str, size: float, tallest: float = 1e9) -> float:
    """Write a text below its caption; returns the height of its capitals, no more than ``tallest``."""
    cap = min(tallest, _cap(box, text, size))
    top, rest = _under_caption(box, size)
    size = min(size, box.h * 0.3)
    pen.write(top.x, top.y + size, caption, min(size, words.size_to_fit(caption, top.w, size)))
    return pen.write_in(rest._replace(h=round(min(rest.h, cap * 1.25))), text, tallest=cap)


def _cap(box: Box, text: str, caption: float) -> float:
    """How high the capitals of ``text`` go below a caption of that size."""
    rest = _under_caption(box, caption)[1]
    return words.size_to_fit(text, rest.w, rest.h * 0.86, bold=True) * words.CAP_HEIGHT


def _under_caption(box: Box, size: float) -> tuple[Box, Box]:
    return box.split_top(min(size, box.h * 0.3) * words.LEADING)
