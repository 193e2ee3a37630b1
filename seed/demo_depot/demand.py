"""What the sites need: half a year of jobs, each with the parts it takes, drawn before anybody looks at stock."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from demo_depot.calendar_days import WEEKS, week_of, working_days
from demo_depot.chance import Chance
from demo_depot.families import B, C, D
from demo_depot.listing import Item
from demo_depot.places import VANS

MACHINES = (B, C, D)
_MIX = {"VAN1": (7, 2, 1), "VAN2": (3, 6, 1), "VAN3": (5, 3, 2), "VAN4": (3, 2, 5), "VAN5": (3, 3, 3)}

# kind of job: jobs a week in the whole depot, then (family, probability, least, most[, description starts with])
Line = tuple[str, float, int, int] | tuple[str, float, int, int, str]
PATTERNS: dict[str, tuple[float, tuple[Line, ...]]] = {
    "lane dead": (
        9.0,
        (
            ("DLV-MTR", 1.0, 1, 1),
            ("DLV-BUSH", 0.5, 1, 1, "Coil coupler"),
            ("DLV-HOME", 0.15, 1, 1),
            ("CTL-FUSE", 0.1, 1, 2),
        ),
    ),
    "coil": (4.0, (("DLV-COIL", 1.0, 1, 2), ("DLV-END", 0.8, 1, 2), ("DLV-BUSH", 0.3, 1, 1), ("DLV-GROM", 0.4, 1, 3))),
    "stuck product": (5.0, (("DLV-CLIP", 0.9, 1, 4), ("DLV-RETB", 0.25, 1, 2), ("DLV-END", 0.4, 1, 2))),
    "notes": (
        5.5,
        (("PAY-CARD", 0.9, 1, 2, "Note"), ("PAY-BELT", 0.45, 1, 1), ("PAY-NOTE", 0.22, 1, 1), ("PAY-HARN", 0.08, 1, 1)),
    ),
    "coins": (
        2.2,
        (("PAY-COIN", 0.4, 1, 1), ("PAY-TUBE", 0.25, 1, 1), ("PAY-HARN", 0.2, 1, 1), ("PAY-CBOX", 0.05, 1, 1)),
    ),
    "cards": (1.8, (("PAY-RDR", 0.45, 1, 1), ("PAY-HARN", 0.35, 1, 1), ("PAY-CARD", 0.5, 1, 1, "Card"))),
    "lights": (
        4.0,
        (("DOR-LED", 0.85, 1, 2), ("DOR-DRVR", 0.35, 1, 1), ("FAS-TIE", 0.5, 2, 4), ("FAS-TERM", 0.2, 2, 4)),
    ),
    "warm drinks": (
        5.0,
        (
            ("REF-FILT", 0.5, 1, 1),
            ("REF-CFAN", 0.3, 1, 1),
            ("REF-EFAN", 0.25, 1, 1),
            ("REF-BLAD", 0.2, 1, 1),
            ("REF-PROB", 0.25, 1, 1),
            ("REF-STRT", 0.15, 1, 1),
            ("CTL-RLY", 0.15, 1, 1),
            ("REF-STAT", 0.05, 1, 1),
            ("REF-DEF", 0.05, 1, 1),
        ),
    ),
    "sealed system": (0.35, (("REF-DECK", 0.8, 1, 1), ("REF-COMP", 0.2, 1, 1), ("REF-FILT", 0.9, 1, 1))),
    "refund after drop": (1.4, (("DLV-SNSR", 0.9, 1, 1), ("FAS-TIE", 0.3, 1, 3))),
    "boards": (
        1.4,
        (
            ("CTL-MAIN", 0.4, 1, 1),
            ("CTL-DRV", 0.35, 1, 1),
            ("CTL-DBRD", 0.2, 1, 1),
            ("CTL-BATT", 0.4, 1, 1),
            ("CTL-FUSE", 0.5, 1, 2),
        ),
    ),
    "dead machine": (
        3.0,
        (
            ("CTL-FUSE", 0.7, 1, 2),
            ("CTL-PSU", 0.2, 1, 1),
            ("CAB-CORD", 0.2, 1, 1),
            ("CAB-GFCI", 0.1, 1, 1),
            ("CTL-DSW", 0.25, 1, 1),
        ),
    ),
    "maintenance": (
        8.0,
        (
            ("REF-FILT", 0.8, 1, 1),
            ("PAY-CARD", 0.9, 1, 2, "Note"),
            ("PAY-BELT", 0.3, 1, 1),
            ("DOR-LABL", 0.5, 1, 3),
            ("CTL-BATT", 0.2, 1, 1),
            ("CON-SUP", 0.35, 1, 1),
            ("FAS-SCRW", 0.4, 2, 6),
        ),
    ),
    "door": (
        3.0,
        (
            ("CAB-GSKT", 0.35, 1, 1),
            ("CAB-HNGE", 0.15, 1, 1),
            ("DOR-HNDL", 0.15, 1, 1),
            ("DOR-LOCK", 0.3, 1, 1),
            ("DOR-BTN", 0.3, 1, 2),
            ("DOR-DISP", 0.15, 1, 1),
            ("DOR-GLAS", 0.05, 1, 1),
            ("FAS-SCRW", 0.6, 2, 8),
            ("FAS-NUT", 0.4, 2, 6),
            ("FAS-RIVT", 0.4, 2, 8),
        ),
    ),
    "installation": (
        0.8,
        (
            ("CAB-LEG", 0.9, 4, 4),
            ("CAB-ANCH", 0.8, 1, 1),
            ("CAB-CORD", 0.5, 1, 1),
            ("CAB-KICK", 0.2, 1, 1),
            ("DOR-LABL", 0.8, 4, 12),
            ("CTL-TEL", 0.4, 1, 1),
        ),
    ),
    "telemetry": (1.3, (("CTL-ANT", 0.5, 1, 1), ("CTL-TEL", 0.3, 1, 1), ("CTL-DEXP", 0.25, 1, 1))),
    "water on floor": (0.8, (("REF-DRN", 0.8, 1, 1), ("CAB-LEG", 0.3, 1, 2))),
    "flap": (0.9, (("DLV-CHUT", 0.9, 1, 1), ("FAS-RIVT", 0.5, 2, 4))),
    "wiring": (
        1.5,
        (("DLV-TRHN", 0.5, 1, 1), ("FAS-TERM", 0.8, 3, 10), ("FAS-TIE", 0.8, 2, 6), ("REF-HARN", 0.08, 1, 1)),
    ),
    "tray": (1.0, (("DLV-DIV", 0.7, 1, 3), ("DLV-GROM", 0.6, 2, 6), ("DLV-RETB", 0.4, 1, 2))),
}
CONVERSIONS_A_WEEK, REFILL_DAYS = 5.0, {"VAN1": "mf", "VAN2": "tr", "VAN3": "wf", "VAN4": "m", "VAN5": "r"}
_LETTER = "mtwrf"


@dataclass
class Job:
    """A visit: the parts (or drinks) it takes, in base units. ``reference`` is the job number."""

    day: date
    van: str
    reference: str
    kind: str
    needs: dict[str, int] = field(default_factory=dict)


class Demand:
    """Draws jobs from the catalogue; the more often an item is used, the likelier it is the one that failed."""

    def __init__(self, items: dict[str, Item], chance: Chance) -> None:
        self.items, self.chance = items, chance
        self.number = 40_100
        self.by_family: dict[str, list[Item]] = {}
        for item in items.values():
            if item.stocked and item.use > 0:
                self.by_family.setdefault(item.family, []).append(item)

    def jobs(self) -> list[Job]:
        """Return every job of the half year, day by day."""
        found: list[Job] = []
        for day in working_days():
            for van in VANS:
                found += self._services(day, van)
                found += self._conversions(day, van)
                if _LETTER[day.weekday()] in REFILL_DAYS[van]:
                    found += self._refills(day, van)
        return found

    def _job(self, day: date, van: str, kind: str, needs: dict[str, int]) -> Job:
        self.number += self.chance.whole(1, 3)
        return Job(day, van, f"J{self.number}", kind, needs)

    def _services(self, day: date, van: str) -> list[Job]:
        found = []
        for kind, (weekly, lines) in PATTERNS.items():
            for _ in range(self.chance.count(weekly / 5 / len(VANS))):
                machine = self.chance.weighted(MACHINES, _MIX[van])
                needs: dict[str, int] = {}
                for family, probability, least, most, *start in lines:
                    if self.chance.happens(probability):
                        item = self._drawn(family, machine, *start)
                        if item:
                            needs[item.part_number] = self.chance.whole(least, most)
                if needs:
                    found.append(self._job(day, van, kind, needs))
        return found

    def _drawn(self, family: str, machine: str, start: str = "") -> Item | None:
        fitting = [
            item
            for item in self.by_family[family]
            if (not item.fits or machine in item.fits.split("|")) and item.description.startswith(start)
        ]
        return self.chance.weighted(fitting, [item.use for item in fitting]) if fitting else None

    def _conversions(self, day: date, van: str) -> list[Job]:
        """Lanes changed to another container: spacers of one size and hand, a clip and an end piece a lane."""
        campaign = 3.0 if week_of(day) in (6, 16, 24) else 1.0
        found = []
        for _ in range(self.chance.count(CONVERSIONS_A_WEEK * campaign / 5 / len(VANS))):
            machine = self.chance.weighted(MACHINES, _MIX[van])
            lanes = self.chance.whole(1, 4) + (4 if campaign > 1 and self.chance.happens(0.4) else 0)
            needs: dict[str, int] = {}
            for family, each in (("DLV-SPC", 1), ("DLV-CLIP", 1), ("DLV-END", 1)):
                item = self._drawn(family, machine)
                if item and (family == "DLV-SPC" or self.chance.happens(0.6)):
                    needs[item.part_number] = lanes * each
            if self.chance.happens(0.3) and (coil := self._drawn("DLV-COIL", machine)):
                needs[coil.part_number] = min(lanes, 2)
            found.append(self._job(day, van, "lane conversion", needs))
        return found

    def _refills(self, day: date, van: str) -> list[Job]:
        """Drinks for the sites a technician fills as well; more in summer."""
        season = 1.25 - 0.5 * week_of(day) / WEEKS
        found = []
        drinks = self.by_family["DRK-CASE"]
        for _ in range(1 + self.chance.happens(0.3)):
            needs: dict[str, int] = {}
            for _ in range(self.chance.whole(2, 4)):
                item = self.chance.weighted(drinks, [drink.use for drink in drinks])
                needs[item.part_number] = max(6, round(self.chance.whole(2, 8) * season) * 6)
            found.append(self._job(day, van, "refill", needs))
        return found
