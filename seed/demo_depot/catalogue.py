"""The whole catalogue, put together, with second suppliers."""

from __future__ import annotations

from demo_depot.chance import settled
from demo_depot.drinks import add_drinks
from demo_depot.families import BRACKWELL, HALVORN, ORVANE, QUENBY
from demo_depot.listing import Item, Listing, their_number
from demo_depot.parts_control import add_control
from demo_depot.parts_cooling import add_cooling
from demo_depot.parts_delivery import add_delivery
from demo_depot.parts_front import add_front
from demo_depot.parts_small import add_kits, add_small
from demo_depot.places import bins, give_home_bins

_ALSO = {  # family: who else sells it, at what part of the usual price
    "DLV-MTR": (QUENBY, 0.78),
    "DLV-COIL": (QUENBY, 0.74),
    "DLV-SPC": (QUENBY, 0.70),
    "DLV-CLIP": (BRACKWELL, 1.10),
    "CTL-FUSE": (HALVORN, 1.35),
    "CTL-RLY": (BRACKWELL, 1.05),
    "PAY-HARN": (QUENBY, 0.72),
    "DOR-LED": (HALVORN, 1.30),
    "REF-CFAN": (ORVANE, 1.12),
}


def catalogue() -> dict[str, Item]:
    """Return every item by part number, in catalogue order, home bins given."""
    listing = Listing()
    for add in (add_delivery, add_front, add_control, add_cooling, add_small, add_kits, add_drinks):
        add(listing)
    give_home_bins(listing.items.values(), bins())
    return listing.items


def second_suppliers(items: dict[str, Item]) -> list[tuple[str, ...]]:
    """Return the rows of item_suppliers.csv: a dearer one nearby, or a cheaper one overseas with a minimum."""
    rows = []
    for item in items.values():
        other, share = _ALSO.get(item.family, ("", 0.0))
        if not other or other == item.supplier or not item.stocked or settled("also" + item.part_number) > 0.6:
            continue
        pack = item.pack_size * (5 if other == QUENBY else 1)
        minimum = pack * 2 if other == QUENBY else 0
        number, cost = their_number(other, item.part_number), f"{max(0.02, item.money * share):.2f}"
        rows.append((item.part_number, other, number, cost, str(pack), str(minimum), "", ""))
    return rows
