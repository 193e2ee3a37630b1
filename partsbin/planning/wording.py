"""A set point in plain words: what it rests on and what would change it."""

from __future__ import annotations

from partsbin.planning.proposal import Proposal


def explain(p: Proposal) -> str:
    """Several short lines of plain text for the screen and the printed report; money in minor units / 100."""
    return "\n".join((*_point(p), *_lot(p), *_demand(p), *_service(p), *_change(p), *_remarks(p)))


def _point(p: Proposal) -> list[str]:
    if p.order_up_to == 0:
        head = f"{p.part_number}: keep none on the shelf; order when asked for."
    else:
        head = (
            f"{p.part_number}: order when {p.reorder_point} or fewer are on hand and on order, up to "
            f"{p.order_up_to}, {p.order_quantity} at a time."
        )
    if p.old_order_up_to is None:
        return [head, "It had no set point before."]
    before = 0 if p.old_reorder_point is None else p.old_reorder_point
    same = before == p.reorder_point and p.old_order_up_to == p.order_up_to
    return [head, "That is what it was before." if same else f"Before: at {before} up to {p.old_order_up_to}."]


def _lot(p: Proposal) -> list[str]:
    if p.order_up_to == 0:
        return []
    why = "about four weeks' use, for its cost is not known"
    if p.demand_class == "none":
        why = "the smallest order, for nobody has asked for it yet"
    elif p.unit_cost == p.unit_cost:
        why = (
            f"ordering ({p.order_cost / 100:.2f} a time) and holding ({p.holding_rate:.0%} a year of "
            f"{p.unit_cost / 100:.2f} each) cost least together"
        )
    packs = f"; packs of {p.pack}" if p.pack > 1 else ""
    return [f"{p.order_quantity} at a time: {why}{packs}{f'; at least {p.minimum}' if p.minimum > 1 else ''}."]


def _demand(p: Proposal) -> list[str]:
    weeks = f"{p.known_weeks} known weeks"
    if p.censored_weeks:
        weeks += f" ({p.censored_weeks} more left out because the shelf was empty)"
    lines = [
        f"Demand {_few(p.weekly_demand)} a week, give or take {_few(p.weekly_deviation)} ({p.demand_class}), "
        f"from {weeks}, blended with what all parts show; {p.method}."
    ]
    if p.class_method != "none":
        lines.append(f"For comparison, {p.class_method} alone says {_few(p.class_forecast)} a week.")
    return lines


def _service(p: Proposal) -> list[str]:
    if not p.weekly_demand:
        return []
    late = f" (give or take {_few(p.lead_sd_weeks)})" if p.lead_sd_weeks else ""
    lines = [
        f"It must last {_weeks(p.protection_weeks)}: {_few(p.review_weeks)} to the next review and "
        f"{_few(p.lead_weeks)} for delivery{late}.",
        f"Target {p.fill_target:.0%} of units from the shelf for all parts with this target together; this one is "
        f"expected to reach {p.expected_fill:.1%}, {_few(p.short_a_year)} short a year.",
    ]
    if p.order_up_to:
        money = "" if p.unit_cost != p.unit_cost else f", {p.money_tied_up / 100:.2f} tied up"
        lines.append(f"About {_few(p.on_shelf)} on the shelf, {_few(p.cover_weeks)} weeks' use{money}.")
    return lines


def _change(p: Proposal) -> list[str]:
    if not p.weekly_demand:
        return ["It changes as soon as somebody asks for one."]
    week_more = p.weekly_demand
    return [
        f"What would change it: each week of lead time adds about {_few(week_more)}; twice the use about doubles "
        f"it; a higher target adds stock{_lot_hint(p)}."
    ]


def _lot_hint(p: Proposal) -> str:
    return f"; a smaller order quantity than {p.order_quantity} takes stock off" if p.order_quantity > 1 else ""


def _remarks(p: Proposal) -> list[str]:
    notes = [f"Note: {', '.join(p.flags)}."] if p.flags else []
    return [*notes, *p.questions]


def _weeks(value: float) -> str:
    return f"{_few(value)} week" + ("s" if _few(value) != "1" else "")


def _few(value: float) -> str:
    """Two significant figures are honest here."""
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"
