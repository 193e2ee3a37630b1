"""GS1 element strings, through biip, plus the checks it leaves out.

biip knows every application identifier and its format. Added here: check digits of trade item numbers, SSCC and GLN;
which elements need or exclude each other (GS1 syntax dictionary, req and ex); dates with day 00 (the last day of the
month) and the sliding century (GS1 General Specifications 7.12); an unknown identifier keeps its data instead of losing
the whole code.
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass, replace
from datetime import date
from urllib.parse import parse_qsl, unquote

from partsbin.exchange.gtin import check_digit

GS = "\x1d"
_CHECKED = {"00": "SSCC", "01": "trade item number", "02": "trade item number", "03": "trade item number",
            **{f"41{n}": "location number" for n in range(8)}}  # fmt: skip
_DATES = frozenset({"11", "12", "13", "15", "16", "17"})
# What must stand beside an element: one of each set. Of the dictionary's lists, what a drinks case or a part carries.
_ITEM = frozenset({"01", "02", "8006", "8026", "03"})
_NEEDS: dict[str, tuple[frozenset[str], ...]] = {
    "02": (frozenset({"37"}),),
    "37": (frozenset({"00"}), frozenset({"02", "8026"})),
    "21": (frozenset({"01", "03", "8006"}),),
    "254": (frozenset({"414"}),),
    "30": (frozenset({"01", "02"}),),
    **dict.fromkeys(("10", "11", "15", "17", "240", "241"), (_ITEM,)),
}
_EXCLUDES = {"01": frozenset({"02", "255", "37"})}
_OPENING = re.compile(r"\((\d{2,4})\)", re.ASCII)
_LINK = re.compile(r"https?://[^/]+/(?:.*/)?01/(\d{8,14})((?:/\d{2,4}/[^/?#]+)*)/?(?:\?([^#]*))?(?:#.*)?", re.I | re.A)
_SHORTEST = 2  # digits in an application identifier


@dataclass(frozen=True, slots=True)
class Element:
    """One element string. ``known`` is false for an unpublished identifier, ``sound`` true when the value is right."""

    ai: str
    value: str
    title: str = ""
    day: date | None = None
    known: bool = True
    sound: bool = True


Reading = tuple[tuple[Element, ...], list[str], list[str]]
"""Elements in the order read, problems, notes."""


def read_elements(data: str, today: date) -> Reading:
    """Read scanned data without its AIM prefix; doubled, leading and trailing separators are tolerated."""
    pieces = [piece for piece in data.split(GS) if piece]
    if not pieces:
        return (), ["The scan says that it is GS1 data, but there is none; scan again."], []
    found: list[Element] = []
    problems: list[str] = []
    notes: list[str] = []
    for piece in pieces:
        rest = piece
        while rest:
            element, taken = _next(rest, problems, notes)
            found.append(element)
            rest = rest[taken:]
    return _checked(found, today, problems, notes)


def read_written_out(text: str, today: date) -> Reading | None:
    """Read ``(01)09521234543213(10)L7`` as printed under a symbol; None when ``text`` is not of that form."""
    marks = list(_OPENING.finditer(text))
    if not marks or marks[0].start() != 0:
        return None
    ends = [*(mark.start() for mark in marks[1:]), len(text)]
    return _read_pairs(
        [(mark[1], text[mark.end() : end].strip(" ")) for mark, end in zip(marks, ends, strict=True)], today
    )


def read_link(text: str, today: date) -> Reading | None:
    """Read a web address that carries elements, ``https://any.host/01/09521234543213/10/L7?15=261125``.

    Form: GS1 Digital Link, URI syntax, from memory; the address is never asked. None when ``text`` is none.
    """
    link = _LINK.fullmatch(text)
    if not link:
        return None
    gtin, path, query = link.groups(default="")
    steps = [unquote(step) for step in path.split("/")[1:]]
    asked = [(key, value) for key, value in parse_qsl(query) if key.isascii() and key.isdigit()]
    return _read_pairs([("01", gtin.zfill(14)), *zip(steps[::2], steps[1::2], strict=True), *asked], today)


def _read_pairs(pairs: list[tuple[str, str]], today: date) -> Reading | None:
    """Read identifiers with their values; None when a value does not end where it should."""
    problems: list[str] = []
    notes: list[str] = []
    found = []
    for ai, value in pairs:
        element, taken = _next(ai + value, problems, notes)
        if element.ai != ai or taken != len(ai + value):
            return None
        found.append(element)
    return _checked(found, today, problems, notes)


def _next(rest: str, problems: list[str], notes: list[str]) -> tuple[Element, int]:
    """The element string at the head of ``rest`` and how many characters it takes. Unreadable: all of ``rest``."""
    from biip import ParseConfig, ParseError  # takes 0.3 s to import: only when GS1 data comes
    from biip.gs1_element_strings import GS1ElementString

    try:
        element = GS1ElementString.extract(rest, config=ParseConfig(gs1_element_strings_verify_date=False))
    except ParseError:
        return _unreadable(rest, problems, notes)
    ai, value = element.ai.ai, element.value
    taken = len(ai) + len(value)
    if element.ai.separator_required and taken < len(rest):  # no separator follows: the value itself is wrong
        whole = rest[len(ai) :]
        problems.append(f"({ai}) {_name(element.ai.data_title, ai)} “{whole}” is too long or has a wrong sign.")
        return Element(ai, whole, element.ai.data_title, sound=False), len(rest)
    return Element(ai, value, element.ai.data_title), taken


def _unreadable(rest: str, problems: list[str], notes: list[str]) -> tuple[Element, int]:
    from biip import ParseError
    from biip.gs1_application_identifiers import GS1ApplicationIdentifier

    try:
        known = GS1ApplicationIdentifier.extract(rest)
    except ParseError:
        ai = rest[:_SHORTEST] if rest[:_SHORTEST].isdigit() else ""
        notes.append(f"“{rest}” begins with an identifier that is not known here; it is kept as it came.")
        return Element(ai, rest[len(ai) :], known=False, sound=False), len(rest)
    value = rest[len(known.ai) :]
    problems.append(f"({known.ai}) {_name(known.data_title, known.ai)} cannot be “{value}”; scan again.")
    return Element(known.ai, value, known.data_title, sound=False), len(rest)


def _name(title: str, ai: str) -> str:
    return title or f"element {ai}"


def _checked(found: list[Element], today: date, problems: list[str], notes: list[str]) -> Reading:
    elements = tuple(_check_value(element, today, problems) for element in found)
    _check_company(elements, problems, notes)
    return elements, problems, notes


def _check_value(element: Element, today: date, problems: list[str]) -> Element:
    if not element.sound:
        return element
    value = element.value
    if not value:
        problems.append(f"({element.ai}) {_name(element.title, element.ai)} is empty; scan again.")
        return replace(element, sound=False)
    if not value.isascii():
        problems.append(f"({element.ai}) “{value}” has signs that no GS1 symbol carries; scan again.")
        return replace(element, sound=False)
    if (what := _CHECKED.get(element.ai)) and int(value[-1]) != (right := check_digit(value[:-1])):
        problems.append(f"The {what} {value} has check digit {value[-1]}, it should be {right}; scan again.")
        return replace(element, sound=False)
    if element.ai in _DATES:
        day = day_of(value, today)
        if day is None:
            problems.append(f"({element.ai}) {_name(element.title, element.ai)} {value} is not a date (YYMMDD).")
            return replace(element, sound=False)
        return replace(element, day=day)
    return element


def _check_company(elements: tuple[Element, ...], problems: list[str], notes: list[str]) -> None:
    """Say which elements contradict each other, and which lack the one they belong to."""
    values: dict[str, str] = {}
    for element in elements:
        values.setdefault(element.ai, element.value)
    twice = [one for one in elements if values[one.ai] != one.value]
    problems.extend(f"({one.ai}) comes twice: “{values[one.ai]}” and “{one.value}”." for one in twice)
    for ai in values:
        others = sorted(_EXCLUDES.get(ai, frozenset()) & values.keys())
        problems.extend(f"({ai}) and ({other}) cannot stand on one label." for other in others)
        missing = [wanted for wanted in _NEEDS.get(ai, ()) if not wanted & values.keys()]
        notes.extend(f"({ai}) stands without {_either(wanted)} beside it." for wanted in missing)


def _either(identifiers: frozenset[str]) -> str:
    return " or ".join(f"({ai})" for ai in sorted(identifiers))


def day_of(text: str, today: date) -> date | None:
    """Read YYMMDD; day 00 is the last day of the month; None when it is not a date.

    The century: 51 to 99 years ahead of ``today`` is the last century, 50 or more behind is the next.
    """
    if not re.fullmatch(r"\d{6}", text, re.ASCII):
        return None
    year, month, day = int(text[:2]), int(text[2:4]), int(text[4:])
    ahead = year - today.year % 100
    year += today.year - today.year % 100 + (-100 if ahead >= 51 else 100 if ahead <= -50 else 0)
    try:
        return date(year, month, day or calendar.monthrange(year, month)[1])
    except (ValueError, calendar.IllegalMonthError):
        return None
