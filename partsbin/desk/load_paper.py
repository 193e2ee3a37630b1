"""The load of the vans on paper: what each carries, then the stops as they are packed, the last stop first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from partsbin.depot.catalogue import Caution, Item, cautions_of
from partsbin.depot.file import Depot
from partsbin.desk.today import today
from partsbin.desk.van_loads import DrinkToLoad, RoundLoad
from partsbin.errors import Refused
from partsbin.lanes.cases import as_cases
from partsbin.lanes.refill import Stop


def write_van_load(depot: Depot, loads: Sequence[RoundLoad], path: Path) -> None:
    """Write the loads as PDF, a van after the other. Refuses when there is nothing to fill."""
    from reportlab.platypus import PageBreak

    from partsbin.printing.documents import write_document

    if not any(load.drinks for load in loads):
        message = "There is nothing to fill, so there is no load to print."
        raise Refused(message)
    paper = depot.setting("paper")
    story: list[Any] = []
    for load in loads:
        if load.drinks:
            story += [*([PageBreak()] if story else []), *_van(depot, load, paper)]
    aside = f"{depot.setting('depot_name')} · {today(depot)}"
    write_document(path, "Van load", aside, story, paper)


def _van(depot: Depot, load: RoundLoad, paper: str) -> list[Any]:
    from partsbin.printing.documents import LARGE, words

    van = f"{load.van.code} {load.van.name}".strip() if load.van else "Machines no van fills yet"
    items = {drink.item.part_number: drink.item for drink in load.drinks}
    story: list[Any] = [words(van, LARGE), *(words(line, bold=True) for line in _cautions(depot, load.drinks))]
    story += [*_heading("To load"), _drinks(load.drinks, paper), *_heading("Pack in this order")]
    for number, stop in enumerate(load.packing, 1):
        story += _stop(stop, number, items, paper)
    return story


def _heading(plain: str, *, bold: bool = False) -> list[Any]:
    """A heading, on the next page where too little of this one is left for its rows; they need not all fit."""
    from reportlab.lib.units import mm
    from reportlab.platypus import CondPageBreak, Spacer

    from partsbin.printing.documents import BODY, LARGE, words

    return [CondPageBreak(30 * mm), Spacer(1, 4 * mm), words(plain, BODY if bold else LARGE, bold=bold)]


def _cautions(depot: Depot, drinks: Sequence[DrinkToLoad]) -> list[str]:
    """The cautions of what is lifted, each once and with the drinks it is about, the most severe first."""
    about: dict[Caution, list[str]] = {}
    for drink in drinks:
        for caution in cautions_of(depot, drink.item.id):
            about.setdefault(caution, []).append(drink.item.part_number)
    return [
        f"{caution.word}: {caution.text} ({', '.join(parts)})"
        for caution, parts in sorted(about.items(), key=lambda pair: pair[0].severity)
    ]


def _drinks(drinks: Sequence[DrinkToLoad], paper: str) -> Any:  # noqa: ANN401 - reportlab publishes no types
    from partsbin.printing.documents import text_table

    rows = [
        (
            *(drink.load.words(), drink.item.part_number, drink.item.description),
            *(str(drink.need), str(drink.aboard), str(drink.coming)),
        )
        for drink in drinks
    ]
    return text_table(("Load", "Part", "Drink", "Needed", "Aboard", "Promised"), rows, paper)


def _stop(stop: Stop, number: int, items: Mapping[str, Item], paper: str) -> list[Any]:
    """One machine: what to set aside for it by drink, and where in it that goes."""
    from partsbin.printing.documents import text_table, words

    machine, adds, lanes = stop.machine, Counter[str](), dict[str, list[str]]()
    for row in stop.lanes:
        adds[row.part_number] += row.add
        lanes.setdefault(row.part_number, []).append(f"{row.lane}: {row.add}")
    rows = [
        (as_cases(units, items[part].pack_size).words(), part, items[part].description, ", ".join(lanes[part]))
        for part, units in sorted(adds.items())
    ]
    where = f"{machine.round_name} round, stop {machine.stop}" if machine.round_name else "in no round"
    head = _heading(f"{number}. {machine.asset}  {machine.site}  ({where})", bold=True)
    notes = [words(note) for note in stop.notes]
    return [*head, *notes, *([text_table(("For it", "Part", "Drink", "Lane: units"), rows, paper)] if rows else [])]
