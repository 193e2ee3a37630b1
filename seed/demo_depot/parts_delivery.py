"""Delivery parts: motors, coils, spacers and all that moves or holds a drink."""

from __future__ import annotations

from demo_depot.families import QUENBY, B, C, D
from demo_depot.listing import Listing

FRONT = "seen from the front, door open"
WIND = "wind as seen from the front"
COILS = {  # family: coil count -> pitch in mm; count x pitch is the usable tray depth
    B: {5: 104, 6: 88, 7: 80, 8: 70, 9: 62, 10: 56, 12: 46, 15: 37},
    C: {6: 101, 7: 88, 8: 78, 9: 70, 10: 62, 11: 56, 13: 47},
    D: {8: 88, 9: 78, 10: 70, 11: 64, 12: 60, 14: 51},
}
_COIL_USE = {B: (7, 8, 6), C: (9, 8, 7), D: (9, 8, 10)}  # what most lanes carry
SPACERS_MM = (3, 6, 10, 15)
_SPACER_USE = {3: 1.5, 6: 4.0, 10: 3.5, 15: 2.0}


def add_delivery(listing: Listing) -> None:
    """Add the delivery families."""
    _motors(listing)
    _coils(listing)
    _spacers(listing)
    _small(listing)
    _holders(listing)
    _sensors(listing)


def _motors(listing: Listing) -> None:
    mains = {"cautions": "MAINS|PINCH"}
    for fits, use in ((B, 6.0), (C, 5.0), (D, 5.0)):
        listing.pair("DLV-MTR", f"Vend gear motor 24 V DC {{hand}}, {fits}", (fits,), FRONT, use=use, pack_size=2)
    for fits, volts, use in ((B, 115, 1.2), (C, 115, 1.0), (B, 230, 0.2), (C, 230, 0.3)):
        text = f"Vend gear motor {volts} V AC {{hand}}, {fits}"
        listing.pair("DLV-MTR", text, (fits,), FRONT, use=use, dear=1.2, **mains)
    text = f"Vend gear motor 24 V DC {{hand}} with bracket, {B}"
    listing.pair("DLV-MTR", text, (B,), FRONT, use=0.8, dear=1.25, aliases="bracket motor")
    for fits in (C, D):
        text = f"Vend gear motor 24 V DC dual shaft, coupled lanes, {fits}"
        listing.add("DLV-MTR", text, (fits,), use=0.8, dear=1.6, weight_g=520, aliases="double motor")


def _coils(listing: Listing) -> None:
    for fits, counts in COILS.items():
        for count, pitch in counts.items():
            rank = _COIL_USE[fits].index(count) if count in _COIL_USE[fits] else 3
            use = (4.0, 3.0, 2.0, 0.3)[rank]
            text = f"Helical coil {count} count {{hand}} wind, {pitch} mm pitch, {fits}"
            listing.pair(
                "DLV-COIL", text, (fits,), WIND, use=use, supplier=QUENBY if rank == 3 else "Orvane Vending Spares"
            )


def _spacers(listing: Listing) -> None:
    for fits, words in (((B, C), f"{B} / {C}"), ((D,), D)):
        for mm in SPACERS_MM:
            use = _SPACER_USE[mm]
            over = {"weight_g": 15 + 4 * mm, "dear": 0.6 + mm / 15, "pack_size": 10}
            text = f"Lane spacer {mm} mm {{hand}}, {words}"
            left, right = listing.pair("DLV-SPC", text, fits, FRONT, use=use, **over)
            other = listing.add("DLV-SPC", f"Lane spacer {mm} mm universal, {words}", fits, use=use * 0.3, **over)
            left.substitutes = right.substitutes = other.part_number
            if mm in (6, 10):
                cost = left.money
                left.price_breaks = right.price_breaks = f"50:{cost * 0.92:.2f}|100:{cost * 0.85:.2f}"


