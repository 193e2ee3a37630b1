"""The cautions on an item's label: a sign for each hazard, the signal word, what the hazard is, and the sentences."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from partsbin.printing import text as words
from partsbin.printing.label_kinds import Caution, ItemLabel
from partsbin.printing.pen import Box, Pen
from partsbin.printing.pictograms import draw_pictogram, hazard_of, pictogram_for

Row = tuple[float, Callable[[Box], None]]  # height in dots, and what draws it

_SIGNAL_WORDS = frozenset(
    {"DANGER", "WARNING", "CAUTION", "NOTICE", "NOTE"}
)  # ISO 3864-2 and ANSI Z535 know the first four
_SENTENCE_SHARE = 0.85  # of the heading's font size
_SIGNS_SHARE = 0.35  # of the width, for the second and further signs
_MOST_SIGNS = 3
_CLAUSE = 20  # characters of a sentence that serve as a name for a hazard without a sign


def sign_of(caution: Caution) -> str:
    """The name of the sign a caution is drawn with."""
    return caution.pictogram or pictogram_for(caution.word, caution.text)


def heading_of(cautions: Sequence[Caution]) -> str:
    """The signal word of the first, most severe caution, and what each is about: ``DANGER: STATIC · HOT``.

    A caution whose word is not a signal word is named by that word.
    """
    first = cautions[0].word.upper()
    names = dict.fromkeys(_name(caution) for caution in cautions)
    return (f"{first}: " if first in _SIGNAL_WORDS else "") + " · ".join(names)


def _name(caution: Caution) -> str:
    word = caution.word.upper()
    if word not in _SIGNAL_WORDS:
        return word
    hazard = hazard_of(sign_of(caution))
    clause = re.split(r"[.:;(]", caution.text, maxsplit=1)[0].strip()
    if not hazard and len(clause) > _CLAUSE:
        clause = clause[:_CLAUSE].rsplit(" ", 1)[0] + words.ELLIPSIS
    return (hazard or clause or word).upper()


def caution_rows(pen: Pen, label: ItemLabel, wide: int, size: float, sentences: int, tallest: float = 1e9) -> list[Row]:
    """The row of signs, heading and first ``sentences`` sentences of ``label`` when the heading is set at ``size``.

    The heading is cut, and noted, where it would be higher than ``tallest`` dots.
    """
    if not label.cautions:
        return []
    heading = heading_of(label.cautions)
    said = " ".join(caution.text for caution in label.cautions[:sentences] if caution.text)
    signs = list(dict.fromkeys(sign_of(caution) for caution in label.cautions))[:_MOST_SIGNS]
    least = size * 1.4  # large signs stand beside sentences, if all of them have room
    side = max(least, min(size * 2.1, wide * _SIGNS_SHARE / len(signs))) if said else least
    signs = signs[: max(1, int(wide * _SIGNS_SHARE / side))]
    room = int(wide - side * len(signs) - size * 0.4)
    most = max(1, int(tallest / (size * words.LEADING)))
    lines = len(words.wrap(heading, room, size, bold=True, lines=min(9, most))) * size * words.LEADING
    small = size * _SENTENCE_SHARE
    tall = lines + len(words.wrap(said, room, small, lines=99)) * small * words.LEADING
    height = max(side, tall)

    def paint(box: Box) -> None:
        for sign in signs:
            mark, box = box.split_left(side)
            draw_pictogram(pen, mark._replace(h=round(side)), sign)
        y = box.y + round((height - tall) / 2 + size * 0.1)
        head, rest = Box(box.x + round(size * 0.4), y, room, round(tall)).split_top(lines)
        if not pen.write_lines(head, heading, size, bold=True):
            pen.note(label.part_number, "not every caution has room, use larger stock")
        if said:
            pen.write_lines(rest, said, small)

    return [(height, paint)]
