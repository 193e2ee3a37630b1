"""Label stock: the geometry of a sheet or roll, read from TOML and made to add up to the page."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from partsbin.errors import Refused
from partsbin.printing.symbols import Grid
from partsbin.resources import shipped

_MOST_MM = 2000  # wider than any label paper; also false for what is no number
_SLACK_MM = 0.05  # published sheet figures are rounded to this


@dataclass(frozen=True)
class LabelStock:
    """A sheet of labels, or a roll (one label a page). All lengths in millimetres; see ``labels/letter-30.toml``.

    ``inset`` is kept clear inside each label's edge (x, y). ``length`` 0 in ``label[1]`` and ``page[1]`` means a
    continuous roll: each kind of label then takes the length it wants. ``colour`` False prints in black only, as a
    thermal head does.
    """

    name: str
    about: str
    page: tuple[float, float]
    label: tuple[float, float]
    columns: int = 1
    rows: int = 1
    left: float = 0.0
    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    pitch: tuple[float, float] = (0.0, 0.0)
    inset: tuple[float, float] = (1.5, 1.5)
    dots_per_mm: float = 8.0
    colour: bool = True

    @property
    def per_page(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    @property
    def continuous(self) -> bool:
        """Whether the roll is cut to the length of what is printed."""
        return self.page[1] == 0

    @property
    def grid(self) -> Grid:
        """The dots its printer prints in."""
        return Grid(self.dots_per_mm)


def stock_names(beside: Path | None = None) -> list[str]:
    """Names of all stock: shipped, and the user's own in the folder ``beside`` the depot."""
    return sorted({file.stem for folder in _folders(beside) for file in folder.glob("*.toml")} - {"calibration"})


def _folders(beside: Path | None) -> list[Path]:
    """Where stock is looked for, own files first so that they may replace a shipped one."""
    own = [beside] if beside is not None and beside.is_dir() else []
    return [*own, shipped("labels")]


def load_stock(name: str, beside: Path | None = None) -> LabelStock:
    """Read stock ``name`` from the folder ``beside`` the depot, else from those shipped.

    Raises Refused when there is none of that name, or its figures do not add up to the page.
    """
    names = stock_names(beside)
    for folder in _folders(beside):
        file = folder / f"{name}.toml"
        if name in names and file.is_file():
            return _read(file)
    own = f" and in {beside}" if beside is not None else ""
    raise Refused(f"No label stock is called {name!r}. Shipped{own}: {', '.join(names)}.")


def _read(file: Path) -> LabelStock:
    try:
        table = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as fault:
        raise Refused(f"{file}: not readable as TOML: {fault}.") from fault
    known = {field.name for field in fields(LabelStock)}
    unknown = sorted(set(table) - known)
    if unknown:
        raise Refused(f"{file}: {', '.join(unknown)} is not a stock figure; it may hold {', '.join(sorted(known))}.")
    missing = sorted({"about", "page", "label"} - set(table))
    if missing:
        raise Refused(f"{file}: {', '.join(missing)} is missing.")
    stock = LabelStock(**{"name": file.stem, **{key: _value(file, key, table[key]) for key in table}})
    _check(file, stock)
    return stock


_PAIRS = frozenset({"page", "label", "pitch", "inset"})
_COUNTS = frozenset({"columns", "rows"})
_WORDS = frozenset({"name", "about"})


def _value(file: Path, key: str, raw: Any) -> Any:  # noqa: ANN401 - whatever TOML holds
    """Check one entry's type; a length of the wrong type would otherwise fail far from its file."""
    number = _is_length(raw)
    if key in _PAIRS:
        if isinstance(raw, list) and len(raw) == 2 and all(map(_is_length, raw)):
            return float(raw[0]), float(raw[1])
        raise Refused(f"{file}: {key} must be two numbers in mm, as in {key} = [66.7, 25.4]; it is {raw!r}.")
    if key in _COUNTS and isinstance(raw, int) and number and raw > 0:
        return raw
    if (key in _WORDS and isinstance(raw, str)) or (key == "colour" and isinstance(raw, bool)):
        return raw
    if key not in _COUNTS | _WORDS | {"colour"} and number:
        return float(raw)
    raise Refused(f"{file}: {key} cannot be {raw!r}.")


def _is_length(raw: Any) -> bool:  # noqa: ANN401 - whatever TOML holds
    return isinstance(raw, int | float) and not isinstance(raw, bool) and 0 <= raw < _MOST_MM


def _check(file: Path, stock: LabelStock) -> None:
    if stock.dots_per_mm < 5:
        raise Refused(f"{file}: dots_per_mm is {stock.dots_per_mm:g}; a label printer has 8 (203 dpi) to 24 (600 dpi).")
    _check_axis(file, stock, 0, "width", stock.columns, stock.left, stock.right)
    if not stock.continuous:
        _check_axis(file, stock, 1, "height", stock.rows, stock.top, stock.bottom)
    elif stock.per_page != 1 or stock.label[1]:
        raise Refused(
            f"{file}: a page without height is a continuous roll: give it one label a page and label height 0."
        )


def _check_axis(file: Path, stock: LabelStock, axis: int, word: str, count: int, before: float, after: float) -> None:
    label, pitch, page = stock.label[axis], stock.pitch[axis], stock.page[axis]
    if label - 2 * stock.inset[axis] < 5:
        raise Refused(
            f"{file}: {word}: a label of {label:g} mm less the inset of {stock.inset[axis]:g} mm leaves no room."
        )
    if count > 1 and pitch < label - _SLACK_MM:
        raise Refused(f"{file}: {word}: labels of {label:g} mm at a pitch of {pitch:g} mm overlap.")
    total = before + (count - 1) * pitch + label + after
    if abs(total - page) > _SLACK_MM:
        raise Refused(
            f"{file}: {word}: margin {before:g} + {count - 1} x pitch {pitch:g} + label {label:g} + margin {after:g}"
            f" = {total:g} mm, but the page is {page:g} mm. Measure again; nothing was printed."
        )
