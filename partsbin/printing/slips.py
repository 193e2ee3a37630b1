"""Slips on paper: what to pick in walking order, with the cautions that go with it, and what is short."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import KeepTogether, Spacer, Table, TableStyle

from partsbin import codes
from partsbin.printing.documents import BODY, HEAD, LARGE, RIGHT, SMALL, scan_bars, table, words, write_document

HANDS = {"LH": "LEFT", "RH": "RIGHT"}


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
    """A slip as printed. ``number`` None is a proposal, not posted; ``steps`` the order of work, if any."""

    title: str
    depot: str
    number: int | None
    about: tuple[tuple[str, str], ...]
    rows: tuple[SlipRow, ...]
    cautions: tuple[SlipCaution, ...] = ()
    short: tuple[ShortRow, ...] = ()
    steps: tuple[str, ...] = ()
    paper: str = "letter"


def write_slip(slip: SlipPaper, path: Path) -> None:
    """Write a slip as PDF; the same slip gives the same bytes."""
    aside = f"slip {slip.number}" if slip.number else "proposal, not posted"
    story: list[Any] = [_head(slip), Spacer(1, 3 * mm)]
    if slip.cautions:
        story += [_cautions(slip.cautions), Spacer(1, 3 * mm)]
    story.append(_rows(slip.rows) if slip.rows else words("Nothing to pick.", BODY))
    if slip.short:
        story += [words("Short", HEAD), _short(slip.short)]
    if slip.steps:
        numbered = [words(f"{n}. {step}", BODY) for n, step in enumerate(slip.steps, 1)]
        story += [words("Order of work", HEAD), *numbered]
    story += [Spacer(1, 8 * mm), _signatures()]
    write_document(path, slip.title, f"{slip.depot} · {aside}", story, slip.paper)


def _head(slip: SlipPaper) -> Table:
    """Who, when and for what on the left; the slip's number as bars on the right."""
    about = [words(f"{name}: {value}", BODY) for name, value in slip.about if value]
    bars = scan_bars(codes.encode_slip(str(slip.number))) if slip.number else ""
    made = Table([[about, bars]], colWidths=[110 * mm, 70 * mm])
    made.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("ALIGN", (1, 0), (1, 0), "RIGHT")]))
    return made


def _cautions(cautions: Sequence[SlipCaution]) -> Table:
    """The cautions of all lines in a frame, the most severe first, each with the mark that stands on its lines."""
    ordered = sorted(cautions, key=lambda c: (c.severity, c.code))
    rows = [[words(f"{c.word}", LARGE), words(f"[{c.code}] {c.text}", SMALL)] for c in ordered]
    made = Table(rows, colWidths=[28 * mm, 156 * mm])
    made.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 1.5, "black"), ("VALIGN", (0, 0), (-1, -1), "TOP")]))
    return made


def _rows(rows: Sequence[SlipRow]) -> Any:  # noqa: ANN401 - reportlab publishes no types
    cells = []
    for row in rows:
        hand = HANDS.get(row.hand, "")
        what = [words(row.part_number, LARGE), words(f"{row.description}{'  · ' + hand if hand else ''}", BODY)]
        marks = "  ".join(f"[{code}]" for code in row.cautions)
        if marks:
            what.append(words(marks, SMALL))
        lot = "\n".join(part for part in (row.lot and f"lot {row.lot}", row.best_before, row.note) if part)
        cells.append(
            [
                "☐",
                words(row.source, LARGE),
                words(str(row.quantity), LARGE),
                what,
                words(lot, SMALL),
                words(row.target, BODY),
            ]
        )
    return table(("", "From", "Take", "Part", "Lot, best before", "To"), cells, (7, 28, 14, 88, 29, 20))


def _short(rows: Sequence[ShortRow]) -> Any:  # noqa: ANN401 - reportlab publishes no types
    cells = [[words(str(r.quantity), RIGHT), r.part_number, r.description, r.elsewhere] for r in rows]
    return table(("Missing", "Part", "What", "Elsewhere, instead"), cells, (16, 32, 70, 66))


def _signatures() -> KeepTogether:
    line = "_" * 30
    return KeepTogether([words(f"Picked {line}    Taken {line}    Time {'_' * 12}", BODY)])
