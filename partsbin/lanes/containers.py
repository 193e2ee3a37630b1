"""Containers and the cases they come in: what is measured, what is only published, and what a can code really says."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from partsbin.errors import Refused
from partsbin.lengths import MM_PER_INCH

SIXTEENTHS: Final = 16


class Kind(StrEnum):
    """The two sorts of container a coil lane treats differently."""

    CAN = "can"
    PET = "pet"


class Basis(StrEnum):
    """Where a body diameter comes from, best first; the first two may be relied on."""

    MEASURED = "measured"
    STANDARD = "standard"
    PUBLISHED = "published"
    ESTIMATE = "estimate"


@dataclass(frozen=True, slots=True)
class CaseForm:
    """One way a container comes packed.

    ``quantity`` is units per case, ``wrap`` names tray, film, carton or shell, ``gross_g`` the full case in
    grams (0 when nobody weighed it; see :meth:`Container.case_weight_g`).
    """

    quantity: int
    wrap: str = ""
    gross_g: int = 0

    def __post_init__(self) -> None:
        if self.quantity < 1:
            raise Refused(f"a case of {self.quantity} holds nothing; give the units per case, 1 or more")
        if self.gross_g < 0:
            raise Refused(f"a case cannot weigh {self.gross_g} g; give grams, or 0 when not weighed")


@dataclass(frozen=True, slots=True)
class Container:
    """One drink container. Lengths in mm, weight in g; ``body_mm`` is the widest point, never the can code.

    ``tolerance_mm`` is the half-width of the body's spread. ``can_code`` is kept as printed, for reading only.
    ``words`` are what people call it. ``style`` is standard, tall, sleek, slim, water or empty.
    """

    code: str
    name: str
    kind: Kind
    body_mm: float
    tolerance_mm: float
    height_mm: float
    height_tolerance_mm: float = 0.0
    nominal_ml: int = 0
    fluid_oz: float = 0.0
    gross_g: int = 0
    basis: Basis = Basis.ESTIMATE
    shape: str = "round"
    style: str = ""
    can_code: str = ""
    words: tuple[str, ...] = ()
    cases: tuple[CaseForm, ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        where = f"container {self.code or '(no code)'}"
        _check_length(where, "body diameter", self.body_mm, low=20, high=200)
        _check_length(where, "height", self.height_mm, low=30, high=500)
        _check_length(where, "tolerance", self.tolerance_mm, low=0, high=20)
        _check_length(where, "height tolerance", self.height_tolerance_mm, low=0, high=50)
        if self.gross_g < 0 or self.nominal_ml < 0:
            raise Refused(f"{where}: weight and contents cannot be below zero")

    @property
    def confirmed(self) -> bool:
        """True when the body diameter was measured here or is set by a can standard."""
        return self.basis in (Basis.MEASURED, Basis.STANDARD)

    @property
    def tallest_mm(self) -> float:
        """Height with its tolerance."""
        return round(self.height_mm + self.height_tolerance_mm, 2)

    def widest_mm(self, swell_percent: float = 0.0) -> float:
        """Greatest diameter to allow for: body and tolerance, plus swelling unless it was measured full and warm."""
        swell = 0.0 if self.basis is Basis.MEASURED else swell_percent
        return round((self.body_mm + self.tolerance_mm) * (1 + swell / 100), 2)

    @property
    def doubt(self) -> str:
        """Why the diameter should be measured before a fit counts, or an empty text."""
        if self.can_code and _is_code_size(self):
            return f"{self.body_mm:g} mm is what can code {self.can_code} spells, not the body of the can: measure it"
        if self.confirmed:
            return ""
        return f"the {self.body_mm:g} mm of {self.code} is {_BASIS_WORDS[self.basis]}, unconfirmed: measure it"

    def case_weight_g(self, form: CaseForm) -> int:
        """Gross case weight in g: as weighed, else contents plus an allowance of 1.5 % for tray and film."""
        return form.gross_g or round(self.gross_g * form.quantity * 1.015)


_BASIS_WORDS: Final = {Basis.PUBLISHED: "a published figure", Basis.ESTIMATE: "an estimate"}


def _check_length(where: str, what: str, value: float, *, low: float, high: float) -> None:
    if not low <= value <= high:
        raise Refused(f"{where}: {what} of {value:g} mm cannot be right; give {low:g} to {high:g} mm")


def _is_code_size(container: Container) -> bool:
    try:
        code = read_can_code(container.can_code)
    except Refused:
        return False
    return abs(code.body_over_seam_mm - container.body_mm) < 0.15 and container.basis is not Basis.MEASURED


@dataclass(frozen=True, slots=True)
class CanCode:
    """A can size as the makers write it, each figure in inches; ``neck_in`` and ``height_in`` may be 0 (not given)."""

    body_in: float
    height_in: float = 0.0
    neck_in: float = 0.0

    @property
    def body_over_seam_mm(self) -> float:
        """The coded body size in mm, taken over the seam: about 2 mm more than the can's body; never fit by it."""
        return round(self.body_in * MM_PER_INCH, 2)

    @property
    def height_mm(self) -> float:
        """The coded height in mm."""
        return round(self.height_in * MM_PER_INCH, 2)


_CODE: Final = re.compile(r"(\d{3})(?:\s*([/x×])\s*(\d{3}))?(?:\s*([/x×])\s*(\d{3}))?", re.IGNORECASE)


def read_can_code(text: str) -> CanCode:
    """Read ``211x413``, ``202/211x413`` or ``211/202/413``: whole inches and sixteenths, three digits each.

    With three figures the last is the height and the larger of the first two is the body, since both orders
    are in use. Two figures joined by a stroke are neck and body. Raises Refused for anything else.
    """
    match = _CODE.fullmatch(text.strip())
    if not match:
        raise Refused(f"{text!r} is no can size; write it like 211x413 or 202/211x413")
    first, sign, second, _, third = match.groups()
    sizes = [_inches(group, text) for group in (first, second, third) if group]
    if third:
        return CanCode(body_in=max(sizes[:2]), neck_in=min(sizes[:2]), height_in=sizes[2])
    if second and sign == "/":
        return CanCode(body_in=max(sizes), neck_in=min(sizes))
    return CanCode(body_in=sizes[0], height_in=sizes[1] if second else 0.0)


def _inches(group: str, text: str) -> float:
    sixteenths = int(group[1:])
    if sixteenths >= SIXTEENTHS or group[0] == "0":
        raise Refused(f"{group} in {text!r} is no can size: one digit of inches, then 00 to 15 sixteenths")
    return int(group[0]) + sixteenths / SIXTEENTHS
