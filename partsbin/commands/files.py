"""The depot's file: init, import, export, backup, restore, check, demo."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

from partsbin.commands.session import Session, tell
from partsbin.commands.working import working
from partsbin.depot.check import differences
from partsbin.depot.file import Depot

Add = Callable[..., argparse.ArgumentParser]


def add(command: Add) -> None:
    """Declare these commands."""
    command("init", init, "make an empty depot")

    imports = command("import", import_, "take in a CSV file: all of it or nothing")
    imports.add_argument("kind", metavar="KIND", help="items, places, suppliers, stock, setpoints, moves … or all")
    imports.add_argument("file", metavar="FILE", type=Path, help="the CSV file; for KIND all, a folder from export")
    imports.add_argument("--dry-run", action="store_true", help="read and prove it, change nothing")
    imports.add_argument("--create-places", action="store_true", help="make the places a history names")

    exports = command("export", export, "write every table as CSV that import takes back")
    exports.add_argument("folder", metavar="DIR", type=Path)

    backup = command("backup", backup_, "a safe copy of a live file, proved by opening it")
    backup.add_argument("file", metavar="FILE", type=Path)

    restore = command("restore", restore_, "put a backup back; what was there is kept beside it")
    restore.add_argument("file", metavar="FILE", type=Path, nargs="?", help="without it: lists the daily backups")

    command("check", check, "recompute every stock figure and prove the file")

    demo = command("demo", demo_, "build the demo depot and open it, or walk the main job without a terminal")
    demo.add_argument(
        "folder", metavar="DIR", type=Path, nargs="?", help="where it goes (default: the user's data folder)"
    )


def init(session: Session, _options: argparse.Namespace) -> int:
    """Make an empty depot with the trade's words, cautions and first checks."""
    from partsbin.desk.demo import furnish

    with Depot.create(session.path) as depot:
        furnish(depot)
    return session.answer({"depot": str(session.path)}, f"An empty depot lies at {session.path}.")


def import_(session: Session, options: argparse.Namespace) -> int:
    """Import one file, or a whole folder."""
    from partsbin.exchange.importing import Import
    from partsbin.exchange.tables import import_file, import_folder

    with session.open() as depot:
        job = Import(depot, session.operator(depot), options.create_places, working.rows)
        if options.kind == "all":
            reports = import_folder(job, options.file, dry_run=options.dry_run)
        else:
            reports = [import_file(job, options.kind, options.file, dry_run=options.dry_run)]
        if options.kind == "lanes" and not options.dry_run:
            from partsbin.desk.lane_limits import settle_lanes

            settle_lanes(depot)
    for report in reports:
        for warning in report.warnings:
            tell(f"note: {warning}")
    done = "would be taken in" if options.dry_run else "taken in"
    document = [{"kind": r.kind, "rows": r.rows, "added": r.added, "warnings": list(r.warnings)} for r in reports]
    return session.answer(
        document[0] if options.kind != "all" else document, [f"{r.kind}: {r.rows} rows {done}" for r in reports]
    )


def export(session: Session, options: argparse.Namespace) -> int:
    """Write every table into a folder."""
    from partsbin.exchange.tables import export_folder

    with session.open() as depot:
        files = export_folder(depot, options.folder, working.part)
    return session.answer(
        {"files": [str(f) for f in files]}, f"{len(files)} files written to {options.folder.resolve()}."
    )


def backup_(session: Session, options: argparse.Namespace) -> int:
    """Copy the live depot."""
    from partsbin.exchange.backups import back_up

    with session.open() as depot:
        back_up(depot, options.file, working.pages)
    return session.answer({"backup": str(options.file)}, f"Backed up to {options.file}, opened and proved.")


def restore_(session: Session, options: argparse.Namespace) -> int:
    """Put a backup back in place of the depot; without one, list what there is."""
    if options.file is None:
        return _list_backups(session)
    from partsbin.desk.restoring import require_restorer
    from partsbin.exchange.backups import restore

    require_restorer(session.path, session.operator)
    working.begin(session.command)
    kept = restore(options.file, session.path)
    beside = f" What was there is kept as {kept}." if kept else ""
    return session.answer({"restored": str(session.path), "kept": str(kept or "")}, f"Restored.{beside}")


def _list_backups(session: Session) -> int:
    from partsbin.depot.backup_plan import daily_backups

    found = daily_backups(session.path)
    lines = [f"{day:%a} {day}  {path}" for day, path in found]
    lines += [f"Bring one back with: partsbin restore {found[0][1]}"] if found else ["There are no daily backups yet."]
    return session.answer([{"day": str(day), "file": str(path)} for day, path in found], lines)


def check(session: Session, _options: argparse.Namespace) -> int:
    """Prove the depot; exit 1 with the differences if it does not add up."""
    with session.open() as depot:
        found = differences(depot, progress=working.part)
    session.answer({"ok": not found, "differences": found}, found or "The depot is proved: every figure adds up.")
    return 1 if found else 0


def demo_(session: Session, options: argparse.Namespace) -> int:
    """Build the demo depot; open it on a terminal, else walk the main job and print what it did."""
    import platformdirs

    from partsbin.desk.demo import build_demo
    from partsbin.desk.walk import walk

    folder = options.folder or platformdirs.user_data_path("partsbin") / "demo"
    path = build_demo(folder, tell)
    if sys.stdin.isatty() and sys.stdout.isatty():
        from partsbin.screens.app import run

        return run(path, session.initials)
    return session.answer(*walk(path, folder))
