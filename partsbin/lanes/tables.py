"""Rows of text to containers, their cases and lane types, each bad cell named by line, column and reason."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

from partsbin.errors import Refused
from partsbin.lanes.containers import Basis, CaseForm, Container, Kind, read_can_code
from partsbin.lanes.lane_types import LaneType, Side
from partsbin.lanes.named_containers import read_traits

Row = Mapping[str, str]
_Choice = TypeVar("_Choice", bound=StrEnum)
_Made = TypeVar("_Made")


@dataclass(frozen=True, slots=True)
class _Cells:
    """One row, read cell by cell; ``line`` is its line in the file, the header being line 1."""

    row: Row
    line: int

    def text(self, column: str) -> str:
        return (self.row.get(column) or "").strip()

    def needed(self, column: str) -> str:
        return self.text(column) or self._refuse(column, "is empty")

    def number(self, column: str, default: float | None = None) -> float:
        text = self.text(column)
        if not text and default is not None:
            return float(default)
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            return float(self._refuse(column, f"{text!r} is no number"))
        return value if abs(value) < 1e9 else float(self._refuse(column, f"{text!r} is out of all reason"))

    def whole(self, column: str, default: int | None = None) -> int:
        value = self.number(column, default)
        return int(value) if value.is_integer() else int(self._refuse(column, f"{value:g} is no whole number"))

    def choice(self, column: str, kind: type[_Choice], default: _Choice) -> _Choice:
        text = self.text(column).lower()
        if not text:
            return default
        found = next((c for c in kind if c.value.lower() == text), None)
        return found or kind(self._refuse(column, f"{text!r} is none of {', '.join(c.value for c in kind)}"))

    def flag(self, column: str) -> bool:
        text = self.text(column).lower()
        if text in ("", "no", "n", "0"):
            return False
        return text in ("yes", "y", "1") or bool(self._refuse(column, f"{text!r} is neither yes nor empty"))

    def listed(self, column: str) -> tuple[str, ...]:
        return tuple(x.strip() for x in self.text(column).replace(";", "|").split("|") if x.strip())

    def _refuse(self, column: str, why: str) -> str:
        raise Refused(f"line {self.line}, column {column}: {why}")


def _each(rows: Iterable[Row], make: Callable[[_Cells], _Made], key: Callable[[_Made], str]) -> list[_Made]:
    """Make every row; a refusal gets its line, and a key that stands twice is refused."""
    seen: dict[str, int] = {}
    made = []
    for line, row in enumerate(rows, 2):
        try:
            thing = make(_Cells(row, line))
        except Refused as refusal:
            text = str(refusal)
            raise Refused(text if text.startswith("line ") else f"line {line}: {text}") from refusal
        first = seen.setdefault(key(thing), line)
        if first != line:
            raise Refused(f"line {line}: {key(thing)} already stands in line {first}")
        made.append(thing)
    return made


def read_cases(rows: Iterable[Row]) -> dict[str, tuple[CaseForm, ...]]:
    """Case forms per container code, in file order."""
    forms: dict[str, list[CaseForm]] = defaultdict(list)

    def make(cells: _Cells) -> tuple[str, CaseForm]:
        form = CaseForm(cells.whole("quantity"), cells.text("wrap"), cells.whole("gross_g", 0))
        return cells.needed("container").upper(), form

    for code, form in _each(rows, make, lambda pair: f"{pair[0]} {pair[1].quantity} {pair[1].wrap}"):
        forms[code].append(form)
    return {code: tuple(listed) for code, listed in forms.items()}


def read_containers(rows: Iterable[Row], cases: Mapping[str, tuple[CaseForm, ...]] | None = None) -> list[Container]:
    """Containers from rows of their table; code, body_mm and height_mm are required."""

    def make(cells: _Cells) -> Container:
        code = cells.needed("container").upper()
        can_code = cells.text("can_code")
        if can_code:
            read_can_code(can_code)
        said = read_traits(cells.text("name").lower())
        return Container(
            code=code,
            name=cells.text("name") or code,
            kind=cells.choice("kind", Kind, Kind.CAN),
            body_mm=cells.number("body_mm"),
            tolerance_mm=cells.number("tolerance_mm", 0.0),
            height_mm=cells.number("height_mm"),
            height_tolerance_mm=cells.number("height_tolerance_mm", 0.0),
            nominal_ml=cells.whole("nominal_ml", 0) or round(said.ml),
            fluid_oz=cells.number("fluid_oz", 0.0),
            gross_g=cells.whole("gross_g", 0),
            basis=cells.choice("basis", Basis, Basis.ESTIMATE),
            shape=cells.text("shape") or "round",
            style=cells.text("style").lower() or said.style,
            can_code=can_code,
            words=tuple(w.lower() for w in cells.listed("words")),
            cases=(cases or {}).get(code, ()),
            source=cells.text("source"),
        )

    return _each(rows, make, lambda c: c.code)


def read_lane_types(rows: Iterable[Row]) -> list[LaneType]:
    """Lane types from rows of their table."""

    def make(cells: _Cells) -> LaneType:
        return LaneType(
            code=cells.needed("lane_type").upper(),
            family=cells.needed("family"),
            width_mm=cells.number("width_mm"),
            depth_mm=cells.number("depth_mm"),
            shelf_pitch_mm=cells.number("shelf_pitch_mm"),
            coil_pitch_mm=cells.number("coil_pitch_mm"),
            turns=cells.whole("turns"),
            front_gap_mm=cells.number("front_gap_mm", 0.0),
            spacer_side=cells.choice("spacer_side", Side, Side.LEFT),
            max_per_side=cells.whole("max_per_side", 2),
            coupled=cells.flag("coupled"),
        )

    return _each(rows, make, lambda t: t.code)
