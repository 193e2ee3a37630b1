"""Figures with units, threads, sizes and codes: what a number means when it is not a quantity."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

Value = float | str
Stated = tuple[str, Value]

_NUM = r"\d+(?:[.,]\d+)?"
_FRAC = r"(?:\d+[ -])?\d{1,2}/\d{1,2}"
# Unit spellings, longest first inside each kind; the factor brings a figure to the kind's base unit.
UNITS: dict[str, tuple[str, float]] = {}
for _kind, _factor, _names in (
    ("volts", 1, "v volt volts vdc vac vlt vlts vo"),
    ("mm", 1, "mm mil mill mils mills millimetre millimetres millimeter millimeters mms milly milli millis"),
    ("mm", 10, "cm cms centimetre centimetres centimeter centimeters"),
    ("mm", 1000, "m mtr metre metres meter meters"),
    ("mm", 25.4, "in ins inch inches inchs \" ''"),
    ("mm", 304.8, "ft foot feet footer footers '"),
    ("amps", 1, "a amp amps ampere amperes"),
    ("amps", 0.001, "ma milliamp milliamps"),
    ("watts", 1, "w watt watts wt wts"),
    ("va", 1, "va"),
    ("hertz", 1, "hz hertz"),
    ("hp", 1, "hp horsepower horse"),
    ("kelvin", 1, "k kelvin"),
    ("ohms", 1000, "kohm kohms"),
    ("ohms", 1, "ohm ohms"),
    ("ml", 1, "ml mls millilitre millilitres milliliter"),
    ("ml", 10, "cl"),
    ("ml", 1000, "l ltr litre litres liter liters"),
    ("ml", 29.5735, "oz floz ounce ounces ozs oza"),
    ("count", 1, "ct cnt count turn turns coils"),
    ("ways", 1, "p way ways pos pin pins pole poles position positions wire"),
    ("lane_count", 1, "lane lanes ln selection selections select col columns column"),
    ("tubes", 1, "tube tubes tb tbs"),
    ("pack", 1, "pk pack packs"),
    ("keys", 1, "key keys button buttons btn btns"),
    ("characters", 1, "character characters char chars digit digits"),
    ("gauge", 1, "awg ga gauge"),
    ("degrees", 1, "c deg degc degf degs degree degrees °c °f °"),
    ("rpm", 1, "rpm"),
    ("grams", 1, "g gram grams gm"),
    ("grams", 1000, "kg kgs kilo kilos"),
    ("uf", 1, "uf µf mfd microfarad"),
    ("money", 1, "dollar dollars buck bucks euro euros pound pounds quid cent cents pence usd"),
):
    for _name in _names.split():
        UNITS[_name] = (_kind, float(_factor))
_LONG = [u for u in UNITS if len(u) > 1 and u.isalpha() and u != "in"]
_GLUED = ["v", "m", "a", "w", "l", "g", "k", "c", "p"]
_LOOSE_IN_CATALOGUE = ["v", "a", "w", "k", "m", "l", "g"]
_ODD = [r"\"", r"''", r"'(?!s)", "°c", "°f", "°"]
_FL = r"fl\.?\s?oz"
_INCH = (
    r"in(?!-?line|\s+(?:lane|the|a|an|my|van|stock|this|that|each|sel|selection|col|all|total|one|machine|there|here|"
    r"case|our|and|for|\d+(?!\d|-[a-z]|\s?(?:off|ea|pcs|x)\b)))"
)


def _any(names: list[str]) -> str:
    return "|".join(sorted(names, key=len, reverse=True))


def _measure(spaced: list[str], mixed: str) -> str:
    """One pattern for a figure, or several parted by a slash, with its unit."""
    # A spaced single-letter unit (3 A) is safe in a catalogue but not in speech ("3 a day").
    long, odd = _any(_LONG + spaced), "|".join(_ODD)
    after = rf"(?:\s?-?\s?(?:{_FL}|{long}|{_INCH})(?:\.(?=\S))?|(?:{_any(_GLUED)})\b|\s?(?:{odd}))"
    # Lookbehind keeps the figure whole: never the tail of a number, a code or a decimal.
    return rf"(?<![\w./-])(?:{mixed}|{_NUM}(?:\s?/\s?{_NUM})*){after}(?![a-z0-9])(?!/[a-z])"


THREAD = (
    r"\bm\d{1,2}(?:\.\d+)?(?:\s?[x×]\s?\d+(?:\.\d+)?){0,2}(?:\s?mm)?(?![a-z0-9])"
    r"|(?<![\w-])(?:#?\d{1,2}|\d/\d{1,2})-(?:10|11|13|16|18|20|24|28|32|40)(?:\s?(?:unc|"
    r"unf))?(?:\s?[x×]\s?(?:\d+-)?\d+(?:/\d+)?(?:\.\d+)?(?:\s?(?:in|mm|\"))?)?(?![\d/-])"
)
CODES = (
    r"\brev(?:ision)?\.?\s?[a-z0-9](?![a-z0-9])"
    r"|\b(?:cr|br|lr)\s?\d{3,4}s?\b"
    r"|\br-?\s?(?:290|600a|134a|404a|744|513a|452a|22|12)(?![a-z0-9])"
    r"|(?<![\w-])l?(?:5|6|14)-(?:15|20|30|50)[pr]?(?![\w-])"
    r"|\bcee\s?7/\d{1,2}(?![\d/])"
    r"|\b(?:spst|spdt|dpst|dpdt|3pdt|4pdt)\b"
)
_DIM = rf"(?<![\w.]){_NUM}{{x}}{_NUM}(?:{{x}}{_NUM})?(?:\s?(?:mm|cm|in))?(?![a-z0-9])"
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
        r"(?!rev|cee)[a-z]{3,}(?![a-zà-öø-ÿ0-9'])",
        thread,
        CODES,
        _measure(spaced, mixed),
        dims,
        rf"(?<![\w.]){mixed}(?![\w/])",
        _PAIRED,
        _NUMBER + r"(?![a-z0-9])",
        _WORD,
        _MARKS,
    )
    return re.compile("|".join(parts))


CATALOGUE = _grammar(_LOOSE_IN_CATALOGUE, r"\s?[x×*]\s?", _FRAC)
SPEECH = _grammar(["v", "w", "m"], r"[x×*]", _SAID_FRAC, THREAD.replace(r"\s?[x×]\s?", "[x×]"))

_UNIT_TAIL = re.compile(rf"^({_FRAC}|{_NUM}(?:\s?/\s?{_NUM})*)\s?-?\s?({_FL}|[a-zµ]+|\"|''|'|°[cf]?)\.?$")
_THREAD_PARTS = re.compile(r"^(m\d+(?:\.\d+)?|(?:#?\d{1,2}|\d/\d{1,2})-\d+)(?:\s?(?:unc|unf))?(?:\s?[x×]\s?(.+?))?$")
_DIM_PARTS = re.compile(rf"^({_NUM})\s?[x×*]\s?({_NUM})(?:\s?[x×*]\s?({_NUM}))?\s?(mm|cm|in)?$")
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
    return _code(token) or _thread(token) or _measured(token) or _dimensions(token) or _pack(token)


def _code(token: str) -> list[Stated]:
    squeezed = re.sub(r"[\s.-]", "", token)
    if re.fullmatch(r"rev(?:ision)?[a-z0-9]", squeezed):
        return [("revision", squeezed[-1].upper())]
    if re.fullmatch(r"(?:cr|br|lr)\d{3,4}s?", squeezed):
        return [("cell", squeezed.removesuffix("s").upper())]
    if re.fullmatch(r"r(?:290|600a|134a|404a|744|513a|452a|22|12)", squeezed):
        return [("refrigerant", squeezed.upper())]
    if re.fullmatch(r"l?(?:5|6|14)-(?:15|20|30|50)[pr]?", token):
        return [("plug", token.upper().rstrip("PR"))]
    if re.fullmatch(r"cee7/\d{1,2}", squeezed):
        return [("plug", squeezed.upper())]
    if squeezed in ("spst", "spdt", "dpst", "dpdt", "3pdt", "4pdt"):
        return [("poles", squeezed.upper())]
    return []


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
    figures = [match[1]] if kind in ("mm", "hp") else re.split(r"\s?/\s?", match[1])
    found: list[Stated] = [(kind, round(figure(part) * factor, 3)) for part in figures]
    if name in ("vdc", "vac"):
        found.append(("current", name[1:].upper()))
    if kind == "kelvin" and found[0][1] < 1000:  # type: ignore[operator]  # a kelvin figure is always a float
        found = [("ohms", round(figure(match[1]) * 1000, 3))]
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
    if kind in ("ml", "hp", "ohms", "amps"):
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
    "grams": "{} g",
}  # fmt: skip
