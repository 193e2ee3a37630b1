"""How labels lie on paper: the sheet or roll, the first free position, used ones, and a printer's nudge."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType

from partsbin.depot.file import Depot
from partsbin.desk.arrival_labels import usual_stock
from partsbin.desk.label_jobs import Sheet, nudge_for, set_nudge, stock_for
from partsbin.desk.papers import paper_path
from partsbin.errors import Refused
from partsbin.screens.base import DeskScreen
from partsbin.screens.questions import Ask, Pick


class SheetScreen(DeskScreen):
    """The sheet labels are printed on, and the keys that change it; Labels shows it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "sheet", "Sheet", id="labels.sheet"),
        Binding("n", "start", "Start at", id="labels.start"),
        Binding("u", "used", "Used positions", show=False, id="labels.used"),
        Binding("g", "nudge", "Nudge this printer", show=False, id="labels.nudge"),
        Binding("l", "calibrate", "Calibration page", show=False, id="labels.calibrate"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.sheet = Sheet()

    def show(self) -> None:
        """Show what would be printed on the sheet as it now is."""
        raise NotImplementedError

    def take_usual_sheet(self) -> None:
        """Take up the stock and the printer last used here."""
        self.sheet = Sheet(usual_stock(self.depot), printer=self.depot.setting("label_printer"))

    async def per_page(self) -> int | None:
        """How many positions the sheet has; None, having said why, when its file cannot be read."""
        sheet = self.sheet
        stock = await self.attempt(lambda depot: stock_for(depot, sheet))
        return None if stock is None else int(stock.per_page)

    @work
    async def action_sheet(self) -> None:
        """Choose the sheet or roll."""
        names, rows = await self.desk.away(_stocks)
        at = names.index(self.sheet.stock) if self.sheet.stock in names else 0
        chosen = await self.app.push_screen_wait(Pick("Which sheet or roll?", rows, at))
        if chosen is None:
            return
        name = names[chosen]
        if await self.attempt(partial(_take_stock, name)) is not None:
            self.sheet = Sheet(name, printer=self.sheet.printer)
            self.show()

    @work
    async def action_start(self) -> None:
        """Say the first free position of a part-used sheet."""
        most = await self.per_page()
        if most is None:
            return
        if most == 1:
            self.say(f"{self.sheet.stock} has one label a page: there is nothing to start at.")
            return
        question = f"First free position (1–{most})? Counted along the rows."
        answer = await self.app.push_screen_wait(
            Ask(question, answer=str(self.sheet.start), check=partial(_position, most))
        )
        if answer:
            self.sheet = replace(self.sheet, start=int(answer))
            self.show()

    @work
    async def action_used(self) -> None:
        """Mark other used positions of the first sheet."""
        most = await self.per_page()
        if most is None:
            return
        shown = " ".join(map(str, sorted(self.sheet.skip)))
        question = f"Other used positions of the first sheet (1–{most})?"
        check = partial(_positions, most)
        answer = await self.app.push_screen_wait(Ask(question, answer=shown, hint="3 4 9", check=check))
        if answer is not None:
            self.sheet = replace(self.sheet, skip=_positions(most, answer))
            self.show()

    @work
    async def action_nudge(self) -> None:
        """Move what this printer prints on this stock."""
        nudge = nudge_for(self.depot, self.sheet)
        shown = f"{nudge.x_mm:.4g} {nudge.y_mm:.4g} {100 / nudge.scale_x:.5g} {100 / nudge.scale_y:.5g}"
        question = (
            f"{self.sheet.stock} on {self.sheet.printer or 'the printer PDFs go to'}:\n"
            "the label's edge lies how far right and down (mm), and the 100 mm lines measure?"
        )
        answer = await self.app.push_screen_wait(Ask(question, answer=shown, hint="0.5 -1 99.6 100.2"))
        if answer:
            sheet = self.sheet
            if await self.attempt(lambda depot: set_nudge(depot, sheet, answer)) is not None:
                self.show()
                self.say(
                    f"Labels on {sheet.stock} are moved so from now on; L prints a page to see whether it is right."
                )

    @work(group="print")
    async def action_calibrate(self) -> None:
        """Write the calibration page of this stock."""
        path = await self.attempt(partial(_calibration, self.sheet))
        if path is not None:
            self.say(f"Calibration page: {path}. Print it at 100 %, measure, then G.")


def _stocks(depot: Depot) -> tuple[list[str], list[str]]:
    """Every stock's name, and its line to choose from: what it is, or why it cannot be used."""
    from partsbin.printing.stock import stock_names

    names, rows = stock_names(depot.path.parent), []
    for name in names:
        try:
            rows.append(f"{name:<12} {stock_for(depot, Sheet(name)).about}")
        except Refused as refused:
            rows.append(f"{name:<12} ✗ {refused}")
    return names, rows


def _take_stock(name: str, depot: Depot) -> bool:
    """Keep a stock as the usual one; refuses one that cannot be used."""
    stock_for(depot, Sheet(name))
    depot.set_setting("label_stock", name)
    return True


def _position(most: int, text: str) -> int:
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text) <= most:
        message = f"“{text}”: a position is a whole number from 1 to {most}"
        raise Refused(message)
    return int(text)


def _positions(most: int, text: str) -> frozenset[int]:
    return frozenset(_position(most, word) for word in text.replace(",", " ").split())


def _calibration(sheet: Sheet, depot: Depot) -> Path:
    from partsbin.printing.calibration import write_calibration

    path = paper_path(depot, f"calibration-{sheet.stock}.pdf")
    write_calibration(stock_for(depot, sheet), path, nudge_for(depot, sheet))
    return path
