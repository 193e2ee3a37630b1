"""The trade families of the demo catalogue and what every item of a family starts with.

Prices are indicative trade prices, weights and cautions common practice; the makers and part numbers are invented.
"""

from __future__ import annotations

from dataclasses import dataclass

ORVANE, HALVORN, FROSTWEND = "Orvane Vending Spares", "Halvorn Controls", "Frostwend Cooling"
BRACKWELL, PELLWATER, QUENBY = "Brackwell Fixings", "Pellwater Drinks", "Quenby Overseas Parts"
B, C, D = "Borealis 40", "Cascade 54", "Drift 9"


@dataclass(frozen=True)
class Family:
    """What the items of a family share. ``group`` opens their part numbers; prices in major units, weight in grams."""

    code: str
    category: str
    group: int
    low: float
    high: float
    weight_g: int
    supplier: str
    cautions: str = ""
    kind: str = "part"
    tracking: str = "quantity"
    disposition: str = "consumable"
    zone: str = "small"


_ROWS = (
    ("DLV-MTR", "delivery", 110, 18, 60, 300, ORVANE, "UNPLUG|PINCH", "part", "quantity", "consumable", "small"),
    ("DLV-COIL", "delivery", 120, 10, 35, 500, ORVANE, "SPRING", "part", "quantity", "reusable", "rack"),
    ("DLV-END", "delivery", 130, 1, 5, 20, ORVANE, "", "part", "quantity", "consumable", "small"),
    ("DLV-BUSH", "delivery", 140, 1.5, 6, 20, ORVANE, "", "part", "quantity", "consumable", "small"),
    ("DLV-GROM", "delivery", 150, 0.5, 3, 10, ORVANE, "", "part", "quantity", "consumable", "small"),
    ("DLV-SPC", "delivery", 160, 1, 9, 50, ORVANE, "", "spacer", "quantity", "reusable", "small"),
    ("DLV-DIV", "delivery", 170, 5, 18, 400, ORVANE, "EDGE", "part", "quantity", "reusable", "rack"),
    ("DLV-CLIP", "delivery", 180, 0.5, 4, 10, ORVANE, "SPRING", "part", "quantity", "consumable", "small"),
    ("DLV-RETB", "delivery", 190, 4, 20, 100, ORVANE, "", "part", "quantity", "reusable", "small"),
    ("DLV-SNSR", "delivery", 200, 35, 140, 200, HALVORN, "UNPLUG|STATIC", "part", "quantity", "core", "small"),
    ("DLV-HOME", "delivery", 210, 4, 15, 20, ORVANE, "UNPLUG", "part", "quantity", "consumable", "small"),
    ("DLV-CHUT", "delivery", 220, 15, 70, 800, ORVANE, "PINCH", "part", "quantity", "reusable", "rack"),
    ("DLV-TRHN", "delivery", 230, 25, 80, 200, HALVORN, "UNPLUG", "part", "quantity", "reusable", "small"),
    ("DOR-LED", "door", 310, 15, 60, 200, QUENBY, "UNPLUG|STATIC", "part", "quantity", "consumable", "rack"),
    ("DOR-DRVR", "door", 320, 18, 70, 300, HALVORN, "MAINS|CHARGE", "part", "quantity", "consumable", "small"),
    ("DOR-BTN", "door", 330, 4, 90, 100, HALVORN, "UNPLUG|STATIC", "part", "quantity", "consumable", "small"),
    ("DOR-DISP", "door", 340, 40, 220, 300, HALVORN, "UNPLUG|GLASS|STATIC", "board", "serial", "core", "cage"),
    ("DOR-LOCK", "door", 350, 10, 45, 100, ORVANE, "CUSTODY", "part", "quantity", "controlled", "cage"),
    ("DOR-HNDL", "door", 360, 25, 90, 900, ORVANE, "PINCH", "part", "quantity", "reusable", "rack"),
    ("DOR-GLAS", "door", 370, 120, 500, 18000, QUENBY, "LIFT|GLASS", "part", "quantity", "consumable", "floor"),
    ("DOR-LABL", "door", 380, 0.2, 8, 10, BRACKWELL, "", "part", "quantity", "consumable", "small"),
    ("PAY-NOTE", "payment", 410, 180, 420, 1800, HALVORN, "UNPLUG|STATIC|CUSTODY", "part", "serial", "core", "cage"),
    ("PAY-BELT", "payment", 420, 8, 30, 50, HALVORN, "UNPLUG", "part", "quantity", "consumable", "small"),
    ("PAY-CARD", "payment", 430, 0.8, 3, 10, BRACKWELL, "EYES", "consumable", "quantity", "consumable", "small"),
    ("PAY-COIN", "payment", 440, 180, 450, 2200, HALVORN, "UNPLUG|STATIC|CUSTODY", "part", "serial", "core", "cage"),
    ("PAY-TUBE", "payment", 450, 25, 90, 400, HALVORN, "CUSTODY", "part", "quantity", "reusable", "cage"),
    (
        "PAY-RDR",
        "payment",
        460,
        150,
        450,
        400,
        HALVORN,
        "UNPLUG|STATIC|CUSTODY",
        "part",
        "serial",
        "controlled",
        "cage",
    ),
    ("PAY-HARN", "payment", 470, 10, 45, 150, HALVORN, "UNPLUG", "part", "quantity", "reusable", "small"),
    ("PAY-CBOX", "payment", 480, 15, 60, 800, ORVANE, "CUSTODY", "part", "quantity", "reusable", "cage"),
    ("CTL-MAIN", "control", 510, 140, 550, 500, HALVORN, "CELL|UNPLUG|STATIC", "board", "serial", "core", "cage"),
    ("CTL-DRV", "control", 520, 45, 220, 300, HALVORN, "UNPLUG|STATIC", "board", "serial", "core", "cage"),
    ("CTL-DBRD", "control", 530, 45, 180, 200, HALVORN, "UNPLUG|STATIC", "board", "serial", "core", "cage"),
    ("CTL-RLY", "control", 540, 5, 35, 50, HALVORN, "MAINS", "part", "quantity", "consumable", "small"),
    ("CTL-PSU", "control", 550, 30, 160, 1500, HALVORN, "MAINS|CHARGE", "part", "quantity", "core", "rack"),
    ("CTL-FUSE", "control", 560, 0.2, 2, 10, BRACKWELL, "FUSE", "part", "quantity", "consumable", "small"),
    ("CTL-BATT", "control", 570, 0.5, 4, 3, BRACKWELL, "CELL", "consumable", "lot", "regulated", "cells"),
    ("CTL-TEL", "control", 580, 120, 350, 400, HALVORN, "STATIC|CUSTODY", "part", "serial", "core", "cage"),
    ("CTL-ANT", "control", 590, 8, 35, 100, HALVORN, "", "part", "quantity", "consumable", "small"),
    ("CTL-DSW", "control", 600, 4, 18, 30, ORVANE, "MAINS", "part", "quantity", "consumable", "small"),
    ("CTL-DEXP", "control", 610, 10, 30, 50, HALVORN, "UNPLUG", "part", "quantity", "reusable", "small"),
    (
        "REF-DECK",
        "refrigeration",
        710,
        550,
        1300,
        40000,
        FROSTWEND,
        "SEALED|MAINS|LIFT",
        "part",
        "serial",
        "core",
        "floor",
    ),
    (
        "REF-COMP",
        "refrigeration",
        720,
        160,
        420,
        11000,
        FROSTWEND,
        "SEALED|MAINS|LIFT",
        "part",
        "serial",
        "core",
        "floor",
    ),
    (
        "REF-STRT",
        "refrigeration",
        730,
        12,
        45,
        100,
        FROSTWEND,
        "MAINS|CHARGE",
        "part",
        "quantity",
        "consumable",
        "small",
    ),
    ("REF-CFAN", "refrigeration", 740, 22, 85, 900, FROSTWEND, "MAINS|BLADE", "part", "quantity", "consumable", "rack"),
    (
        "REF-EFAN",
        "refrigeration",
        750,
        25,
        95,
        700,
        FROSTWEND,
        "MAINS|BLADE|EDGE",
        "part",
        "quantity",
        "consumable",
        "rack",
    ),
    ("REF-BLAD", "refrigeration", 760, 4, 20, 100, FROSTWEND, "EDGE", "part", "quantity", "consumable", "small"),
    ("REF-PROB", "refrigeration", 770, 8, 40, 30, FROSTWEND, "UNPLUG", "part", "quantity", "consumable", "small"),
    ("REF-STAT", "refrigeration", 780, 18, 60, 200, FROSTWEND, "MAINS", "part", "quantity", "consumable", "small"),
    ("REF-DEF", "refrigeration", 790, 18, 80, 200, FROSTWEND, "MAINS|HOT", "part", "quantity", "consumable", "rack"),
    ("REF-HARN", "refrigeration", 800, 18, 75, 300, FROSTWEND, "MAINS", "part", "quantity", "reusable", "rack"),
    ("REF-FILT", "refrigeration", 810, 4, 20, 100, FROSTWEND, "EYES", "consumable", "quantity", "consumable", "rack"),
    ("REF-DRN", "refrigeration", 820, 6, 40, 500, FROSTWEND, "", "part", "quantity", "reusable", "rack"),
    ("CAB-LEG", "cabinet", 850, 3, 15, 200, ORVANE, "TIP|LIFT", "part", "quantity", "reusable", "small"),
    ("CAB-GSKT", "cabinet", 855, 25, 120, 800, QUENBY, "", "part", "quantity", "consumable", "rack"),
    ("CAB-HNGE", "cabinet", 860, 15, 80, 1200, ORVANE, "LIFT|PINCH", "part", "quantity", "reusable", "rack"),
    ("CAB-CORD", "cabinet", 870, 15, 50, 600, BRACKWELL, "MAINS", "part", "quantity", "consumable", "rack"),
    ("CAB-GFCI", "cabinet", 875, 30, 90, 300, BRACKWELL, "MAINS", "part", "quantity", "consumable", "rack"),
    ("CAB-KICK", "cabinet", 880, 15, 70, 1500, ORVANE, "EDGE", "part", "quantity", "reusable", "rack"),
    ("CAB-ANCH", "cabinet", 885, 12, 60, 1000, ORVANE, "TIP|LIFT", "part", "quantity", "consumable", "rack"),
    ("FAS-SCRW", "fastener", 910, 0.02, 0.4, 5, BRACKWELL, "", "fastener", "bulk", "consumable", "bulk"),
    ("FAS-NUT", "fastener", 915, 0.02, 0.5, 5, BRACKWELL, "", "fastener", "bulk", "consumable", "bulk"),
    ("FAS-RIVT", "fastener", 920, 0.05, 0.6, 2, BRACKWELL, "EYES", "fastener", "bulk", "consumable", "bulk"),
    ("FAS-TIE", "fastener", 925, 0.02, 0.2, 2, BRACKWELL, "", "fastener", "bulk", "consumable", "bulk"),
    ("FAS-TERM", "fastener", 930, 0.05, 0.8, 2, BRACKWELL, "", "fastener", "bulk", "consumable", "bulk"),
    ("CON-SUP", "consumable", 940, 2, 18, 300, BRACKWELL, "EYES", "consumable", "quantity", "consumable", "rack"),
    ("KIT-LANE", "kit", 950, 6, 35, 300, "", "", "kit", "quantity", "consumable", ""),
    ("KIT-CPL", "kit", 955, 60, 180, 1600, "", "UNPLUG|SPRING", "kit", "quantity", "consumable", ""),
    ("KIT-PM", "kit", 960, 20, 80, 600, "", "UNPLUG", "kit", "quantity", "consumable", ""),
    ("DRK-CASE", "drinks", 990, 0.4, 1.6, 400, PELLWATER, "", "product case", "lot", "consumable", "drinks"),
)
FAMILIES = {row[0]: Family(*row) for row in _ROWS}
