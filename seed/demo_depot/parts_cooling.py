"""Refrigeration and cabinet parts."""

from __future__ import annotations

from demo_depot.families import B, C, D
from demo_depot.listing import Listing

ALL = (B, C, D)
HINGE = "hinge side as seen from the front"
_FLAMMABLE = "SEALED|FLAMMABLE|MAINS|LIFT"


def add_cooling(listing: Listing) -> None:
    """Add the refrigeration and cabinet families."""
    _decks(listing)
    _fans(listing)
    _controls(listing)
    _stand(listing)
    _cabinet(listing)


def _decks(listing: Listing) -> None:
    over = {"cautions": _FLAMMABLE, "lead_time_days": "21"}
    for fits, volts, use in ((B, 115, 1.0), (C, 115, 0.8), (D, 115, 0.6), (C, 230, 0.1)):
        text = f"Refrigeration deck complete R-290 {volts} V, {fits}"
        live = listing.add("REF-DECK", text, (fits,), use=use, **over)
        if fits == B:
            text = f"Refrigeration deck complete R-134a 115 V, {B} (old)"
            listing.add("REF-DECK", text, (B,), superseded_by=live.part_number, use=0.0)
    for gas, power, volts, use in (
        ("R-290", "1/4 hp", 115, 0.6),
        ("R-290", "1/3 hp", 115, 0.6),
        ("R-290", "1/3 hp", 230, 0.1),
    ):
        listing.add("REF-COMP", f"Compressor {gas} {power} {volts} V", ALL, use=use, **over)
    listing.add("REF-COMP", "Compressor R-134a 1/3 hp 115 V", (B, C), use=0.3, lead_time_days="21")
    for words, volts, use in (("1/4 hp", 115, 1.0), ("1/3 hp", 115, 1.2), ("1/3 hp", 230, 0.1)):
        listing.add("REF-STRT", f"Start relay and overload kit {words} {volts} V", ALL, unit="set", use=use)
    listing.add("REF-STRT", "Start capacitor and PTC kit 115 V", (B, C), unit="set", use=0.5)


def _fans(listing: Listing) -> None:
    fans = (("REF-CFAN", "Condenser fan motor", "9 W", 1.5), ("REF-CFAN", "Condenser fan motor", "16 W", 0.7))
    for family, name, watts, use in (*fans, ("REF-EFAN", "Evaporator fan motor", "6 W", 1.5)):
        for volts, share in (("115 V", 1.0), ("230 V", 0.1)):
            for turn, part in (("CW", 1.0), ("CCW", 0.6)):
                text = f"{name} {watts} {volts} {turn}"
                listing.add(family, text, ALL, use=use * share * part, viewpoint="rotation as seen from the shaft end")
    for family, name in (("REF-CFAN", "Condenser fan motor 10 W"), ("REF-EFAN", "Evaporator fan motor 5 W")):
        for turn in ("CW", "CCW"):
            text = f"{name} 24 V DC {turn}"
            over = {"cautions": "UNPLUG|BLADE", "viewpoint": "rotation as seen from the shaft end"}
            listing.add(family, text, (D,), use=0.7, **over)
    for size, pitch in ((172, 22), (200, 28), (230, 34)):
        for turn, use in (("CW", 1.0), ("CCW", 0.6)):
            over = {"viewpoint": "rotation as seen from the shaft end", "use": use}
            listing.add("REF-BLAD", f"Fan blade {size} mm {pitch} deg {turn}", ALL, **over)


def _controls(listing: Listing) -> None:
    for curve, lead, use in (("10k", "1.5 m", 1.5), ("10k", "3 m", 0.8), ("5k", "1.5 m", 0.6), ("2.2k", "1.5 m", 0.4)):
        listing.add(
            "REF-PROB", f"Temperature probe {curve} {lead} lead", ALL, use=use, aliases="thermistor" if use > 1 else ""
        )
    for words in ("cut-in 5 / cut-out 1 C", "cut-in 7 / cut-out 2 C", "cut-in 4 / cut-out -1 C"):
        listing.add("REF-STAT", f"Thermostat mechanical {words}", (B, C), use=0.4)
    for words, use in (("Defrost heater 80 W 115 V", 0.5), ("Defrost heater 80 W 230 V", 0.1)):
        listing.add("REF-DEF", words, ALL, use=use)
    for volts, use in ((115, 0.5), (230, 0.1)):
        listing.add("REF-DEF", f"Mullion heater 35 W {volts} V", (B, C), use=use)
    for fits in ALL:
        listing.add("REF-HARN", f"Refrigeration harness, {fits}", (fits,), use=0.3)
    for size, fits in (("280 x 180", (B,)), ("320 x 200", (C,)), ("260 x 150", (D,))):
        listing.add("REF-FILT", f"Condenser filter {size} mm", fits, use=2.5, pack_size=5)
    listing.add("REF-FILT", "Condenser filter media, cut to size, 1 m", ALL, use=0.8, dear=0.7)
    listing.add("REF-DRN", "Drain pan", (B, C), use=0.5)
    listing.add("REF-DRN", "Drain hose 12 mm, 1 m", ALL, use=0.8, dear=0.4, weight_g=120)
    listing.add("REF-DRN", f"Drain pan, {D}", (D,), use=0.3)


def _stand(listing: Listing) -> None:
    for thread in ("M12", "1/2-13"):
        for length, use in ((50, 2.0), (75, 1.0)):
            listing.add("CAB-LEG", f"Leg leveller {thread} x {length} mm", (B, C), use=use, pack_size=4)
    listing.add("CAB-LEG", "Leg leveller M16 x 60 mm", (D,), use=1.0, pack_size=4)
    listing.add("CAB-ANCH", "Anti-tip bracket kit, wall", ALL, unit="set", use=1.0)
    listing.add("CAB-ANCH", "Anti-tip bracket kit, floor", ALL, unit="set", use=0.5)


def _cabinet(listing: Listing) -> None:
    for fits, size in ((B, "1180 mm"), (C, "1240 mm"), (D, "1520 mm")):
        listing.add("CAB-GSKT", f"Door gasket magnetic {size}, {fits}", (fits,), use=1.0)
    listing.add("CAB-GSKT", f"Door gasket push-in profile, per door, {B}", (B,), use=0.4)
    for fits in (B, C):
        for place in ("top", "bottom"):
            listing.pair("CAB-HNGE", f"Door hinge set {{hand}} {place}, {fits}", (fits,), HINGE, unit="set", use=0.4)
    listing.pair("CAB-HNGE", f"Door hinge pin {{hand}}, {D}", (D,), HINGE, use=0.4, dear=0.4, weight_g=150)
    for plug, length, use in (
        ("5-15", "2 m", 1.0),
        ("5-15", "3 m", 1.2),
        ("5-20", "3 m", 0.4),
        ("CEE 7/7", "3 m", 0.1),
    ):
        listing.add("CAB-CORD", f"Power cord {plug} plug, {length}", ALL, use=use)
    listing.add("CAB-GFCI", "Leakage-protection plug in-line 115 V 15 A", ALL, use=0.8, aliases="GFCI plug")
    listing.add("CAB-GFCI", "Leakage-protection plug in-line 230 V 16 A", ALL, use=0.1, aliases="RCD plug")
    for fits in ALL:
        listing.add("CAB-KICK", f"Kick plate, {fits}", (fits,), use=0.3)
