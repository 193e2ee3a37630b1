"""How each cell of a lane table is read: containers, cases, lane types, machines, lanes, event hints, readings."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from partsbin.depot import clock
from partsbin.depot.places import PHYSICAL, the_place
from partsbin.errors import Refused
from partsbin.exchange.importing import Cell, Import, as_is, named
from partsbin.exchange.sheet import listed
from partsbin.exchange.values import as_packed, decimal, one_of, whole, yes
from partsbin.lengths import millimetres

_CAN_CODE = re.compile(r"[1-9](0\d|1[0-5])(\s*[/x×]\s*[1-9](0\d|1[0-5])){0,2}", re.IGNORECASE)


def _code(text: str, job: Import) -> str:
    return named(text, job).upper()


def _length(low: float, high: float, default: float | None = None) -> Cell:
    def read(text: str, _job: Import) -> float:
        if not text and default is not None:
            return default
        value = millimetres(text)
        if value is None:
            message = f"“{text}” is not a length such as 66.1, 6.61 cm or 2 5/8 in"
            raise Refused(message)
        if not low <= value <= high:
            message = f"{value:g} mm cannot be right; give {low:g} to {high:g} mm"
            raise Refused(message)
        return value

    return read


def _body(text: str, job: Import) -> Any:  # noqa: ANN401 - as every cell
    if _CAN_CODE.fullmatch(text):
        message = f"“{text}” is a can size over the seam, in inches and sixteenths; measure the body, about 2 mm less"
        raise Refused(message)
    return _length(20, 200)(text, job)


def _grams(most: int) -> Cell:
    def read(text: str, _job: Import) -> int:
        figure, kilograms = re.subn(r"\s*kg$", "", text.lower().replace(",", "."))
        grams = decimal(figure.removesuffix("g").strip() or "0") * (1000 if kilograms else 1)
        if grams > most:
            message = f"{grams / 1000:g} kg cannot be right; give {most // 1000} kg at most"
            raise Refused(message)
        return round(grams)

    return read


def _choice(words: Mapping[str, str], default: str) -> Cell:
    """Read one of the values of ``words``, also by what others call it."""
    return lambda text, _job: words.get(text.lower()) or one_of(text, dict.fromkeys(words.values()), default)


def _per_case(text: str, _job: Import) -> int:
    """Read the units of a case: ``24``, or ``2x12`` as packed."""
    packed = as_packed(text)
    return whole(text if packed is None else str(packed), least=1, most=10_000)


def _cases(text: str, job: Import) -> list[tuple[int, str]]:
    """Read the cases a container comes in, ``24|2x12|35 film``: (units, wrap); packs in a case are said in its wrap."""
    found = []
    for entry in listed(text.replace(",", "|")):
        size, wrap = re.fullmatch(r"([\d\s]*(?:[x×]\s*\d+)?)(.*)", entry, re.IGNORECASE | re.DOTALL).groups()  # type: ignore[union-attr]
        packs = size.strip() if re.search("[x×]", size, re.IGNORECASE) else ""
        found.append((_per_case(size.strip(), job), f"{packs} {wrap.strip()}".strip()))
    return found


def _whole(least: int, most: int, default: int | None = None) -> Cell:
    return lambda text, _job: default if not text and default is not None else whole(text, least=least, most=most)


def _maybe(least: int, most: int) -> Cell:
    return lambda text, _job: whole(text, least=least, most=most) if text else None


def _known(table: str, column: str, what: str, *, needed: bool = True) -> Cell:
    """Read a code that must stand in a table of the file; returns it as it stands there."""

    def read(text: str, job: Import) -> str | None:
        if not text and not needed:
            return None
        found = job.depot.value(f"SELECT {column} FROM {table} WHERE {column} = ? COLLATE NOCASE", (text,))
        if found is None:
            message = f"“{text}” is not {what} of this depot; import those first"
            raise Refused(message)
        return str(found)

    return read


def _item(text: str, job: Import) -> int | None:
    if not text:
        return None
    found = job.depot.value("SELECT id FROM items WHERE part_number = ?", (text,))
    if found is None:
        message = f"“{text}” is not a part number of this depot"
        raise Refused(message)
    return int(found)


def _physical(text: str, job: Import) -> int:
    return the_place(job.depot, text, kinds=PHYSICAL).id


def _person(text: str, job: Import) -> int:
    found = job.depot.value("SELECT id FROM operators WHERE initials = ? COLLATE NOCASE", (text,))
    return job.operator.id if found is None else int(found)


def _van(text: str, job: Import) -> int | None:
    return the_place(job.depot, text, kinds=("van",)).id if text else None


def _can_code(text: str, _job: Import) -> str:
    if text and not _CAN_CODE.fullmatch(text):
        message = f"“{text}” is no can size; write it like 211x413 or 202/211x413: inches, then 00 to 15 sixteenths"
        raise Refused(message)
    return text


def _day(text: str, _job: Import) -> str:
    return str(clock.iso_date(text)) if text else ""


def _fitted(text: str, job: Import) -> list[tuple[int, int]]:
    parts: dict[int, int] = {}
    for entry in listed(text):
        number, star, quantity = entry.partition("*")
        item = _item(number.strip(), job)
        if item is not None:
            parts[item] = parts.get(item, 0) + (whole(quantity.strip(), least=1, most=99) if star else 1)
    return list(parts.items())


_BASES = {word: word for word in ("measured", "standard", "published", "estimate")}
_BASES |= {"yes": "measured", "y": "measured", "no": "estimate", "n": "estimate"}
_BASES |= {"a": "standard", "b": "published", "c": "estimate"}  # grades of a source
_KINDS = {"can": "can", "pet": "pet", "tin": "can", "aluminium": "can", "bottle": "pet", "plastic": "pet"}
_SIDES = {"l": "L", "r": "R", "both": "both", "left": "L", "right": "R", "lh": "L", "rh": "R", "either": "both"}
CONTAINER: dict[str, Cell] = {
    "container": _code,
    "name": as_is,
    "kind": _choice(_KINDS, ""),
    "nominal_ml": _whole(0, 100_000, 0),
    "fluid_oz": lambda text, _job: decimal(text) if text else 0.0,
    "style": lambda text, _job: text.lower(),
    "shape": lambda text, _job: text or "round",
    "can_code": _can_code,
    "body_mm": _body,
    "tolerance_mm": _length(0, 20, 0.0),
    "basis": _choice(_BASES, "estimate"),
    "height_mm": _length(30, 500),
    "height_tolerance_mm": _length(0, 50, 0.0),
    "gross_g": _grams(100_000),
    "words": lambda text, _job: "|".join(word.lower() for word in listed(text)),
    "source": as_is,
}
CASE: dict[str, Cell] = {
    "container": _known("containers", "code", "a container"),
    "quantity": _per_case,
    "wrap": as_is,
    "gross_g": _grams(1_000_000),
}
LANE_TYPE: dict[str, Cell] = {
    "lane_type": _code,
    "family": named,
    "width_mm": _length(20, 2000),
    "depth_mm": _length(50, 2000),
    "shelf_pitch_mm": _length(50, 2000),
    "front_gap_mm": _length(0, 2000, 0.0),
    "coil_pitch_mm": _length(10, 2000),
    "turns": _whole(1, 60),
    "spacer_side": _choice(_SIDES, "L"),
    "max_per_side": _whole(0, 3, 2),
    "coupled": lambda text, _job: yes(text),
}
MACHINE: dict[str, Cell] = {
    "asset": _code,
    "family": named,
    "site": as_is,
    "serial": as_is,
    "round": as_is,
    "stop": _whole(0, 10_000, 0),
    "van": _van,
}
LANE: dict[str, Cell] = {
    "asset": _known("machines", "asset", "a machine"),
    "lane": _code,
    "selection": lambda text, _job: text.upper(),
    "shelf": _maybe(1, 99),
    "position": _maybe(1, 99),
    "lane_type": _known("lane_types", "code", "a lane type"),
    "part_number": _item,
    "container": _known("containers", "code", "a container", needed=False),
    "capacity": _whole(0, 999, 0),
    "count": _maybe(0, 999),
    "fitted": _fitted,
    "changed_on": _day,
}
HINT: dict[str, Cell] = {"code": _code, "families": as_is, "symptom": as_is, "text": as_is}
READING: dict[str, Cell] = {
    "fingerprint": named,
    "number": _whole(1, 10**9),
    "asset": _known("machines", "asset", "a machine"),
    "serial": as_is,
    "board_serial": as_is,
    "read_at": as_is,
    "taken_at": named,
    "vends": _maybe(0, 10**9),
    "checked": lambda text, _job: int(text != "no"),
}
COUNT: dict[str, Cell] = {
    "fingerprint": _known("audit_readings", "fingerprint", "a reading"),
    "selection": _code,
    "product": as_is,
    "counter": _whole(0, 10**9),
    "part_number": _item,
    "units": _whole(0, 10**9, 0),
    "filled": _whole(0, 10**9, 0),
}
OPEN_CASE: dict[str, Cell] = {
    "part_number": _item,
    "place": _physical,
    "lot": named,
    "cases": _whole(1, 100_000, 1),
    "per_case": _whole(2, 100_000),
    "at": named,
    "operator": _person,
    "reason": as_is,
    "taken_at": as_is,
}
ALSO: dict[str, dict[str, Cell]] = {"containers": {"cases": _cases}}
"""Columns that come in with a table and go out with another."""
