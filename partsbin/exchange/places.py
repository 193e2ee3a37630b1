"""Places as CSV."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.places import add_place, bin_parts, find_place
from partsbin.errors import Refused
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.sheet import open_sheet

COLUMNS = ("place", "kind", "name", "parent", "zone", "retired")
_KINDS = {
    **{kind: kind for kind in ("bin", "van", "drawer", "supplier", "job", "scrap", "count-difference", "shelf")},
    "warehouse": "bin",
    "location": "bin",
    "rack": "bin",
    "store": "bin",
    "cage": "bin",
    "vehicle": "van",
    "truck": "van",
    "vendor": "supplier",
    "site": "job",
    "customer": "job",
    "waste": "scrap",
}
_HINTS = (
    (re.compile(r"^(VAN|TRUCK|VEH)", re.IGNORECASE), "van"),
    (re.compile(r"^(JOB|SITE|CUST|FIELD)", re.IGNORECASE), "job"),
    (re.compile(r"^(SUPP|VENDOR)", re.IGNORECASE), "supplier"),
    (re.compile(r"^(SCRAP|WASTE|WRITE)", re.IGNORECASE), "scrap"),
)


def kind_by_name(code: str) -> str | None:
    """Guess what sort of place a code names: only from words that can mean nothing else."""
    if bin_parts(code):
        return "bin"
    return next((kind for pattern, kind in _HINTS if pattern.match(code)), None)


def import_places(job: Import, path: Path) -> Report:
    """Add places, or bring the name and zone of known ones up to date."""
    sheet = open_sheet(path, required=("place",), optional=("kind", "name", "parent", "zone", "retired"), lenient=True)
    count = 0
    with job.depot.write():
        for line, values in sheet.rows(job.progress):
            try:
                _add(job, values)
                count += 1
            except Refused as refused:
                sheet.problems.add(line, "place", str(refused))
        sheet.problems.settle()
    return Report("places", count, count, tuple(sheet.warnings))


def _add(job: Import, values: dict[str, str]) -> None:
    code = values["place"]
    if not code:
        message = "is empty"
        raise Refused(message)
    written = values.get("kind", "").lower()
    kind = _KINDS.get(written) if written else (kind_by_name(code) or ("drawer" if values.get("parent") else "bin"))
    if kind is None:
        message = f"“{written}” is not a kind of place; kinds are bin, van, drawer, supplier, job, scrap"
        raise Refused(message)
    known = find_place(job.depot, code)
    if known and known.kind != kind:
        message = f"{code} is already a {known.kind} here, the file says {kind}"
        raise Refused(message)
    place = add_place(
        job.depot,
        code,
        kind,
        name=values.get("name", ""),
        parent=values.get("parent", "") if kind == "drawer" else "",
        zone=values.get("zone", ""),
    )
    if values.get("retired", "").lower() == "yes":
        job.depot.run("UPDATE places SET retired = 1 WHERE id = ?", (place.id,))


def export_places(depot: Depot) -> Iterator[tuple[object, ...]]:
    """Yield every place, vans before their drawers."""
    sql = (
        "SELECT p.code, p.kind, p.name, ifnull(v.code, ''), p.zone, iif(p.retired, 'yes', '') FROM places p "
        "LEFT JOIN places v ON v.id = p.parent ORDER BY p.parent IS NOT NULL, p.kind, p.walk, p.code"
    )
    return (tuple(row) for row in depot.all(sql))
