"""Figures with units, threads, sizes and codes: what a number means when it is not a quantity."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from partsbin.requests.ranges import RANGED, range_of
from partsbin.requests.units import UNITS

Value = float | str
Stated = tuple[str, Value]

_NUM = r"\d+(?:[.,]\d+)?"
_FRAC = r"(?:\d+[ -])?\d{1,2}/\d{1,2}"
_LONG = [u for u in UNITS if len(u) > 1 and u.isalpha() and u != "in"]
_RANGE = rf"{_NUM}(?:\s?-\s?|\sto\s){_NUM}"
_GLUED = ["v", "m", "a", "w", "l", "g", "k", "c", "p", "t", "n"]
_LOOSE_IN_CATALOGUE = ["v", "a", "w", "k", "m", "l", "g", "n"]
_ODD = [r"\"", r"''", r"'(?!s)", "°c", "°f", "°"]
_FL = r"fl\.?\s?oz"
_INCH = (
    r"in(?!-?line|\s+(?:lane|the|a|an|my|van|stock|this|that|each|sel|selection|col|all|total|one|machine|there|here|"
    r"case|our|and|for|\d+(?!\d|-[a-z]|\s?(?:off|ea|pcs|x)\b)))"
)


def _any(names: list[str]) -> str:
    return "|".join(sorted(names, key=len, reverse=True))


def _measure(spaced: list[str], mixed: str) -> str:
    """One pattern for a figure, or several parted by a slash, with its unit; in a catalogue for a range, too."""
    # A spaced single-letter unit (3 A) is safe in a catalogue but not in speech ("3 a day").
    long, odd = _any(_LONG + spaced), "|".join(_ODD)
    after = rf"(?:\s?-?\s?(?:{_FL}|{long}|{_INCH})(?:\.(?=\S))?|(?:{_any(_GLUED)})\b|\s?(?:{odd}))"
    # Lookbehind keeps the figure whole: never the tail of a number, a code or a decimal.
    ranged = f"{_RANGE}|" if spaced == _LOOSE_IN_CATALOGUE else ""
    return rf"(?<![\w./-])(?:{mixed}|{ranged}{_NUM}(?:\s?/\s?{_NUM})*){after}(?![a-z0-9])(?!/[a-z])"


# Threads by the inch: numbered ones by name (ASME B1.1), so that "25-40" is none.
_INCH_THREAD = (
    r"(?:#?(?:[456]-40|(?:6|8|10)-32|1[02]-24|12-28)|#\d{1,2}-\d\d|\d/\d{1,2}-(?:10|11|13|14|16|18|20|24|28|32))"
)
THREAD = (
    r"\bm\d{1,2}(?:\.\d+)?(?:\s?[x×]\s?\d+(?:\.\d+)?){0,2}(?:\s?mm)?(?![a-z0-9])"
    rf"|(?<![\w-]){_INCH_THREAD}(?:\s?(?:unc|"
    r"unf))?(?:\s?[x×]\s?(?:\d+-)?\d+(?:/\d+)?(?:\.\d+)?(?:\s?(?:in|mm|\"))?)?(?![\d/-])"
)
# A wood screw's gauge and length: No 8 x 3/4 inch, #10 x 1.
SCREW = rf"(?<!\w)(?:no\.?\s?|#)\d{{1,2}}\s?[x×]\s?(?:{_FRAC}|{_NUM})(?:\s?(?:in(?:ch(?:es)?)?|\"|mm))?(?![\w/-])"
CODES = (
    RANGED + r"|\brev(?:ision)?\.?[\s-]?[a-z0-9](?![a-z0-9])"
    r"|\b[tf]\d+\.\d+a\b|\bv\d+\.\d+(?![a-z0-9])|\bver(?:sion)?\.?\s?\d+(?:\.\d+)?(?![a-z0-9])"
    r"|\b(?:cr|br|lr)\s?\d{3,4}s?\b"
    r"|\br-?\s?(?:290|600a|134a|404a|744|513a|452a|22|12)(?![a-z0-9])"
    r"|(?<![\w-])(?:600|134|404|513|452)a(?![a-z0-9])"
    r"|(?<![\w-])l?(?:5|6|14)-(?:15|20|30|50)[pr]?(?![\w-])"
    r"|\bcee\s?7/\d{1,2}(?![\d/])"
    r"|\b(?:spst|spdt|dpst|dpdt|3pdt|4pdt)\b"
)
_DIM = rf"(?<![\w.]){_NUM}{{x}}{_NUM}(?:{{x}}{_NUM})?(?:\s?(?:mm|cm|in(?:ch(?:es)?)?))?(?![a-z0-9/])(?! \d/\d)"
_NUMBER = r"(?:\d+(?:[.,]\d+)+|\d+)"
# Two supplies parted by a slash need no unit: 230/24.
_PAIRED = r"(?<![\w./])(?:12|24|34|110|115|120|208|220|230|240)/(?:12|24|34|110|115|120|208|220|230|240)(?![\w/])"
_WORD = r"[a-zà-öø-ÿ0-9]+(?:'[a-z]+)?"
_MARKS = r"[,;:.!?()\[\]+&\n/=#-]"


# In speech "4 1/4 hp" is four of them; only one or two inches and a bit are said with a gap.
_SAID_FRAC = r"(?:\d+-|[12] )?\d{1,2}/\d{1,2}"


def _grammar(spaced: list[str], by: str, mixed: str, thread: str = THREAD) -> re.Pattern[str]:
    dims = _DIM.replace("{x}", by)
    parts = (
        # Most of a catalogue is plain words, and none of what follows starts like one.
        r"(?!rev|cee|ver)[a-z]{3,}(?![a-zà-öø-ÿ0-9'])",
        thread,
        SCREW,
        CODES,
        r"(?<![\w.])[1-4]\s?[x×*]\s?\d{1,3}\s?w(?:atts?)?(?![a-z0-9])" if spaced == _LOOSE_IN_CATALOGUE else "(?!)",
        _measure(spaced, mixed),
        dims,
        rf"(?<![\w.]){mixed}(?![\w/])",
        _PAIRED,
        _NUMBER + r"(?![a-z0-9])",
        _WORD,
        _MARKS,
    )
    return re.compile(rf"(?=\S)(?:{'|'.join(parts)})")  # a blank starts none of them


CATALOGUE = _grammar(_LOOSE_IN_CATALOGUE, r"\s?[x×*]\s?", _FRAC)
SPEECH = _grammar(["v", "w", "m"], r"[x×*]", _SAID_FRAC, THREAD.replace(r"\s?[x×]\s?", "[x×]"))

# Colours of light by their temperature in kelvin; what lies between is called either (EN 12464-1, common practice).
_TONES = (("warm", 1800, 3300), ("cool", 5000, 10000))
_MOST_LANES = 60
_POLES = {"s": "single", "d": "double", "3": "three", "4": "four"}
_LAMPS = re.compile(r"^(\d)\s?[x×*]\s?(\d+)\s?w(?:atts?)?$")
_UNIT_TAIL = re.compile(rf"^({_FRAC}|{_RANGE}|{_NUM}(?:\s?/\s?{_NUM})*)\s?-?\s?({_FL}|[a-zµ]+|\"|''|'|°[cf]?)\.?$")
_SCREW_PARTS = re.compile(rf"^(?:no\.?\s?|#)(\d{{1,2}})\s?[x×]\s?({_FRAC}|{_NUM})\s?(.*)$")
_THREAD_PARTS = re.compile(rf"^(m\d+(?:\.\d+)?|{_INCH_THREAD})(?:\s?(?:unc|unf))?(?:\s?[x×]\s?(.+?))?$")
_DIM_PARTS = re.compile(rf"^({_NUM})\s?[x×*]\s?({_NUM})(?:\s?[x×*]\s?({_NUM}))?\s?(mm|cm|in)?(?:ch|ches)?$")
_PACK = re.compile(r"^(\d{1,3})'?s$")


_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+")


def figure(text: str) -> float:
    """A decimal, fraction or mixed number as a float: ``1-1/4`` is 1.25, ``6,3`` is 6.3, ``1,000`` a thousand."""
    parts = re.split(r"[ -]", text.strip())
    if _THOUSANDS.fullmatch(text.strip()):
        return float(text.replace(",", ""))
    if "/" in text:
        try:
            return float(sum(Fraction(part) for part in parts))
        except (ValueError, ZeroDivisionError):
            return float(re.split(r"[ /-]", text)[0].replace(",", "."))
    return float(text.replace(",", "."))


def stated(token: str) -> list[Stated]:
    """What one lower-case token states as attributes; empty when it is a plain word or number."""
    if re.fullmatch(_PAIRED, token):
        return [("volts", float(part)) for part in token.split("/")]
    if lamps := _LAMPS.match(token):
        return [("lamps", float(lamps[1])), ("watts", float(lamps[2]))]
    return _code(token) or _screw(token) or _thread(token) or _measured(token) or _dimensions(token) or _pack(token)


def _code(token: str) -> list[Stated]:
    if limits := range_of(token):
        return [("range", limits)]
    squeezed = re.sub(r"[\s.-]", "", token)
    if re.fullmatch(r"rev(?:ision)?[a-z0-9]", squeezed):
        return [("revision", squeezed[-1].upper())]
    if version := re.fullmatch(r"v(?:er(?:sion)?)?\.?\s?([\d.]+)", token):
        return [("version", version[1])]
    if re.fullmatch(r"(?:cr|br|lr)\d{3,4}s?", squeezed):
        return [("cell", squeezed.removesuffix("s").upper())]
    if re.fullmatch(r"r(?:290|744|22|12)|r?(?:600|134|404|513|452)a", squeezed):
        return [("refrigerant", "R" + squeezed.upper().removeprefix("R"))]
    if re.fullmatch(r"l?(?:5|6|14)-(?:15|20|30|50)[pr]?", token):
        return [("plug", token.upper().rstrip("PR"))]
    if re.fullmatch(r"cee7/\d{1,2}", squeezed):
        return [("plug", squeezed.upper())]
    if squeezed in ("spst", "spdt", "dpst", "dpdt", "3pdt", "4pdt"):
        return [("poles", squeezed.upper()), ("pole_count", _POLES[squeezed[0]])]
    return []


def _screw(token: str) -> list[Stated]:
    match = _SCREW_PARTS.match(token)
    if not match:
        return []
    length = figure(match[2])
    inches = match[3] != "mm" and ("/" in match[2] or bool(match[3]) or length <= _LONGEST_IN_INCHES)
    return [("gauge", float(match[1])), ("mm", round(length * 25.4, 3) if inches else length)]


_LONGEST_IN_INCHES = 6  # a bare figure behind a screw's gauge


def _thread(token: str) -> list[Stated]:
    match = _THREAD_PARTS.match(token)
    if not match:
        return []
    found: list[Stated] = [("thread", match[1].upper().lstrip("#"))]
    rest = [part for part in re.split(r"\s?[x×]\s?", match[2] or "") if part]
    for position, part in enumerate(rest):
        number = re.match(rf"{_FRAC}|{_NUM}", part)
        if not number:
            continue
        size = figure(number[0])
        # M12x1.75 gives a pitch; M4x10 and 10-32 x 1/2 a length.
        if match[1].startswith("m") and size < 4 and position == 0:
            found.append(("pitch", size))
        else:
            found.append(("mm", size if match[1].startswith("m") or "mm" in part or size > 6 else size * 25.4))
    return found


def _measured(token: str) -> list[Stated]:
    match = _UNIT_TAIL.match(token)
    if not match:
        return []
    name = re.sub(r"[\s.]", "", match[2])
    if name not in UNITS:
        return []
    kind, factor = UNITS[name]
    ends = re.fullmatch(rf"({_NUM})(?:\s?-\s?|\sto\s)({_NUM})", match[1])
    whole = [match[1]] if kind in ("mm", "hp") else re.split(r"\s?/\s?", match[1])
    figures = list(ends.groups()) if ends else whole
    found: list[Stated] = [(kind, round(figure(part) * factor, 3)) for part in figures]
    if kind == "lane_count" and figure(figures[0]) > _MOST_LANES:
        return [("mm", figure(figures[0]))]  # "95 lane": so wide is it
    if name in ("vdc", "vac"):
        found.append(("current", name[1:].upper()))
    if kind == "kelvin" and found[0][1] < 1000:  # type: ignore[operator]  # a kelvin figure is always a float
        found = [("ohms", round(figure(match[1]) * 1000, 3))]
    elif kind == "kelvin":
        found.extend(("tone", tone) for tone, low, high in _TONES if low <= figure(match[1]) <= high)
    return found


def _dimensions(token: str) -> list[Stated]:
    match = _DIM_PARTS.match(token)
    if not match:
        return []
    sides = [side for side in match.group(1, 2, 3) if side]
    factor = {"cm": 10.0, "in": 25.4}.get(match[4] or "", 1.0)
    label = "x".join(f"{figure(side) * factor:g}" for side in sides)
    return [("size", label)]


def _pack(token: str) -> list[Stated]:
    match = _PACK.match(token)
    return [("figure", float(match[1]))] if match else []


# Mains figures that name the same supply in the trade.
_SUPPLIES = ({110.0, 115.0, 117.0, 120.0}, {220.0, 230.0, 240.0})


def agreement(kind: str, asked: Value, has: Value) -> float:
    """How well a stated value agrees with an item's: 1 the same, 0.9 the same in practice, 0 different."""
    if asked == has:
        return 1.0
    if isinstance(asked, str) or isinstance(has, str):
        return 0.0
    if kind == "supply":
        return 0.0
    if kind == "volts":
        return 0.9 if any(asked in supply and has in supply for supply in _SUPPLIES) else 0.0
    if kind == "mm":
        return _lengths(asked, has)
    if kind in ("ml", "hp", "ohms", "amps", "bar"):
        return 0.9 if abs(asked - has) <= 0.03 * max(asked, has) else 0.0
    return 0.0


