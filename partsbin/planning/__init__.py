"""Demand, set points, order quantities, van kits, count plans. Pure functions; no SQL, no screen.

Names are loaded on first use, so importing the package costs nothing until a figure is asked for.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from partsbin.planning.kit import jobs_table, par_by_usage, share_completed, van_kit
    from partsbin.planning.levels import order_up_to
    from partsbin.planning.quantity import round_to_pack

__all__ = ["jobs_table", "order_up_to", "par_by_usage", "round_to_pack", "share_completed", "van_kit"]

_HOME = {
    "jobs_table": "kit",
    "order_up_to": "levels",
    "par_by_usage": "kit",
    "round_to_pack": "quantity",
    "share_completed": "kit",
    "van_kit": "kit",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - PEP 562 hands back whatever the module holds
    if name in _HOME:
        return getattr(import_module(f"partsbin.planning.{_HOME[name]}"), name)
    raise AttributeError(f"partsbin.planning has no {name!r}")
