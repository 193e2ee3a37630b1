"""What is entered at the Counter, read in turn: words, numbers, scans, lane questions, what was left from before."""

from __future__ import annotations

from asyncio import Lock
from typing import TYPE_CHECKING, Any

from textual import on, work

from partsbin.depot.places import Place, find_place
from partsbin.screens.base import Lines
from partsbin.screens.counter_lanes import NEXT, kit_lines, kits_of, lane_asked
from partsbin.screens.counter_lines import place_words
from partsbin.screens.counter_today import CounterToday
from partsbin.screens.entry import ScanEntry

if TYPE_CHECKING:
    from partsbin.desk.lane_questions import LaneAsked
    from partsbin.requests import Message


class CounterReading(CounterToday):
    """From what is entered to lines on the slate. ``left`` is what stood there when the program ended."""

    def __init__(self) -> None:
        super().__init__()
        self.left: dict[str, Any] = {}
        self.lane: LaneAsked | None = None  # the lane question last answered
        self.looked_into: Place | None = None  # the place whose stock is shown
        self._goes_on = False  # what was left stands half typed in the line too
        self._unread: list[str] = []  # entered, and not on the slate yet
        self._reading = Lock()

    def keep_slate(self) -> None:
        """Keep the slate, and what is still being read."""
        draft = self.slate.draft() or {}
        self.keep_draft(draft | {"unread": self._unread} if self._unread else draft or None)

    def offer_left(self) -> None:
        """Say what was left half-entered; Enter alone reads it again."""
        self.left = self.left_draft() or {}
        entered = "\n".join([self.left.get("text", ""), *self.left.get("unread", ())]).strip()
        first, _, more = entered.partition("\n")
        if first:
            told = f"“{first[:40]}”{' and what came after it' if more else ''} stood here when the program ended: "
            self._goes_on = bool(self.entry().value)
            more = "and what was half typed." if self._goes_on else "again; whatever else is entered takes its place."
            self.say(f"{told}Enter reads it {more}")

    @on(ScanEntry.Entered)
    def entered(self, message: ScanEntry.Entered) -> None:
        """Read what was typed."""
        message.stop()
        text = message.text.strip()
        if self.left and (self._goes_on or not text):
            self.left |= {"unread": [*self.left.get("unread", ()), *([text] if text else ())]}
            self.keep_draft(self.left)
            self._read_left(self.left)
        elif text:
            self._read(text)
        elif self.slate.lines:
            self.query_one("#asked", Lines).focus()

    @on(ScanEntry.Pasted)
    def pasted(self, message: ScanEntry.Pasted) -> None:
        """Read a whole message."""
        message.stop()
        self._read(message.text)

    @on(ScanEntry.Scanned)
    def scanned(self, message: ScanEntry.Scanned) -> None:
        """Route a scan: bin, van, item or case."""
        from partsbin.desk.scanned import date_passed, look_up
        from partsbin.desk.today import today
        from partsbin.exchange import read_scan

        message.stop()
        scan, day = read_scan(message.text), today(self.depot)
        if scan.problems:
            self.complain(f"{message.text}: {'; '.join(scan.problems)}")
        elif scan.slip:
            self.desk.show_slip(scan.slip)
        else:
            known = look_up(self.depot, message.text, day)
            past = date_passed(self.depot, known.item, scan, day)
            warning = f"Best before {past} has passed: set it aside, F5 writes it off." if past else ""
            held = 0 if known.is_nothing else known.quantity or 1  # words in a burst are words: "MTR-24-L x40"
            self._read(scan.gtin or scan.part_number or scan.text, scanned=held, warning=warning)

    @work(group="read")
    async def _read(self, text: str, *, scanned: int = 0, warning: str = "") -> None:
        """Read words, or a code that was ``scanned`` and stands for so many base units."""
        self.left = {}
        self._unread.append(text)
        self.keep_slate()
        try:
            async with self._reading:  # in turn: nothing entered is dropped for what came after it
                await self._understand(text, scanned=scanned, warning=warning)
        except Exception:
            self.left = {"unread": [text]}  # not typed twice for a fault of the file: Enter alone reads it
            raise
        finally:
            self._unread.remove(text)
        self.keep_slate()

    @work(group="read")
    async def _read_left(self, left: dict[str, Any]) -> None:
        """Put what stood on the slate there again, with what the desk had settled about it; read what was not."""
        self.left = {}
        try:
            if left.get("text"):
                async with self._reading:
                    await self._ask_for(str(left["text"]), left=left)
        except Exception:
            self.left = left
            raise
        for text in left.get("unread", ()):
            self._read(text)

    async def _understand(self, text: str, *, scanned: int, warning: str) -> None:
        place = find_place(self.depot, text)
        if place is not None and place.physical:
            await self._place(place)
            return
        self.looked_into = None
        self.lane = None if scanned else await lane_asked(self, text, self.slate.van)
        self.refresh_bindings()
        if self.lane is not None:
            self._tell_lane(self.lane)
            return
        await self._ask_for(text, scanned=scanned)
        if warning:
            self.complain(warning)

    async def _ask_for(self, text: str, *, scanned: int = 0, left: dict[str, Any] | None = None) -> None:
        """Put what is asked for on the slate; what was ``left`` comes as it was then."""
        if self.desk.finder is None:
            self.say("reading the catalogue …")
        finder = await self.desk.the_finder()
        message, answers = await self.desk.away(lambda _depot: finder.read(text))
        if not answers and not left:
            self.complain(f"Nothing was read as something asked for in “{text[:60]}”. Say it in other words.")
            return
        asked = {"van": message.van, "job": message.job} | (left or {})
        van = find_place(self.depot, asked["van"]) if asked["van"] else None
        self.slate.add(text, answers, van=van, job=asked["job"], scanned=scanned)
        if left and "lines" in left:
            self.slate.as_left(left["lines"])
        self.changed()
        table = self.query_one("#asked", Lines)
        table.move_cursor(row=len(self.slate.lines) - (1 if scanned else max(len(answers), 1)))
        if not scanned and not self.entry().value:  # who types on is not interrupted
            table.focus()
        self.say(_beside_the_lines(message) or self.slate.told())

    @work
    async def action_kit(self) -> None:
        """Put the kit a lane question was answered with on the slate."""
        lines = await kit_lines(self, self.lane)
        if lines:
            self.slate.take(lines)
            self.lane = None
            self.refresh_bindings()
            self.changed()
            self.query_one("#asked", Lines).focus()
            self.say(self.slate.told())

    async def _place(self, place: Place) -> None:
        """A bin is looked into and taken from first; a van is who asks, and ends a row of scans."""
        if place.kind == "van":
            self.slate.van = place
            if self.slate.scanning and self.slate.lines:
                self._hand_over(place, self.slate.job, self.slate.seen)
                return
        elif place.kind == "bin":
            self.slate.source, self.slate.scanning = place, True
        self.looked_into, self.lane = place, None
        self.refresh_bindings()
        self.show_slate()
        self.say(self.slate.told())

    def aside(self) -> str:
        """Return what was asked to see and is no line: a place's stock as it is now, the answer about a lane."""
        if self.looked_into is not None:
            return place_words(self.depot, self.looked_into)
        return self.lane.words() if self.lane is not None else ""

    def _tell_lane(self, asked: LaneAsked) -> None:
        self.show_slate()
        if kits_of(asked):
            self.query_one("#known").focus()
            self.say(NEXT)
        else:
            self.say("F11 shows the machines and changes their lanes.")


def _beside_the_lines(message: Message) -> str:
    """What became of the words of a message that are no line: too many, not read, taken back."""
    said = [f"The message is too long: {message.left_out:,} characters were not read."] if message.left_out else []
    if message.unread and not message.left_out:
        said.append("Not read: " + "; ".join(message.unread) + ".")
    if message.cancelled:
        said.append("Taken back: " + "; ".join(line.text for line in message.cancelled) + ".")
    return " ".join(said)
