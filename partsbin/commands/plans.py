"""The answers of ``partsbin plan``: shelf set points, van kits, what-if, counts."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan
from pathlib import Path

from partsbin.commands.session import Session, table
from partsbin.depot.catalogue import the_item
from partsbin.depot.places import the_place
from partsbin.desk.plan import Planned, accept, propose
from partsbin.desk.plan import what_if as curve
from partsbin.errors import Refused
from partsbin.exchange.values import decimal, major, money

TARGETS = (0.80, 0.85, 0.90, 0.93, 0.95, 0.97, 0.98, 0.99)


def shelf(session: Session, parts: Sequence[str], target: float | None, *, apply: bool, pdf: Path | None) -> int:
    """Propose the shelf's set points; ``apply`` makes them so."""
    if target is not None and not 0 < target < 1:
        message = f"--target {target:g}: give a share between 0 and 1, such as 0.95"
        raise Refused(message)
    with session.open() as depot:
        planned = propose(depot, target=target)
        if parts:
            wanted = {the_item(depot, part).id for part in parts}
            planned = [one for one in planned if one.item_id in wanted]
        changed = accept(depot, session.operator(depot), planned) if apply else 0
        if pdf is not None:
            from partsbin.desk.plan_paper import write_plan

            write_plan(depot, planned, curve(depot, TARGETS), pdf)
    done = f"{changed} set points changed." if apply else "Nothing changed; add --apply to accept these."
    total = money_in(planned)
    document = {"applied": changed, "stock_money": major(round(total)), "proposals": [as_json(one) for one in planned]}
    words = [line for one in planned if one.changes for line in (one.words, "")]
    return session.answer(
        document,
        [*words, f"{len(planned)} item{'s' * (len(planned) != 1)}, {major(round(total))} on the shelf. {done}"],
    )


def class_targets(session: Session, text: str) -> int:
    """Keep fill targets by class of item, and show all of them."""
    from partsbin.desk import plan_targets

    with session.open() as depot:
        plan_targets.set_targets(depot, session.operator(depot), plan_targets.read_targets(text))
        shares, words = plan_targets.class_targets(depot), plan_targets.targets_in_words(depot)
    document = {name or "other": share for name, share in shares.items()}
    return session.answer(document, [f"Targets: {words}. Run plan to see what they change."])


def money_in(planned: Sequence[Planned]) -> float:
    """Return the money the proposals tie up, in minor units; items without a known cost count nothing."""
    return sum(one.proposal.money_tied_up for one in planned if not isnan(one.proposal.money_tied_up))


def as_json(one: Planned) -> dict[str, object]:
    """Return a proposal as a document; figures not known are null."""
    p = one.proposal

    def figure(value: float) -> float | None:
        return None if value != value else round(float(value), 3)

    return {
        "part_number": one.part_number,
        "reorder_point": p.reorder_point,
        "order_up_to": p.order_up_to,
        "order_quantity": p.order_quantity,
        "old_reorder_point": p.old_reorder_point,
        "old_order_up_to": p.old_order_up_to,
        "weekly_demand": figure(p.weekly_demand),
        "demand_class": p.demand_class,
        "method": p.method,
        "lead_weeks": figure(p.lead_weeks),
        "protection_weeks": figure(p.protection_weeks),
        "fill_target": figure(p.fill_target),
        "expected_fill": figure(p.expected_fill),
        "cover_weeks": figure(p.cover_weeks),
        "money_tied_up": None if p.money_tied_up != p.money_tied_up else major(round(p.money_tied_up)),
        "flags": list(p.flags),
        "questions": list(p.questions),
        "explanation": one.words,
    }


def what_if(session: Session) -> int:
    """Show stock money and yearly shortages at several targets."""
    with session.open() as depot:
        points = curve(depot, TARGETS)
    rows = [
        (f"{p.target:.0%}", major(round(p.stock_money)), f"{p.short_a_year:,.0f}", f"{p.expected_fill:.1%}")
        for p in points
    ]
    most = max((p.stock_money for p in points), default=0) or 1
    bars = [f"{p.target:>5.0%} {'█' * round(40 * p.stock_money / most)} {major(round(p.stock_money))}" for p in points]
    document = [
        {
            "target": p.target,
            "stock_money": major(round(p.stock_money)),
            "short_a_year": round(p.short_a_year, 1),
            "expected_fill": round(p.expected_fill, 4),
        }
        for p in points
    ]
    return session.answer(document, [*table(("TARGET", "ON THE SHELF", "SHORT A YEAR", "FILL"), rows), "", *bars])


def van(session: Session, code: str, budget: str | None, load: str | None, *, apply: bool) -> int:
    """Propose a van's kit; ``apply`` makes it the van's par."""
    from partsbin.desk.van_plan import accept_kit, propose_kit

    with session.open() as depot:
        place = the_place(depot, code, kinds=("van",))
        limit = decimal(load) if load else None
        kit = propose_kit(depot, place, budget=money(budget) if budget else None, load=limit)
        changed = accept_kit(depot, session.operator(depot), kit) if apply else 0
    rows = [
        (line.item.part_number, line.item.description, line.old, line.new, major(line.cost))
        for line in kit.lines
        if line.old != line.new
    ]
    done = f"{changed} pars changed." if apply else "Nothing changed; add --apply to accept this."
    document = {
        "van": place.code,
        "jobs": kit.jobs,
        "money": major(kit.money),
        "weight_kg": round(kit.weight / 1000, 3),
        "share": round(kit.share, 4),
        "old_share": round(kit.old_share, 4),
        "usage_share": round(kit.usage_share, 4),
        "applied": changed,
        "lines": [{"part_number": x.item.part_number, "old": x.old, "new": x.new} for x in kit.lines],
        "left_out": list(kit.left_out),
    }
    return session.answer(document, [kit.words, *table(("PART", "WHAT", "PAR", "NEW", "COST"), rows), done])


def counts(session: Session) -> int:
    """Show what to count this week and how true the records are."""
    from partsbin.desk.count_plan import accuracy, count_plan

    with session.open() as depot:
        plan, true = count_plan(depot), accuracy(depot)
    rows = [(line.place, line.part_number, plan.classes.get(line.part_number, "C"), line.why) for line in plan.lines]
    share = f"{true.share:.1%} of {true.counted} records counted were true" if true.counted else "No record counted yet"
    document = {
        "lines": [{"place": x.place, "part_number": x.part_number, "why": x.why} for x in plan.lines],
        "accuracy": {"hits": true.hits, "counted": true.counted},
        "counts_a_day": round(plan.a_day, 2),
    }
    pace = (
        f"{plan.a_day:.1f} counts a working day keep it up: A 12, B 4, C once a year. A makes the first 80 % of yearly "
        "value, B the next 15 %; the part that crosses a limit is of the better class."
    )
    lines = [*table(("PLACE", "PART", "CLASS", "WHY"), rows), f"{share} (A ±1 %, B ±3 %, C ±5 %).", pace]
    return session.answer(document, lines)
