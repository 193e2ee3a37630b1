"""Rebuilds lanes.csv and the audit files of the demo depot: ``python seed/build_machines.py``.

Reads items, containers, lane types and machines from its own folder, so it runs after ``build_demo.py``. Machines,
sites and readings are invented; a lane carries what the lane-fit arithmetic gives it. Same input, same bytes.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from partsbin.exchange.audit_frame import crc16_arc
from partsbin.exchange.lane_cells import LANE
from partsbin.lanes.chart import Lane, Machine
from partsbin.lanes.containers import Container
from partsbin.lanes.kits import LanePart, Role, lane_kit
from partsbin.lanes.lane_parts import for_family, read_lane_part
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.tables import read_containers, read_lane_types

SEED = Path(__file__).resolve().parent
Drinks = dict[str, list[str]]
# machine family: shelves from the top, each a lane type and the containers along it
SHELVES = {
    "Borealis 40": [
        ("B40-74", ["CAN355"] * 8),
        ("B40-74", ["SLK330"] * 4 + ["SLM250"] * 4),
        ("B40-74", ["CAN355"] * 5 + ["CAN473"] * 3),
        ("B40-80", ["PET500W"] * 4 + ["PET500S"] * 4),
        ("B40-92", ["PET591"] * 8),
    ],
    "Cascade 54": [
        ("C54-74", ["CAN355"] * 9),
        ("C54-74", ["CAN355"] * 9),
        ("C54-74", ["SLK330"] * 5 + ["SLM250"] * 4),
        ("C54-74", ["CAN355"] * 6 + ["CAN473"] * 3),
        ("C54-80", ["PET500W"] * 4 + ["PET500S"] * 5),
        ("C54-80", ["PET591"] * 9),
    ],
    "Drift 9": [
        ("D9-80", ["CAN355"] * 3),
        ("D9-80", ["PET500W", "PET500S", "PET500W"]),
        ("D9-92", ["PET591"] * 3),
    ],
}
PRICES = {"CAN355": 175, "CAN473": 325, "SLK330": 200, "SLM250": 350, "PET500W": 200, "PET500S": 250, "PET591": 275}
FIRST_READ = datetime(2026, 11, 16, 8, 15)
LAST_READ = FIRST_READ + timedelta(days=7, minutes=25)
READ = ("A0417", "A0422", "A0436", "A0502")
SWAPPED, LINE_FEEDS = "A0436", "A0502"  # a new control board between the readings; carriage returns lost
EVENTS = {  # what stands at the last reading: code, count since reset, since start, detail, still active
    "A0422": ["EJB*3*9*34*1", "ENB*4*31**0", "EOH*1*2**1"],
    "A0502": ["EJL*2*2**1", "OPEN ST *6*88**0"],
}


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one demo table."""
    with (SEED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def catalogue_parts(items: list[dict[str, str]]) -> list[tuple[LanePart, tuple[str, ...]]]:
    """Every lane part of the catalogue with the machines it fits; the shelf is taken to have plenty."""
    found = []
    for item in items:
        part = read_lane_part(
            item["part_number"],
            item["family"],
            item["description"],
            hand=item["hand"],
            on_hand=99,
            disposition=item["disposition"],
        )
        if part:
            found.append((part, tuple(f for f in item["fits"].split("|") if f)))
    return found


def drinks_by_container(items: list[dict[str, str]]) -> Drinks:
    """Drinks of each container, best seller first, as the catalogue lists them."""
    drinks: Drinks = {}
    for item in items:
        if item["kind"] == "product case" and item["container"]:
            drinks.setdefault(item["container"], []).append(item["part_number"])
    return drinks


def fitted(container: Container, lane_type: LaneType, parts: list[LanePart], hand: str) -> tuple[dict[str, int], int]:
    """The parts in one lane, its coil included, and how many it holds."""
    single = replace(lane_type if hand == "LH" else lane_type.mirrored(), coupled=False)
    coil = next(
        p
        for p in parts
        if (p.role, p.pitch_mm, p.hand) == (Role.COIL, lane_type.coil_pitch_mm, hand) and p.turns == lane_type.turns
    )
    kit = lane_kit(container, single, parts, fitted={coil.part_number: 1})
    return dict(kit.wanted), kit.capacity


def lanes_of(
    machine: Machine,
    containers: dict[str, Container],
    types: dict[str, LaneType],
    parts: list[LanePart],
    drinks: Drinks,
    chance: Random,
) -> Iterator[Lane]:
    """The chart of one machine, shelf by shelf; each drink at its container's place in the list, wrapping round."""
    met: dict[str, int] = {}
    first = 0 if machine.family == "Drift 9" else 1
    for shelf, (code, along) in enumerate(SHELVES[machine.family], 1):
        lane_type = types[code]
        for place, name in enumerate(along):
            selection = f"{shelf}{place}" if first else str((shelf - 1) * len(along) + place + 1)
            met[name] = met.get(name, -1) + 1
            drink = drinks[name][(met[name] + machine.stop - 1) % len(drinks[name])]
            changed = date(2026, 1, 12) + timedelta(days=chance.randrange(280))
            for half, hand in enumerate(("LH", "RH") if lane_type.coupled else ("LH",)):
                inside, capacity = fitted(containers[name], lane_type, parts, hand)
                yield Lane(
                    machine.asset,
                    f"{selection}{'AB'[half]}" if lane_type.coupled else selection,
                    shelf,
                    place * (2 if lane_type.coupled else 1) + half + 1,
                    code,
                    selection if lane_type.coupled else "",
                    drink,
                    name,
                    tuple(sorted(inside.items())),
                    capacity,
                    capacity if chance.random() < 0.8 else capacity - 1 - chance.randrange(3),
                    changed,
                )


def lane_row(lane: Lane) -> list[object]:
    """A lane as a row of lanes.csv."""
    pairs = "|".join(f"{part}*{quantity}" for part, quantity in lane.fitted)
    values = [lane.asset, lane.lane, lane.selection, lane.shelf, lane.position, lane.lane_type, lane.part_number]
    return [*values, lane.container, lane.capacity, lane.count, pairs, lane.changed_on]


def selections_of(lanes: list[Lane]) -> dict[str, tuple[Lane, int]]:
    """Each selection with one of its lanes and the units in all of them."""
    found: dict[str, tuple[Lane, int]] = {}
    for lane in lanes:
        held = found[lane.keyed][1] if lane.keyed in found else 0
        found[lane.keyed] = (lane, held + (lane.count or 0))
    return found


def audit_file(machine: Machine, when: datetime, board: str, counts: dict[str, tuple[Lane, int, int]]) -> str:
    """The body and seal of one reading; ``counts`` gives lane, units since start and since the last reset."""
    total = sum(n for _, n, _ in counts.values())
    value = sum(PRICES[lane.container] * n for lane, n, _ in counts.values())
    lines = [
        "ST*001*0001",
        f"ID1*{machine.serial}*{machine.family.upper()}*0001*{machine.site.split(',')[0].upper()}**{machine.asset}*6*1",
        "ID4*2*124*CAD",
        f"ID5*{when:%Y%m%d}*{when:%H%M%S}",
        f"CB1*{board}*CTRL-2*0310",
        f"VA1*{value}*{total}*0*0",
        "CA17*0*5*62",
        "CA17*1*25*18",
        "CA17*2*100*9",
    ]
    for number, (lane, sold, since) in counts.items():
        price = PRICES[lane.container]
        lines += [f"PA1*{number}*{price}*{lane.part_number}", f"PA2*{sold}*{sold * price}*{since}*{since * price}"]
    if when == LAST_READ:
        lines += [f"EA2*{event}" for event in EVENTS.get(machine.asset, [])]
    crc = crc16_arc("".join(f"{line}\r\n" for line in lines).encode("latin-1"))
    head = f"DXS*ZZZ{machine.asset[1:]:>07}*VA*V0/6*1"
    return "\r\n".join([head, *lines, f"G85*{crc:04X}", f"SE*{len(lines) + 2}*0001", "DXE*1*1", ""])


def readings(machine: Machine, lanes: list[Lane], chance: Random) -> Iterator[tuple[datetime, str]]:
    """Two readings a week apart; what was sold between them was in the lanes."""
    start = {key: (lane, 40 + chance.randrange(400), 0) for key, (lane, _) in selections_of(lanes).items()}
    yield FIRST_READ, audit_file(machine, FIRST_READ, f"{machine.serial}-B1", start)
    later = {}
    for key, (lane, held) in selections_of(lanes).items():
        units = min(held, chance.randrange(held + 1))
        before = 0 if machine.asset == SWAPPED else start[key][1]
        later[key] = (lane, before + units, units)
    board = f"{machine.serial}-B{2 if machine.asset == SWAPPED else 1}"
    yield LAST_READ, audit_file(machine, LAST_READ, board, later)


def main() -> None:
    """Write lanes.csv and the audit files."""
    items = rows("items.csv")
    containers = {c.code: c for c in read_containers(rows("containers.csv"))}
    types = {t.code: t for t in read_lane_types(rows("lane_types.csv"))}
    parts, drinks, chance = catalogue_parts(items), drinks_by_container(items), Random(40)
    with (SEED / "lanes.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(LANE)
        for row in rows("machines.csv"):
            names = ("asset", "family", "site", "serial", "round")
            machine = Machine(*(row[name] for name in names), stop=int(row["stop"] or 0))
            lanes = list(lanes_of(machine, containers, types, for_family(parts, machine.family), drinks, chance))
            out.writerows(lane_row(lane) for lane in lanes)
            if machine.asset in READ:
                for when, text in readings(machine, lanes, chance):
                    text = text.replace("\r\n", "\n") if machine.asset == LINE_FEEDS else text
                    (SEED / "audit" / f"{machine.asset}-{when:%Y-%m-%d}.dex").write_bytes(text.encode("latin-1"))


if __name__ == "__main__":
    main()
