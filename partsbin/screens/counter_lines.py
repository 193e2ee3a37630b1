"""The Counter's slate: the lines asked for so far, and how they are put into words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from partsbin.depot.places import Place

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.desk.finding import Advice
    from partsbin.desk.supplying import Wanted
    from partsbin.desk.today import Today
    from partsbin.requests import Answer

_MARKS = {"sure": "✓ sure", "ask": "? ask", "none": "– none"}
_MOST_THERE = 40


@dataclass
class AskedFor:
    """One line on the slate. ``chosen`` is true when the desk, not the reader, said which item."""

    text: str
    answer: Answer | None
    item_id: int | None
    quantity: int | None
    chosen: bool = False

    @property
    def is_settled(self) -> bool:
        """Whether the line can be handed over: somebody or the reader is sure, and the quantity is known."""
        sure = self.chosen or (self.answer is not None and self.answer.status == "sure")
        return sure and self.item_id is not None and self.quantity is not None

    def choose(self, item_id: int) -> None:
        """Take this item for the line."""
        self.item_id, self.chosen = item_id, True

    def read_quantity(self, depot: Depot, text: str) -> int:
        """Read a keyed quantity for the line's item."""
        from partsbin.depot.catalogue import item_by_id
        from partsbin.depot.ledger import whole_quantity
        from partsbin.desk.amounts import read_amount

        if self.item_id is None:
            return whole_quantity(text)
        return read_amount(text, item_by_id(depot, self.item_id))[0]


@dataclass
class Slate:
    """The lines in hand, who asks, and the bin that was scanned to take from."""

    lines: list[AskedFor] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    van: Place | None = None
    job: str = ""
    source: Place | None = None
    scanning: bool = False
    seen: dict[int, int] = field(default_factory=dict)  # what was within reach when the lines were last shown

    @property
    def text(self) -> str:
        """All that was entered, as kept with the request."""
        return "\n".join(self.texts)

    def add(self, text: str, answers: Sequence[Answer], *, van: Place | None, job: str, scanned: int) -> None:
        """Take in what was read. A scan is one line of ``scanned`` base units; the same item again adds to it."""
        self.texts.append(text)
        self.van, self.job = van or self.van, job or self.job
        self.scanning = bool(scanned) and (self.scanning or not self.lines)
        for answer in answers:
            first = answer.candidates[0].item_id if answer.candidates and answer.status != "none" else None
            twin = next((line for line in self.lines if scanned and first and line.item_id == first), None)
            if twin is not None and answer.status == "sure":
                twin.quantity = (twin.quantity or 0) + scanned
            else:
                self.lines.append(AskedFor(answer.line.text, answer, first, scanned or answer.quantity))

    def draft(self) -> dict[str, Any] | None:
        """Return the slate as plain data, or None where there is nothing on it."""
        if not self.lines:
            return None
        lines = [(line.text, line.item_id, line.quantity, line.chosen) for line in self.lines]
        return {"text": self.text, "lines": lines, "van": self.van.code if self.van else "", "job": self.job}

    def as_left(self, lines: Sequence[tuple[str, int | None, int | None, bool]]) -> None:
        """Give lines just read again the items and quantities they had in a ``draft``; what was dropped stays away."""
        again, self.lines = self.lines, []
        for text, item, quantity, chosen in lines:
            read = next((line for line in again if line.text == text), None)
            if read is None:
                self.lines.append(AskedFor(text, None, item, quantity, chosen))
                continue
            again.remove(read)
            self.lines.append(AskedFor(text, read.answer, item if chosen else read.item_id, quantity, chosen))

    def rest(self) -> Slate:
        """Return a slate of the lines that cannot be handed over yet."""
        left = [line for line in self.lines if not line.is_settled]
        return Slate(lines=left, texts=[line.text for line in left])

    def take(self, lines: Sequence[AskedFor]) -> None:
        """Take in lines the desk chose itself, such as a lane's kit."""
        self.texts += dict.fromkeys(line.text for line in lines)
        self.lines += lines

    def settled(self) -> list[Wanted]:
        """Return the lines that can be handed over."""
        from partsbin.desk.supplying import Wanted

        return [
            Wanted(line.text, line.item_id, line.quantity)
            for line in self.lines
            if line.is_settled and line.item_id is not None and line.quantity is not None
        ]

    def look(self, depot: Depot) -> None:
        """Note what is within reach now, as it is shown: who posts on it is told if it has gone meanwhile."""
        if self.lines:  # the first prompt waits for no import
            from partsbin.desk.supplying import within_reach

            self.seen = within_reach(depot, self.settled(), self.source)

    def told(self) -> str:
        """Say who asks, for what job, and where it is taken from."""
        parts = [
            f"{self.van.code} asks" if self.van else "",
            f"job {self.job}" if self.job else "",
            f"from {self.source.code} first" if self.source else "",
        ]
        return " · ".join(part for part in parts if part)


