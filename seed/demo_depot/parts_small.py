"""Fasteners, workshop supplies and kits."""

from __future__ import annotations

from demo_depot.families import B, C, D
from demo_depot.listing import Item, Listing

_SCREWS = ("M3x8 pan", "M4x8 pan", "M4x10 pan", "M4x16 pan", "M5x12 hex", "M5x20 hex", "M6x16 hex", "M6x20 hex")
_TERMINALS = ("spade 6.3 mm female", "spade 6.3 mm male", "spade 4.8 mm female", "spade 2.8 mm female", "ring M4")


def add_small(listing: Listing) -> None:
    """Add the fasteners and supplies."""
    over = {"aliases": ""}
    for size in (*_SCREWS, "4x12 self-tapping", "M5x16 pin-hex security"):
        listing.add("FAS-SCRW", f"Screw {size}", (), use=1.0, pack_size=100, **over)
    for size in ("Nut M4", "Nut M5", "Nut M6", "Clip nut M4", "Clip nut M5"):
        listing.add("FAS-NUT", size, (), use=1.0, pack_size=100)
    for hole in ("5 mm", "6.5 mm", "8 mm"):
        listing.add("FAS-RIVT", f"Push rivet {hole} hole", (), use=1.0, pack_size=50, aliases="push pin")
    listing.add("FAS-RIVT", "Tree clip 6.5 mm hole", (), use=0.8, pack_size=50)
    for length in (100, 200, 300):
        listing.add("FAS-TIE", f"Cable tie {length} mm", (), use=1.5, pack_size=100, aliases="zip tie")
    for words in (*_TERMINALS, "pin male 2.1 mm", "pin female 2.1 mm"):
        listing.add("FAS-TERM", f"Crimp terminal {words}", (), use=1.0, pack_size=100)
    supplies = (("Glass and keypad wipes, tub of 100", 2.0), ("Coil and gear grease 100 g", 1.0))
    supplies += (
        ("Gasket dressing 200 ml", 0.8),
        ("Contact cleaner spray 400 ml", 1.0),
        ("Drain tablets, tub of 40", 0.6),
    )
    for text, use in (*supplies, ("Work gloves, cut-resistant, pair", 0.8), ("Condenser cleaning brush", 0.4)):
        plain = {"cautions": ""} if "glove" in text or "brush" in text else {}
        listing.add("CON-SUP", text, (), use=use, unit="pair" if "glove" in text else "each", **plain)


def add_kits(listing: Listing) -> None:
    """Add the kits, made of items already listed; a lane kit's spacers follow the lane-fit arithmetic."""
    lanes = (
        (B, "74 mm", "355 ml can to 250 ml slim can", ("15 mm LH",), "can LH"),
        (B, "74 mm", "355 ml can to 330 ml sleek can", ("10 mm LH",), "can LH"),
        (B, "80 mm", "20 oz bottle to 355 ml can", ("6 mm LH",), "can LH"),
        (B, "80 mm", "355 ml can to 330 ml sleek can", ("15 mm LH",), "can LH"),
        (C, "74 mm", "355 ml can to 250 ml slim can", ("3 mm LH", "10 mm RH"), "can RH"),
        (D, "92 mm", "355 ml can to 20 oz bottle", ("10 mm LH",), "bottle LH"),
    )
    for fits, width, change, spacers, clip in lanes:
        parts = [_named(listing, "DLV-SPC", f"Lane spacer {words},", fits) for words in spacers]
        parts.append(_named(listing, "DLV-CLIP", f"Retainer clip {clip},", fits))
        parts.append(_named(listing, "DLV-END", "Coil end piece short tab", fits))
        _kit(listing, "KIT-LANE", f"Lane kit {change}, {width} lane, {fits}", (fits,), parts)
    for fits, count in ((C, 8), (D, 9)):
        coils = [_named(listing, "DLV-COIL", f"Helical coil {count} count {hand}", fits) for hand in ("LH", "RH")]
        motor = _named(listing, "DLV-MTR", "Vend gear motor 24 V DC dual", fits)
        _kit(listing, "KIT-CPL", f"Coupled-lane kit, two lanes, {count} count, {fits}", (fits,), [*coils, motor])
    for fits in (B, C, D):
        words = (
            ("REF-FILT", "Condenser filter"),
            ("PAY-BELT", "Note acceptor belt"),
            ("PAY-CARD", "Note cleaning card"),
        )
        parts = [_named(listing, family, start, fits) for family, start in words]
        parts += [_named(listing, "CTL-FUSE", "Fuse 5 A slow (T) 5x20"), parts[-1]]
        _kit(listing, "KIT-PM", f"Maintenance kit, {fits}", (fits,), parts)


def _named(listing: Listing, family: str, start: str, fits: str = "") -> Item:
    """The first item of a family whose description starts so and that fits the machine."""
    for item in listing.items.values():
        right = not fits or fits in item.fits.split("|")
        if item.family == family and item.description.startswith(start) and right and item.stocked:
            return item
    message = f"no {family} starts with {start!r} for {fits!r}"
    raise LookupError(message)


def _kit(listing: Listing, family: str, description: str, fits: tuple[str, ...], parts: list[Item]) -> None:
    counts: dict[str, int] = {}
    for part in parts:
        counts[part.part_number] = counts.get(part.part_number, 0) + 1
    cost = sum(part.money for part in parts)
    cautions = dict.fromkeys(code for part in parts for code in part.cautions.split("|") if code)
    listing.add(
        family,
        description,
        fits,
        kit="|".join(f"{number}*{count}" for number, count in counts.items()),
        cautions="|".join(cautions),
        weight_g=sum(part.weight_g for part in parts),
        cost=f"{cost:.2f}",
    )
