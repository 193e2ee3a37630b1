"""Audit files and dated drinks: audit, dated, break-case."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from partsbin.commands.files import Add
from partsbin.commands.session import Session, table

if TYPE_CHECKING:
    from partsbin.depot.file import Depot
    from partsbin.desk.dated import NearLot
    from partsbin.desk.round_booking import Booked
    from partsbin.desk.rounds import Look, MachineReading
    from partsbin.desk.van_loads import RoundLoad
    from partsbin.exchange.audit import AuditReading
    from partsbin.lanes.refill import Stop


def add(command: Add) -> None:
    """Declare these commands."""
    audit = command("audit", audit_, "read audit files: what machines sold, what to load, what to look at")
    audit.add_argument("path", metavar="FILE|DIR", type=Path)
    audit.add_argument("--post", action="store_true", help="keep the readings and book the units sold out of the vans")
    audit.add_argument("--promise", action="store_true", help="promise each van its load, for Restock to pick")
    audit.add_argument("--pdf", metavar="F", type=Path, help="the load of each van, stops in the order they are packed")
    audit.add_argument("--van", metavar="VAN", default="", help="the van of machines that have none of their own")
    audit.add_argument(
        "--already-filled", action="store_true", help="close what no van holds: drivers issued it by hand"
    )
    audit.add_argument("--accept-bad-check", action="store_true", help="take one file whose check value is wrong")

    dated = command("dated", dated_, "lots near or past their date, by weeks of sale left")
    dated.add_argument("--weeks", metavar="N", type=float, default=None, help="how far ahead to look (default 8)")
    dated.add_argument("--write-off", action="store_true", help="write off to scrap all that is past its date")
    dated.add_argument("--reason", metavar="TEXT", default="")
    dated.add_argument("--part", metavar="PART", action="append", default=[], help="write off only this (repeatable)")

    opened = command("break-case", break_case_, "note that a case was opened: one case becomes its units")
    opened.add_argument("part", metavar="PART", nargs="?", help="without one: the cases opened last")
    opened.add_argument("--at", metavar="PLACE", default="", help="where (default: the item's bin)")
    opened.add_argument("--cases", metavar="N", default="1")
    opened.add_argument("--lot", default="")
    opened.add_argument("--reason", metavar="TEXT", default="")


def audit_(session: Session, options: argparse.Namespace) -> int:
    """Read audit files, show sales, refill, loads and leads; post and promise where asked."""
    from partsbin.depot.places import the_place
    from partsbin.desk.load_paper import write_van_load
    from partsbin.desk.round_booking import close_open, take
    from partsbin.desk.rounds import look, read_path
    from partsbin.desk.van_loads import promise_load, round_loads

    readings, refused = read_path(options.path, accept_bad_check=options.accept_bad_check)
    with session.open() as depot:
        found = look(depot, readings, refused)
        loads = round_loads(depot, found.stops)
        if options.pdf:
            write_van_load(depot, loads, options.pdf)
        booked, requests, closed = [], {}, 0
        van = the_place(depot, options.van, kinds=("van",)) if options.van else None
        if options.post or options.promise or options.already_filled:
            operator = session.operator(depot)
            if options.promise:
                requests = {load.van.code: promise_load(depot, operator, load) for load in loads if load.van}
            if options.post:
                booked = take(depot, operator, found, van)
            if options.already_filled:
                closed = sum(close_open(depot, asset) for asset in {r.machine.asset for r in found.readings})
        document = {
            "machines": [_machine(depot, reading) for reading in found.readings],
            "stops": [_stop(stop) for stop in found.stops],
            "loads": [_load(load) for load in loads],
            "refused": list(found.refused),
            "posted": [_booked(b) for b in booked],
            "requests": requests,
            "closed": closed,
        }
        text = [*_reading_lines(depot, found), *_load_lines(loads), *_done_lines(booked, requests, closed)]
    return session.answer(document, text)


def _machine(depot: Depot, found: MachineReading) -> dict[str, object]:
    from partsbin.desk.event_leads import event_leads

    sold = found.sold
    return {
        "asset": found.machine.asset,
        "site": found.machine.site,
        "read_at": found.reading.read_at.isoformat(sep=" ") if found.reading.read_at else None,
        "fingerprint": found.reading.fingerprint,
        "taken_before": found.taken,
        "first_reading": sold is None and not found.taken,
        "units": sold.units if sold else 0,
        "sold": sold.by_selection() if sold else {},
        "notes": list(found.notes),
        "selections": [
            {
                "selection": s.number,
                "product": s.product,
                "price": _price(found.reading, s.price),
                "sold_in_all": s.sold,
            }
            for s in found.reading.selections
        ],
        "devices": [{"kind": d.kind, "serial": d.serial, "model": d.model} for d in found.reading.devices],
        "tubes": [{"value": t.value, "count": t.count, "full": t.full} for t in found.reading.tubes],
        "leads": [
            {
                "event": lead.lead.event.raw.strip(),
                "says": lead.sentence(),
                "families": list(lead.lead.hint.families) if lead.lead.hint else [],
                "first_checks": [{"family": family, "checks": list(checks)} for family, checks in lead.checks],
            }
            for lead in event_leads(depot, found.reading)
        ],
    }


def _price(reading: AuditReading, minor: int | None) -> str | None:
    """A price as the machine shows it: ``1.75``."""
    return None if minor is None else f"{minor / 10**reading.decimals:.{reading.decimals}f}"


def _stop(stop: Stop) -> dict[str, object]:
    return {
        "round": stop.machine.round_name,
        "stop": stop.machine.stop,
        "asset": stop.machine.asset,
        "lanes": [
            {"lane": x.lane, "selection": x.selection, "part_number": x.part_number, "holds": x.before, "add": x.add}
            for x in stop.lanes
        ],
        "notes": list(stop.notes),
    }


def _load(load: RoundLoad) -> dict[str, object]:
    return {
        "van": load.van.code if load.van else None,
        "packing": [stop.machine.asset for stop in load.packing],
        "drinks": [
            {
                "part_number": d.item.part_number,
                "description": d.item.description,
                "need": d.need,
                "aboard": d.aboard,
                "promised": d.coming,
                "load": d.load.each,
                "cases": d.load.cases,
                "loose": d.load.loose,
            }
            for d in load.drinks
        ],
    }


def _booked(booked: Booked) -> dict[str, object]:
    return {
        "asset": booked.machine.asset,
        "slip": booked.slip,
        "units": booked.units,
        "open": [{"part_number": item.part_number, "quantity": units} for item, units in booked.open],
        "note": booked.note,
    }


def _reading_lines(depot: Depot, found: Look) -> list[str]:
    from partsbin.desk.event_leads import event_leads

    out = []
    for reading in found.readings:
        when = f"{reading.reading.read_at:%Y-%m-%d %H:%M}" if reading.reading.read_at else "no date"
        sold = f"{reading.sold.units} sold" if reading.sold else "nothing to compare"
        out.append(f"{reading.machine.asset} {reading.machine.site}, read {when}: {sold}")
        out += [f"   note: {note}" for note in reading.notes]
        for lead in event_leads(depot, reading.reading):
            out.append(f"   {lead.sentence()}")
            out += [f"      {family} first: {'; '.join(checks[:3])}" for family, checks in lead.checks if checks]
    out += [f"not taken: {sentence}" for sentence in found.refused]
    for stop in found.stops:
        add_up = sum(lane.add for lane in stop.lanes)
        out += ["", f"{stop.machine.round_name} {stop.machine.stop}  {stop.machine.asset}: {add_up} to fill"]
        out += [f"   {x.lane:>4}  {x.part_number:<14} {x.before:>3} there, add {x.add}" for x in stop.lanes]
        out += [f"   note: {note}" for note in stop.notes]
    return out


def _load_lines(loads: list[RoundLoad]) -> list[str]:
    out: list[str] = []
    for load in loads:
        van = load.van.code if load.van else "no van yet"
        packing = ", ".join(stop.machine.asset for stop in load.packing)
        out += ["", f"Load for {van}, packed in this order: {packing}"]
        rows = [
            (d.load.words(), d.item.part_number, d.item.description, d.need, d.aboard, d.coming) for d in load.drinks
        ]
        out += table(("LOAD", "PART", "DESCRIPTION", "NEED", "ABOARD", "PROMISED"), rows)
    return out


def _done_lines(booked: list[Booked], requests: dict[str, int | None], closed: int) -> list[str]:
    out = [""] if booked or requests or closed else []
    for b in booked:
        out.append(f"{b.machine.asset}: " + (f"slip {b.slip}, {b.units} units" if b.slip else "no slip") + ".")
        left = ", ".join(f"{units} {item.part_number}" for item, units in b.open[:6])
        more = f" and {len(b.open) - 6} more" if len(b.open) > 6 else ""
        out += [f"   open: {left}{more}. {b.note}."] if b.open else []
    out += [f"{van}: request {r} promised." if r else f"{van}: has its load." for van, r in requests.items()]
    return [*out, f"{closed} units closed as filled already."] if closed else out


def dated_(session: Session, options: argparse.Namespace) -> int:
    """List lots near or past their date; write off the past ones where asked."""
    from partsbin.desk.dated import WITHIN_WEEKS, near_list, write_off_past
    from partsbin.desk.today import today

    with session.open() as depot:
        day = today(depot)
        near = near_list(depot, day, WITHIN_WEEKS if options.weeks is None else options.weeks)
        slip = None
        if options.write_off:
            slip = write_off_past(depot, session.operator(depot), day, options.reason, options.part)
    rows = [
        (
            *(str(x.best_before), f"{x.weeks_left:g}", x.item.part_number, x.item.description, x.lot, x.place),
            *(x.held.words(), f"{x.weekly:.1f}", x.left_over or ""),
        )
        for x in near
    ]
    headings = ("BEST BEFORE", "WEEKS", "PART", "DESCRIPTION", "LOT", "PLACE", "HELD", "SOLD A WEEK", "LEFT OVER")
    text = table(headings, rows) if rows else ["Nothing is near its date."]
    text += [f"Slip {slip}: written off to scrap."] if slip else []
    return session.answer({"lots": [_near(x) for x in near], "slip": slip}, text)


def _near(x: NearLot) -> dict[str, object]:
    return {
        "part_number": x.item.part_number,
        "description": x.item.description,
        "lot": x.lot,
        "best_before": str(x.best_before),
        "place": x.place,
        "quantity": x.held.each,
        "cases": x.held.cases,
        "loose": x.held.loose,
        "weeks_left": x.weeks_left,
        "weekly_sale": round(x.weekly, 2),
        "weeks_of_sale": x.weeks_of_sale,
        "will_sell": x.will_sell,
        "left_over": x.left_over,
        "past": x.past,
    }


def break_case_(session: Session, options: argparse.Namespace) -> int:
    """Note an opened case, or list the ones opened last."""
    from partsbin.depot.cases import case_breaks
    from partsbin.depot.catalogue import the_item
    from partsbin.depot.ledger import whole_quantity
    from partsbin.depot.places import PHYSICAL, the_place
    from partsbin.desk.dated import open_case
    from partsbin.desk.posting import usual_bin

    with session.open() as depot:
        if not options.part:
            found = case_breaks(depot)
            rows = [(b.at, b.operator, b.part_number, b.lot, b.place, b.per_case, b.slip or "") for b in found]
            text = table(("WHEN (UTC)", "BY", "PART", "LOT", "PLACE", "UNITS", "SLIP"), rows)
            columns = ("at", "operator", "part_number", "lot", "place", "per_case", "slip")
            breaks = [{name: getattr(b, name) for name in columns} for b in found]
            return session.answer({"opened": breaks}, text if rows else ["No case was opened yet."])
        item = the_item(depot, options.part)
        place = the_place(depot, options.at, kinds=PHYSICAL) if options.at else usual_bin(depot, item)
        cases = whole_quantity(options.cases)
        how = {"cases": cases, "lot": options.lot, "reason": options.reason}
        done = open_case(depot, session.operator(depot), item, place, **how)
    document = {
        "part_number": item.part_number,
        "place": place.code,
        "lot": done.lot,
        "cases_opened": cases,
        "per_case": done.after.per_case,
        "before": {"cases": done.before.cases, "loose": done.before.loose, "each": done.before.each},
        "after": {"cases": done.after.cases, "loose": done.after.loose, "each": done.after.each},
    }
    words = f"{item.part_number} lot {done.lot} at {place.code}: {done.before.words()} is now {done.after.words()}"
    return session.answer(document, f"{words}, {done.after.each} each as before.")
