"""The screens and the keys that lead to them; modules are imported when first gone to."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import NamedTuple

from textual.screen import Screen


class Way(NamedTuple):
    """A screen: its name (also its module), its title, the key that leads there, its class."""

    name: str
    title: str
    key: str
    cls: str


WAYS = (
    Way("counter", "Counter", "f2", "Counter"),
    Way("receive", "Receive", "f3", "Receive"),
    Way("restock", "Restock", "f4", "Restock"),
    Way("count", "Count", "f5", "Count"),
    Way("reorder", "Reorder", "f6", "Reorder"),
    Way("labels", "Labels", "f7", "Labels"),
    Way("history", "History", "f8", "History"),
    Way("items", "Items", "f9", "Items"),
    Way("machines", "Machines", "f11", "Machines"),
    Way("plan", "Set points", "f12", "Plan"),
)


def screen_class(name: str) -> Callable[[], Screen[None]]:
    """Return what makes a screen when it is first gone to: imports wait until then, so the first prompt is quick."""
    way = next(way for way in WAYS if way.name == name)

    def make() -> Screen[None]:
        module = import_module(f"partsbin.screens.{way.name}")
        made: Screen[None] = getattr(module, way.cls)()
        return made

    return make
