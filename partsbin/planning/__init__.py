"""Demand, set points, order quantities, van kits, count plans. Pure functions; no SQL, no screen.

Names are loaded on first use, so importing the package costs nothing until a figure is asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from partsbin.planning.classes import classify, forecast_by_class
    from partsbin.planning.forecast import croston, sba, sbj, tsb
    from partsbin.planning.kit import jobs_table, par_by_usage, share_completed, van_kit
    from partsbin.planning.order_level import order_up_to
    from partsbin.planning.proposal import PlanInput, Proposal
    from partsbin.planning.quantity import PriceBreak, round_to_pack
    from partsbin.planning.shelf import plan_shelf
    from partsbin.planning.whatif import WhatIf, what_if
    from partsbin.planning.wording import explain

_HOME = {
    "PlanInput": "proposal",
    "PriceBreak": "quantity",
    "Proposal": "proposal",
    "WhatIf": "whatif",
    "classify": "classes",
    "croston": "forecast",
    "explain": "wording",
    "forecast_by_class": "classes",
    "jobs_table": "kit",
    "order_up_to": "order_level",
    "par_by_usage": "kit",
    "plan_shelf": "shelf",
    "round_to_pack": "quantity",
    "sba": "forecast",
    "sbj": "forecast",
    "share_completed": "kit",
    "tsb": "forecast",
    "van_kit": "kit",
    "what_if": "whatif",
}

__all__ = [
    "PlanInput",
    "PriceBreak",
    "Proposal",
    "WhatIf",
    "classify",
    "croston",
    "explain",
    "forecast_by_class",
    "jobs_table",
    "order_up_to",
    "par_by_usage",
    "plan_shelf",
    "round_to_pack",
    "sba",
    "sbj",
    "share_completed",
    "tsb",
    "van_kit",
    "what_if",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - PEP 562 hands back whatever the module holds
    if name in _HOME:
        return getattr(import_module(f"partsbin.planning.{_HOME[name]}"), name)
    raise AttributeError(f"partsbin.planning has no {name!r}")
