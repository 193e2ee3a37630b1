"""The list that the catalogue modules write on: numbers, prices and supplier numbers given in one house style."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from demo_depot.chance import settled
from demo_depot.families import BRACKWELL, FAMILIES, FROSTWEND, HALVORN, ORVANE, PELLWATER, QUENBY, Family

WORDS = {"LH": "L", "RH": "R"}


@dataclass
class Item:
    """One catalogue item; the fields are the columns of items.csv, then what only the generator needs.

    ``use`` says how often it is taken among its family's items of one machine; ``zone`` which bins it belongs in.
    """

    part_number: str
    description: str
    category: str
    kind: str
    family: str
    fits: str = ""
    unit: str = "each"
    pack_size: int = 1
    supplier: str = ""
    supplier_part_number: str = ""
    cost: str = ""
    lead_time_days: str = ""
    aliases: str = ""
    gtin: str = ""
    superseded_by: str = ""
    hand: str = ""
    viewpoint: str = ""
    tracking: str = "quantity"
    disposition: str = "consumable"
    shelf_life_days: str = ""
    weight_g: int = 0
    cautions: str = ""
    opposite_hand: str = ""
    kit: str = ""
    substitutes: str = ""
    service: str = ""
    minimum: str = ""
    container: str = ""
    home_bin: str = ""
    price_breaks: str = ""
    retired: str = ""
    use: float = field(default=1.0, compare=False)
    zone: str = field(default="", compare=False)

    @property
    def stocked(self) -> bool:
        """Whether the depot keeps it on a shelf and orders it again: not a kit, not an old number."""
        return not self.kit and not self.superseded_by and not self.retired

    @property
    def money(self) -> float:
        """Cost of a base unit in major units."""
        return float(self.cost or 0)


class Listing:
    """Collects items; gives each family's items their numbers in the order they are added."""

    def __init__(self) -> None:
        self.items: dict[str, Item] = {}
        self._last: dict[int, int] = {}

    def number(self, family: str) -> str:
        """Return the next free number of a family, without hand or revision: ``110-4217``."""
        group = FAMILIES[family].group
        before = self._last.get(group, 1000 + int(settled(family) * 7000))
        self._last[group] = before + 3 + int(settled(f"{family}{before}") * 8)
        return f"{group}-{self._last[group]}"

    def add(self, family: str, description: str, fits: tuple[str, ...] = (), number: str = "", **over: object) -> Item:
        """Add an item; ``over`` replaces what its family would give it (``dear`` scales the price)."""
        kin = FAMILIES[family]
        number = number or self.number(family)
        dear = float(str(over.pop("dear", 1.0)))
        item = Item(number, description, kin.category, kin.kind, family, "|".join(fits))
        item = replace(item, tracking=kin.tracking, disposition=kin.disposition, weight_g=kin.weight_g, zone=kin.zone)
        item = replace(item, cautions=kin.cautions, supplier=kin.supplier, cost=f"{_price(kin, number, dear):.2f}")
        item = replace(item, **over)  # type: ignore[arg-type]
        if item.supplier:
            item.supplier_part_number = item.supplier_part_number or their_number(item.supplier, number)
        self.items[number] = item
        return item

    def pair(
        self, family: str, description: str, fits: tuple[str, ...] = (), viewpoint: str = "", **over: object
    ) -> tuple[Item, Item]:
        """Add the left-hand and the right-hand item of one number; ``{hand}`` in the description says which."""
        number = self.number(family)
        codes = {hand: f"{number}-{letter}" for hand, letter in WORDS.items()}
        left, right = (
            self.add(
                family,
                description.format(hand=hand),
                fits,
                codes[hand],
                hand=hand,
                viewpoint=viewpoint,
                opposite_hand=codes["RH" if hand == "LH" else "LH"],
                **over,
            )
            for hand in ("LH", "RH")
        )
        return left, right

    def revisions(
        self, family: str, description: str, fits: tuple[str, ...], letters: str, retired: str = "", **over: object
    ) -> Item:
        """Add one item a revision, each superseded by the next; returns the live one."""
        number = self.number(family)
        for place, letter in enumerate(letters):
            after = f"{number}-{letters[place + 1]}" if place + 1 < len(letters) else ""
            old = {"superseded_by": after, "use": 0.0} if after else {}
            self.add(
                family,
                description.format(rev=letter),
                fits,
                f"{number}-{letter}",
                **{**over, **old, "retired": "yes" if letter in retired else ""},
            )
        return self.items[f"{number}-{letters[-1]}"]


def _price(kin: Family, number: str, dear: float) -> float:
    """A price inside the family's range; a left and a right hand and all revisions cost the same."""
    share = settled("price" + number[:8])
    return max(0.02, min(kin.high, (kin.low + (kin.high - kin.low) * (0.25 + 0.35 * share)) * dear))


def their_number(supplier: str, ours: str) -> str:
    """Return a supplier's own number for an item: every supplier has another style, none looks like ours."""
    figure = int(settled(supplier + ours) * 1_000_000)
    thousands, rest = divmod(figure, 1000)
    return {
        ORVANE: f"OV{figure % 10}/{thousands:03d}{rest % 100:02d}",
        HALVORN: f"HC-{figure % 10_000:04d}-{thousands % 10}{'ABCDEFGH'[rest % 8]}",
        FROSTWEND: f"FW {thousands % 100:02d} {rest:03d}",
        BRACKWELL: f"BX{figure % 100_000:05d}",
        PELLWATER: f"P{thousands:03d}-24-{rest:03d}",
        QUENBY: f"Q{figure % 9 + 1}.{thousands:03d}.{rest % 100:02d}",
    }[supplier]
