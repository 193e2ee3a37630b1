"""Every table as CSV: which file holds it, how it comes in and how it goes out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from partsbin.depot.file import Depot
from partsbin.depot.rights import require
from partsbin.errors import Refused
from partsbin.exchange.counts import COLUMNS as COUNT_COLUMNS
from partsbin.exchange.counts import export_counts, import_counts
from partsbin.exchange.importing import Import, Report
from partsbin.exchange.items import COLUMNS as ITEM_COLUMNS
from partsbin.exchange.items import export_items, import_items
from partsbin.exchange.lane_tables import FILES as LANE_FILES
from partsbin.exchange.lane_tables import KINDS as LANE_KINDS
from partsbin.exchange.lane_tables import export_lane_table
from partsbin.exchange.lane_tables import reader as lane_reader
from partsbin.exchange.moves import COLUMNS as MOVE_COLUMNS
from partsbin.exchange.moves import export_moves, import_moves
from partsbin.exchange.orders import (
    ORDER_COLUMNS,
    REQUEST_COLUMNS,
    export_orders,
    export_requests,
    import_orders,
    import_requests,
)
from partsbin.exchange.places import COLUMNS as PLACE_COLUMNS
from partsbin.exchange.places import export_places, import_places
from partsbin.exchange.plain import TABLES, export_plain, import_plain
from partsbin.exchange.sheet import write_sheet
from partsbin.exchange.stock import COLUMNS as STOCK_COLUMNS
from partsbin.exchange.stock import export_stock, import_stock

Reader = Callable[[Import, Path], Report]
_OWN: dict[str, Reader] = {
    "places": import_places,
    "items": import_items,
    "orders": import_orders,
    "requests": import_requests,
    "moves": import_moves,
    "stock": import_stock,
    "counts": import_counts,
    **{kind: lane_reader(kind) for kind in LANE_KINDS},
}
_FILES = {"suppliers-of-items": "item_suppliers.csv", "checks": "first_checks.csv", **LANE_FILES}
ORDER = (
    *("settings", "suppliers", "places", "operators", "cautions", "checks", "words", "items", "suppliers-of-items"),
    *("learned", "setpoints", "orders", "requests", "moves", "stock", "counts"),
    *LANE_KINDS,
)
"""Every kind, each after what it refers to: the order in which a whole folder is imported."""


def file_name(kind: str) -> str:
    """Return the file a kind is kept in inside an export."""
    return _FILES.get(kind, f"{kind}.csv")


def import_file(job: Import, kind: str, path: Path, *, dry_run: bool = False) -> Report:
    """Import one file, all of it or nothing; with ``dry_run`` read and prove it, then leave the depot as it was."""
    if kind not in ORDER:
        message = f"“{kind}” is not a kind of import; kinds are {', '.join(KINDS)}"
        raise Refused(message)
    return _import(job, [(kind, path)], dry_run=dry_run)[0]


def import_folder(job: Import, folder: Path, *, dry_run: bool = False) -> list[Report]:
    """Import every file of an exported folder that is there, in the right order, all or nothing."""
    found = [(kind, folder / file_name(kind)) for kind in ORDER if (folder / file_name(kind)).is_file()]
    if not found:
        message = f"{folder} holds none of {', '.join(file_name(kind) for kind in ORDER)}."
        raise Refused(message)
    return _import(job, found, dry_run=dry_run)


class _Undo(Exception):  # noqa: N818 - ends a transaction that must not stay
    pass


def _import(job: Import, files: list[tuple[str, Path]], *, dry_run: bool) -> list[Report]:
    require(job.depot, job.operator, "import")
    reports: list[Report] = []
    try:
        with job.depot.write():
            for kind, path in files:
                reports.append(_OWN[kind](job, path) if kind in _OWN else import_plain(job, path, kind))
            if dry_run:
                raise _Undo
    except _Undo:
        pass
    return reports


def export_folder(depot: Depot, folder: Path, progress: Callable[[str], None] = lambda _kind: None) -> list[Path]:
    """Write every table into a folder; the same depot gives the same bytes. Returns the files."""
    blocking = next((path for path in (folder, *folder.parents) if path.exists() and not path.is_dir()), None)
    if blocking is not None:
        message = f"{blocking} is a file; name a folder for the export, there or to be made."
        raise Refused(message)
    folder.mkdir(parents=True, exist_ok=True)
    own = {
        "places": (PLACE_COLUMNS, export_places),
        "items": (ITEM_COLUMNS, export_items),
        "orders": (ORDER_COLUMNS, export_orders),
        "requests": (REQUEST_COLUMNS, export_requests),
        "moves": (MOVE_COLUMNS, export_moves),
        "stock": (STOCK_COLUMNS, export_stock),
        "counts": (COUNT_COLUMNS, export_counts),
    }
    written = []
    depot.run("BEGIN")  # one moment for all files, whatever other terminals post meanwhile
    try:
        for kind in ORDER:
            progress(kind)
            if kind in LANE_KINDS:
                columns, rows = export_lane_table(depot, kind)
            else:
                columns, rows = (own[kind][0], own[kind][1](depot)) if kind in own else export_plain(depot, kind)
            target = folder / file_name(kind)
            write_sheet(target, columns, rows)
            written.append(target)
    finally:
        depot.run("COMMIT")
    return written


KINDS = (*ORDER, "all")
assert set(_OWN) | set(TABLES) == set(ORDER)  # noqa: S101 - a kind without a reader would be found only when used
