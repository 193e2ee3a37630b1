"""Control parts: boards, supplies, relays, fuses, cells, telemetry."""

from __future__ import annotations

from demo_depot.families import B, C, D
from demo_depot.listing import Listing

ALL = (B, C, D)
_SERIES_5X20 = ("1 A", "2 A", "3.15 A", "5 A", "6.3 A", "10 A")
_SERIES_6X32 = ("3 A", "5 A", "10 A")


def add_control(listing: Listing) -> None:
    """Add the control families."""
    _boards(listing)
    _power(listing)
    _fuses_and_cells(listing)
    _links(listing)


def _boards(listing: Listing) -> None:
    listing.revisions("CTL-MAIN", f"Main control board rev {{rev}}, {B}", (B,), "ABC", retired="A", use=1.0, dear=0.9)
    listing.revisions("CTL-MAIN", f"Main control board rev {{rev}}, {C}", (C,), "AB", use=1.0)
    listing.revisions("CTL-MAIN", f"Main control board rev {{rev}}, {D}", (D,), "AB", retired="A", use=0.8, dear=1.2)
    listing.revisions("CTL-DRV", f"Motor driver board 8 lane rev {{rev}}, {B}", (B,), "AB", use=1.0)
    listing.add("CTL-DRV", f"Motor driver board 10 lane, {C}", (C,), use=0.8)
    listing.add("CTL-DRV", f"Motor driver board 9 lane coupled, {D}", (D,), use=0.6)
    listing.add("CTL-DRV", f"Relay board, compressor and lights, {C}", (C,), use=0.5, cautions="MAINS|STATIC")
    listing.revisions("CTL-DBRD", f"Door board rev {{rev}}, {B}", (B,), "BC", use=0.6)
    listing.add("CTL-DBRD", f"Display board, {C}", (C,), use=0.6)
    listing.add("CTL-DBRD", f"Door board, {D}", (D,), use=0.5)


def _power(listing: Listing) -> None:
    for coil, share in (("24 V DC", 1.0), ("115 V AC", 0.7), ("230 V AC", 0.1)):
        for poles, use in (("1 pole 30 A", 1.0), ("2 pole 10 A", 0.7)):
            listing.add("CTL-RLY", f"Power relay {coil} coil, {poles}", ALL, use=use * share)
    small = listing.add("CTL-PSU", "Power supply 24 V DC 100 W, 115/230 V in", (B, C), use=1.0, dear=0.7)
    large = listing.add("CTL-PSU", "Power supply 24 V DC 150 W, 115/230 V in", ALL, use=1.0, dear=1.0)
    small.substitutes = large.part_number
    listing.add("CTL-PSU", "Power supply 34 V DC 60 W, payment bus", ALL, use=0.6, dear=0.8)
    for volts, va, use in ((115, 75, 0.6), (115, 150, 0.4), (230, 75, 0.1), (230, 150, 0.1)):
        text = f"Transformer {volts}/24 V {va} VA"
        listing.add("CTL-PSU", text, (B, C), use=use, dear=0.5 + va / 300, weight_g=900 + va * 10)
    for kind, use in (("n/o lever", 1.0), ("n/c lever", 0.7), ("n/o plunger", 0.5), ("n/c plunger", 0.5)):
        listing.add("CTL-DSW", f"Door switch {kind}", ALL, use=use, pack_size=5)


def _fuses_and_cells(listing: Listing) -> None:
    for size, series in (("5x20", _SERIES_5X20), ("6x32", _SERIES_6X32)):
        for amps in series:
            for speed, letter in (("slow", "T"), ("fast", "F")):
                use = (3.0 if amps in ("3.15 A", "5 A", "6.3 A") else 0.8) * (1.0 if speed == "slow" else 0.5)
                text = f"Fuse {amps} {speed} ({letter}) {size} mm"
                listing.add("CTL-FUSE", text, (), use=use if size == "5x20" else use * 0.4, pack_size=10, minimum="10")
    for cell, use in (("CR2032", 3.0), ("CR2450", 0.6), ("CR1220", 0.4)):
        listing.add("CTL-BATT", f"Lithium coin cell {cell} 3 V", ALL, use=use, pack_size=10, shelf_life_days="1825")
    listing.add(
        "CTL-BATT", "Lithium coin cell CR2032 3 V with solder tags", (B,), use=0.5, dear=1.5, shelf_life_days="1825"
    )


def _links(listing: Listing) -> None:
    old = listing.number("CTL-TEL")
    live = listing.add("CTL-TEL", "Telemetry unit 4G, outside aerial", ALL, use=1.0, aliases="modem|audit box")
    listing.add("CTL-TEL", "Telemetry unit 4G, inside aerial", ALL, use=0.6)
    listing.add(
        "CTL-TEL",
        "Telemetry unit 3G (network closed)",
        ALL,
        old,
        superseded_by=live.part_number,
        retired="yes",
        use=0.0,
    )
    for words, use in (("stub", 0.6), ("1 m lead", 1.2), ("3 m lead", 1.0)):
        listing.add("CTL-ANT", f"Antenna 4G {words}", ALL, use=use, aliases="aerial" if words == "1 m lead" else "")
    for length in ("0.5 m", "1.2 m"):
        listing.add("CTL-DEXP", f"Audit jack harness {length}", ALL, use=0.6, aliases="DEX cable")
