"""What goes in and out of the reading and matching of requests."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Status = Literal["sure", "ask", "none"]


@dataclass(frozen=True, slots=True)
class CatalogueItem:
    """One item as the catalogue knows it; only number and description are needed to find it.

    ``family`` is a trade family's code (``DLV-MTR``) or empty, ``hand`` is ``LH``, ``RH`` or empty, ``learned`` holds
    the words the desk has picked this item for with how often. ``superseded_by`` is the item id that took its place.
    """

    item_id: int
    part_number: str
    description: str
    category: str = ""
    kind: str = ""
    unit: str = "each"
    pack_size: int = 1
    family: str = ""
    hand: str = ""
    fits: tuple[str, ...] = ()
    aliases: tuple[str, ...] = ()
    learned: tuple[tuple[str, int], ...] = ()
    supplier_numbers: tuple[str, ...] = ()
    gtins: tuple[str, ...] = ()
    superseded_by: int | None = None
    retired: bool = False


@dataclass(frozen=True, slots=True)
class Attribute:
    """One property stated in words: ``Attribute('volts', 24.0, '24v')``.

    Numbers are floats in base units (mm, V, A, W, ml), everything else a short upper- or lower-case code.
    """

    kind: str
    value: float | str
    said: str = ""


@dataclass(frozen=True, slots=True)
class AskedLine:
    """One thing asked for.

    ``quantity`` counts ``unit`` as it was said (two cases: 2, ``case``); None means it must be asked. ``words`` are the
    words that name the item, cleaned; ``numbers`` are figures left over that are neither quantity nor a known
    attribute. ``loose`` are singles asked for beside packs ("1 case and 6 loose"). ``beside`` are words of the line
    before, which decide between things that are called alike.
    """

    text: str
    quantity: int | None = 1
    unit: str = "each"
    attributes: tuple[Attribute, ...] = ()
    machine: str = ""
    lane: str = ""
    words: tuple[str, ...] = ()
    numbers: tuple[float, ...] = ()
    codes: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    quantity_stated: bool = False
    vague: bool = False
    machine_carried: bool = False
    loose: int = 0
    beside: tuple[str, ...] = ()
    told: bool = False

    def attribute(self, kind: str) -> float | str | None:
        """The stated value of an attribute kind, or None."""
        return next((one.value for one in self.attributes if one.kind == kind), None)


@dataclass(frozen=True, slots=True)
class Intent:
    """What a message asks besides lines: repeat, restock, hold, return, cancel, loan, question, convert."""

    kind: str
    text: str


@dataclass(slots=True)
class Message:
    """A whole message as read.

    ``unread`` keeps what could not be placed, ``quoted`` the thread below a reply; ``left_out`` counts the characters
    that were too many to read at all. ``wholes`` are second readings: several lines (by place) that may be one thing
    said in a catalogue's order, which only the catalogue can tell.
    """

    lines: list[AskedLine] = field(default_factory=list)
    van: str = ""
    job: str = ""
    site: str = ""
    machine: str = ""
    unread: list[str] = field(default_factory=list)
    intents: list[Intent] = field(default_factory=list)
    cancelled: list[AskedLine] = field(default_factory=list)
    quoted: list[str] = field(default_factory=list)
    left_out: int = 0
    wholes: list[tuple[tuple[int, ...], AskedLine]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Candidate:
    """An item offered for a line; ``score`` is the calibrated probability (0..1) that it is the one meant."""

    item_id: int
    part_number: str
    description: str
    score: float
    why: str
    contradictions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to one line: ``sure``, ``ask`` (``question`` says what) or ``none``.

    ``quantity`` is in the first candidate's base units (a case of 24 is 24, a pair is 2 of a thing kept singly, 1 of a
    thing kept in pairs); None when it must be asked.
    """

    line: AskedLine
    status: Status
    question: str = ""
    candidates: tuple[Candidate, ...] = ()
    quantity: int | None = None
