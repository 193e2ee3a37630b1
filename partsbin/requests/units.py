"""The units of the trade: what each measures, how it is spelt, how it is said aloud."""

from __future__ import annotations

import jellyfish

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
    ("bar", 1, "bar"),
    ("bar", 0.0689476, "psi"),
    ("newtons", 1, "n newton newtons"),
    ("channels", 1, "ch channel channels"),
    ("teeth", 1, "t tooth teeth"),
    ("grams", 1, "g gram grams gm"),
    ("grams", 1000, "kg kgs kilo kilos kilogram kilograms"),
    ("uf", 1, "uf µf mfd microfarad microfarads"),
    ("money", 1, "dollar dollars buck bucks euro euros pound pounds quid cent cents pence usd"),
):
    for _name in _names.split():
        UNITS[_name] = (_kind, float(_factor))

# Unit words that dictation writes as other words of the same sound: "nine what", "twenty four vault", "ten weigh".
_SOUNDS = {jellyfish.metaphone(unit): unit for unit in ("volt", "volts", "watt", "watts", "way", "ways", "hertz")}


def heard_unit(word: str) -> str:
    """The unit a word behind a figure sounds like; empty for words that sound like none."""
    return _SOUNDS.get(jellyfish.metaphone(word), "") if len(word) > 3 and word.isalpha() else ""