def line_row(depot: Depot, line: AskedFor, van: Place | None) -> tuple[str, ...]:
    """Return a line as the table shows it."""
    from partsbin.depot.catalogue import item_by_id
    from partsbin.desk.finding import stock_of

    quantity = "?" if line.quantity is None else str(line.quantity)
    mark = "✓ taken" if line.chosen else _MARKS[line.answer.status] if line.answer else ""
    if line.item_id is None:
        return (quantity, mark, "", line.text, "")
    item = item_by_id(depot, line.item_id)
    stock = stock_of(depot, item.id, van)
    where = f"{stock[0][0]}:{stock[0][1]}" if stock else "none here"
    return (quantity, mark, item.part_number, item.description, where)


def line_words(depot: Depot, line: AskedFor, van: Place | None) -> str:
    """Return all that is known about a line: the question, the items it may mean and why, stock, checks, cautions."""
    out = [f"“{line.text}”"]
    answer = line.answer
    if answer and answer.question and not line.chosen:
        out.append(f"Ask: {answer.question}")
    for number, candidate in enumerate(answer.candidates if answer else (), 1):
        mark = "▸" if candidate.item_id == line.item_id else " "
        out.append(f"{mark}{number} {candidate.part_number}  {candidate.description}  {candidate.score:.0%}")
        out.append(f"     {candidate.why}")
    if line.item_id is not None:
        from partsbin.desk.finding import advise

        out += _advice_words(advise(depot, line.item_id, van))
    return "\n".join(out)


def _advice_words(advice: Advice) -> list[str]:
    item = advice.item
    out = ["Stock: " + (", ".join(f"{place} {held}" for place, held in advice.stock) or "none in the depot")]
    if advice.live.id != item.id:
        out.append(f"Superseded: {advice.live.part_number} {advice.live.description} takes its place.")
    if advice.opposite is not None:
        out.append(f"Opposite hand: {advice.opposite.part_number} {advice.opposite.description}")
    if item.viewpoint and item.hand:
        out.append(f"{'Left' if item.hand == 'LH' else 'Right'}: {item.viewpoint}")
    for title, others in (("Instead", advice.instead), ("In kits", advice.kits)):
        if others:
            out.append(f"{title}: " + ", ".join(f"{other.part_number} {other.description}" for other in others))
    out += [f"{caution.word}: {caution.text}" for caution in advice.cautions]
    symptom = None
    for number, (when, check) in enumerate(advice.first_checks, 1):
        if when != symptom:
            symptom = when
            out.append(f"Try first ({when}):" if when else "Try first:")
        out.append(f"  {number}. {check}")
    return out


def place_words(depot: Depot, place: Place) -> str:
    """Return what a place holds."""
    from partsbin.depot.catalogue import item_by_id
    from partsbin.depot.stock import holdings_at

    held = holdings_at(depot, place)
    lines = [f"{place.code} {place.name} holds:" if held else f"{place.code} {place.name} is empty."]
    for holding in held[:_MOST_THERE]:
        item = item_by_id(depot, holding.item_id)
        lot = f"  lot {holding.lot} best before {holding.best_before or '–'}" if holding.lot else ""
        lines.append(f"{holding.quantity:>6}  {item.part_number:<16} {item.description}{lot}")
    if len(held) > _MOST_THERE:
        lines.append(f"… and {len(held) - _MOST_THERE} more")
    return "\n".join(lines)


def today_words(needs: Today) -> str:
    """Return what waits for somebody today, each with the key that leads there."""
    rows = (
        (needs.below_point, "at or below set point", "F6"),
        (needs.short_requests, "promised, not supplied", "F4"),
        (needs.deliveries_due, "lines due today", "F3"),
        (needs.overdue_lines, "lines overdue", "F6"),
        (needs.near_date, "lots near their date", "F6"),
        (needs.past_date, "lots past their date", "F5"),
        (needs.to_count, "places to count", "F5"),
    )
    lines = [f"{count:>5} {_single(what) if count == 1 else what} ({key})" for count, what, key in rows if count]
    return "Today\n" + ("\n".join(lines) or "  nothing waits")


def _single(what: str) -> str:
    return (
        what.replace("lines ", "line ")
        .replace("lots ", "lot ")
        .replace("places ", "place ")
        .replace(" their ", " its ")
    )
