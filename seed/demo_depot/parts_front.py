"""Door and payment parts."""

from __future__ import annotations

from demo_depot.families import BRACKWELL, HALVORN, B, C, D
from demo_depot.listing import Listing

HINGE = "hinge side as seen from the front"
ALL = (B, C, D)


def add_front(listing: Listing) -> None:
    """Add the door and payment families."""
    _lights(listing)
    _keys_and_displays(listing)
    _door(listing)
    _notes_and_coins(listing)
    _cashless(listing)


def _lights(listing: Listing) -> None:
    strips = ((450, "24 V DC", "4000 K", (C, D), 0.6), (600, "24 V DC", "4000 K", (B, C), 2.0))
    strips += ((900, "24 V DC", "4000 K", (B,), 3.0), (1200, "24 V DC", "4000 K", (C, D), 2.0))
    strips += ((600, "12 V DC", "4000 K", (D,), 0.6), (900, "12 V DC", "4000 K", (B,), 0.4))
    strips += ((900, "24 V DC", "6500 K", (B,), 0.6), (1200, "24 V DC", "6500 K", (C,), 0.5))
    for length, volts, colour, fits, use in strips:
        text = f"LED strip {length} mm {volts} {colour}"
        listing.add("DOR-LED", text, fits, use=use, dear=0.6 + length / 1500, weight_g=length // 5, pack_size=2)
    for volts in (115, 230):
        for amps, use in ((2, 1.5), (4, 0.6)):
            text = f"LED driver {volts} V AC to 24 V DC {amps} A"
            listing.add("DOR-DRVR", text, ALL, use=use if volts == 115 else use * 0.15, dear=0.8 + amps / 8)
    live = listing.add("DOR-DRVR", "LED driver 115 V AC to 12 V DC 3 A", (B, D), use=0.5)
    text = "Lamp ballast 115 V, tube light (old)"
    listing.add("DOR-DRVR", text, (B,), superseded_by=live.part_number, retired="yes", use=0.0)


def _keys_and_displays(listing: Listing) -> None:
    listing.revisions("DOR-BTN", f"Keypad 12 key matrix rev {{rev}}, {B}", (B,), "AB", retired="A", dear=1.2)
    listing.add("DOR-BTN", f"Keypad 16 key matrix, {C}", (C,), use=1.0, dear=1.3)
    listing.add("DOR-BTN", f"Touch panel, {D}", (D,), use=0.6, dear=1.7)
    for size, use in (("small", 1.2), ("large", 0.8)):
        listing.add("DOR-BTN", f"Selection button single, {size}, {D}", (D,), use=use, dear=0.15, cautions="UNPLUG")
    listing.add("DOR-BTN", "Keypad overlay, numbers and letters", (B, C), use=0.5, dear=0.2, cautions="")
    listing.revisions("DOR-DISP", f"Display module 2x16 character rev {{rev}}, {B}", (B,), "AB", dear=0.7)
    listing.add("DOR-DISP", f"Display module VFD 20 character, {C}", (C,), use=0.8, dear=1.0)
    listing.add("DOR-DISP", f"Display module LCD 4.3 in, {C}", (C,), use=0.5, dear=1.2)
    listing.add("DOR-DISP", f"Display module LCD 7 in, {D}", (D,), use=0.8, dear=1.5)


def _door(listing: Listing) -> None:
    for code in ("N117", "N118", "N204", "N311"):
        listing.add(
            "DOR-LOCK", f"Lock cylinder key code {code}, 2 keys", ALL, use=0.8, supplier_part_number=f"NC-{code}"
        )
    listing.add("DOR-LOCK", "Lock cylinder keyed alike, set of 5, 2 keys", ALL, unit="set", use=0.3, dear=2.5)
    listing.add("DOR-LOCK", "T-handle core, round key", (B, C), use=0.6)
    for fits in ALL:
        listing.pair("DOR-HNDL", f"Door handle assembly {{hand}} swing, {fits}", (fits,), HINGE, use=0.6)
    for fits, sizes in ((B, "610 x 1180 mm"), (C, "720 x 1240 mm")):
        for heated in ("", " heated"):
            text = f"Door glass{heated} {sizes}, {fits}"
            listing.add("DOR-GLAS", text, (fits,), use=0.4, dear=1.3 if heated else 0.8, lead_time_days="35")
    listing.add("DOR-GLAS", f"Window panel 480 x 640 mm, {D}", (D,), use=0.4, dear=0.6, weight_g=7500)
    strips = (("Price strip 30 x 18 mm, sheet of 50", 6), ("Price strip blank 45 x 22 mm, sheet of 24", 3))
    for text, use in (*strips, ("Flavour strip can, assorted", 5), ("Flavour strip bottle, assorted", 3)):
        listing.add("DOR-LABL", text, (), use=use, dear=0.4, pack_size=10)
    listing.add("DOR-LABL", "Lane number set 1-60", (), unit="set", use=0.5, dear=1.2)
    listing.add("DOR-LABL", "Window graphic, set", (B, C), unit="set", use=0.2, dear=2.0)


def _notes_and_coins(listing: Listing) -> None:
    text = "Note acceptor up stack 34 V rev {rev}"
    listing.revisions("PAY-NOTE", text, (B, C), "ABC", retired="A", use=1.0, aliases="bill acceptor|note reader")
    listing.add("PAY-NOTE", "Note acceptor down stack 34 V", (C, D), use=0.5)
    listing.add("PAY-NOTE", "Note acceptor up stack 115 V", (B,), use=0.2, cautions="MAINS|STATIC|CUSTODY")
    for words, fits in (("up stack", (B, C)), ("down stack", (C, D)), ("115 V type", (B,))):
        listing.add(
            "PAY-BELT",
            f"Note acceptor belt and roller kit, {words}",
            fits,
            unit="set",
            use=2.0 if fits != (B,) else 0.5,
        )
    listing.add("PAY-CARD", "Note cleaning card, alcohol-wet", ALL, use=5.0, pack_size=50, minimum="50")
    listing.add("PAY-CARD", "Card reader cleaning card, dry", ALL, use=1.5, pack_size=50, minimum="50")
    old = listing.number("PAY-COIN")
    for tubes, use in ((3, 0.4), (5, 1.0), (6, 0.5)):
        live = listing.add(
            "PAY-COIN", f"Coin mechanism {tubes} tube, payment bus", ALL, use=use, aliases="coin mech|changer"
        )
        if tubes == 5:
            text = "Coin mechanism 5 tube, 24 V parallel (old)"
            listing.add("PAY-COIN", text, (B,), old, superseded_by=live.part_number, use=0.0)
    for tubes in (3, 5, 6):
        listing.add("PAY-TUBE", f"Coin tube cassette {tubes} tube", ALL, use=0.8)
    for fits in (B, C):
        listing.add("PAY-CBOX", f"Cash box with lid, {fits}", (fits,), use=0.3)


def _cashless(listing: Listing) -> None:
    listing.add("PAY-RDR", "Card reader contactless", ALL, use=1.0, dear=0.9)
    text = "Card reader chip and contactless rev {rev}"
    listing.revisions("PAY-RDR", text, ALL, "AB", use=1.2, dear=1.1, aliases="tap reader")
    for length, use in (("0.6 m", 1.5), ("1.0 m", 1.0), ("1.8 m", 0.6)):
        listing.add(
            "PAY-HARN",
            f"Payment bus harness {length}",
            ALL,
            use=use,
            aliases="payment loom" if length == "1.0 m" else "",
        )
    listing.add("PAY-HARN", "Payment bus Y harness 0.6 m", ALL, use=1.0)
    listing.add("PAY-HARN", "Payment bus extension 1.0 m", ALL, use=0.6)
    listing.add("PAY-HARN", "Coin mechanism lead, 24 V parallel", (B,), use=0.1, supplier=HALVORN)
    listing.add("PAY-CARD", "Reader privacy shield film", ALL, use=0.3, cautions="", supplier=BRACKWELL, pack_size=10)
