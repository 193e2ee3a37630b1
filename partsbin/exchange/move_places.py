"""Which places a history means: known ones, outside ones left blank, and new ones where they may be made."""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsbin.depot.places import add_place, find_place, nearest_places, outside
from partsbin.exchange.importing import Import
from partsbin.exchange.places import kind_by_name
from partsbin.exchange.sheet import Problems

if TYPE_CHECKING:
    from partsbin.exchange.moves import Row

_BLANK = {
    ("receipt", "from"): "supplier",
    ("issue", "to"): "job",
    ("scrap", "to"): "scrap",
    ("return", "from"): "job",
}
_BY_USE = (  # what a new place is, by how a history uses it; the first that applies
    (("checkout", "to"), "van"),
    (("receipt", "from"), "supplier"),
    (("issue", "to"), "job"),
    (("scrap", "to"), "scrap"),
)


class Places:
    """Resolves the location columns of a whole history at once, so that a new place gets the kind its use shows."""

    def __init__(self, job: Import, problems: Problems) -> None:
        self.job, self.problems = job, problems
        self.ids: dict[str, int] = {}
        self.kinds: dict[str, str] = {}
        self.unknown: dict[str, list[tuple[int, str]]] = {}

    def settle(self, rows: list[Row]) -> None:
        """Set ``source`` and ``target`` of every row; note each place that is not known once, where it first stands."""
        uses: dict[str, set[tuple[str, str]]] = {}
        for row in rows:
            for side in ("from", "to"):
                if name := row.values.get(f"{side}_location", ""):
                    uses.setdefault(name.upper(), set()).add((row.type, side))
        for name, used in sorted(uses.items()):
            self._resolve(name, used)
        for row in rows:
            row.source, row.target = self._side(row, "from"), self._side(row, "to")
            if row.source and row.source == row.target and row.type != "count":
                self.problems.add(row.line, "to_location", "is the same place as from_location")
        for name, mentions in self.unknown.items():
            self._name_unknown(name, mentions)

    def _resolve(self, name: str, used: set[tuple[str, str]]) -> None:
        place = find_place(self.job.depot, name)
        if place is None and self.job.create_places:
            kind = kind_by_name(name) or next((kind for use, kind in _BY_USE if use in used), None)
            if kind is None:
                kind = "job" if used == {("return", "from")} else "bin"
            place = add_place(self.job.depot, name, kind)
        if place is not None:
            self.ids[name], self.kinds[name] = place.id, place.kind

    def _side(self, row: Row, side: str) -> int:
        name = row.values.get(f"{side}_location", "").upper()
        if name in self.ids:
            if self.kinds[name] == "shelf":
                self.problems.add(row.line, f"{side}_location", f"{name} means all bins together; name the bin")
            return self.ids[name]
        if name:
            self.unknown.setdefault(name, []).append((row.line, f"{side}_location"))
        elif (row.type, side) == ("count", "from"):
            return 0  # a count sets a figure: where the difference comes from is not the file's to say
        elif (row.type, side) in _BLANK:
            return outside(self.job.depot, _BLANK[row.type, side]).id
        else:
            self.problems.add(row.line, f"{side}_location", f"is empty; a {row.type} needs it")
        return 0

    def _name_unknown(self, name: str, mentions: list[tuple[int, str]]) -> None:
        rows = f" ({len(mentions):,} rows name it)" if len(mentions) > 1 else ""
        close = nearest_places(self.job.depot, name)
        near = f" Nearest: {', '.join(close)}." if close else ""
        reason = f"“{name}” is not a place of this depot{rows}.{near} Import places first, or allow --create-places"
        self.problems.add(*mentions[0], reason)