def _small(listing: Listing) -> None:
    for wire in (4, 5):
        for tab, use in (("short", 4.0), ("long", 1.5)):
            for box, share in (("can", 1.0), ("bottle", 0.5)):
                text = f"Coil end piece {tab} tab, {wire} mm wire, {box}"
                fits = (B, C) if wire == 4 else (C, D)
                listing.add(
                    "DLV-END", text, fits, use=use * share, pack_size=10, aliases="pusher tab" if tab == "long" else ""
                )
    for shaft, fits, use in (
        ("6 mm D", (B,), 4.0),
        ("8 mm hex", (C,), 4.0),
        ("8 mm D", (D,), 3.0),
        ("1/4 in square", (C,), 0.5),
    ):
        listing.add("DLV-BUSH", f"Coil coupler, {shaft} shaft", fits, use=use, pack_size=10)
    for size, fits in ((22, (B, C)), (26, (D,))):
        listing.add("DLV-BUSH", f"Coil retainer ring {size} mm", fits, use=0.8, pack_size=10)
    for hole, fits in ((8, (B,)), (10, (B, C)), (12, (C,)), (16, (D,))):
        listing.add("DLV-GROM", f"Tray grommet {hole} mm hole", fits, use=2.0, pack_size=20)
    for hole, fits in ((10, (B, C)), (12, (D,))):
        listing.add("DLV-GROM", f"Coil rear bushing {hole} mm", fits, use=1.5, pack_size=20)
    for contact in ("n/o", "n/c"):
        for lever, fits, use in (("short", (B, C), 1.5), ("long", (D,), 1.0)):
            listing.add("DLV-HOME", f"Motor home switch {contact} {lever} lever", fits, use=use, pack_size=5)


def _holders(listing: Listing) -> None:
    for fits, words in (((B, C), f"{B} / {C}"), ((D,), D)):
        for box, use in (("can", 3.0), ("bottle", 1.5)):
            listing.pair("DLV-CLIP", f"Retainer clip {box} {{hand}}, {words}", fits, FRONT, use=use, pack_size=10)
    for width, fits in ((74, (B, C)), (80, (B, C, D)), (92, (B, D))):
        listing.add("DLV-RETB", f"Front retainer bar {width} mm lane", fits, use=1.5)
        listing.add("DLV-RETB", f"Front retainer bar {width} mm lane, tall, height-adjustable", fits, use=0.6, dear=1.4)
    for fits in (B, C, D):
        listing.add("DLV-DIV", f"Lane divider standard, {fits}", (fits,), use=0.6)
        listing.add("DLV-DIV", f"Lane divider double lane, {fits}", (fits,), use=0.3, dear=1.3)
    for fits, use in ((B, 1.0), (C, 1.0)):
        listing.pair("DLV-CHUT", f"Delivery flap spring {{hand}}, {fits}", (fits,), FRONT, use=use)
    for words, fits, grams in (("Delivery bin door", (D,), 1400), ("Delivery flap seal strip", (B, C), 90)):
        listing.add("DLV-CHUT", f"{words}, {' / '.join(fits)}", fits, use=0.6, weight_g=grams)


def _sensors(listing: Listing) -> None:
    old = listing.number("DLV-SNSR")
    live = listing.add(
        "DLV-SNSR", f"Drop sensor optical bar, emitter and receiver pair, {B}", (B,), unit="pair", use=2.0, dear=1.2
    )
    listing.add(
        "DLV-SNSR",
        f"Drop sensor optical bar pair, first type, {B}",
        (B,),
        old,
        unit="pair",
        superseded_by=live.part_number,
    )
    listing.add(
        "DLV-SNSR", f"Drop sensor optical bar, emitter and receiver pair, {C}", (C,), unit="pair", use=2.0, dear=1.2
    )
    listing.add("DLV-SNSR", f"Drop sensor piezo plate, {C}", (C,), use=0.6, dear=0.7)
    listing.add("DLV-SNSR", f"Drop sensor piezo plate, {D}", (D,), use=1.5, dear=0.7)
    for lanes, fits, use in ((6, (B,), 0.6), (8, (B,), 1.2), (9, (C,), 1.2), (10, (C,), 0.6), (9, (D,), 1.0)):
        listing.add("DLV-TRHN", f"Tray harness {lanes} lane, {fits[0]}", fits, use=use, aliases="tray loom")
