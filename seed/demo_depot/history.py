"""Half a year of work, day by day and in order of time: deliveries, restocks, jobs, returns, counts, orders."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta

from demo_depot.book import JOB, SCRAP, Batch, Book, Slip
from demo_depot.buying import ORDER_DAYS, Buyer, Order, lines_for
from demo_depot.calendar_days import FIRST_DAY, next_open, stamp, week_of, weekday, working_days
from demo_depot.chance import Chance
from demo_depot.demand import Job
from demo_depot.levels import Level
from demo_depot.listing import Item
from demo_depot.places import VANS, on_van

PEOPLE = {"VAN1": "OP", "VAN2": "YB", "VAN3": "HO", "VAN4": "DW", "VAN5": "ST"}
CLERKS, LEAD = ("TA", "PL"), "MC"
_PATIENCE = 18  # working days a job waits for a part before it is given up
PAR_DAYS = ("mon", "wed")
OFFER_DAY = date(2026, 10, 14)
OFFER = {  # drink: cases, and days until their best-before
    "Pockett root beer 355 ml can": (8, 58),
    "Tarn elderflower 330 ml sleek can": (6, 79),
    "Orchardby orange juice 355 ml bottle": (7, 51),
}
Event = tuple[int, Callable[[int], None]]


class History:
    """Runs the depot. ``book.rows`` is what happened, ``buyer.orders`` what was bought."""

    def __init__(
        self, items: dict[str, Item], jobs: list[Job], shelf: list[Level], vans: list[Level], chance: Chance
    ) -> None:
        self.items, self.chance, self.shelf = items, chance, shelf
        self.book, self.buyer = Book(), Buyer(chance)
        self.pars = {van: [level for level in vans if level.place == van] for van in VANS}
        self.jobs: dict[tuple[date, str], list[Job]] = {}
        for job in jobs:
            self.jobs.setdefault((job.day, job.van), []).append(job)
        self.waiting: dict[str, list[tuple[Job, int]]] = {van: [] for van in VANS}
        self.spare: dict[str, list[tuple[str, int]]] = {van: [] for van in VANS}
        self.day, self.clerk = FIRST_DAY, CLERKS[0]
        self.bins = sorted(item.home_bin for item in items.values() if item.home_bin and item.tracking != "serial")
        self.at_bin = {item.home_bin: item for item in items.values()}
        self.walked = 0
        self.over = _overstock(items)

    def run(self) -> None:
        """Live through every working day."""
        for count, day in enumerate(working_days()):
            self.day, self.clerk = day, CLERKS[count % 5 == 4]
            self.book.today = day.isoformat()
            if day == FIRST_DAY:
                self._opening()
            for minute, act in sorted(self._events(), key=lambda event: event[0]):
                act(minute)

    def _events(self) -> Iterator[Event]:
        """What the day holds, each with its minute after midnight."""
        day = self.day
        yield 6 * 60 + 20, self._top_up
        if weekday(day) == "mon":
            yield 6 * 60 + 30, self._clear_dated
        for place, van in enumerate(VANS):
            yield 6 * 60 + 40 + 11 * place, lambda minute, van=van: self._restock(minute, van)
            yield from self._visits(van)
            if weekday(day) == "fri":
                yield 15 * 60 + 20 + 4 * place, lambda minute, van=van: self._bring_back(minute, van)
                if week_of(day) % 2:
                    yield 15 * 60 + 22 + 4 * place, lambda minute, van=van: self._unload(minute, van)
        for place, order in enumerate(self.buyer.due(day)):
            yield 9 * 60 + 40 + 23 * place, lambda minute, order=order: self._receive(minute, order)
        if day == OFFER_DAY:
            yield 11 * 60 + 15, self._special_offer
        if weekday(day) in ("tue", "thu"):
            yield 13 * 60 + 30, self._count
        if self.chance.happens(0.12):
            yield 15 * 60 + 5, self._damaged
        yield 14 * 60 + 10, self._order

    def _slip(self, minute: int, kind: str, reference: str, operator: str, reason: str = "") -> Slip:
        return Slip(stamp(self.day, minute), kind, reference, operator, reason)

    # -- the shelf ---------------------------------------------------------------------------------------

    def homes(self, item: Item) -> tuple[str, ...]:
        """The bins an item lies in: its own, and the overstock position if it has one."""
        return tuple(place for place in (item.home_bin, self.over.get(item.part_number, "")) if place)

    def on_shelf(self, item: Item) -> int:
        """How many of an item the bins hold."""
        return self.book.on_hand(item.part_number, *self.homes(item))

    def _opening(self) -> None:
        """What lay on the shelf when the books began: somewhere between both set points, old numbers run down."""
        slip = self._slip(6 * 60, "receipt", "OPENING", LEAD, "stock at the start of the books")
        for level in self.shelf:
            item = self.items[level.part_number]
            spread = level.order_up_to - level.reorder_point
            quantity = level.reorder_point + round(spread * (0.5 + 0.5 * self.chance.share()))
            if item.unit == "each" and item.tracking == "lot":
                quantity = -(-quantity // item.pack_size) * item.pack_size
            if quantity:
                self.book.bring(slip, item, item.home_bin, self._opening_batches(item, quantity))
        for item in self.items.values():
            if item.superseded_by and not item.retired:
                self.book.bring(slip, item, item.home_bin, self.buyer.batches(item, self.chance.whole(1, 2), self.day))

    def _opening_batches(self, item: Item, quantity: int) -> list[tuple[Batch, int]]:
        if item.category != "drinks" or quantity < 2 * item.pack_size:
            return self.buyer.batches(item, quantity, self.day)
        older = quantity // (2 * item.pack_size) * item.pack_size
        first = self.buyer.batches(item, older, self.day - timedelta(days=20))
        return first + self.buyer.batches(item, quantity - older, self.day - timedelta(days=4))

    def _special_offer(self, minute: int) -> None:
        """Bought cheap because the dates are short: more than these drinks will sell by then."""
        slip = self._slip(minute, "receipt", "special offer", LEAD, "short-dated, price halved")
        for item in self.items.values():
            cases, days = OFFER.get(item.description.split(",")[0], (0, 0))
            if cases:
                lot = self.buyer.batches(item, 1, self.day)[0][0].lot
                batch = Batch(lot, (OFFER_DAY + timedelta(days=days)).isoformat())
                self.book.bring(slip, item, item.home_bin, [(batch, cases * item.pack_size)])

    def _receive(self, minute: int, order: Order) -> None:
        """Put a delivery into its bins; now and then a line comes short and the rest a week later."""
        slip = self._slip(minute, "receipt", order.number, self.clerk)
        late = False
        for place, line in enumerate(order.lines, 1):
            quantity = line.open
            if len(order.lines) > 2 and quantity > line.item.pack_size and order.whole and self.chance.happens(0.03):
                quantity = max(1, quantity // 2 // line.item.pack_size) * line.item.pack_size
                late = True
            if quantity:
                bin_ = self._bin_for(line.item, quantity)
                batches = self.buyer.batches(line.item, quantity, self.day)
                self.book.bring(slip, line.item, bin_, batches, f"{order.number}#{place}")
                line.received += quantity
        if late:
            order.comes = next_open(self.day + timedelta(days=7))

    def _bin_for(self, item: Item, quantity: int) -> str:
        """The item's own bin, or its overstock position while its own is full."""
        over = self.over.get(item.part_number)
        held = self.book.on_hand(item.part_number, item.home_bin)
        return over if over and held >= 2 * item.pack_size else item.home_bin

    def _top_up(self, minute: int) -> None:
        """Bring overstock down to the pick bin when that runs low."""
        slip = self._slip(minute, "move", "top-up", self.clerk)
        for number, over in self.over.items():
            item, held = self.items[number], self.book.on_hand(number, over)
            if held and self.book.on_hand(number, item.home_bin) < item.pack_size * 3:
                self.book.take(slip, item, (over,), item.home_bin, min(held, item.pack_size * 6))

    def _clear_dated(self, minute: int) -> None:
        """Write off drinks past their date."""
        slip = self._slip(minute, "scrap", "past its date", self.clerk, "past best-before")
        for item in self.items.values():
            for place in (*self.homes(item), *(VANS if item.category == "drinks" else ())):
                for batch, quantity in self.book.expired(item.part_number, place):
                    self.book.take_batch(slip, item, place, SCRAP, batch, quantity)

    def _damaged(self, minute: int) -> None:
        item = self.at_bin[self.chance.one(self.bins)]
        held = self.book.on_hand(item.part_number, item.home_bin)
        if held > 2 and item.money < 60:
            slip = self._slip(
                minute, "scrap", "damaged", self.clerk, self.chance.one(("dropped", "crushed box", "bent"))
            )
            self.book.take(slip, item, (item.home_bin,), SCRAP, 1)

    def _count(self, minute: int) -> None:
        """Count the next few bins of the walk; one in fifteen shows another figure than the books."""
        slip = self._slip(minute, "count", f"walk {self.day:%d %b}", self.clerk)
        for place in (self.bins * 2)[self.walked : self.walked + 4]:
            item = self.at_bin[place]
            for batch, quantity, _ in self.book.batches(item.part_number, place):
                off = self.chance.one((-1, -1, 1, -2)) if self.chance.happens(0.07) else 0
                found = max(0, quantity + off)
                said = Slip(
                    slip.at, slip.type, slip.reference, slip.operator, "counted twice" if found != quantity else ""
                )
                self.book.count(said, item, place, batch, found)
        self.walked = (self.walked + 4) % len(self.bins)

    def _order(self, minute: int) -> None:
        """Order what stands at or below its reorder point, from the suppliers whose day it is."""
        today = [x for x in self.shelf if weekday(self.day) in ORDER_DAYS[self.items[x.part_number].supplier]]
        coming = self.buyer.all_on_order()
        positions = {n: self.on_shelf(self.items[n]) + coming.get(n, 0) for n in (x.part_number for x in today)}
        for place, (supplier, lines) in enumerate(sorted(lines_for(today, self.items, positions).items())):
            self.buyer.place(supplier, lines, self.day, stamp(self.day, minute + 6 * place))

    # -- the vans ----------------------------------------------------------------------------------------

    def aboard(self, item: Item, van: str) -> int:
        """How many of an item a van carries."""
        return self.book.on_hand(item.part_number, on_van(item, van))

    def _restock(self, minute: int, van: str) -> None:
        """Bring a van to par on its days, and load what today's jobs and the waiting ones need beyond that."""
        slip = self._slip(minute, "checkout", f"{van} {self.day:%d %b}", self.clerk)
        wanted: dict[str, int] = {}
        for level in self.pars[van] if weekday(self.day) in PAR_DAYS else ():
            here = self.aboard(self.items[level.part_number], van)
            if here <= level.reorder_point:
                wanted[level.part_number] = level.order_up_to - here
        needs: dict[str, int] = {}
        for job in [*self.jobs.get((self.day, van), ()), *(job for job, _ in self.waiting[van])]:
            for number, quantity in job.needs.items():
                needs[number] = needs.get(number, 0) + quantity
        for number, quantity in needs.items():
            lacking = quantity - self.aboard(self.items[number], van) - wanted.get(number, 0)
            if lacking > 0:
                wanted[number] = wanted.get(number, 0) + lacking
        self._also_take(van, wanted)
        for number in sorted(wanted, key=lambda number: self.items[number].home_bin):
            self._load(slip, self.items[number], van, wanted[number])

    def _also_take(self, van: str, wanted: dict[str, int]) -> None:
        """Now and then a technician takes the other hand or a second part along, to be sure."""
        for number in list(wanted):
            item = self.items[number]
            other = self.items.get(item.opposite_hand) if item.opposite_hand else None
            if other and item.tracking == "quantity" and self.chance.happens(0.05) and not self._on_par(other, van):
                wanted.setdefault(other.part_number, 1)
                self.spare[van].append((other.part_number, 1))

    def _on_par(self, item: Item, van: str) -> bool:
        return any(level.part_number == item.part_number for level in self.pars[van])

    def _load(self, slip: Slip, item: Item, van: str, quantity: int) -> None:
        """Take from the shelf what is there; drinks go out in whole cases while there are any."""
        if item.category == "drinks":
            quantity = -(-quantity // item.pack_size) * item.pack_size
        part = min(quantity, self.on_shelf(item))
        if part:
            self.book.take(slip, item, self.homes(item), on_van(item, van), part)

    def _visits(self, van: str) -> Iterator[Event]:
        """Today's jobs, spread over the working hours; the waiting ones first."""
        jobs = [job for job, _ in self.waiting[van]] + self.jobs.get((self.day, van), [])
        step = min(75, 400 // max(1, len(jobs)))
        for place, job in enumerate(jobs):
            minute = 8 * 60 + 15 + VANS.index(van) * 3 + place * step + self.chance.whole(0, max(1, step // 2))
            yield minute, lambda minute, job=job: self._visit(minute, job)

    def _visit(self, minute: int, job: Job) -> None:
        """Fit what the van has; what it lacks keeps the job waiting."""
        slip = self._slip(minute, "issue", job.reference, PEOPLE[job.van])
        for number, quantity in list(job.needs.items()):
            item = self.items[number]
            part = min(quantity, self.aboard(item, job.van))
            if part:
                self.book.take(slip, item, (on_van(item, job.van),), JOB, part)
            job.needs[number] -= part
        self._unused(minute, job)
        job.needs = {number: quantity for number, quantity in job.needs.items() if quantity}
        queue = self.waiting[job.van]
        age = next((days for other, days in queue if other is job), 0)
        self.waiting[job.van] = [entry for entry in queue if entry[0] is not job]
        if job.needs and job.kind != "refill" and age < _PATIENCE:
            self.waiting[job.van].append((job, age + 1))

    def _unused(self, minute: int, job: Job) -> None:
        """Sometimes one part turns out not to be needed and comes back onto the van."""
        number = next((n for n, left in job.needs.items() if not left), "")
        item = self.items.get(number)
        if item and item.tracking == "quantity" and job.kind != "refill" and self.chance.happens(0.02):
            slip = self._slip(minute, "return", job.reference, PEOPLE[job.van], "not needed")
            self.book.take_batch(slip, item, JOB, on_van(item, job.van), Batch(), 1)

    def _bring_back(self, minute: int, van: str) -> None:
        """Friday: what was taken along and not fitted goes back to its bin."""
        slip = self._slip(minute, "return", f"{van} {self.day:%d %b}", PEOPLE[van], "unused")
        for number, quantity in self.spare[van]:
            item = self.items[number]
            there = min(quantity, self.aboard(item, van))
            if there:
                self.book.take(slip, item, (on_van(item, van),), item.home_bin, there)
        self.spare[van] = []

    def _unload(self, minute: int, van: str) -> None:
        """Every second Friday the loose drinks come off the van, so that none of them grows old there."""
        slip = self._slip(minute, "return", f"{van} {self.day:%d %b} drinks", PEOPLE[van], "loose drinks")
        for item in self.items.values():
            if item.category == "drinks" and self.aboard(item, van):
                self.book.take(slip, item, (van,), item.home_bin, self.aboard(item, van))


def _overstock(items: dict[str, Item]) -> dict[str, str]:
    """The overstock positions, given to the best-selling drinks and the spacers that move most."""
    drinks = sorted((i for i in items.values() if i.category == "drinks"), key=lambda i: -i.use)[:18]
    spacers = sorted((i for i in items.values() if i.family == "DLV-SPC"), key=lambda i: -i.use)[:6]
    bays = [f"B-{bay:02d}-{level:02d}-{spot}" for level in (4, 5) for bay in range(9, 15) for spot in (1, 2)]
    return {item.part_number: place for item, place in zip([*drinks, *spacers], bays, strict=False)}
