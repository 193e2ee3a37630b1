"""The order of work printed on a lane kit's slip, with its cautions and the tests before leaving."""

from __future__ import annotations

from dataclasses import dataclass

from partsbin.lanes.containers import Kind
from partsbin.lanes.kits import LaneKit, Role


@dataclass(frozen=True, slots=True)
class Step:
    """One step of work; its ``caution`` is shown before it. ``code`` names the depot's caution card, shown instead."""

    text: str
    caution: str = ""
    code: str = ""


UNPLUG = "DANGER mains: unplug the machine and keep the plug in hand, pocket or sight until the tray is back in."
TIP_OVER = "WARNING tip-over: one tray out at a time, lower ones first to hand; never rock or lean on the machine."
WIRE_END = "CAUTION wire ends: the coil is sharp at both ends and springs back. Gloves and eye protection."
TALL_MM = 150  # common practice: about where a drink starts to topple when the coil lets go


def order_of_work(kit: LaneKit) -> tuple[Step, ...]:
    """The steps for ``kit`` in order, leaving out what this change does not touch. Follows common practice."""
    roles = {line.role for line in (*kit.take, *kit.back)}
    steps = [
        Step("Check the slip against the door chart: machine, lanes, container, parts in hand."),
        Step("Unplug the machine.", UNPLUG, "MAINS"),
        Step("Empty the lanes into a tote, oldest date on top, and count what came out."),
        Step("Draw the tray out to its stop and let it rest there.", TIP_OVER, "TIP"),
    ]
    if Role.RETAINER in roles:
        steps.append(Step("Take off the front retainer; keep its fixing."))
    steps += _coil_steps(kit, roles)
    if Role.SPACER in roles:
        steps += _spacer_steps(kit)
    if Role.RETAINER in roles:
        steps.append(Step(f"Fit the {_kind_word(kit)} retainer loosely; it is set with a drink in place."))
    steps += _closing(kit)
    return tuple(steps)


def _coil_steps(kit: LaneKit, roles: set[Role | None]) -> list[Step]:
    if Role.COIL not in roles:
        if Role.INSERT not in roles:
            return []
        return [Step("Unclip the coil insert and clip on the new one, tab forward.", WIRE_END, "SPRING")]
    hands = "left-wound coil left, right-wound coil right; " if kit.lane_type.coupled else ""
    return [
        Step("Turn the old coil out of its coupler and lift it clear to the front.", WIRE_END, "SPRING"),
        Step(
            f"Set the new coil in: {hands}push it fully home in the coupler, insert on, tab forward.",
            WIRE_END,
            "SPRING",
        ),
    ]


def _spacer_steps(kit: LaneKit) -> list[Step]:
    """Which wall gets what, seen from the front with the door open."""
    back = any(line.role is Role.SPACER for line in kit.back)
    steps = [Step("Take out the spacers that come back; wipe them for the shelf.")] if back else []
    for answer, lane in zip(kit.fits, ("left lane", "right lane"), strict=False):
        where = f"in the {lane} of each pair" if kit.lane_type.coupled else "in each lane"
        words = answer.best.words() if answer.best else "no spacer"
        steps.append(Step(f"Seen from the front with the door open, {where}: {words}."))
    return steps


def _kind_word(kit: LaneKit) -> str:
    return "can" if kit.container.kind is Kind.CAN else "bottle"


def _closing(kit: LaneKit) -> list[Step]:
    each = kit.fits[0].capacity
    tall = [Step("Tall drink: set the front bar so that its top cannot tip forward.")] * (
        kit.container.height_mm > TALL_MM
    )
    return [
        Step("Turn each coil one whole turn by hand: free all round, nothing rubs.", WIRE_END, "SPRING"),
        Step(f"Load one {_kind_word(kit)}: it slides back under its own push and does not lean."),
        Step("Set the retainer a finger's width clear of the front drink."),
        *tall,
        Step("Push the tray home until its plug seats, then plug the machine in."),
        Step(f"Load up to {each} a lane, earliest date to the front."),
        Step("Test before leaving: vend each changed lane three times, one drink each time, none left standing."),
        Step("Vend the lane once empty: the machine must refund, not keep the money."),
        Step("Change price label and door chart, write the counts, plug and leakage test button checked."),
    ]
