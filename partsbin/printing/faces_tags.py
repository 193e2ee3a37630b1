"""How tags are laid out: the core return tag, and a caution by itself."""

from __future__ import annotations

from partsbin.printing import text as words
from partsbin.printing.label_kinds import CautionTag, CoreTag, code_of
from partsbin.printing.pen import BLACK, LEAST_CAP_MM, LEAST_TEXT_MM, MOST_TEXT_MM, WHITE, Box, Pen
from partsbin.printing.pictograms import draw_pictogram, pictogram_for

_TO_WRITE_ON = ("Fault", "Date / by")
_SIGN_SHARES = (0.36, 0.28, 0.2)  # of the tag
_LEAST_WRITING_MM = 2.4
_WRITING_MM = 9.0  # a comfortable line for a hand in a glove


def draw_core(pen: Pen, label: CoreTag, box: Box) -> None:
    """A core on its way back: what it is, where from, and lines to write fault, date and name on."""
    band, room = box.split_top(min(box.h * 0.16, pen.mm(9)), pen.mm(0.8))
    pen.block(band)
    pen.write_in(band.shrink(band.h * 0.2), "CORE – RETURN FOR REBUILD", align="centre", ink=WHITE)
    pen.cap_mm = 0.0  # the band is the same on all; what counts is the part number
    room = pen.symbols_and_words(code_of(label), label.part_number, room, 8.0, 0.4)
    size = max(pen.mm(LEAST_TEXT_MM), min(pen.mm(MOST_TEXT_MM), room.h * 0.17))
    head, room = room.split_top(size * 1.6)
    serial = f"serial {label.serial}" if label.serial else ""
    title = f"{label.part_number}   {serial}"
    beside = words.width(title, pen.mm(LEAST_TEXT_MM), bold=True) <= head.w
    pen.write_title(head, title if beside else label.part_number, tallest=head.h * 0.72)
    origin = f"from {label.origin}" if label.origin else ""
    about = " · ".join(part for part in ("" if beside else serial, label.description, origin) if part)
    needed = len(words.wrap(about, room.w, size, lines=3)) * size * words.LEADING
    most = min(room.h * 0.65, room.h - pen.mm(_LEAST_WRITING_MM))  # a line to write on comes before a large description
    lines, room = room.split_top(min(needed, max(size * words.LEADING, most)))
    least = min(size, LEAST_CAP_MM * pen.grid.dots_per_mm / words.CAP_HEIGHT)
    if not pen.write_lines(lines, about, words.size_that_holds(about, lines.w, lines.h, size, least)):
        pen.note(label.part_number, "description shortened")
    _lines_to_write_on(pen, label.part_number, room, size * 0.85)


def _lines_to_write_on(pen: Pen, part_number: str, room: Box, size: float) -> None:
    """Captioned rules at the foot of the room, as many as it holds; none where nobody could write."""
    count = int(room.h / pen.mm(_LEAST_WRITING_MM))
    if not count:
        pen.note(part_number, "no room for a line to write fault and date on, use larger stock")
        return
    count = max(min(count, len(_TO_WRITE_ON)), int(room.h / pen.mm(_WRITING_MM)))
    first, last = _TO_WRITE_ON
    captions = [first, *[""] * (count - 2), last] if count > 1 else [f"{first} / {last.lower()}"]
    each = room.h / count
    size = min(size, each * 0.8)
    start = room.x + max(words.width(caption, size) for caption in captions) + size * 0.5
    for number, caption in enumerate(captions, start=1):
        base = room.y + each * number - pen.mm(0.4)
        if caption:
            pen.write(room.x, base, caption, size)
        pen.rule(start, base, max(0, room.x + room.w - start), max(1, pen.mm(0.15)))


def draw_caution(pen: Pen, label: CautionTag, box: Box) -> None:
    """A caution by itself: sign, word, sentence, within a black edge."""
    edge = max(2, pen.mm(0.5))
    left, top = box.x + edge / 2, box.y + edge / 2
    right, low = left + box.w - edge, top + box.h - edge
    pen.polygon([(left, top), (right, top), (right, low), (left, low)], None, BLACK, edge)
    inner = box.shrink(edge * 2 + pen.mm(0.8))
    for share in _SIGN_SHARES:  # a long sentence gets the room of a smaller sign and word
        if inner.h > inner.w * 0.9:
            sign, room = inner.split_top(inner.h * share * 1.2, pen.mm(2))
        else:
            sign, room = inner.split_left(min(inner.h, inner.w * share), pen.mm(1.2))
        head, rest = room.split_top(room.h * share * 0.9, pen.mm(0.5))
        size = words.size_that_holds(label.text, rest.w, rest.h, pen.mm(MOST_TEXT_MM * 1.3), pen.mm(LEAST_TEXT_MM))
        if words.holds(label.text, rest.w, rest.h, size):
            break
    draw_pictogram(pen, sign, label.pictogram or pictogram_for(label.word, label.text))
    pen.write_title(head, label.word.upper(), tallest=head.h * 0.8)
    if not pen.write_lines(rest, label.text, size):
        pen.note(f"{label.word}, {words.clipped(label.text, 24)}", "the sentence is cut short, use larger stock")
