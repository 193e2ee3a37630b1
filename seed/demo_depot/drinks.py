"""The fifty drinks cases. Ranges and flavours are invented; weights follow from fill and container.

Every GTIN starts with 040, which GS1 keeps for numbers used inside one company: none of them can be a real product.
A case of 24 carries the GTIN-14 with indicator 1, the single container the GTIN-13.
"""

from __future__ import annotations

from demo_depot.listing import Listing

# container: (size as the catalogue writes it, grams a filled one, price of one)
_SIZES = {
    "CAN355": ("355 ml can", 382, 0.52),
    "CAN330": ("330 ml can", 356, 0.50),
    "CAN375": ("375 ml can", 404, 0.55),
    "CAN440": ("440 ml can", 473, 0.62),
    "CAN473": ("473 ml can", 507, 0.78),
    "CAN500": ("500 ml can", 536, 0.85),
    "SLK250": ("250 ml sleek can", 270, 0.58),
    "SLK330": ("330 ml sleek can", 355, 0.60),
    "SLK355": ("355 ml sleek can", 382, 0.64),
    "SLM200": ("200 ml slim can", 218, 0.48),
    "SLM250": ("250 ml slim can", 273, 0.72),
    "PET500S": ("500 ml bottle", 544, 0.88),
    "PET500W": ("500 ml water bottle", 512, 0.42),
    "PET591": ("591 ml bottle", 641, 0.98),
    "PET355": ("355 ml bottle", 388, 0.80),
    "PET330W": ("330 ml water bottle", 340, 0.36),
}
# container: the drinks, the best seller first; (n) = packed in another case than 24
_RANGE = {
    "CAN355": "Dunmarl cola|Dunmarl cola zero|Tarn lemon|Tarn orange|Dunmarl cherry cola|Tarn lemon zero"
    "|Pockett ginger ale|Tarn lime|Tarn grapefruit|Pockett root beer|Dunmarl cherry cola zero|Tarn orange zero",
    "SLK330": "Tarn lemon|Tarn blood orange|Thistlecombe iced tea lemon|Thistlecombe iced tea peach|Tarn elderflower"
    "|Tarn lime",
    "SLK355": "Merrowick sparkling water plain (12)|Merrowick sparkling water lime (12)"
    "|Merrowick sparkling water berry (12)",
    "SLM250": "Zindle energy original|Zindle energy zero|Zindle energy tropical|Pockett tonic",
    "SLM200": "Pockett ginger ale|Pockett tonic",
    "SLK250": "Orchardby apple juice",
    "CAN330": "Tarn lemon|Dunmarl cola",
    "CAN375": "Pockett ginger beer",
    "CAN440": "Pockett ginger beer (12)",
    "CAN473": "Zindle energy original (12)|Zindle energy zero (12)|Thistlecombe iced tea lemon (12)",
    "CAN500": "Zindle energy tropical (12)",
    "PET500S": "Dunmarl cola|Tarn lemon|Dunmarl cola zero|Tarn orange",
    "PET500W": "Merrowick still water",
    "PET591": "Dunmarl cola|Dunmarl cola zero|Tarn lemon|Tarn orange|Pockett ginger ale|Thistlecombe iced tea peach",
    "PET355": "Orchardby apple juice|Orchardby orange juice",
    "PET330W": "Merrowick still water (30)",
}
_POPULAR = {"CAN355": 4.0, "PET591": 3.0, "PET500W": 4.0, "PET500S": 2.0, "SLK330": 2.0, "SLM250": 2.0}


def add_drinks(listing: Listing) -> None:
    """Add every drink of the range as a case item counted in single containers."""
    serial = 0
    for container, drinks in _RANGE.items():
        for rank, entry in enumerate(drinks.split("|")):
            serial += 1
            name, _, pack = entry.partition(" (")
            _add(listing, container, name, int(pack.rstrip(")") or 24), serial, rank)


def _add(listing: Listing, container: str, name: str, pack: int, serial: int, rank: int) -> None:
    size, grams, price = _SIZES[container]
    light = name.endswith("zero")
    single, case = gtin(serial), gtin(serial, "1")
    listing.add(
        "DRK-CASE",
        f"{name} {size}, case of {pack}",
        container=container,
        pack_size=pack,
        weight_g=grams - (14 if light else 0),
        cost=f"{price * (1.15 if 'energy' in name else 1.0):.2f}",
        gtin=f"{single}*1|{case}",
        shelf_life_days=str(shelf_life(container, light=light)),
        use=_POPULAR.get(container, 1.0) * 0.82**rank,
    )


def shelf_life(container: str, *, light: bool) -> int:
    """Days from filling to best-before (common practice): sugar cans 39 weeks, light drinks 13, water a year."""
    if container.endswith("W"):
        return 365
    if container.startswith("PET"):
        return 91 if light else 180
    return 91 if light else 273


def gtin(serial: int, indicator: str = "") -> str:
    """Return the GTIN-13 of a drink or the GTIN-14 of its case, check digit by the GS1 General Specifications."""
    payload = f"{indicator}0400001{serial:05d}"
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(payload)))
    return f"{payload}{-total % 10}"