def thread_diameter(thread: str) -> float:
    """The nominal diameter of a thread in mm: M12 is 12, 1/2-13 is 12.7; 0 for a numbered size."""
    front = thread.split("-")[0]
    if front.startswith("M"):
        return figure(front[1:])
    return round(figure(front) * 25.4, 3) if "/" in front else 0.0


def _lengths(asked: float, has: float) -> float:
    """Lengths agree across units within rounding: a quarter inch (6.35) is sold as 6 mm, 3 feet as 900 mm."""
    gap = abs(asked - has)
    if gap <= 0.05:
        return 1.0
    if _is_inch(asked) == _is_inch(has):
        return 0.0
    # Three eighths of an inch (9.5) is sold as 10 mm.
    return 0.9 if gap <= max(0.36 if max(asked, has) < 9.5 else 0.48, 0.022 * max(asked, has)) else 0.0


def _is_inch(size: float) -> bool:
    """Whether a length is an odd figure in millimetres but a round one in 64ths of an inch."""
    whole_mm = abs(size * 2 - round(size * 2)) < 0.01
    return not whole_mm


@lru_cache(maxsize=8192)
def spoken(kind: str, value: Value) -> str:
    """A value in words for a sentence: ``24 V``, ``left``, ``6 mm``, ``revision C``."""
    text = f"{value:g}" if isinstance(value, float) else value
    if kind in _SPOKEN:
        return _SPOKEN[kind].format(text)
    named = {
        "LH": "left",
        "RH": "right",
        "CW": "clockwise",
        "CCW": "anticlockwise",
        "NO": "normally open",
        "NC": "normally closed",
    }
    if kind in ("heated", "magnet", "diet"):
        return (kind if kind != "magnet" else "magnetic") if text == "yes" else f"not {kind}"
    return named.get(text, text)


_SPOKEN = {
    "volts": "{} V", "mm": "{} mm", "amps": "{} A", "watts": "{} W", "va": "{} VA", "hertz": "{} Hz", "hp": "{} HP",
    "kelvin": "{} K", "ohms": "{} ohm", "ml": "{} ml", "count": "{} count", "ways": "{} way", "lane_count": "{} lanes",
    "tubes": "{} tubes", "pack": "pack of {}", "keys": "{} keys", "gauge": "{} gauge", "revision": "revision {}",
    "thread": "{} thread", "pitch": "pitch {}", "container": "{} can", "lanes": "{} lane", "width": "{} width",
    "tab": "{} tab", "stack": "{}-stack", "blow": "{} blow", "uf": "{} uF",
    "figure": "{}", "characters": "{} characters", "plug": "plug {}", "rpm": "{} rpm", "degrees": "{} degrees",
    "grams": "{} g", "teeth": "{} tooth", "newtons": "{} N",
    "bar": "{} bar", "version": "version {}", "channels": "{} channel", "lamps": "{} lamps",
}  # fmt: skip
