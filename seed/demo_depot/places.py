"""Bins and vans, and which bin is an item's own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from demo_depot.listing import Item

VANS = ("VAN1", "VAN2", "VAN3", "VAN4", "VAN5")
_ROUNDS = ("north round", "south round", "town centre", "hospitals and colleges", "relief and installations")
_DRAWERS = (("D1", "delivery small parts"), ("D2", "fuses, relays, leads"), ("D3", "fixings and strips"))
DRAWER_OF = {  # which families have a drawer on a van; the rest lies in the van itself
    **dict.fromkeys(("DLV-END", "DLV-BUSH", "DLV-GROM", "DLV-SPC", "DLV-CLIP", "DLV-HOME"), "D1"),
    **dict.fromkeys(("CTL-FUSE", "CTL-RLY", "CTL-BATT", "CTL-DSW", "PAY-HARN", "PAY-BELT", "REF-PROB"), "D2"),
    **dict.fromkeys(("FAS-SCRW", "FAS-NUT", "FAS-RIVT", "FAS-TIE", "FAS-TERM", "DOR-LABL", "PAY-CARD"), "D3"),
}


@dataclass(frozen=True)
class Place:
    """One row of places.csv."""

    place: str
    kind: str
    name: str = ""
    parent: str = ""
    zone: str = ""


def _bay(aisle: str, bay: int, levels: Iterable[int], zone: str, wide: int = 4) -> list[Place]:
    """The bins of one bay; the upper two levels are a position narrower."""
    return [
        Place(f"{aisle}-{bay:02d}-{level:02d}-{position}", "bin", zone=zone)
        for level in levels
        for position in range(1, wide + (level < 4))
    ]


def bins() -> list[Place]:
    """Every bin of the warehouse: aisles A and B, the cage C, the cell cabinet K, quarantine Q."""
    found = []
    for bay in range(1, 15):
        found += _bay("A", bay, range(1, 6), "bulk fixings" if bay <= 2 else "small parts" if bay <= 12 else "racking")
    for bay in range(1, 9):
        found += _bay("B", bay, (1,), "floor" if bay >= 5 else "racking")
        found += _bay("B", bay, (2, 3, 4, 5), "racking")
    for bay in range(9, 15):
        found += _bay("B", bay, (1, 2, 3), "drinks", 3)
        found += _bay("B", bay, (4, 5), "overstock")
    for bay in range(1, 4):
        found += _bay("C", bay, range(1, 5), "cage")
    found += _bay("K", 1, (1, 2), "cell cabinet", 3)
    found += _bay("Q", 1, (1,), "quarantine", 2)
    return found


def vans() -> list[Place]:
    """The vans, each followed by its drawers."""
    found = []
    for van, words in zip(VANS, _ROUNDS, strict=True):
        found.append(Place(van, "van", name=f"Van {van[3:]}, {words}"))
        found += [Place(f"{van}-{drawer}", "drawer", name, van) for drawer, name in _DRAWERS]
    return found


def on_van(item: Item, van: str) -> str:
    """Where on a van an item lies: its drawer, or the van itself."""
    drawer = DRAWER_OF.get(item.family)
    return f"{van}-{drawer}" if drawer else van


def van_of(place: str) -> str:
    """The van a drawer belongs to; a van is its own."""
    return place.split("-")[0]


def give_home_bins(items: Iterable[Item], warehouse: list[Place]) -> None:
    """Give every item that can lie on a shelf its own bin, families side by side, some bins left free."""
    zones = {"small": "small parts", "rack": "racking", "bulk": "bulk fixings", "cells": "cell cabinet"}
    free: dict[str, list[str]] = {}
    for place in warehouse:
        free.setdefault(place.zone, []).append(place.place)
    shelved = [item for item in items if not item.kit and not item.retired]
    spare = {zone: len(places) for zone, places in free.items()}
    for item in shelved:
        spare[zones.get(item.zone, item.zone)] -= 1
    for count, item in enumerate(shelved, 1):
        zone = zones.get(item.zone, item.zone)
        if count % 16 == 0 and spare[zone] > 0:  # a free bin here and there, as on any shelf
            free[zone].pop(0)
            spare[zone] -= 1
        item.home_bin = free[zone].pop(0)
